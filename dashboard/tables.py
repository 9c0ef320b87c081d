"""Tables of how parts age and of what was read, and how any table is shown; no computation."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date
from math import isnan
from typing import Any, get_args

import pandas as pd
import streamlit as st
from pandas.io.formats.style import Styler

from analytics.ageing.fit import Ageing
from analytics.ageing.summary import Estimate, KeyFigures, records_alone
from analytics.papers import words as shared
from analytics.records.findings import Done
from analytics.records.seasons import Season
from analytics.records.settings import Settings
from dashboard import words

Config = dict[str, Any]

FINDINGS_COLUMNS: Config = {
    "What to do": st.column_config.TextColumn(width="large"),
    "Found": st.column_config.TextColumn(width=130),
    "Expected": st.column_config.TextColumn(width=230),
    "The row as it stood": st.column_config.TextColumn(width=800),
}
KINDS_COLUMNS: Config = {
    "Kind": st.column_config.Column(width=110),
    "What counts as inside it": st.column_config.Column(width=200),
    "Aged by": st.column_config.Column(width=85),
    "Limit": st.column_config.Column(width=140),
    "Prior": st.column_config.Column(width=220),
    "Fails unseen afloat": st.column_config.Column(width=130),
    "Fitted on their own": st.column_config.Column(width=130),
}
RECORDS_ALONE = "Most likely, records alone (no range)"
UNKNOWN = float("-inf")
"""Stands behind money that is not known: an empty cell would read "None"."""
FINDINGS_ROW = 70
"""Pixels of a row of findings: room for a sentence on two or three lines."""


Texts = Mapping[str, Callable[[Any], str] | Sequence[str]]
"""How columns read: from each value, or cell by cell where a text says more than its value."""


def shown(table: pd.DataFrame, texts: Texts) -> Styler:
    """A table whose columns read as the texts given, and sort by the numbers behind them."""
    styler = table.reset_index(drop=True).style
    for column, reading in texts.items():
        if callable(reading):
            styler = styler.format(reading, subset=[column])
            continue
        for row, text in enumerate(reading):
            here = (slice(row, row), slice(column, column))
            styler = styler.format(_always(text), subset=here)
    return styler


def _always(text: str) -> Callable[[Any], str]:
    return lambda _: text


def percent(hundredths: float) -> str:
    """Hundredths as people say them: "12 %", "less than 1 %"."""
    return shared.percent(hundredths / 100)


def amount(cell: float) -> str:
    """Money in whole units, never 0 where it is not known."""
    return words.NOT_KNOWN if cell == UNKNOWN or isnan(cell) else f"{cell:,.0f}"


def yes(flags: pd.Series) -> list[str]:
    """A column of "yes" and blanks."""
    return ["yes" if flag else "" for flag in flags]


def key_figures(fitted: Ageing, records: KeyFigures, prior: KeyFigures) -> pd.DataFrame:
    """The figures of a kind with the records, before them, and of the records alone."""
    kind, likely = fitted.kind, records_alone(fitted)
    # Where failures are too few, the most likely value is as good as any: it is not shown.
    if fitted.rests_on_prior:
        likely = None
    digits = 1 if kind.clock == "years" else 0
    scale = "63 % have worn out by" if kind.family == "weibull" else "Half have worn out by"
    most_likely = f"{likely[1]:,.{digits}f} {kind.unit}" if likely else ""
    rows: list[tuple[str, str, float, int, str]] = [
        ("10 % have failed by", "life_10", 1.0, digits, ""),
        (scale, "scale", 1.0, digits, most_likely),
        ("Shape", "shape", 1.0, 1, f"{likely[0]:.1f}" if likely else ""),
    ]
    if "early" in kind.causes:
        rows.append((f"Bad fits in 100, within {kind.early_days} days", "early", 100.0, 1, ""))
    if "accident" in kind.causes:
        rows.append(("Accidents a year in 100 parts", "accidents", 100.0, 1, ""))
    after = {"life_10": f" {kind.unit}", "scale": f" {kind.unit}"}
    table = pd.DataFrame(
        [
            {
                "Figure": label,
                "With the records": _estimate(
                    getattr(records, name), unit, places, after.get(name, "")
                ),
                "Prior alone": _estimate(getattr(prior, name), unit, places, after.get(name, "")),
                RECORDS_ALONE: best,
            }
            for label, name, unit, places, best in rows
        ]
    )
    return table if likely else table.drop(columns=RECORDS_ALONE)


def counts(table: pd.DataFrame) -> Styler:
    """Rows read per file, and what became of them."""
    named = table.rename(
        columns={"file": "File", "rows_read": "Rows read", "used": "Used", "merged": "Merged",
                 "rejected": "Rejected", "ignored": "Ignored"}
    )  # fmt: skip
    return shown(named, dict.fromkeys(named.columns[1:], "{:,}".format))


def findings(table: pd.DataFrame) -> pd.DataFrame:
    """Findings grouped by what was done, what weighs most first."""
    order = table["done"].map({done: at for at, done in enumerate(get_args(Done))})
    table = table.assign(order=order).sort_values(["order", "file", "row"], kind="stable")
    return pd.DataFrame(
        {
            "Done": table["done"],
            "Where": _places(table),
            "Column": table["field"],
            "Found": table["found"],
            "What to do": table["remedy"],
            "Expected": table["expected"],
        }
    )


def rejected(table: pd.DataFrame) -> pd.DataFrame:
    """Rejected rows as they stood."""
    return pd.DataFrame(
        {
            "Where": _places(table),
            "Column": table["field"],
            "The row as it stood": table["cells"],
        }
    )


def files(read: pd.DataFrame) -> pd.DataFrame:
    """How the files were read, without the columns that would be blank throughout."""
    shown = pd.DataFrame(
        {
            "File": read["file"],
            "Sheet": read["sheet"],
            "Taken for": read["taken_for"].where(read["taken_for"] != "", "left alone"),
            "Encoding": read["encoding"],
            "Between cells": read["delimiter"],
            "Decimal mark": read["decimal"],
            "Thousands mark": read["thousands"],
            "Header in row": read["header_row"],
            "Rows": read["rows"],
        }
    )
    return shown.loc[:, (shown.notna() & (shown != "")).any()]


def _lift(season: Season, as_of: date | None) -> date:
    """The lift of a season that can still take place; the one that was, once it has begun."""
    return (season.lift_after(as_of) if as_of else None) or season.lift_on


def settings(chosen: Settings, season: Season) -> pd.DataFrame:
    """The settings in force, as texts; the lift is that of the season."""
    rule, rates, currency = chosen.seasons, chosen.rates, chosen.currency
    rows = {
        "Fleet": words.plain(chosen.name),
        "Last day watched": str(chosen.as_of),
        "Removals written down from": str(chosen.records_from or "the first fitting on"),
        "Season": f"{words.month_day(rule.start)} to {words.month_day(rule.end)}",
        f"Lay-up lift before season {season.year}": words.day(_lift(season, chosen.as_of)),
        "Shaft hours per meter hour": f"{chosen.shaft_share:g}",
        "Prices": words.plain(words.prices(currency, rates)),
        "Labour": f"{currency} {rates.labour_per_hour:,g} an hour",
        "Out of turn": "labour and lift cost "
        f"{rates.emergency_multiplier:g} times as much; the part does not",
        "Lift and launch": f"{currency} {rates.lift_and_launch:,g}",
        "Tow": f"{currency} {rates.tow:,g}",
        "Lost charter days": f"{rates.lost_days:g} days at {currency} {rates.lost_day:,g}",
    }
    return pd.DataFrame({"Setting": list(rows), "In force": list(rows.values())})


def kinds(chosen: Settings, names: list[str]) -> pd.DataFrame:
    """The kinds in these records, with clock, limit and prior."""
    known = [chosen.kind(name) for name in names]
    return pd.DataFrame(
        {
            "Kind": [kind.label for kind in known],
            "What counts as inside it": [kind.boundary for kind in known],
            "Aged by": [kind.unit for kind in known],
            "Limit": [words.limit(kind) for kind in known],
            "Prior": [
                f"{shared.percent(kind.prior.worn_out[0])} to "
                f"{shared.percent(kind.prior.worn_out[1])} worn out by {kind.prior.at:,g} "
                f"{kind.unit}; shape about {kind.prior.shape:g}"
                for kind in known
            ],
            "Fails unseen afloat": yes(pd.Series([kind.found_ashore_only for kind in known])),
            "Fitted on their own": [", ".join(kind.apart) for kind in known],
        }
    )


def _estimate(estimate: Estimate, unit: float, digits: int, after: str) -> str:
    middle, low, high = (
        f"{value * unit:,.{digits}f}" for value in (estimate.median, estimate.low, estimate.high)
    )
    return f"{middle}{after} ({low} to {high})"


def _places(table: pd.DataFrame) -> list[str]:
    return [
        file if pd.isna(row) else f"{file} row {row}"
        for file, row in zip(table["file"], table["row"], strict=True)
    ]
