"""Good states and suppositions in all three readers.

That such words leave a failure in doubt is common practice, no source.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from analytics.records.vocabulary.actions import action_of
from analytics.records.vocabulary.conditions import FAILED, FAILED_PERHAPS, condition_of
from analytics.records.vocabulary.doubt_words import (
    DOUBTS,
    EARLIER_FAILED,
)
from analytics.records.vocabulary.reasons import reason_of

FAILURES = [phrase.replace("*", "") for phrase in (*FAILED, *FAILED_PERHAPS)]
FREE_TEXTS = (
    "leak-free after launch, leak free, drip-free, free of leaks, leaks no more, leak no longer, "
    "no more leaks, no longer leaking, ne fuit plus, leckagefrei, lekvrij"
)
STOPPED_TEXTS = (
    "leak stopped after tightening|leak has stopped|stopped leaking|drip cured|dry now|now dry|"
    "leaking, dry now|split, watertight again, dry again"
)
FEARED_TEXTS = (
    "could have failed, might have leaked, would have split, may have torn, hardly leaking, "
    "barely leaking, customer worried about leak, owner concerned about flooding, kaum undicht"
)
LIKELY_TEXTS = "suspected failure, suspected leak, possible leak, probably split, perhaps leaking"
OTHER_TEXTS = (
    "previous one failed, last one failed, old one failed, previous seal leaked, "
    "worn out of caution, worn out of an abundance of caution, failed to start engine, "
    "failed to engage gear, failed to open seacock, failure to report"
)


def _failures_told(text: str) -> list[tuple[str, bool]]:
    """What the three readers say, with True where it is certain."""
    action, condition, reason = action_of(text), condition_of(text), reason_of(text)
    return [
        (action.action, action.certain),
        (condition.condition, condition.certain),
        (reason.reason, reason.certain),
    ]


@pytest.mark.parametrize(
    "text",
    [
        *(text.strip() for text in FREE_TEXTS.split(",")),
        *STOPPED_TEXTS.split("|"),
        *(text.strip() for text in FEARED_TEXTS.split(",")),
        *(text.strip() for text in LIKELY_TEXTS.split(",")),
        *(text.strip() for text in OTHER_TEXTS.split(",")),
        "age, previous one failed",
    ],
)
def test_none_is_a_certain_failure(text: str) -> None:
    assert ("failed", True) not in _failures_told(text)


@pytest.mark.parametrize("text", [text.strip() for text in FREE_TEXTS.split(",")])
def test_free_of_leaks_is_sound(text: str) -> None:
    action, condition, reason = _failures_told(text)
    assert action == ("seen", True)
    assert condition == ("sound", True)
    assert reason in [("", False), ("replaced_sound", False)]


@pytest.mark.parametrize("text", ["leak stopped after tightening", "stopped leaking", "dry now"])
def test_a_leak_that_stopped_leaves_the_part_sound_perhaps(text: str) -> None:
    assert condition_of(text).condition == "sound"
    assert not condition_of(text).certain
    assert not reason_of(text).certain


def test_a_leak_that_was_tightened_away_is_upkeep_perhaps() -> None:
    read = action_of("leak stopped after tightening")
    assert (read.action, read.certain) == ("upkeep", False)


@pytest.mark.parametrize("text", [text.strip() for text in FEARED_TEXTS.split(",")])
def test_a_feared_failure_says_nothing(text: str) -> None:
    assert _failures_told(text) == [("seen", False), ("", False), ("", False)]


@pytest.mark.parametrize("text", [text.strip() for text in LIKELY_TEXTS.split(",")])
def test_a_likely_failure_is_one_perhaps(text: str) -> None:
    assert _failures_told(text) == [("failed", False)] * 3


def test_what_stands_beside_another_parts_failure_is_read() -> None:
    assert reason_of("age, previous one failed").reason == "replaced_sound"
    assert reason_of("failed to start engine").reason == ""
    read = reason_of("worn out of caution")
    assert (read.reason, read.flags) == ("replaced_sound", ("degraded",))
    assert condition_of("worn out of caution").condition == "degraded"


@pytest.mark.parametrize(
    "text",
    [
        *("no longer watertight", "won't seal", "not tight", "leaking no longer watertight"),
        *("leaks no longer contained", "has not stopped leaking", "never stopped leaking"),
        *("failed to seal", "failure to seal", "failed to hold", "not leak-free", "broke free"),
        *("worn out", "split and leaking freely", "leaking, seen to as soon as possible"),
        "leaking, old one thrown away",
    ],
)
def test_failures_that_stay_certain(text: str) -> None:
    assert _failures_told(text)[1:] == [("failed", True)] * 2
    assert action_of(text).action == "failed"
    assert action_of(text).certain


# Half a phrase such as "failed to" may grow into a failure: "failed to seal, blown".
_DOUBTFUL = [
    phrase.replace("*", "") for phrase in (*DOUBTS, *EARLIER_FAILED) if not phrase.endswith(" to")
]


@given(
    st.sampled_from(FAILURES),
    st.sampled_from(_DOUBTFUL),
    st.sampled_from((" ", ", ", ". ", " - ")),
    st.booleans(),
)
def test_doubt_beside_a_failure_leaves_none_certain(
    failure: str, doubt: str, between: str, before: bool
) -> None:
    text = f"{doubt}{between}{failure}" if before else f"{failure}{between}{doubt}"
    assert ("failed", True) not in _failures_told(text), text


@given(st.sampled_from(FAILURES), st.sampled_from(("no more", "no longer")))
def test_no_more_behind_or_before_a_failure_denies_it(failure: str, denial: str) -> None:
    assert ("failed", True) not in _failures_told(f"{failure} {denial}"), failure
    assert ("failed", True) not in _failures_told(f"{denial} {failure}"), failure
