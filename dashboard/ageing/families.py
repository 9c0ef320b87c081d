"""Which wear-out family stands behind a kind's curve, and whether it ages at all."""

from __future__ import annotations

import streamlit as st

from dashboard import frame, results
from dashboard.ageing import families_figures as figures
from dashboard.ageing import families_words as words
from dashboard.ageing.families_answers import shown
from dashboard.results import Asked, Chosen


def show(asked: Asked, chosen: Chosen) -> None:
    """Words first, then the curves side by side, then the scores."""
    fitted = results.kind(asked, chosen)
    settings = results.fleet(asked).records.settings
    st.subheader(words.HEADING)
    if fitted.grade == "only failures, not fitted":
        st.warning(words.not_fitted(fitted))
        return
    found = results.families(asked, chosen)
    answer, loudness = found.evidence, words.weight_of(found.evidence.verdict)
    say = {"info": st.info, "warning": st.warning}.get(loudness, st.markdown)
    say(f"**Does it age?** {answer.sentence}")
    st.markdown(f"**Which curve.** {found.sentence}")
    st.plotly_chart(
        figures.families(
            found.curves,
            found.records,
            fitted.kind,
            youngest=found.youngest,
            furthest=found.furthest,
        ),
        config=frame.CHART,
        key="families chart",
    )
    st.caption(words.PICTURE)
    st.caption(words.FAMILIES)
    st.table(shown(found.table).set_index("Curve"))
    st.caption(words.SCORES)
    used = found.table[found.table["used"]]
    rough = used["unreliable_units"].fillna(0).max()
    if caution := words.unreliable(int(rough), str(found.table["unit"].iloc[0])):
        st.caption(caution)
    names = [chosen.kind, chosen.group, *([chosen.value] if chosen.field else [])]
    with st.container(horizontal=True):
        frame.download("Families as CSV", found.table, settings, "families.csv", filters=names)
        frame.download(
            "Curves of families as CSV", found.curves, settings, "family_curves.csv", filters=names
        )
