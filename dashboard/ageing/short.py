"""What is known of one kind's ageing, in a few sentences that lead to the other sections."""

from __future__ import annotations

import pandas as pd
import streamlit as st

from analytics.papers import words as shared
from analytics.papers.belief import conflict_sentence, learned_sentence, range_of, value
from dashboard import frame, results, words
from dashboard.ageing import groups_words
from dashboard.results import Asked, Chosen


def show(asked: Asked, chosen: Chosen) -> None:
    """Sentences from the other sections, each under the name of its section."""
    settings = results.fleet(asked).records.settings
    fitted = results.kind(asked, chosen)
    kind, told = fitted.kind, []
    if not fitted.rests_on_prior:
        curves = results.curves(asked, chosen)
        life = curves.figures.life_10
        first = (
            f"One part in ten has failed by about {value(life.median, kind.unit)} {kind.unit} "
            f"(likely between {range_of(life, kind.unit, ' and ')}); {words.limit(kind)}."
        )
        told.append(("Curves", first))
        if curves.disagreement:
            told.append(("Curves", curves.disagreement))
    told.append(("How sure", shared.how_sure(fitted)))
    if hard := shared.drawn_with_difficulty(fitted):
        told.append(("How sure", hard))
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
    plain = [(section, sentence.replace("**", "")) for section, sentence in told]
    table = pd.DataFrame(plain, columns=["section", "sentence"])
    frame.download("These sentences as CSV", table, settings, "in_short.csv", filters=names)
