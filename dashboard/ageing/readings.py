"""Clearance readings: how far each bearing is worn, and the hours left until its limit."""

from __future__ import annotations

import pandas as pd
import streamlit as st

from dashboard import choices, frame, results, tables
from dashboard.ageing import readings_figures as drawn
from dashboard.ageing import readings_words as says
from dashboard.results import Asked, Chosen


def show(asked: Asked, chosen: Chosen) -> None:
    """Sentences, the picture of the paths, the table and its download."""
    fitted, found = results.kind(asked, chosen), results.readings(asked, chosen)
    settings = results.fleet(asked).records.settings
    table = found.table
    if chosen.field:
        table = table[table["source"].isin(fitted.table["source"])].reset_index(drop=True)
    wear = found.wear
    if wear is None:
        st.markdown(says.nothing(fitted.kind))
        _aside(found.aside)
        return
    for sentence in found.said:
        st.markdown(sentence)
    for sentence in found.apart:
        st.warning(sentence)
    if table.empty:
        st.info("None of the bearings read is still in service.")
        _aside(found.aside)
        return
    st.subheader("Soonest at their limit")
    st.markdown("\n".join(f"- {says.told(row)}" for _, row in table.head(says.MANY).iterrows()))
    st.markdown(
        says.ALONE if table["with_failures_by_season_end"].isna().all() else says.TWO_CHANCES
    )
    st.warning(says.NOT_THE_MAKER)
    st.subheader("How they wear")
    names = [says.bearing(row) for _, row in table.iterrows()]
    choices.only("bearing", names)
    name = st.selectbox("Bearing", names, key="bearing")
    row = table.iloc[names.index(name)]
    st.markdown(says.told(row))
    life = int(wear.parts.loc[wear.parts["source"] == row["source"], "life"].iloc[0])
    st.plotly_chart(drawn.paths(wear, life), config=frame.CHART, key="wear chart")
    st.caption(says.CAPTION)
    st.subheader("All bearings read")
    st.dataframe(
        tables.shown(
            says.shown(table),
            {
                "Last, mm": "{:.2f}".format,
                "mm in 1,000 h": "{:.2f}".format,
                "Limit, mm": lambda mm: "none" if mm != mm else f"{mm:.2f}",
                "Hours to limit": lambda hours: "no limit" if hours != hours else f"{hours:,.0f}",
                "Likely range, h": says.ranges(table),
                "By season's end, readings alone, %": lambda share: (
                    "no limit" if share != share else tables.percent(share)
                ),
                "By season's end, in the outlook, %": lambda share: (
                    "without readings" if share != share else tables.percent(share)
                ),
            },
        ),
        hide_index=True,
        height=frame.rows(len(table)),
    )
    st.caption(says.LIMITS)
    filters = [name for name in (fitted.kind.name, chosen.value) if name]
    frame.download("Wear of bearings as CSV", table, settings, "wear.csv", filters=filters)
    _aside(found.aside)


def _aside(aside: pd.DataFrame) -> None:
    if aside.empty:
        return
    with st.expander(says.left_out(aside)):
        st.dataframe(aside, hide_index=True)
