"""What is known of one kind's ageing, in a few sentences that lead to the other sections."""

from __future__ import annotations

import pandas as pd
import streamlit as st

from analytics.papers import words as shared
from analytics.papers.belief import conflict_sentence, estimate_of, learned_sentence
from dashboard import frame, results
from dashboard.ageing import groups_words
from dashboard.results import Asked, Chosen


def show(asked: Asked, chosen: Chosen) -> None:
    """Sentences from the other sections, each under the name of its section."""
    settings = results.fleet(asked).records.settings
    fitted = results.kind(asked, chosen)
    told = [("How sure", shared.how_sure(fitted))]
    if not fitted.rests_on_prior:
        curves = results.curves(asked, chosen)
        life = estimate_of(curves.figures.life_10, fitted.kind.unit)
        told.append(("Curves", f"One part in ten has failed by {life}."))
        if curves.disagreement:
            told.append(("Curves", curves.disagreement))
    if fitted.grade != "only failures, not fitted":
        families = results.families(asked, chosen)
        told += [("Which curve", families.evidence.sentence), ("Which curve", families.sentence)]
        groups = results.groups(asked, chosen)
        named = groups_words.first_sentences(groups.found, fitted)
        told += [("Groups and lots", sentence) for sentence in named[:3]]
        lots = groups_words.lots_sentences(groups, chosen.group)
        told += [("Groups and lots", sentence) for sentence in lots[:1]]
    believed = results.believed(asked, chosen).figures
    told += [
        ("Belief and data", learned_sentence(one)) for one in believed if one.figure == "life_10"
    ]
    if conflict := conflict_sentence(believed):
        told.append(("Belief and data", conflict))
    st.markdown("\n".join(f"- **{section}.** {sentence}" for section, sentence in told))
    names = [chosen.kind, chosen.group, *([chosen.value] if chosen.field else [])]
    table = pd.DataFrame(told, columns=["section", "sentence"])
    frame.download("These sentences as CSV", table, settings, "in_short.csv", filters=names)
