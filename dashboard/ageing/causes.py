"""Causes apart: bad fit, wear-out and accident."""

from __future__ import annotations

import streamlit as st

from dashboard import frame, results
from dashboard.ageing import causes_figures as drawn
from dashboard.ageing import causes_words as says
from dashboard.results import Asked, Chosen


def show(asked: Asked, chosen: Chosen) -> None:
    """The rate of each cause by age, and what parts have ended by."""
    fitted, apart = results.kind(asked, chosen), results.causes(asked, chosen)
    settings = results.fleet(asked).records.settings
    kind, prior = fitted.kind, fitted.rests_on_prior
    if prior:
        st.info(says.NOT_FITTED)
    told = [says.bad_fits(kind, apart.early), *says.at_ages(apart.read_out, kind)]
    st.markdown("\n".join(f"- {line}" for line in told if line))
    st.markdown(says.shares(fitted, apart.ended))
    st.caption(says.LEAD)
    for line in apart.told:
        st.warning(line)
    st.subheader("How fast each cause ends parts")
    st.plotly_chart(
        drawn.rates(apart.table, kind, oldest=apart.oldest, prior=prior),
        config=frame.CHART,
        key="causes rate chart",
    )
    st.caption(f"{says.RATE_CAPTION} {says.hours_a_year(fitted)}")
    st.table(says.shown(apart.read_out, kind).set_index(f"Age, {kind.unit}"))
    st.caption(says.TABLE_CAPTION)
    st.subheader("What parts have ended by")
    st.plotly_chart(
        drawn.shares(apart.table, apart.own, kind), config=frame.CHART, key="causes share chart"
    )
    st.caption(says.SHARE_CAPTION)
    filters = [name for name in (kind.name, chosen.value) if name]
    with st.container(horizontal=True):
        frame.download("Causes by age as CSV", apart.table, settings, "causes.csv", filters=filters)
        frame.download(
            "What lives ended by as CSV", apart.ended, settings, "cause_shares.csv",
            filters=filters,
        )  # fmt: skip
        if apart.own is not None:
            frame.download(
                "Causes counted as CSV", apart.own.table(), settings, "causes_seen.csv",
                filters=filters,
            )  # fmt: skip
