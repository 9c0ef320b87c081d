"""What is known of one kind's ageing, in the few sentences that the command says."""

from __future__ import annotations

from analytics.ageing.belief import learned
from analytics.ageing.constant_rate import does_it_age
from analytics.ageing.fit import Ageing
from analytics.ageing.groups.lots import apart_sentence
from analytics.ageing.groups.standing_out import standing_out
from analytics.ageing.summary import family_sentence
from analytics.papers.belief import conflict_sentence, learned_sentence
from analytics.papers.groups import group_sentences
from analytics.papers.words import drawn_with_difficulty


def ageing_sentences(ageing: Ageing) -> list[str]:
    """Whether it ages, by which curve, what stands out, and how much of it is belief."""
    figures = learned(ageing)
    said = [learned_sentence(one) for one in figures if one.figure == "life_10"]
    if conflict := conflict_sentence(figures):
        said.append(conflict)
    if hard := drawn_with_difficulty(ageing):
        said.append(hard)
    if ageing.grade == "only failures, not fitted":
        return said
    named = group_sentences(standing_out(ageing), ageing)
    lots = ageing.set_apart if ageing.group == "all" else ()
    return [
        does_it_age(ageing).sentence,
        family_sentence(ageing),
        *(f"{point} {rest}".strip() for point, rest in named),
        *(apart_sentence(lot, ageing.kind) for lot in lots),
        *said,
    ]
