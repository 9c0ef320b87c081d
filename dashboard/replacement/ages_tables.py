"""Tables of the age of replacement: limit and cheaper age, and the cost lift by lift."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd
import streamlit as st
from pandas.io.formats.style import Styler

from analytics.decisions.replacement_groups import ALL, GroupAge
from analytics.papers import replacement as says
from dashboard.tables import UNKNOWN, Config, amount, shown, yes

Floats = npt.NDArray[np.float64]

EVERYWHERE = "all bases"

NONE = float("inf")
"""Stands behind an age that there is not, so that it sorts last."""

STANDS_COLUMNS: Config = {
    "Kind": st.column_config.Column(width=112, pinned=True),
    "Base": st.column_config.Column(width=110),
    "Limit that stands": st.column_config.Column(width=132),
    "Cheaper age": st.column_config.Column(
        width=108, help="than the limit, or than running to failure where there is none"
    ),
    "Least cost": st.column_config.Column(
        width=150, help="in brackets the ages that cost about the same"
    ),
    "Saves a year": st.column_config.Column(
        width=150, help="the age of least cost, against running to failure; 90 % range"
    ),
    "Limit costs more": st.column_config.Column(
        width=150, help="than the age of least cost; 90 % range"
    ),
    "Parts": st.column_config.Column(width=66),
    "Rests on prior": st.column_config.Column(width=118),
}
LIFTS_COLUMNS: Config = {
    "Years": st.column_config.Column(width=65, help="after fitting"),
    "": st.column_config.Column(width=130),
    "Lift, if fitted at the next": st.column_config.Column(width=190),
}


def stands(ages: tuple[GroupAge, ...]) -> Styler:
    """A row for each kind and base: the limit that stands, and the age of least cost beside it."""
    table = pd.DataFrame([_stands(one) for one in ages])
    saved = [None if one.found is None or one.best is None else one.found.saving for one in ages]
    dearer = [
        None if one.found is None or one.limit is None else one.found.dearer(one.limit)
        for one in ages
    ]
    texts: dict[str, Callable[[Any], str] | Sequence[str]] = {
        "Limit that stands": lambda age: says.years(age) if age < NONE else "none",
        "Least cost": [_least(one) for one in ages],
        "Saves a year": [_money(draws) for draws in saved],
        "Limit costs more": [_money(draws) for draws in dearer],
    }
    return shown(table, texts)


def lifts(one: GroupAge, curve: pd.DataFrame, *, per_hours: bool) -> Styler:
    """The cost at each lift of one kind and base.

    Parameters
    ----------
    curve : DataFrame
        Rows of `replacement_groups.curve_table` of it.
    """
    name = "cost_per_1000_hours" if per_hours else "cost"
    marks = [
        ", ".join(
            text
            for flag, text in (
                (row["is_best"], "least cost"),
                (row["is_limit"], "limit"),
                (
                    row["about_as_good"] and not row["is_best"] and one.best is not None,
                    "about as good",
                ),
            )
            if flag
        )
        for _, row in curve.iterrows()
    ]
    table = pd.DataFrame(
        {
            "Years": curve["years"].astype(int),
            "Cost": curve[name],
            "Likely from": curve[f"{name}_low"],
            "to": curve[f"{name}_high"],
            "": marks,
            "Best, in 100": curve["best_in"] * 100,
            "Lift, if fitted at the next": curve["lift_on"],
        }
    )
    if one.kind.clock == "hours":
        table.insert(1, "Shaft hours", curve["age"])
    texts: dict[str, Callable[[Any], str] | Sequence[str]] = {
        **dict.fromkeys(("Cost", "Likely from", "to"), amount),
        "Best, in 100": "{:.0f}".format,
    }
    if "Shaft hours" in table:
        texts["Shaft hours"] = "{:,.0f}".format
    return shown(table.reset_index(drop=True), texts)


def _stands(one: GroupAge) -> dict[str, object]:
    """A row by the numbers behind it, so that it sorts by them."""
    found = one.found
    row: dict[str, object] = {
        "Kind": one.kind.label,
        "Base": EVERYWHERE if one.base == ALL else one.base,
        "Limit that stands": NONE if one.limit is None else one.limit,
        "Cheaper age": says.cheaper(one),
        "Least cost": NONE if one.best is None else one.best,
        "Saves a year": UNKNOWN,
        "Limit costs more": UNKNOWN,
        "Parts": one.parts,
        "Rests on prior": yes(pd.Series([one.rests_on_prior]))[0],
    }
    if found is not None and one.best is not None:
        row["Saves a year"] = float(found.saving.mean())
    if found is not None and one.limit is not None:
        row["Limit costs more"] = float(found.dearer(one.limit).mean())
    return row


def _least(one: GroupAge) -> str:
    """The age of least cost, and the ages that cost about the same."""
    if one.found is None or one.best is None:
        return ""
    first, last = one.found.about_as_good
    near = "" if first == last else f" ({first:.0f} to {last:.0f})"
    return f"{says.years(one.best)}{near}"


def _money(draws: Floats | None) -> str:
    """A mean with its range, in whole units; blank where there is nothing to say."""
    return "" if draws is None else f"{round(float(draws.mean())) + 0:,} ({says.interval(draws)})"
