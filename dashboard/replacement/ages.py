"""The age of replacement of one kind: words, picture and table; then every kind and base."""

from __future__ import annotations

import streamlit as st

from analytics.decisions.replacement_groups import (
    ALL,
    GroupAge,
    ages_table,
    curve_table,
)
from analytics.papers import replacement as says
from analytics.records.settings import Settings
from dashboard import choices, frame, results
from dashboard.replacement import ages_figures as figures
from dashboard.replacement import ages_tables as tables
from dashboard.replacement import words
from dashboard.results import Asked
from dashboard.words import plain


def show(asked: Asked, ages: tuple[GroupAge, ...]) -> None:
    """What to renew at what age."""
    fleet = results.fleet(asked)
    settings = fleet.records.settings
    one = _chosen(ages, settings)
    st.subheader(plain(says.heading(one)))
    said = says.sentences(one, settings)
    if one.base == ALL and (differing := says.bases_differ(ages, one.kind.name)):
        said.append(differing)
    st.markdown("\n".join(f"- {plain(sentence)}" for sentence in said))
    if one.found is not None:
        _curve(asked, one)
    st.subheader(words.EVERY_KIND)
    st.dataframe(
        tables.stands(ages),
        column_config=tables.STANDS_COLUMNS,
        hide_index=True,
        height=frame.rows(len(ages), most=30),
        key="ages table",
    )
    st.caption(words.stands_caption(settings.currency))
    frame.download(
        "Ages as CSV", ages_table(ages, settings.currency), settings, "replacement_ages.csv"
    )


def _chosen(ages: tuple[GroupAge, ...], settings: Settings) -> GroupAge:
    kinds = list(dict.fromkeys(one.kind.name for one in ages))
    kind_box, base_box = st.columns(2)
    choices.only("replace kind", kinds)
    kind = kind_box.selectbox(
        "Kind of part",
        kinds,
        format_func=lambda name: settings.kind(name).label,
        key="replace kind",
    )
    of_kind = {one.base: one for one in ages if one.kind.name == kind}
    choices.only("replace base", list(of_kind))
    base = base_box.selectbox(
        "Base",
        list(of_kind),
        format_func=lambda name: tables.EVERYWHERE if name == ALL else name,
        key="replace base",
        disabled=len(of_kind) < 2,
    )
    return of_kind[base]


def _curve(asked: Asked, one: GroupAge) -> None:
    fleet = results.fleet(asked)
    settings = fleet.records.settings
    per_hours = False
    if one.kind.clock == "hours":
        per_hours = (
            st.radio("Cost per part and", words.PER, horizontal=True, key="replace per")
            == words.PER[1]
        )
    st.plotly_chart(
        figures.cost_by_age(one, settings.currency, per_hours=per_hours),
        config=frame.CHART,
        key="replacement chart",
    )
    st.caption(words.CURVE)
    curve = curve_table((one,), settings.seasons, fleet.lives)
    with st.expander(words.LIFT_BY_LIFT):
        st.dataframe(
            tables.lifts(one, curve, per_hours=per_hours),
            column_config=tables.LIFTS_COLUMNS,
            hide_index=True,
            height=frame.rows(len(curve), most=14),
            key="lifts table",
        )
        st.caption(words.LIFTS)
    filters = [one.kind.name, *([] if one.base == ALL else [one.base])]
    frame.download("Cost by age as CSV", curve, settings, "replacement.csv", filters=filters)
