"""Tables of boats and parts with the risk of a season; no computation."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date
from typing import Any

import pandas as pd
import streamlit as st
from pandas.io.formats.style import Styler

from analytics.outlook.bases import ALL_BASES
from analytics.outlook.season import SeasonRisk
from analytics.outlook.worst_boats import how_many_worst
from analytics.papers import words as shared
from analytics.records.kinds import Kind
from analytics.records.settings import Settings
from analytics.usage import DAYS_PER_YEAR
from dashboard import risk_words as says
from dashboard import words
from dashboard.tables import UNKNOWN, Config, Texts, amount, percent, shown, yes

BY_END = "By season's end"
WORN = "May already be worn"
AMONG = "In the worst"
SOUND = "Last known sound"

_SORTS_LAST = float("inf")
"""Stands behind a cell that says there is none: an empty cell would read "None"."""

PARTS_COLUMNS: Config = {
    "Boat": st.column_config.Column(width=132),
    "Part": st.column_config.Column(width=160),
    "Age": st.column_config.Column(
        width=112, help="h: shaft hours; years where the limit is in years"
    ),
    "Risk": st.column_config.Column(width=114, help="in the season; likely range, 90 %"),
    "Before": st.column_config.Column(width=92, help="before the season, see below"),
    BY_END: st.column_config.Column(
        "By the end", width=92, help="failed, or fails, by the season's end"
    ),
    WORN: st.column_config.Column(
        "Worn already", width=98, help="chance that it is worn already; only a lift shows"
    ),
    "Limit": st.column_config.Column(width=66),
    "Past it": st.column_config.Column(width=72),
    "Cost of a failure": st.column_config.Column(width=102),
    "Risk × cost": st.column_config.Column(width=76),
    "Lost days": st.column_config.Column(width=70, help="charter days that a failure costs"),
}


def contributors(boats: pd.DataFrame, settings: Settings, order: str) -> list[str]:
    """The part that contributes most to each boat of `boats_order.in_order`."""
    which = {says.BY_COST: "costliest", says.BY_SEASONS_END: "end"}.get(order, "worst")
    return [
        words.part(settings.kind(kind), position)
        for kind, position in zip(boats[f"{which}_kind"], boats[f"{which}_position"], strict=True)
    ]


def boats_columns(settings: Settings) -> Config:
    """How the columns of a table of boats are written."""
    return {
        "Boat": st.column_config.Column(width=126),
        "Risk": st.column_config.Column(
            width=108, help="chance that at least one part fails in the season; likely range, 90 %"
        ),
        "Most from": st.column_config.Column(width=160),
        BY_END: st.column_config.Column(
            "By the end", width=84, help="a part failed, or fails, by the season's end"
        ),
        "Before": st.column_config.Column(width=66, help="see below"),
        WORN: st.column_config.Column(
            "Worn already", width=98, help="chance that a part is worn already; only a lift shows"
        ),
        "Cost": st.column_config.Column(
            f"Cost, {settings.currency}",
            width=134,
            help="expected cost of failures in the season: risk times what each would cost; "
            "likely range, 90 %",
        ),
        "Lost days": st.column_config.Column(
            width=70, help="charter days expected to be lost in the season"
        ),
        AMONG: st.column_config.Column(
            "In worst",
            width=70,
            help="chance that the boat is truly among the worst of the fleet in this order, "
            "see below the table",
        ),
        "Past limit": st.column_config.Column(
            width=74, help="parts past their limit now / by the season's end"
        ),
        "Base": st.column_config.Column(width=108),
    }


def boats(table: pd.DataFrame, settings: Settings, order: str) -> Styler:
    """Boats with risk, range, cost and what contributes most, what matters most first."""
    cost, costly = _known(table["expected_cost"]), order == says.BY_COST
    made = pd.DataFrame(
        {
            "Boat": table["boat"],
            "Risk": table["risk"] * 100,
            "Most from": contributors(table, settings, order),
            BY_END: table["risk_by_end"] * 100,
            "Before": table["risk_before"] * 100,
            WORN: table["risk_hidden"] * 100,
            "Cost": cost,
            "Lost days": table["expected_lost_days"].astype(float),
            AMONG: table["among_costliest" if costly else "among_worst"].astype(float) * 100,
            "Past limit": table["past_limit"],
            "Base": table["base"],
        }
    )
    if not (table["risk_hidden"] > 0).any():
        made = made.drop(columns=WORN)
    made.insert(2, AMONG, made.pop(AMONG))
    if order == says.BY_SEASONS_END:
        made = made.drop(columns=AMONG)
        made.insert(1, BY_END, made.pop(BY_END))
    if costly:
        made.insert(1, "Cost", made.pop("Cost"))
    texts: dict[str, Callable[[Any], str] | Sequence[str]] = {}
    texts |= dict.fromkeys([BY_END, "Before"], percent)
    if AMONG in made:
        texts[AMONG] = lambda share: words.NOT_KNOWN if share != share else percent(share)
    texts["Lost days"] = _days
    if WORN in made:
        texts[WORN] = _if_any
    texts["Risk"] = with_range(table, "risk")
    texts["Past limit"] = [
        f"{now} / {by_end}"
        for now, by_end in zip(table["past_limit"], table["past_limit_by_end"], strict=True)
    ]
    texts["Cost"] = [
        f"{amount(middle)} ({low:,.0f} to {high:,.0f})" if middle > UNKNOWN else words.NOT_KNOWN
        for middle, low, high in zip(
            cost, table["expected_cost_low"], table["expected_cost_high"], strict=True
        )
    ]
    return shown(made, texts)


def parts(table: pd.DataFrame, settings: Settings, as_of: date) -> Styler:
    """Parts with age, risk, limit and consequence."""
    return shown(*_parts(table, settings, as_of))


def _parts(table: pd.DataFrame, settings: Settings, as_of: date) -> tuple[pd.DataFrame, Texts]:
    ages = [_age(row, settings.kind(row["kind"]), as_of) for _, row in table.iterrows()]
    columns = {
        "Part": part_names(table, settings),
        "Risk": table["risk"] * 100,
        "Age": [(low + high) / 2 for low, high, _ in ages],
        "Before": table["risk_before"] * 100,
        BY_END: table["risk_by_end"] * 100,
        WORN: table["risk_hidden"] * 100,
        "Limit": table["limit"].fillna(_SORTS_LAST),
        "Past it": _when_past(table),
        "Cost of a failure": _known(table["consequence"]),
        "Risk × cost": _known(table["expected_cost"]),
        "Lost days": table["lost_days"].astype(float),
    }
    if not (table["risk_hidden"] > 0).any():
        columns.pop(WORN)
    made = pd.DataFrame(columns)
    texts: dict[str, Callable[[Any], str] | Sequence[str]] = {}
    texts |= dict.fromkeys(["Before", BY_END], percent)
    if WORN in made:
        texts[WORN] = _if_any
    texts |= dict.fromkeys(["Cost of a failure", "Risk × cost"], amount)
    texts["Lost days"] = lambda days: f"{days:g}" if days else ""
    texts["Age"] = [
        shared.age(low, high, kind).replace("shaft hours", "h") for low, high, kind in ages
    ]
    texts["Risk"] = with_range(table, "risk")
    texts["Limit"] = [
        "none" if pd.isna(limit) else f"{limit:,g} {unit}"
        for limit, unit in zip(table["limit"], table["limit_unit"], strict=True)
    ]
    return made, texts


def causes(table: pd.DataFrame, settings: Settings) -> Styler:
    """The risk of the same parts by cause, how sure it is, and where the part was read."""
    made = pd.DataFrame(
        {
            "Part": part_names(table, settings),
            "Worn out": table["risk_worn_out"] * 100,
            "Bad fit": table["risk_early"] * 100,
            "Accident": table["risk_accident"] * 100,
            "Lets water in": yes(table["can_flood"]),
            "How sure": table["grade"],
            SOUND: _last_sound(table),
            "Part number": table["part_no"],
            "Source": table["source"].map(words.source),
        }
    )
    return shown(made, dict.fromkeys(["Worn out", "Bad fit", "Accident"], percent))


BASES_COLUMNS: Config = {
    "Base": st.column_config.Column(width=150),
    "Boats": st.column_config.Column(width=60),
    "Parts": st.column_config.Column(width=60),
    "Before the season": st.column_config.Column(
        width=140, help="expected failures; likely number, 90 %"
    ),
    "In the season": st.column_config.Column(
        width=140, help="expected failures; likely number, 90 %"
    ),
    "After it": st.column_config.Column(
        width=140, help="from the season's end to the next season's start, if nothing is renewed"
    ),
    "Lost days": st.column_config.Column(
        width=110, help="charter days expected to be lost in the season; likely number, 90 %"
    ),
}


def bases(table: pd.DataFrame, settings: Settings) -> Styler:
    """Failures expected of each base and of the fleet, with the numbers that are likely."""
    names = table["base"].replace("", "base not known")
    cost = f"Cost in the season, {settings.currency}"
    windows = {"Before the season": "before", "In the season": "in_season", "After it": "after"}
    columns: dict[str, Any] = {"Base": names, "Boats": table["boats"], "Parts": table["parts"]}
    columns |= {label: table[f"expected_{name}"] for label, name in windows.items()}
    columns[cost] = _known(table["expected_cost"])
    columns["Lost days"] = table["expected_lost_days"].astype(float)
    texts: dict[str, Callable[[Any], str] | Sequence[str]] = {
        label: [
            f"{middle:.1f} ({low:,} to {high:,})"
            for middle, low, high in zip(
                table[f"expected_{name}"],
                table[f"failures_{name}_low"],
                table[f"failures_{name}_high"],
                strict=True,
            )
        ]
        for label, name in windows.items()
    }
    texts[cost] = [
        f"{amount(middle)} ({low:,.0f} to {high:,.0f})" if middle > UNKNOWN else words.NOT_KNOWN
        for middle, low, high in zip(
            columns[cost], table["cost_low"], table["cost_high"], strict=True
        )
    ]
    texts["Lost days"] = [
        f"{middle:.1f} ({low:,.0f} to {high:,.0f})"
        for middle, low, high in zip(
            table["expected_lost_days"],
            table["lost_days_low"],
            table["lost_days_high"],
            strict=True,
        )
    ]
    return shown(pd.DataFrame(columns), texts)


def several_bases(table: pd.DataFrame) -> pd.DataFrame:
    """The rows of `SeasonRisk.bases` worth showing: the fleet alone where she has one base."""
    return table if len(table) > 2 else table[table["base"] == ALL_BASES]


def worst_of(risk: SeasonRisk, *, costly: bool) -> int:
    """How many boats "among the worst" stands for in this order."""
    if not costly:
        return risk.worst
    return how_many_worst(int(risk.boats["expected_cost"].notna().sum()))


def near_limit(parts: pd.DataFrame) -> pd.DataFrame:
    """Parts past their limit now or by the season's end, the earliest and then the riskiest first.

    Returns
    -------
    DataFrame
        Rows of `SeasonRisk.parts`.
    """
    chosen = parts[
        parts[["past_limit", "past_limit_at_lift", "past_limit_by_end"]].astype(bool).any(axis=1)
    ]
    order = ["past_limit", "past_limit_at_lift", "risk"]
    return chosen.sort_values(order, ascending=False, kind="stable", ignore_index=True)


def past_limit(table: pd.DataFrame, settings: Settings, as_of: date) -> Styler:
    """The parts of `near_limit`, with their boats."""
    made, texts = _parts(table, settings, as_of)
    kept = ["Part", "Past it", "Age", "Limit", "Risk", BY_END]
    sources = table["source"].map(words.source)
    made = made[kept].assign(**{"Part number": table["part_no"], "Source": sources})
    made.insert(0, "Boat", table["boat"])
    return shown(made, {name: cells for name, cells in texts.items() if name in kept})


def part_names(table: pd.DataFrame, settings: Settings) -> list[str]:
    """Each part within its boat."""
    return [
        words.part(settings.kind(kind), position)
        for kind, position in zip(table["kind"], table["position"], strict=True)
    ]


def _age(row: pd.Series, kind: Kind, as_of: date) -> tuple[float, float, Kind]:
    """An age in the unit of its limit, so that the two can be held against each other."""
    if row["limit_unit"] == "years" and kind.clock != "years":
        youngest, oldest = (
            (as_of - row[day].date()).days / DAYS_PER_YEAR for day in ("start_hi", "start_lo")
        )
        return youngest, oldest, replace(kind, clock="years")
    return float(row["age_low"]), float(row["age_high"]), kind


def _when_past(table: pd.DataFrame) -> list[str]:
    return [
        "now" if now else "by the lift" if at_lift else "by its end" if by_end else ""
        for now, at_lift, by_end in zip(
            table["past_limit"],
            table["past_limit_at_lift"],
            table["past_limit_by_end"],
            strict=True,
        )
    ]


def with_range(table: pd.DataFrame, name: str) -> list[str]:
    """A risk with its range in one cell: "7.2 % (4.3 to 10.7)"; whole numbers from 10 % on."""

    def cell(middle: float, low: float, high: float) -> str:
        digits = 0 if middle >= 0.1 else 1
        shown = shared.percent(middle) if middle >= 0.1 else f"{middle * 100:.1f} %"
        if middle < 0.0005:
            shown = "less than 0.1 %"
        return f"{shown} ({low * 100:.{digits}f} to {high * 100:.{digits}f})"

    return [
        cell(middle, low, high)
        for middle, low, high in zip(
            table[name], table[f"{name}_low"], table[f"{name}_high"], strict=True
        )
    ]


def _last_sound(table: pd.DataFrame) -> list[str]:
    """From when on each part's risk counts; no failure was recorded until then."""
    return [
        "when fitted" if fitted >= seen and unseen else f"{seen:%Y-%m-%d}"
        for seen, fitted, unseen in zip(
            table["sound_on"], table["start_hi"], table["risk_hidden"] > 0, strict=True
        )
    ]


def _days(days: float) -> str:
    return f"{days:.1f}" if days >= 0.05 else ""


def _if_any(hundredths: float) -> str:
    return percent(hundredths) if hundredths > 0 else ""


def _known(cost: pd.Series) -> pd.Series:
    return cost.astype(float).fillna(UNKNOWN).round()
