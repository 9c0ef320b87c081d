"""Tables of the page of the haul-out plan; no computation."""

from __future__ import annotations

import pandas as pd
import streamlit as st
from pandas.io.formats.style import Styler

from analytics.papers.words import percent
from analytics.papers.yard_sentences import RULES
from dashboard.tables import UNKNOWN, Config, Texts, amount, shown

_MONEY = st.column_config.Column(width=80)
_NUMBER = st.column_config.Column(width=60)
_DAY = st.column_config.Column(width=95)

BOAT_COLUMNS: Config = {
    "Week of": st.column_config.Column(width=95, pinned=True),
    "Boat": st.column_config.Column(width=140, pinned=True),
    "Jobs": st.column_config.Column(width=50),
    "Which": st.column_config.Column(width=330),
    "Must": st.column_config.Column(width=55, help="jobs that a rule asks for"),
    "Week is": st.column_config.Column(width=85),
    "Hours": _NUMBER,
    "Launch": _DAY,
    "Cost": _MONEY,
    "Saves": _MONEY,
    "Base": st.column_config.Column(width=115),
    "Why": st.column_config.Column(width=620),
}
JOB_COLUMNS: Config = {
    "Job": st.column_config.Column(width=150, pinned=True),
    "Done": st.column_config.Column(width=60),
    "Why": st.column_config.Column(width=590),
    "Saves": _MONEY,
    "Hours": _NUMBER,
    "Part": st.column_config.Column(width=100),
    "Size": st.column_config.Column(width=65),
    "Price": _MONEY,
    "Risk if left": st.column_config.Column(width=85),
    "if renewed": st.column_config.Column(width=80),
    "Worn already": st.column_config.Column(width=95),
}
RULE_COLUMNS: Config = {
    "Rule": st.column_config.Column(width=235, pinned=True),
    "Boats": _NUMBER,
    "Jobs": _NUMBER,
    "Musts undone": st.column_config.Column(width=95),
    "Failures": st.column_config.Column(width=70),
    "More": st.column_config.Column("Expected cost beside the plan", width=190),
    "Cost": st.column_config.Column("Expected cost", width=105),
    "Parts": _MONEY,
    "Labour": _MONEY,
    "Haul-outs": _MONEY,
    "Before her week": st.column_config.Column(width=115),
    "Left in": _MONEY,
}


def boats(table: pd.DataFrame) -> Styler:
    """Boats by week, those not lifted last."""
    made = pd.DataFrame(
        {
            "Week of": ["not lifted" if day is None else str(day) for day in table["week"]],
            "Boat": table["boat"],
            "Jobs": table["jobs"],
            "Which": table["job_names"],
            "Must": table["must"],
            "Week is": table["fixed"],
            "Hours": table["hours"],
            "Launch": ["" if day is None else str(day) for day in table["launch"]],
            "Cost": table["cost"],
            "Saves": table["saves"],
            "Base": table["base"],
            "Why": table["why"],
        }
    )
    for blank in ("Must", "Week is"):
        if not made[blank].astype(bool).any():
            made = made.drop(columns=blank)
    if made["Base"].nunique() < 2:
        made = made.drop(columns="Base")
    texts: Texts = {"Cost": amount, "Saves": amount, "Hours": "{:g}".format}
    if "Must" in made:
        texts = {**texts, "Must": lambda number: str(number) if number else ""}
    return shown(made, texts)


def jobs(table: pd.DataFrame) -> Styler:
    """The jobs of one boat: those done first, then those left."""
    table = table.sort_values(["done", "must", "job"], ascending=[False, False, True])
    made = pd.DataFrame(
        {
            "Job": table["job"],
            "Done": ["do" if done else "leave" for done in table["done"]],
            "Why": table["why"],
            "Saves": table["saving"],
            "Hours": table["hours"],
            "Part": table["part_no"].replace("", "not given"),
            "Size": table["size"].replace("", "ask it"),
            "Price": table["part_price"].fillna(UNKNOWN),
            "Risk if left": table["risk"].astype(float),
            "if renewed": table["risk_renewed"].astype(float),
            "Worn already": table["risk_hidden"].astype(float),
        }
    )
    texts = dict.fromkeys(("Risk if left", "if renewed", "Worn already"), percent)
    return shown(made, {"Saves": amount, "Price": amount, "Hours": "{:g}".format, **texts})


def weeks(table: pd.DataFrame) -> pd.DataFrame:
    """What each week has and what is taken, without columns that nobody limits."""
    made = pd.DataFrame(
        {
            "Week of": [str(day) for day in table["week"]],
            "Slots": table["slots"],
            "Taken": table["slots_used"],
            "Hours of work": table["hours_used"],
            "Hours there are": table["hours"],
            "Ashore": table["places_used"],
            "Places": table["places"],
            "Note": table["note"],
            "Boats": table["boats"].str.replace("; ", ", "),
        }
    )
    blank = [name for name in ("Hours there are", "Places") if made[name].isna().all()]
    if not made["Note"].any():
        blank.append("Note")
    return made.drop(columns=blank)


def rules(table: pd.DataFrame, currency: str) -> Styler:
    """The plan beside the rules."""
    more = [_more(value, currency) if at else "" for at, value in enumerate(table["cost_more"])]
    made = pd.DataFrame(
        {
            "Rule": [RULES[rule] for rule in table["rule"]],
            "Failures": table["failures"],
            "More": table["cost_more"],
            "Cost": table["cost"],
            "Jobs": table["jobs"],
            "Boats": table["boats_lifted"],
            "Musts undone": table["must_undone"],
            "Parts": table["parts_cost"],
            "Labour": table["labour_cost"],
            "Haul-outs": table["haul_cost"],
            "Before her week": table["lay_up_cost"],
            "Left in": table["left_cost"],
        }
    )
    if not made["Haul-outs"].any():
        made = made.drop(columns="Haul-outs")
    money = [name for name in ("Cost", "Parts", "Labour", "Haul-outs", "Before her week", "Left in")
             if name in made]  # fmt: skip
    return shown(made, {**dict.fromkeys(money, amount), "Failures": "{:.1f}".format, "More": more})


def _more(value: float, currency: str) -> str:
    return f"{currency} {abs(value):,.0f} {'more' if value >= 0 else 'less'}"
