"""Tables of the parts budget: money and numbers by season and by whatever one looks at."""

from __future__ import annotations

import pandas as pd
import streamlit as st
from pandas.io.formats.style import Styler

from analytics.decisions.budget import ALL, Budget
from analytics.papers.budget_sentences import COMMITTED, CONTINGENCY
from analytics.papers.words import percent
from analytics.records.settings import Settings
from dashboard.budget_words import MOST_BOATS
from dashboard.tables import UNKNOWN, Config, amount, shown

_SMALL = st.column_config.Column(width="small")
_MEAN = st.column_config.NumberColumn(format="%.1f", width="small", help="mean over the futures")

MONEY = {
    "P80": "cost_p80",
    "Committed": "committed",
    "Contingency": "contingency",
    "Forecast": "forecast",
    "Mean": "cost_mean",
    "Parts": "parts_cost",
    "Labour": "labour_cost",
    "P50": "cost_p50",
    "P95": "cost_p95",
}
"""Columns of the money table, what is acted on first, and those of the budget."""

QUANTITY = {
    "Mean": "quantity_mean",
    "P80": "quantity_p80",
    "P95": "quantity_p95",
    "Planned": "planned",
    "Unplanned": "unplanned",
    "Failed": "failed",
    "Found worn": "found_worn",
    "Accidents": "accidents",
    "P50": "quantity_p50",
}
"""The same for numbers of parts."""

VIEWS = ("Kind", "Part number", "Size", "Base", "Month", "Boat")
"""What a season's budget can be looked at by."""


def viewed(budget: Budget, view: str, year: int, settings: Settings) -> pd.DataFrame:
    """Lines of one season by what is looked at, its names in the column `of` and others."""
    tables = {
        "Kind": budget.kinds(),
        "Part number": budget.part_numbers(),
        "Size": budget.sizes,
        "Base": budget.bases,
        "Month": budget.months,
        "Boat": budget.boats,
    }
    lines = tables[view]
    lines = lines[lines["season"] == year].reset_index(drop=True)
    if view in ("Kind", "Part number"):
        lines["kind"] = [settings.kind(kind).label for kind in lines["kind"]]
    if view == "Boat":
        return lines.sort_values(
            ["cost_mean", "quantity_mean", "boat"], ascending=[False, False, True]
        ).head(MOST_BOATS)
    return lines


_FRONTS = {
    "Kind": {"Kind": "kind"},
    "Part number": {"Kind": "kind", "Part number": "part_no"},
    "Size": {"Size": "size"},
    "Base": {"Base": "base"},
    "Month": {"Month": "month"},
    "Boat": {"Boat": "boat", "Base": "base"},
}


def money(lines: pd.DataFrame, view: str) -> Styler:
    """Money, a line for each thing looked at."""
    return _amounts(_front(lines, view), lines)


def quantities(lines: pd.DataFrame, view: str) -> pd.DataFrame:
    """Numbers of parts, a line for each thing looked at."""
    return _front(lines, view).assign(**_numbers(lines))


def seasons_money(budget: Budget, lines: pd.DataFrame, kind: str) -> Styler:
    """Money season by season; for the whole fleet also of all seasons together, and luck."""
    if kind != ALL:
        return _amounts(pd.DataFrame({"Season": lines["season"].astype(str)}), lines)
    every = pd.concat([lines, budget.horizon], ignore_index=True)
    made = pd.DataFrame({"Season": [*lines["season"].astype(str), _together(budget)]})
    luck = [spread.share_luck for spread in budget.spreads]
    table = _amounts_of(made, every).assign(Luck=[100 * one for one in luck])
    told = ["not known" if one != one else percent(one) for one in luck]
    return shown(table, {**dict.fromkeys(MONEY, amount), "Luck": told})


def seasons_quantities(budget: Budget, lines: pd.DataFrame, kind: str) -> pd.DataFrame:
    """Numbers of parts season by season; for the whole fleet also of all seasons together."""
    named = list(lines["season"].astype(str))
    if kind == ALL:
        lines = pd.concat([lines, budget.horizon], ignore_index=True)
        named.append(_together(budget))
    return pd.DataFrame({"Season": named}).assign(**_numbers(lines))


def _together(budget: Budget) -> str:
    return f"all, {budget.horizon['seasons'].iloc[0]}"


def _front(lines: pd.DataFrame, view: str) -> pd.DataFrame:
    """Whose line it is, in words."""
    return pd.DataFrame(
        {
            heading: lines[column].fillna("").astype(str).replace("", "not given")
            for heading, column in _FRONTS[view].items()
        }
    )


def _amounts_of(front: pd.DataFrame, lines: pd.DataFrame) -> pd.DataFrame:
    return front.assign(
        **{
            name: lines[column].fillna(UNKNOWN).round()
            for name, column in MONEY.items()
            if column in lines
        }
    )


def _amounts(front: pd.DataFrame, lines: pd.DataFrame) -> Styler:
    made = _amounts_of(front, lines)
    return shown(made, dict.fromkeys([name for name in MONEY if name in made], amount))


def _numbers(lines: pd.DataFrame) -> dict[str, pd.Series]:
    return {name: lines[column] for name, column in QUANTITY.items() if column in lines}


QUANTITY_COLUMNS: Config = {
    "Season": st.column_config.Column(width=120),
    "Kind": st.column_config.Column(width=120),
    "Part number": st.column_config.Column(width=110),
    "Size": st.column_config.Column(width=90),
    "Base": st.column_config.Column(width=120),
    "Month": st.column_config.Column(width=90),
    "Boat": st.column_config.Column(width=120),
    **dict.fromkeys(["Planned", "Unplanned", "Failed", "Found worn", "Accidents", "Mean"], _MEAN),
    **dict.fromkeys(["P50", "P80", "P95"], _SMALL),
}
MONEY_COLUMNS: Config = {
    **{name: column for name, column in QUANTITY_COLUMNS.items() if name in {"Season", *VIEWS}},
    "P80": st.column_config.Column(width=80, help="enough in 80 of 100 futures"),
    "Committed": st.column_config.Column(width=90, help=COMMITTED),
    "Contingency": st.column_config.Column(width=100, help=CONTINGENCY),
    "Forecast": st.column_config.Column(
        width=80, help="mean of unplanned renewals, paid from the contingency"
    ),
    "Mean": st.column_config.Column(width=80, help="committed and forecast"),
    "Parts": st.column_config.Column(width=80, help="mean, the parts themselves"),
    "Labour": st.column_config.Column(width=80, help="mean, fitting them"),
    "P50": st.column_config.Column(width=80, help="enough in 50 of 100 futures"),
    "P95": st.column_config.Column(width=80, help="enough in 95 of 100 futures"),
    "Luck": st.column_config.Column(width=80, help="share of the spread that is luck"),
}
