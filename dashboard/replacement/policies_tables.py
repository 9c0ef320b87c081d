"""The table of rules compared."""

from __future__ import annotations

import pandas as pd
import streamlit as st
from pandas.io.formats.style import Styler

from analytics.decisions.policies import Compared
from analytics.papers import policies as says
from dashboard.tables import Config, shown

_COLUMNS = {
    "Failures in season": ("failures", "mean"),
    "from": ("failures", "low"),
    "to": ("failures", "high"),
    "Change": ("failures", "difference"),
    "All costs": ("cost", "mean"),
    "costs from": ("cost", "low"),
    "costs to": ("cost", "high"),
    "Costs change": ("cost", "difference"),
    "change from": ("cost", "difference_low"),
    "change to": ("cost", "difference_high"),
    "Cheaper, in 100": ("cost", "lower_in"),
    "Parts": ("parts_cost", "mean"),
    "Labour": ("labour_cost", "mean"),
    "Consequence": ("consequence_cost", "mean"),
    "Renewed sound": ("renewed_sound", "mean"),
    "Found worn": ("found_worn", "mean"),
    "Parts renewed": ("parts_renewed", "mean"),
    "Lay-up lifts with work": ("lifts_with_work", "mean"),
    "Lifts out of turn": ("lifts_out_of_turn", "mean"),
    "Failures out of season": ("failures_out_of_season", "mean"),
}

_SMALL = st.column_config.Column(width=85)
RULES_COLUMNS: Config = {
    "Rule": st.column_config.Column(width=175, pinned=True),
    **dict.fromkeys(_COLUMNS, _SMALL),
    "Failures in season": st.column_config.Column(width=125),
    "Costs change": st.column_config.Column(width=105),
    "Cheaper, in 100": st.column_config.Column(
        width=110, help="futures in which all costs are less than with the limits as set"
    ),
    "Lay-up lifts with work": st.column_config.Column(width=145),
    "Failures out of season": st.column_config.Column(width=145),
}


def rules(table: pd.DataFrame, found: Compared) -> Styler:
    """A row for each rule, the limits as set first."""
    made = pd.DataFrame(
        {
            "Rule": [
                says.rule_label(outcome.rule.name, found.threshold) for outcome in found.outcomes
            ]
        }
    )
    for heading, (measure, column) in _COLUMNS.items():
        values = table.loc[table["measure"] == measure, column].reset_index(drop=True)
        made[heading] = values * 100 if column == "lower_in" else values
    texts = dict.fromkeys(_COLUMNS, _count)
    texts |= {
        heading: _whole
        for heading, (measure, column) in _COLUMNS.items()
        if measure.endswith("cost") or column != "mean"
    }
    return shown(made, texts)


def _count(number: float) -> str:
    return f"{number:,.1f}" if number < 100 else f"{number:,.0f}"


def _whole(number: float) -> str:
    return f"{round(number) + 0:,}"
