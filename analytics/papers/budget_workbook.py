"""The parts budget as a workbook: sheets for each way of looking at it, and what it rests on."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import pandas as pd

from analytics import __version__
from analytics.decisions.budget import Budget
from analytics.decisions.costing import price_day, rises
from analytics.papers.budget_sentences import MEANINGS, NOT_ADDED, spread_sentence
from analytics.papers.cautions import NOT_AN_INSPECTION
from analytics.papers.workbook import workbook_bytes
from analytics.records.settings import Settings

MONEY, MEAN, WHOLE = "#,##0.00", "0.00", "0"

FIGURES = {
    "Committed": ("committed", MONEY),
    "Forecast": ("forecast", MONEY),
    "Contingency (P80 less committed)": ("contingency", MONEY),
    "Cost, P80": ("cost_p80", MONEY),
    "Cost, mean": ("cost_mean", MONEY),
    "Cost, P50": ("cost_p50", MONEY),
    "Cost, P95": ("cost_p95", MONEY),
    "Parts, mean cost": ("parts_cost", MONEY),
    "Labour, mean cost": ("labour_cost", MONEY),
    "Currency": ("currency", ""),
    "Planned, mean number": ("planned", MEAN),
    "Unplanned, mean number": ("unplanned", MEAN),
    "Failed, mean number": ("failed", MEAN),
    "Found worn, mean number": ("found_worn", MEAN),
    "Accidents, mean number": ("accidents", MEAN),
    "Number, mean": ("quantity_mean", MEAN),
    "Number, P50": ("quantity_p50", WHOLE),
    "Number, P80": ("quantity_p80", WHOLE),
    "Number, P95": ("quantity_p95", WHOLE),
}
"""Headings of the sheets: the column of the budget behind each, and how its cells are shown."""

_NOT_GIVEN = "not given"


def budget_workbook(
    budget: Budget,
    settings: Settings,
    *,
    assumptions: Sequence[str],
    seed: int,
    fingerprint: str,
) -> bytes:
    """Write the budget as one XLSX file.

    Parameters
    ----------
    budget : Budget
    settings : Settings
    assumptions : sequence of str
        Of `words.assumptions`.
    seed : int
        What the futures were drawn with.
    fingerprint : str
        Of the records.

    Returns
    -------
    bytes
        Numbers, days and texts are cells of their kind; every header stays in sight. It opens
        on the summary.
    """
    sheets = {
        "Summary": _summary(budget),
        "Seasons": _seasons(budget),
        "Kinds": _named(budget.kinds(), settings),
        "Part numbers": _named(budget.part_numbers(), settings),
        "Sizes": _lines(budget.sizes, {"Size": _given("size")}),
        "Bases": _lines(budget.bases, {"Base": _given("base")}),
        "Months": _lines(budget.months, {"Month": _month}),
        "Assumptions": _assumptions(budget, settings, assumptions, seed, fingerprint),
    }
    formats = {heading: shown for heading, (_, shown) in FIGURES.items() if shown}
    first, every = sheets["Summary"].columns[1:3]
    return workbook_bytes(
        sheets,
        settings,
        {**formats, "Month": "yyyy-mm", first: MONEY, every: MONEY},
        notice_on_top=True,
    )


def _summary(budget: Budget) -> pd.DataFrame:
    first, whole = budget.fleet().iloc[0], budget.horizon.iloc[0]
    headings = {column: heading for heading, (column, _) in FIGURES.items()}
    rows = [
        (headings[column], first[column], whole[column], meaning)
        for column, meaning in MEANINGS.items()
    ]
    rows += [
        (headings[column], first[column], whole[column], "parts")
        for column in ("planned", "unplanned", "quantity_mean", "quantity_p80")
    ]
    own, together = budget.spreads[0], budget.spreads[-1]
    rows += [
        (
            "Of the committed, as good as certain",
            budget.certain_cost if budget.certain_parts else 0.0,
            None,
            f"{budget.certain_parts} parts that are renewed in every simulated future, at the lift "
            "or because they fail before",
        ),
        (
            "Share of the spread that is luck",
            own.share_luck,
            together.share_luck,
            spread_sentence(own),
        ),
    ]
    seasons = f"Seasons {whole['seasons']}" if len(budget.fleet()) > 1 else "The whole of it"
    columns = ["Figure", f"Season {first['season']}", seasons, "What it is"]
    table = pd.DataFrame(rows, columns=columns, dtype=object)
    return table.assign(Currency=first["currency"])


def _seasons(budget: Budget) -> pd.DataFrame:
    """The seasons, then all of them together: a total of its own, not a sum of percentiles."""
    whole = budget.horizon.assign(season=f"all, {budget.horizon['seasons'].iloc[0]}")
    fleet = budget.fleet()
    fleet["season"] = fleet["season"].astype(object)
    made = _lines(pd.concat([fleet, whole], ignore_index=True), {})
    luck = [spread.share_luck for spread in budget.spreads]
    return made.assign(**{"Share of the spread that is luck": luck})


def _named(lines: pd.DataFrame, settings: Settings) -> pd.DataFrame:
    named: dict[str, Callable[[pd.DataFrame], list[Any]]] = {
        "Kind": lambda table: [settings.kind(kind).label for kind in table["kind"]],
    }
    if (lines["part_no"] != "all").any():
        named["Part number"] = _given("part_no")
    return _lines(lines, named)


def _lines(
    lines: pd.DataFrame, named: dict[str, Callable[[pd.DataFrame], list[Any]]]
) -> pd.DataFrame:
    front = {"Season": list(lines["season"])}
    front |= {heading: of(lines) for heading, of in named.items()}
    figures = {heading: list(lines[column]) for heading, (column, _) in FIGURES.items()}
    return pd.DataFrame({**front, **figures})


def _given(column: str) -> Callable[[pd.DataFrame], list[Any]]:
    return lambda table: [cell or _NOT_GIVEN for cell in table[column]]


def _month(table: pd.DataFrame) -> list[Any]:
    return [day.date() for day in pd.to_datetime(table["month"], format="%Y-%m")]


def _assumptions(
    budget: Budget,
    settings: Settings,
    assumptions: Sequence[str],
    seed: int,
    fingerprint: str,
) -> pd.DataFrame:
    rates, seasons, first = settings.rates, budget.seasons, budget.seasons[0]
    goods, work = rises(settings, seasons)
    facts: list[tuple[str, Any]] = [
        ("Fleet", settings.name),
        ("Records watched up to", settings.as_of),
        (f"First day of season year {first.year}", budget.period[0]),
        (f"Last day of season year {first.year}", budget.period[1]),
        (f"Lay-up lift of season {first.year}", first.lift_on),
        ("Currency", settings.currency),
        ("Tax", rates.tax),
        ("Price date, as written", rates.price_date),
        ("Prices taken as of", price_day(settings)),
        ("Increase of prices a year, share", rates.price_increase),
        ("Increase of labour and other rates a year, share", rates.labour_increase),
        *(
            (f"Price of parts in season {season.year}, of 1 as given", float(rise))
            for season, rise in zip(seasons, goods, strict=True)
        ),
        *(
            (f"Labour in season {season.year}, of 1 as given", float(rise))
            for season, rise in zip(seasons, work, strict=True)
        ),
        ("Without a price, and not in the money", ", ".join(budget.unpriced) or "none"),
        ("Simulated futures", len(budget.totals)),
        ("Curves that they are drawn from", budget.n_draws),
        ("Seed", seed),
        ("Fingerprint of the records", fingerprint),
        ("Version of the program", __version__),
        ("Percentiles", NOT_ADDED),
        ("Caution", NOT_AN_INSPECTION),
        *(("Assumed", sentence) for sentence in assumptions),
    ]
    return pd.DataFrame(facts, columns=["What", "Value"], dtype=object)
