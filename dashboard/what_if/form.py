"""The form of the page What if; nothing is worked out before its button is pressed."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pandas as pd
import streamlit as st

from analytics.job import Fleet
from analytics.records.findings import Finding
from analytics.records.tables import PRICES as PRICES_TABLE
from analytics.what_if.changes import RATES, Changes
from analytics.what_if.document import LARGEST_FACTOR, LONGEST_NAME, MOST_ADDED, MOST_SEASONS
from dashboard.what_if import words as says
from dashboard.what_if.entries import (
    ADDED,
    BASE,
    BOAT,
    BOATS,
    HOURS,
    JOINS,
    LEAVES,
    LIKE,
    OF_HOURS,
    OF_PRICES,
    OF_TODAY,
    PRICES,
    SOLD,
    WHAT,
    Entries,
    changes_in,
    entries_of,
    kinds_of,
    labelled,
)
from dashboard.words import plain

KEY = "what if entry "
"""So begin the names of the widgets."""

FILLED = "what if filled"
"""Tables as they were when the form was filled, and how often it was."""

TABLES = (HOURS, PRICES, SOLD, ADDED)


def filled() -> bool:
    """Whether the widgets hold something; Streamlit forgets those of a page that was left."""
    return FILLED in st.session_state and f"{KEY}name" in st.session_state


def fill(changes: Changes, fleet: Fleet, seasons: int) -> None:
    """Put changes into the form; call it before the form is drawn."""
    entries = entries_of(changes, fleet, seasons)
    times, _ = st.session_state.get(FILLED, (0, {}))
    st.session_state[FILLED] = times + 1, {name: entries[name] for name in TABLES}
    for name, value in entries.items():
        if name not in TABLES:
            st.session_state[KEY + name] = value


def show(fleet: Fleet) -> tuple[Changes, list[Finding]] | None:
    """Draw the form; the changes in it and what is wrong with them once the button is pressed."""
    entries: Entries = {}
    with st.form("what if form", border=False):
        name_box, seasons_box = st.columns([3, 1])
        entries["name"] = name_box.text_input(
            "Name of the plan", max_chars=LONGEST_NAME, help=says.NAME_HELP, key=f"{KEY}name"
        )
        entries["seasons ahead"] = seasons_box.number_input(
            "Seasons ahead", 1, MOST_SEASONS, step=1, key=f"{KEY}seasons ahead"
        )
        sections: dict[str, Callable[[Fleet, Entries], None]] = {
            "Limits": _limits,
            "Season and hours": _season,
            "Prices": _prices,
            "Boats": _boats,
        }
        for tab, section in zip(st.tabs(list(sections)), sections.values(), strict=True):
            with tab:
                section(fleet, entries)
        pressed = st.form_submit_button(says.WORK_OUT, type="primary")
    return changes_in(entries, fleet) if pressed else None


def _limits(fleet: Fleet, entries: Entries) -> None:
    st.caption(says.LIMITS)
    boxes = []
    for kind in kinds_of(fleet):
        boxes.append((f"limit {kind.name} age", f"{kind.label}, {kind.unit}", kind.clock))
        if kind.clock == "hours":
            boxes.append((f"limit {kind.name} years", f"{kind.label}, years", "years"))
    with st.container(horizontal=True):
        for name, label, clock in boxes:
            entries[name] = st.number_input(
                plain(label),
                min_value=0.0,
                step=0.5 if clock == "years" else 50.0,
                format="%.10g",
                placeholder="no limit",
                key=KEY + name,
                width=190,
            )


def _season(fleet: Fleet, entries: Entries) -> None:
    st.caption(says.SEASON)
    labels = {"start": "Season begins", "end": "Season ends", "lift_on": "Lay-up lift"}
    with st.container(horizontal=True, vertical_alignment="bottom"):
        for name, label in labels.items():
            key = f"season {name}"
            entries[key] = st.date_input(label, format="YYYY-MM-DD", key=KEY + key, width=190)
    entries["same hours a year"] = st.checkbox(
        says.SAME_HOURS, help=says.SAME_HOURS_HELP, key=f"{KEY}same hours a year"
    )
    entries["all hours"] = _hundredths("Hours to come of all boats, % of today", "all hours")
    here = fleet.lives.in_service()
    bases = sorted(set(here["base"]) - {""})
    names = labelled(OF_HOURS, bases, sorted(set(here["boat"])))
    st.caption(says.HOURS)
    entries[HOURS] = _factors(HOURS, names, "Base or boat")


def _prices(fleet: Fleet, entries: Entries) -> None:
    settings = fleet.records.settings
    entries["all prices"] = _hundredths("Prices of all parts, % of today", "all prices")
    priced = sorted(set(fleet.records.tables[PRICES_TABLE.file]["part_no"]) - {""})
    st.caption(says.PRICES)
    kinds = [kind.name for kind in kinds_of(fleet)]
    names = labelled(OF_PRICES, kinds, priced)
    entries[PRICES] = _factors(PRICES, names, "Kind or part number")
    st.caption(says.RATES.format(currency=settings.currency))
    with st.container(horizontal=True, vertical_alignment="bottom"):
        for name, label in RATES.items():
            share = "increase" in name
            entries[f"rate {name}"] = st.number_input(
                f"{label}, %" if share else label,
                min_value=0.0,
                step=0.5 if share else 0.1 if name == "emergency_multiplier" else 5.0,
                format="%.10g",
                key=f"{KEY}rate {name}",
                width=190,
            )


def _boats(fleet: Fleet, entries: Entries) -> None:
    here = fleet.lives.in_service()
    boats, bases = sorted(set(here["boat"])), sorted(set(here["base"]) - {""})
    st.caption(says.SOLD)
    day = st.column_config.DateColumn
    entries[SOLD] = _table(
        SOLD,
        {
            BOAT: st.column_config.SelectboxColumn(options=boats, width=190),
            LEAVES: day(format="YYYY-MM-DD", width=125),
        },
    )
    st.caption(says.ADDED)
    entries[ADDED] = _table(
        ADDED,
        {
            LIKE: st.column_config.SelectboxColumn(options=boats, width=190),
            BOATS: st.column_config.NumberColumn(
                min_value=1, max_value=MOST_ADDED, step=1, default=1, width=95
            ),
            JOINS: day(format="YYYY-MM-DD", width=125),
            BASE: st.column_config.SelectboxColumn(options=bases, width=150),
        },
    )


def _hundredths(label: str, name: str) -> float | None:
    return st.number_input(
        label,
        min_value=0.0,
        max_value=100 * LARGEST_FACTOR,
        step=5.0,
        format="%.10g",
        key=KEY + name,
        width=320,
    )


def _factors(name: str, options: list[str], label: str) -> pd.DataFrame:
    return _table(
        name,
        {
            WHAT: st.column_config.SelectboxColumn(label, options=options, width=210),
            OF_TODAY: st.column_config.NumberColumn(
                min_value=0.0, max_value=100 * LARGEST_FACTOR, format="%.10g", width=125
            ),
        },
    )


def _table(name: str, columns: dict[str, Any]) -> pd.DataFrame:
    times, given = st.session_state[FILLED]
    table: pd.DataFrame = given[name]
    return st.data_editor(
        table,
        column_config=columns,
        num_rows="dynamic",
        hide_index=True,
        key=f"{KEY}{name} {times}",
        width="content",
    )
