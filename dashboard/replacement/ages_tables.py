"""Tables of the age of replacement: which age stands, and the cost lift by lift."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd
import streamlit as st
from pandas.io.formats.style import Styler

from analytics.ageing.curves import BAND
from analytics.decisions.replacement_groups import ALL, GroupAge
from analytics.papers import replacement as says
from dashboard.tables import UNKNOWN, Config, amount, shown, yes

Floats = npt.NDArray[np.float64]

EVERYWHERE = "all bases"

_NARROW = st.column_config.Column(width=80)
STANDS_COLUMNS: Config = {
    "Kind": st.column_config.Column(width=105, pinned=True),
    "Base": st.column_config.Column(width=120),
    "Age that stands": st.column_config.Column(width=150),
    "Least cost": st.column_config.Column(width=95),
    "About as good": st.column_config.Column(width=100),
    "Limit": st.column_config.Column(width=75),
    "Saves a year": st.column_config.Column(width=95, help="the age of least cost"),
    "Limit costs more": st.column_config.Column(width=120, help="than the age of least cost"),
    **dict.fromkeys(("saves from", "saves to"), _NARROW),
    **dict.fromkeys(("more from", "more to", "Parts"), st.column_config.Column(width=80)),
}
LIFTS_COLUMNS: Config = {
    "Years": st.column_config.Column(width=65, help="after fitting"),
    "": st.column_config.Column(width=130),
    "Lift, if fitted at the next": st.column_config.Column(width=190),
}


def stands(ages: tuple[GroupAge, ...]) -> Styler:
    """A row for each kind and base: which age stands and what it saves."""
    rows = [_stands(one) for one in ages]
    table = pd.DataFrame(rows)
    return shown(table, dict.fromkeys(_MONEY, _amount))


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


_MONEY = ("Saves a year", "saves from", "saves to", "Limit costs more", "more from", "more to")


def _stands(one: GroupAge) -> dict[str, object]:
    row: dict[str, object] = {
        "Kind": one.kind.label,
        "Base": EVERYWHERE if one.base == ALL else one.base,
        "Age that stands": _age(one),
        "Least cost": "gains nothing",
        "About as good": "",
        "Limit": "" if one.limit is None else says.years(one.limit),
        **dict.fromkeys(_MONEY, UNKNOWN),
        "Parts": one.parts,
        "Rests on prior": yes(pd.Series([one.rests_on_prior]))[0],
    }
    found = one.found
    if found is None:
        return row | {"Least cost": "no price"}
    if one.best is not None:
        first, last = found.about_as_good
        row["Least cost"] = says.years(one.best)
        row["About as good"] = says.years(first) if first == last else f"{first:.0f} to {last:.0f}"
    low, high = _ends(found.saving)
    row |= {"Saves a year": float(found.saving.mean()), "saves from": low, "saves to": high}
    if one.limit is not None:
        extra = found.dearer(one.limit)
        low, high = _ends(extra)
        row |= {"Limit costs more": float(extra.mean()), "more from": low, "more to": high}
    return row


def _age(one: GroupAge) -> str:
    if one.stands_at is None:
        return "none"
    whose = "the limit" if one.stands == "limit" else "least cost"
    return f"{says.years(one.stands_at)}, {whose}"


def _amount(cell: float) -> str:
    """Money in whole units; blank where there is nothing to say, and no minus before 0."""
    return "" if cell == UNKNOWN else f"{round(cell) + 0:,}"


def _ends(draws: Floats) -> tuple[float, float]:
    low, high = np.quantile(draws, BAND)
    return float(low), float(high)
