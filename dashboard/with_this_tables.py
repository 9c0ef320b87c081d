"""The table of what would change a boat's season; no computation."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from typing import Any

import pandas as pd
import streamlit as st
from pandas.io.formats.style import Styler

from analytics.records.settings import Settings
from dashboard import with_this_words as says
from dashboard.risk_tables import with_range
from dashboard.tables import UNKNOWN, Config, amount, percent, shown

CASE = "If"
PART, PART_END = "Part in the season", "Part by the end"
BOAT, BOAT_END = "Boat in the season", "Boat by the end"


def columns(settings: Settings) -> Config:
    """How the columns of `cases` are written."""
    return {
        CASE: st.column_config.Column(width=222),
        PART: st.column_config.Column(width=128, help="chance in the season; likely range, 90 %"),
        PART_END: st.column_config.Column(width=110, help="failed already, or fails by then"),
        BOAT: st.column_config.Column(
            width=128, help="chance that at least one part fails in the season; likely range, 90 %"
        ),
        BOAT_END: st.column_config.Column(
            width=112, help="a part failed already, or fails by then"
        ),
        "Expected cost": st.column_config.Column(
            f"Expected cost, {settings.currency}",
            width=128,
            help="of the boat's failures in the season",
        ),
        "Lost days": st.column_config.Column(width=70, help="charter days expected to be lost"),
        "Planned work": st.column_config.Column(
            f"Planned work, {settings.currency}",
            width=128,
            help="part and labour of what is renewed at the lift",
        ),
    }


def cases(table: pd.DataFrame, lift: date) -> Styler:
    """What is found, passed or renewed, and the season of the part and the boat with it."""
    rows = table.to_dict(orient="records")
    made = pd.DataFrame(
        {
            CASE: [says.case({str(k): v for k, v in row.items()}, lift) for row in rows],
            BOAT: table["boat_risk"] * 100,
            PART: table["part_risk"] * 100,
            PART_END: table["part_risk_by_end"] * 100,
            BOAT_END: table["boat_risk_by_end"] * 100,
            "Expected cost": table["expected_cost"].astype(float).fillna(UNKNOWN).round(),
            "Lost days": table["expected_lost_days"].astype(float),
            "Planned work": table["planned_cost"].astype(float).fillna(UNKNOWN).round(),
        }
    )
    texts: dict[str, Callable[[Any], str] | Sequence[str]] = {
        PART: with_range(table, "part_risk"),
        BOAT: with_range(table, "boat_risk"),
        PART_END: percent,
        BOAT_END: percent,
        "Expected cost": amount,
        "Lost days": lambda days: f"{days:.1f}",
        "Planned work": lambda cost: "" if cost == 0 else amount(cost),
    }
    return shown(made, texts)
