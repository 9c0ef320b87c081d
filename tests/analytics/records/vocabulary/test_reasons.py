"""Reasons in codes and words.

Which reason is an event, a life cut short or a competing ending is common
practice, no source.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from analytics.records.tables import REASONS
from analytics.records.vocabulary.conditions import FAILED, FAILED_PERHAPS
from analytics.records.vocabulary.reasons import reason_of

FAILURES = [phrase.replace("*", "") for phrase in FAILED]
CLEAR = {
    "failed": (
        "failed, leaking, worn past limit, split, flooded, seized, no longer watertight, undicht, "
        "fuite, pierde agua, perdita, lekkage, gerissen, déchiré, gescheurd, bad fit"
    ),
    "replaced_sound": (
        "preventive, preventive by age, by age, due, scheduled, overdue, upgrade, recall, "
        "looked tired, vorbeugend, altersbedingt, préventif, por edad, preventivo, "
        "preventief, replaced_sound"
    ),
    "other_work": (
        "while we were there, with shaft drawn, while the shaft was out, access, other job, "
        "opportunity, Welle gezogen, other_work"
    ),
    "accident": (
        "line wrap, rope in prop, grounding, ran aground, fire, collision, lightning, "
        "bout dans l'hélice, échouement, varada, incaglio, Grundberührung, aanvaring, accident"
    ),
    "boat_left": (
        "sold, left fleet, scrapped, transferred, verkauft, vendu, vendido, venduto, boat_left"
    ),
    "unknown": "unknown, ?, n/a, not recorded, unbekannt, inconnu, desconocido, onbekend",
}


@pytest.mark.parametrize(
    ("text", "reason"),
    [(text.strip(), reason) for reason, texts in CLEAR.items() for text in texts.split(",")],
)
def test_clear_reasons(text: str, reason: str) -> None:
    read = reason_of(text)
    assert (read.reason, read.certain, read.negated) == (reason, True, False)


@pytest.mark.parametrize("reason", REASONS)
def test_words_of_the_plain_layout(reason: str) -> None:
    assert reason_of(reason).reason == reason
    assert reason_of(reason).certain


@pytest.mark.parametrize("code", ["F", "P", "A", "W", "PM", "WW", "X1", "7", ""])
def test_short_codes_are_not_guessed(code: str) -> None:
    read = reason_of(code)
    assert (read.reason, read.certain) == ("", False)


@pytest.mark.parametrize(
    ("text", "reason", "certain", "flags"),
    [
        ("preventive, but cracked when removed", "replaced_sound", True, {"by_age", "degraded"}),
        ("looked tired", "replaced_sound", True, {"informative"}),
        ("recall", "replaced_sound", True, {"recall"}),
        ("recall, had failed", "failed", True, {"recall"}),
        ("warranty, leaking", "failed", True, {"warranty"}),
        ("warranty", "", False, {"warranty"}),
        ("bad fit", "failed", True, {"bad_fit"}),
        ("not fitted properly", "failed", True, {"bad_fit"}),
        ("sold", "boat_left", True, {"sold"}),
        ("rope round shaft, seal torn", "accident", True, {"line_wrap"}),
        ("still in", "", True, {"still_in"}),
        ("worn", "failed", False, {"degraded"}),
        ("weeping", "failed", False, set()),
        ("split, old age", "failed", True, {"by_age"}),
    ],
)
def test_flags(text: str, reason: str, certain: bool, flags: set[str]) -> None:
    read = reason_of(text)
    assert (read.reason, read.certain, set(read.flags)) == (reason, certain, flags)


@pytest.mark.parametrize(
    ("text", "reason", "certain"),
    [
        ("leaking, renewed while shaft drawn", "failed", True),
        ("failed, cause unknown", "failed", True),
        ("preventive, found leaking", "failed", False),
        ("sold after failure", "failed", False),
        ("dripping a bit, planned anyway", "replaced_sound", False),
        ("engine failed, seal changed while there", "other_work", True),
        ("oil leak from gearbox, seal not renewed", "", False),
        ("owner's request", "replaced_sound", False),
        ("cracked, changed while shaft out", "other_work", True),
        ("rope cutter fitted", "", False),
        ("brand new split pin", "", False),
        ("leak?", "failed", False),
    ],
)
def test_several_meanings(text: str, reason: str, certain: bool) -> None:
    read = reason_of(text)
    assert (read.reason, read.certain) == (reason, certain)


@pytest.mark.parametrize(
    "text",
    ["no leak found", "not failed", "nicht undicht", "kein Leck", "sans fuite", "never failed"],
)
def test_denied_failure_says_nothing(text: str) -> None:
    read = reason_of(text)
    assert (read.reason, read.certain, read.negated) == ("", False, True)


def test_denial_leaves_what_stands_beside_it() -> None:
    read = reason_of("not leaking, renewed by age")
    assert (read.reason, read.certain, read.negated) == ("replaced_sound", True, True)


def test_failure_that_was_forestalled_is_none() -> None:
    for text in ("renewed by age before it failed", "replaced before failure"):
        assert reason_of(text).reason == "replaced_sound", text


@given(st.text())
def test_no_text_raises(text: str) -> None:
    assert reason_of(text).reason in ("", *REASONS)


def test_no_before_a_failure_takes_it_away() -> None:
    for phrase in (*FAILED, *FAILED_PERHAPS):
        read = reason_of(f"no {phrase}".replace("*", ""))
        assert read.reason != "failed", phrase
        assert read.negated, phrase


@given(
    st.sampled_from(FAILURES),
    st.sampled_from(("tuesday", "the blue boat", "near the quay")),
    st.sampled_from(("on thursday", "said the yard", "12 345")),
)
def test_unrelated_words_change_nothing(phrase: str, before: str, behind: str) -> None:
    read = reason_of(f"{before} {phrase} {behind}")
    assert (read.reason, read.certain, read.negated) == ("failed", True, False), phrase


@pytest.mark.parametrize(
    "text",
    ["service", "winter", "annual", "Annual service", "every year", "hivernage", "entretien"],
)
def test_occasions_are_no_reasons(text: str) -> None:
    read = reason_of(text)
    assert (read.reason, read.certain) == ("unknown", False)


@pytest.mark.parametrize(
    ("text", "reason", "certain"),
    [
        ("annual: leaking", "failed", True),
        ("service interval", "replaced_sound", True),
        ("in service", "", True),
        ("sold in winter", "boat_left", True),
    ],
)
def test_occasions_beside_a_reason(text: str, reason: str, certain: bool) -> None:
    read = reason_of(text)
    assert (read.reason, read.certain) == (reason, certain)


@pytest.mark.parametrize(
    "text",
    [
        "changement moteur",
        "changement de moteur",
        "engine change",
        "Motorwechsel",
        "as long as we were in there",
        "was there anyway",
        "shaft out anyway",
    ],
)
def test_other_work_in_the_words_of_the_yard(text: str) -> None:
    read = reason_of(text)
    assert (read.reason, read.certain) == ("other_work", True)


@pytest.mark.parametrize(
    ("text", "certain"),
    [
        ("had had it", True),
        ("knackered", True),
        ("cracked thru, weeping", True),
        ("packing shot", True),
        ("foutu", True),
        ("joint HS", True),
        ("HS", False),
        ("perished", False),
        ("past it", False),
        ("finished", False),
    ],
)
def test_failures_in_the_words_of_the_yard(text: str, certain: bool) -> None:
    read = reason_of(text)
    assert (read.reason, read.certain) == ("failed", certain)


def test_wear_that_is_allowed_is_no_failure() -> None:
    for text in ("checked for wear, within limits", "wear acceptable", "dripless seal, preventive"):
        assert reason_of(text).reason == "replaced_sound", text
