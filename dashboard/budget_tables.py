"""Tables of the parts budget: what to order, and quantities and money by season."""

from __future__ import annotations

import pandas as pd
import streamlit as st
from pandas.io.formats.style import Styler

from analytics.decisions.budget import ALL
from analytics.records.settings import Settings
from dashboard.tables import UNKNOWN, Config, amount, shown

_DAY = st.column_config.DateColumn(format="YYYY-MM-DD", width=100)
_SMALL = st.column_config.Column(width="small")
_MEAN = st.column_config.NumberColumn(format="%.1f", width="small", help="mean over the futures")

MONEY = {
    "Mean": "cost_mean",
    "P80": "cost_p80",
    "P95": "cost_p95",
    "Contingency": "contingency",
    "Parts": "parts_cost",
    "Labour": "labour_cost",
    "Planned": "planned_cost",
    "Unplanned": "unplanned_cost",
    "P50": "cost_p50",
}
"""Columns of the money table, what is acted on first, and those of the budget."""

QUANTITY = {
    "Mean": "quantity_mean",
    "P80": "quantity_p80",
    "P95": "quantity_p95",
    "Planned": "planned",
    "Unplanned": "unplanned",
    "P50": "quantity_p50",
}
"""The same for numbers of parts."""


def orders(spares: pd.DataFrame, settings: Settings) -> Styler:
    """What to order for the first season, the earliest first."""
    table = spares.sort_values(["order_by", "kind", "part_no"], na_position="last")
    made = pd.DataFrame(
        {
            "Kind": [settings.kind(name).label for name in table["kind"]],
            "Part number": table["part_no"].replace("", "not given"),
            "80 in 100": table["p80"],
            "95 in 100": table["p95"],
            "Order by": table["order_by"],
            "Late": ["late: order at once" if late else "" for late in table["late"]],
            "Size": table["size"],
            "Planned": table["planned"],
            "Unplanned": table["unplanned"],
            "Price": table["part_price"].fillna(UNKNOWN),
            "Line": table["cost_p80"].fillna(UNKNOWN),
            "Lead time": table["lead_time_days"],
        }
    )
    if not (made["Size"] != "").any():
        made = made.drop(columns="Size")
    if not made["Late"].any():
        made = made.drop(columns="Late")
    if table["lead_time_days"].isna().all():
        made = made.drop(columns=["Lead time", "Order by"])
    if table["part_price"].isna().all():
        return shown(made.drop(columns=["Price", "Line"]), {})
    return shown(made, dict.fromkeys(["Price", "Line"], amount))


def orders_columns(currency: str) -> Config:
    """How the columns of the order list are written."""
    return {
        "Kind": st.column_config.Column(width=105),
        "Part number": st.column_config.Column(width=98),
        "Size": st.column_config.Column(width=70),
        "Order by": _DAY,
        "Late": st.column_config.Column(width=130),
        "80 in 100": st.column_config.Column(width=75, help="enough in 80 of 100 futures"),
        "95 in 100": st.column_config.Column(width=75, help="enough in 95 of 100 futures"),
        "Planned": _MEAN,
        "Unplanned": _MEAN,
        "Price": st.column_config.Column(f"Price, {currency}", width=90, help="of one part"),
        "Line": st.column_config.Column(
            f"Line, {currency}", width=90, help="the price times the 80-in-100 quantity"
        ),
        "Lead time": st.column_config.NumberColumn("Lead time, days", format="%.0f", width=110),
    }


def quantities(lines: pd.DataFrame, settings: Settings, *, detail: bool) -> pd.DataFrame:
    """Numbers of parts, a line for each season and kind or part number."""
    made = _whose(lines, settings, detail=detail)
    return made.assign(**{name: lines[column] for name, column in QUANTITY.items()})


def money(lines: pd.DataFrame, settings: Settings, *, detail: bool) -> Styler:
    """Money, a line for each season and kind or part number."""
    made = _whose(lines, settings, detail=detail)
    made = made.assign(
        **{name: lines[column].fillna(UNKNOWN).round() for name, column in MONEY.items()}
    )
    return shown(made, dict.fromkeys(MONEY, amount))


def _whose(lines: pd.DataFrame, settings: Settings, *, detail: bool) -> pd.DataFrame:
    table = pd.DataFrame(
        {
            "Season": lines["season"].astype(str),
            "Kind": [
                "whole fleet" if kind == ALL else settings.kind(kind).label
                for kind in lines["kind"]
            ],
        }
    )
    if detail:
        table["Part number"] = lines["part_no"].replace({ALL: "all", "": "not given"})
    return table


QUANTITY_COLUMNS: Config = {
    "Season": _SMALL,
    "Kind": st.column_config.Column(width=120),
    "Planned": _MEAN,
    "Unplanned": _MEAN,
    "Mean": _MEAN,
    "P50": _SMALL,
    "P80": _SMALL,
    "P95": _SMALL,
}
MONEY_COLUMNS: Config = {
    "Season": st.column_config.Column(width=70),
    "Kind": st.column_config.Column(width=120),
    "Parts": st.column_config.Column(width=80, help="mean, the parts themselves"),
    "Labour": st.column_config.Column(width=80, help="mean, fitting them"),
    "Planned": st.column_config.Column(width=80, help="mean; to commit"),
    "Unplanned": st.column_config.Column(width=90, help="mean; a forecast"),
    "Mean": st.column_config.Column(width=80),
    "Contingency": st.column_config.Column(width=100, help="P80 less the mean"),
    "P50": st.column_config.Column(width=80),
    "P80": st.column_config.Column(width=80),
    "P95": st.column_config.Column(width=80),
}
