"""The curves of one kind: how many are still sound, how the failure rate changes, in figures."""

from __future__ import annotations

import sys

import streamlit as st

from analytics.papers import words as shared
from dashboard import figures, frame, results, tables, words
from dashboard.ageing import curves_words as says
from dashboard.ageing.causes_words import hours_a_year
from dashboard.ageing.curves_tables import curve_table, figures_table
from dashboard.results import Asked, Chosen


def show(asked: Asked, chosen: Chosen) -> None:
    """Fitted curve and the records' own steps, with the figures that say the same."""
    fitted = results.kind(asked, chosen)
    if "lifelines" in sys.modules:
        curves = results.curves(asked, chosen)
    else:
        with st.spinner("Opening the survival library, the first time only …"):
            curves = results.curves(asked, chosen)
    prior_only = fitted.rests_on_prior
    if curves.disagreement:
        st.warning(curves.disagreement)
    drawn = curves.prior if prior_only else curves.fitted
    units = fitted.units_per_year
    st.subheader("How many are still sound")
    st.plotly_chart(
        figures.survival(
            drawn,
            curves.records,
            fitted.kind,
            oldest=curves.oldest,
            furthest=curves.furthest,
            units_per_year=units,
            ticks=curves.ticks,
            watched=curves.watched,
            youngest=curves.youngest,
            prior=prior_only,
            mix=curves.mix,
        ),
        config=frame.CHART,
        key="survival chart",
    )
    from_new = words.watched_from_new(int(curves.watched[0]), fitted.lives)
    lines = words.KAPLAN_MEIER if curves.mix is None else says.TYPICAL_AND_MIX
    st.caption(f"{lines} {from_new}")
    if curves.left_out:
        st.caption(words.left_out(curves.left_out, curves.left_out_failed, fitted=not prior_only))
    if curves.warning:
        st.warning(curves.warning)
    st.subheader("How the failure rate changes with age")
    st.plotly_chart(
        figures.hazard(
            drawn,
            fitted.kind,
            oldest=curves.oldest,
            furthest=curves.furthest,
            units_per_year=units,
            prior=prior_only,
        ),
        config=frame.CHART,
        key="hazard chart",
    )
    accidents = words.accidents(fitted.kind, curves.figures)
    whose = "" if curves.mix is None else f" {says.TYPICAL_RATE}"
    st.caption(f"{words.HAZARD_CAPTION} {accidents}{whose} {hours_a_year(fitted)}".rstrip())
    st.subheader("In figures")
    st.table(tables.key_figures(fitted, curves.figures, curves.prior_figures).set_index("Figure"))
    st.caption(words.KEY_FIGURES)
    st.markdown(shared.prior_sentence(fitted.kind))
    st.caption(words.boundary(fitted.kind))
    settings = results.fleet(asked).records.settings
    group = "" if chosen.group == "all" else chosen.group
    filters = [one for one in (fitted.kind.name, group, chosen.value) if one]
    files = {
        "Fitted curve": ("curves.csv", curve_table(fitted, curves)),
        "Steps": ("survival_counted.csv", curves.records),
        "Figures": ("figures.csv", figures_table(fitted, curves)),
    }
    with st.container(horizontal=True):
        for label, (file, table) in files.items():
            frame.download(f"{label} as CSV", table, settings, file, filters=filters)
