"""What the section on belief and data says; no Streamlit and no computation."""

from __future__ import annotations

from analytics.ageing.own_belief import widened_for_lot
from analytics.papers import belief as said
from analytics.papers.words import prior_is_default
from analytics.records.kinds import Kind
from analytics.records.seasons import Season
from dashboard.ageing.belief_answers import Believed, Tried

HEADING = "How much is belief, and how much is data"
OTHER_FIGURES = "The other figures in words"
CURVES = (
    "Share still sound by age. Dotted, with slanting lines: what is believed before the records. "
    "Full line: with the records; dashed past the oldest age watched. The bands hold 90 %. Where "
    "the two bands are as wide, the records have said nothing."
)
RANGES = (
    "Each figure before the records (diamond, dotted) and with them (dot, full line), with its "
    "90 % range. An arrow: the range goes on further than is worth drawing."
)
DOUBT_HEADING = "Does the season's risk hang on the belief?"
DOUBT_TOGGLE = "Fit this kind with a doubtful and with a trusting belief too"
DOUBT_TOGGLE_HELP = "Two more fits of these lives. Nothing is changed."
DOUBT_EXPANDER = "The three beliefs in trade terms"
DOUBT_CAPTION = (
    "Expected failures: mean, with the 90 % range for what is not known of the curve; the luck of "
    "a single season comes on top."
)
PARTS_CAPTION = "Parts of highest risk with the belief as it is set, and their place in the order."
FORM_HEADING = "Try a belief of your own"
FORM_LEAD = (
    "What you believe of this kind before you look at these records. Whoever knows better than the "
    "planning default should say so, with a reason. Trying it changes no file and no other page."
)
APPLY = "Try this belief"
FORGET = "Forget what was tried"
SAME = "That is the belief in force: there is nothing to compare."
TRIED_CURVES = (
    "Share still sound by age, with the records. Dotted, with slanting lines: with the belief in "
    "force. Full line: with the belief that is tried."
)
LINES_LEAD = (
    "To keep it, put these lines into `fleet.toml`. A section may stand there only once: where it "
    "is there already, put the lines into it, in place of those of the same name. Write the reason "
    "beside it, after a `#`."
)
BINDS_ALL = (
    "They would bind every part of this kind, not only the lives chosen here: there is no section "
    "for some of them."
)
NO_LINES = (
    "No lines for `fleet.toml`: they would bind every part of this kind, and for this lot, which "
    "was found to have a life of its own, what they say would be made wider again. To state what "
    "you believe of the kind, try it on the other parts."
)
WIDER_FOR_LOT = (
    "Wider than for other parts of the kind: this lot was found to have a life of its own."
)
BELIEF, RECORDS = "belief alone", "with the records"
NOW, TRIED = "belief in force", "belief tried"


def in_force(kind: Kind, group: str = "all") -> str:
    """The belief in force, and where it comes from."""
    reason = WIDER_FOR_LOT if widened_for_lot(kind, group) else said.reason(kind)
    return f"**In force.** {said.belief(kind, kind.prior).capitalize()}. {reason}"


def default_note(kind: Kind, group: str = "all") -> str:
    """Whose the numbers in the form are."""
    if widened_for_lot(kind, group):
        return "The numbers that stand there are those of the kind, made wider for this lot."
    if prior_is_default(kind):
        return "The numbers that stand there are the planning default."
    return "The numbers that stand there come from fleet.toml."


def lines_lead(kind: Kind, group: str = "all", *, some: bool = False) -> tuple[str, bool]:
    """What is said before the lines that keep a belief, and whether there are any.

    Parameters
    ----------
    kind : Kind
    group : str
    some : bool
        Whether only some lives of the group are looked at.
    """
    if widened_for_lot(kind, group):
        return NO_LINES, False
    if some or group != "all":
        return f"{LINES_LEAD} {BINDS_ALL}", True
    return LINES_LEAD, True


def first_sentences(answer: Believed) -> list[str]:
    """What matters most: the 10 % life, and the failures of the season."""
    first = [one for one in answer.figures if one.figure in ("life_10", "expected_failures")]
    return [said.learned_sentence(one) for one in first]


def other_sentences(answer: Believed) -> list[str]:
    """The remaining figures."""
    rest = [one for one in answer.figures if one.figure not in ("life_10", "expected_failures")]
    return [said.learned_sentence(one) for one in rest]


def tried_sentence(tried: Tried, season: Season) -> str:
    """What the other belief changes, before and after."""
    before, after = (
        next(one for one in side.figures if one.figure == "life_10")
        for side in (tried.now, tried.tried)
    )
    unit = before.unit
    life = (
        f"10 % have failed by {said.estimate_of(before.records, unit)} {unit} with the belief in "
        f"force, by {said.estimate_of(after.records, unit)} {unit} with the one tried."
    )
    if not tried.now.in_service:
        return f"{life} {said.NONE_IN_SERVICE}"
    numbers = [said.value(side.expected, "failures") for side in (tried.now, tried.tried)]
    return (
        f"{life} Expected failures of this kind in season {season.year}: {numbers[0]} with the "
        f"belief in force, {numbers[1]} with the one tried."
    )
