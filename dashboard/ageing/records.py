"""The records' own curves: what can be counted without any form of curve."""

from __future__ import annotations

import pandas as pd
import streamlit as st

from analytics.ageing.nonparametric.kaplan_meier import early_risk_warning
from dashboard import frame, results
from dashboard.ageing import records_figures as drawn
from dashboard.ageing import records_words as says
from dashboard.ageing.records_answers import OwnCurves
from dashboard.results import Asked, Chosen


def show(asked: Asked, chosen: Chosen) -> None:
    """Survival, failure rate and renewals by counting, beside the fitted curve."""
    fitted, own = results.kind(asked, chosen), results.records_own(asked, chosen)
    settings = results.fleet(asked).records.settings
    counted, kind = own.counted, fitted.kind
    st.markdown(f"{says.survival(fitted, counted)} {says.windows(counted)}")
    st.caption(says.LEAD)
    if warning := early_risk_warning(counted.kaplan_meier):
        st.warning(warning)
    if own.disagreement:
        st.warning(own.disagreement)
    if not counted.kaplan_meier.empty:
        st.subheader("How many are still sound, counted")
        st.plotly_chart(
            drawn.survival(counted, own.fitted, kind, prior=fitted.rests_on_prior),
            config=frame.CHART,
            key="records survival chart",
        )
        st.caption(says.SURVIVAL_CAPTION)
        if counted.band is not None:
            st.caption(says.BAND_CAPTION)
    if own.expected is not None:
        st.subheader("Failures seen and expected")
        st.markdown(says.seen_and_expected(own.expected, kind, parted=own.parted))
        st.table(says.expected_shown(own.expected, kind).set_index("Age"))
        st.caption(says.EXPECTED_CAPTION)
    if counted.rate.lives:
        st.subheader("Failure rate, added up")
        st.plotly_chart(
            drawn.cumulative_rate(counted.rate, kind), config=frame.CHART, key="records rate chart"
        )
        st.caption(says.RATE_CAPTION)
    st.subheader("How often a position is renewed")
    st.markdown(says.replacements(counted.replacements))
    if counted.replacements.longest:
        st.plotly_chart(
            drawn.replacements(counted.replacements),
            config=frame.CHART,
            key="records replacements chart",
        )
    st.caption(says.REPLACEMENTS_CAPTION)
    if chosen.field:
        st.caption(says.REPLACEMENTS_OF_SOME)
    group = "" if chosen.group == "all" else chosen.group
    filters = [one for one in (kind.name, group, chosen.value) if one]
    with st.container(horizontal=True):
        for label, (file, table) in _files(own).items():
            frame.download(f"{label} as CSV", table, settings, file, filters=filters)


def _files(own: OwnCurves) -> dict[str, tuple[str, pd.DataFrame]]:
    """What can be taken away: label, name of the file, table."""
    counted = own.counted
    files = {"Counted survival": ("survival_counted.csv", counted.kaplan_meier)}
    if counted.windows is not None:
        files["Survival, windows open"] = ("survival_seen.csv", counted.windows.table())
    if own.expected is not None:
        files["Seen and expected"] = ("failures_expected.csv", own.expected)
    files["Failure rate added up"] = ("rates_counted.csv", counted.rate.table())
    files["Renewals"] = ("replacements_seen.csv", counted.replacements.table())
    return files
