"""Probability paper, for those who want to see the points."""

from __future__ import annotations

import streamlit as st

from dashboard import frame, results
from dashboard.ageing import paper_figures as drawn
from dashboard.ageing import paper_words as says
from dashboard.results import Asked, Chosen


def show(asked: Asked, chosen: Chosen) -> None:
    """Failures as points, the fitted curve with its band, the prior dashed."""
    fitted, paper = results.kind(asked, chosen), results.on_paper(asked, chosen)
    kind = fitted.kind
    st.markdown(f"{says.LEAD} {says.told(paper, kind)}")
    first = "lognormal" if kind.family == "lognormal" else "weibull"
    family = st.radio(
        "Paper",
        [first, *(name for name in says.PAPERS if name != first)],
        format_func=says.PAPERS.__getitem__,
        horizontal=True,
        key="paper",
    )
    st.plotly_chart(drawn.paper(paper, kind, family), config=frame.CHART, key="paper chart")
    st.caption(f"{says.CAPTION} {says.LIKELY if paper.likely is not None else ''}")
    early = says.BAD_FITS.format(days=kind.early_days) if "early" in kind.causes else ""
    st.caption(f"{says.SLOPE} {early}")
    settings = results.fleet(asked).records.settings
    filters = [name for name in (kind.name, chosen.value) if name]
    frame.download(
        "Points as CSV", paper.points, settings, "probability_paper.csv", filters=filters
    )
