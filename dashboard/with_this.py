"""The section "with this, the risk becomes" of the page of boats."""

from __future__ import annotations

from datetime import date, timedelta

import pandas as pd
import streamlit as st

from analytics.decisions.what_changes import FITTED, RENEWED, Case
from analytics.outlook.season import SeasonRisk
from analytics.outlook.with_this import (
    BoatAhead,
    Change,
    Dated,
    Passed,
    Renewed,
    renewal_day,
    why_not,
)
from analytics.records.settings import Settings
from dashboard import frame, results, with_this_tables, words
from dashboard import with_this_words as says
from dashboard.results import Asked

LOOKED_AT = "found sound"
"""An inspection on a day of the asker's own."""


def show(
    asked: Asked, risk: SeasonRisk, row: pd.Series, kinds: tuple[str, ...], settings: Settings
) -> None:
    """What is found, passed or renewed of one part, and what part and boat then have."""
    boat, life = str(row["boat"]), int(row["life"])
    ahead = results.ahead(asked, boat, kinds)
    as_of = ahead.lives.as_of
    lift = renewal_day(risk.season, as_of)
    st.subheader(says.TITLE)
    said = st.container()
    own = _asked(ahead, life, row, lift)
    besides = () if own is None else (_case(own, life),)
    table = results.what_would_change(asked, boat, life, kinds, besides)
    said.markdown(says.lead(table, settings.kind(row["kind"]), lift))
    if told := says.money_said(table, settings):
        said.markdown(told)
    st.dataframe(
        with_this_tables.cases(table, lift),
        column_config=with_this_tables.columns(settings),
        hide_index=True,
        height=frame.rows(len(table), 32),
        key="cases",
    )
    st.caption(says.READING)
    with st.expander(says.HOW):
        st.markdown(says.how(table))
    frame.download(
        "What would change it as CSV", table, settings, "with_this.csv",
        season=risk.season.year, filters=[boat, *kinds], counted=kinds,
    )  # fmt: skip


def _case(change: Change, life: int) -> Case:
    name = FITTED if isinstance(change, Dated) else LOOKED_AT
    return Case(RENEWED if isinstance(change, Renewed) else name, {life: change})


def _asked(ahead: BoatAhead, life: int, row: pd.Series, lift: date) -> Change | None:
    """A case of the asker's own; what cannot be is said in place of it."""
    what_box, first_box, last_box = st.columns([2, 1, 1])
    what = what_box.selectbox("Add a line: what if", says.CHOICES, key="what if")
    if what == says.NOTHING:
        return None
    as_of, season = ahead.lives.as_of, ahead.season
    change: Change
    if what == says.DATE:
        low, high = row["start_lo"].date(), row["start_hi"].date()
        first = _day(first_box, "Fitted on, or after", low, None, as_of, f"first {life}")
        last = _day(last_box, "and by", max(first, high), first, as_of, f"last {life}")
        change = Dated(first, last)
    elif what == says.PASSED:
        earliest = row["start_hi"].date()
        change = Passed(_day(first_box, "Sound on", as_of, earliest, season.end, "sound on"))
    else:
        earliest = as_of + timedelta(days=1)
        latest = max(season.start, earliest)
        change = Renewed(_day(first_box, "Renewed on", lift, earliest, latest, "renewed on"))
    if said := why_not(ahead, life, change):
        st.info(f"{words.plain(says.change(change)).capitalize()}: {said}")
        return None
    return change


def _day(
    box: st.delta_generator.DeltaGenerator,
    label: str,
    value: date,
    first: date | None,
    last: date,
    key: str,
) -> date:
    earliest = date(1950, 1, 1) if first is None else first
    chosen = box.date_input(
        label,
        min(max(value, earliest), last),
        min_value=earliest,
        max_value=last,
        format="YYYY-MM-DD",
        key=f"case {key}",
    )
    assert isinstance(chosen, date)
    return chosen
