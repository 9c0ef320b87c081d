"""The list of what was found, what matters most first, and the rows behind one line of it."""

from __future__ import annotations

import pandas as pd
import streamlit as st

from analytics.job import Fleet
from dashboard import frame, results, words
from dashboard import tables as page_tables
from dashboard.exports import questions as asking
from dashboard.exports import tables as tables
from dashboard.results import Asked


def chosen(
    asked: Asked, fleet: Fleet, groups: pd.DataFrame, key: str, decided: bool
) -> dict[str, str]:
    """The list of what was found, the group chosen in it, and that group's rows."""
    kept = {}
    if decided:
        for each, sort in zip(groups["group"], groups["sort"], strict=True):
            if not sort:
                continue
            written = results.findings_as_written(asked, fleet, each)
            if by := asking.kept(sort, written, fleet):
                kept[each] = by
    settings = fleet.records.settings
    st.dataframe(
        tables.attention(groups, kept),
        column_config=tables.ATTENTION_COLUMNS,
        hide_index=True,
        row_height=page_tables.FINDINGS_ROW,
        height=frame.rows(len(groups), 7, page_tables.FINDINGS_ROW),
    )
    frame.download("What to look at as CSV", groups, settings, "attention.csv", of=asked)
    of_group = dict(zip(groups["group"], groups["says"], strict=True))
    before = st.session_state.get(key)
    if before not in of_group:
        open_ones = [name for name in of_group if name not in kept]
        before = (open_ones or list(of_group))[0]
    # Set anew each time: a box goes on showing what it showed where its words change.
    st.session_state[key] = before
    name = st.selectbox("Look into", list(of_group), format_func=of_group.__getitem__, key=key)
    at = list(of_group).index(name)
    group = {
        str(column): str(groups[column].iloc[at]) for column in ("group", "sort", "says", "remedy")
    }
    findings = results.findings_in(asked, fleet, name)
    st.markdown(f"**{words.plain(group['says'])}.** {words.plain(group['remedy'])}")
    rows = tables.rows_of(findings)
    shown = tables.as_they_stand(rows, fleet)
    st.dataframe(
        shown,
        column_config=page_tables.FINDINGS_COLUMNS,
        hide_index=True,
        height=frame.rows(len(shown), 6),
    )
    if len(rows) > len(shown):
        st.caption(f"The first {len(shown):,} of {len(rows):,} lines; the file holds them all.")
    frame.download("These rows as CSV", rows, settings, "rows.csv", of=asked, filters=[name])
    return group
