"""At what age to replace parts that are still sound, and how other rules would do."""

import streamlit as st

from analytics.decisions.replacement_groups import next_lift
from analytics.papers import replacement as says
from dashboard import frame, results
from dashboard.replacement import ages, policies, words
from dashboard.results import Asked


def show(asked: Asked) -> None:
    fleet, found = results.fleet(asked), results.replacement_ages(asked)
    settings = fleet.records.settings
    if not found:
        st.warning(words.NO_PARTS)
        return
    ages.show(asked, found)
    policies.show(asked)
    frame.not_an_inspection()
    with st.expander(words.TAKEN_FOR_GRANTED):
        listed = says.assumptions(settings, next_lift(settings.seasons, fleet.lives.as_of))
        st.markdown("\n".join(f"- {line}" for line in listed))
    frame.cautions()
    frame.assumptions(settings, results.ageing(asked), money_too=True)


frame.page(frame.PAGES["views/replacement.py"], words.LEAD, show)
