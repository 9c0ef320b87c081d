"""Conditions in words. What they mean to the trade is common practice, no source."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from analytics.records.vocabulary.conditions import (
    DEGRADED,
    FAILED,
    FAILED_PERHAPS,
    SOUND,
    condition_of,
)
from analytics.records.vocabulary.phrases import normal


@pytest.mark.parametrize(
    ("text", "condition", "certain"),
    [
        ("leaking", "failed", True),
        ("split at the clamp", "failed", True),
        ("seized", "failed", True),
        ("worn past limit", "failed", True),
        ("no longer watertight", "failed", True),
        ("not tight", "failed", True),
        ("won't seal", "failed", True),
        ("undicht", "failed", True),
        ("fuite", "failed", True),
        ("pierde agua", "failed", True),
        ("perdita", "failed", True),
        ("lekt", "failed", True),
        ("weeping", "failed", False),
        ("leak?", "failed", False),
        ("hardened", "degraded", True),
        ("cracked but dry", "degraded", True),
        ("worn", "degraded", True),
        ("rissig", "degraded", True),
        ("not leaking but hardened", "degraded", True),
        ("damaged", "degraded", False),
        ("OK", "sound", True),
        ("good", "sound", True),
        ("in Ordnung", "sound", True),
        ("bon état", "sound", True),
        ("no leak found", "sound", True),
        ("no sign of wear", "sound", True),
        ("without cracks", "sound", True),
        ("nicht undicht", "sound", True),
        ("kein Leck", "sound", True),
        ("sans fuite", "sound", True),
        ("ne fuit pas", "sound", True),
        ("not acceptable", "degraded", False),
        ("not checked for leaks", "", False),
        ("might leak soon", "", False),
        ("leak test", "", False),
        ("oil leak", "", False),
        ("could leak", "", False),
        ("blue", "", False),
        ("", "", False),
    ],
)
def test_conditions(text: str, condition: str, certain: bool) -> None:
    read = condition_of(text)
    assert (read.condition, read.certain) == (condition, certain)


def test_denied_words_are_told() -> None:
    assert condition_of("no leak found").negated
    assert not condition_of("leak found").negated


def test_listed_words_mean_what_they_are_listed_under() -> None:
    for condition, phrases in (
        ("failed", (*FAILED, *FAILED_PERHAPS)),
        ("degraded", DEGRADED),
        ("sound", SOUND),
    ):
        for phrase in phrases:
            assert condition_of(phrase.replace("*", "")).condition == condition, phrase


@given(st.text())
def test_no_text_raises(text: str) -> None:
    condition_of(text)


def test_denied_failures_are_none() -> None:
    for phrase in (*FAILED, *FAILED_PERHAPS):
        assert condition_of(f"no {phrase}".replace("*", "")).condition != "failed", phrase


@given(
    st.sampled_from((*FAILED, *DEGRADED)).map(lambda phrase: phrase.replace("*", "")),
    st.sampled_from(("tuesday", "the blue boat", "near the quay")),
    st.sampled_from(("on thursday", "said the yard", "12 345")),
)
def test_unrelated_words_change_nothing(phrase: str, before: str, behind: str) -> None:
    alone, among = condition_of(phrase), condition_of(f"{before} {phrase} {behind}")
    assert (among.condition, among.negated) == (alone.condition, alone.negated), phrase
    assert normal(among.phrase) == among.phrase


@pytest.mark.parametrize(
    "text",
    [
        "Checked cutless bearing for wear, within limits",
        "inspected bearing for play: within tolerance",
        "checked for leaks, none",
        "Checked for wear. None found",
        "no play",
        "in tolerance",
        "wear acceptable",
        "play within limits",
        "wear ok",
        "acceptable wear",
        "usure normale",
        "nessun gioco",
        "Spiel in Ordnung",
    ],
)
def test_wear_that_is_allowed_or_was_only_looked_for(text: str) -> None:
    read = condition_of(text)
    assert (read.condition, read.certain) == ("sound", True)


@pytest.mark.parametrize(
    ("text", "condition", "certain"),
    [
        ("checked for leaks", "", False),
        ("monitor for wear", "", False),
        ("auf Verschleiß geprüft", "", False),
        ("checked for leaks and found split", "failed", True),
        ("checked for wear: worn", "degraded", True),
        ("replaced for wear", "degraded", True),
        ("worn, out of tolerance", "failed", True),
        ("not within limits", "failed", True),
        ("some wear, within limits", "sound", False),
        ("worn and hardened, within limits", "degraded", True),
        ("leaking, none in stock", "failed", True),
        ("leaking, none", "failed", True),
        ("wear ok?", "sound", False),
    ],
)
def test_wear_that_was_looked_for_or_found(text: str, condition: str, certain: bool) -> None:
    read = condition_of(text)
    assert (read.condition, read.certain) == (condition, certain)


@pytest.mark.parametrize(
    "text",
    [
        "packing shot, dripping constantly at dock",
        "hose cracked thru, weeping",
        "weeping at idle, bellows perished",
        "bellows let go, boat taking water",
        "had had it",
        "knackered",
        "seal blown",
        "bellows gone",
        "soufflet HS",
        "foutu",
        "mort",
        "jeu excessif",
        "hinüber",
        "kaputt",
        "zu viel Spiel",
        "rota",
        "roto",
        "kapot",
    ],
)
def test_failures_in_the_words_of_the_yard(text: str) -> None:
    read = condition_of(text)
    assert (read.condition, read.certain) == ("failed", True)


@pytest.mark.parametrize(
    "text",
    [
        "HS",
        "gone",
        "blown",
        "finished",
        "past it",
        "perished",
        "andato",
        "dead",
        "knocking",
        "had it",
    ],
)
def test_words_that_may_tell_of_a_failure(text: str) -> None:
    read = condition_of(text)
    assert (read.condition, read.certain) == ("failed", False)


@pytest.mark.parametrize(
    "text",
    [
        "dripless",
        "job finished",
        "had it checked",
        "yard rota",
        "point mort",
        "HS code",
        "blown through with air",
        "shot blasted",
        "prise d'eau de mer",
        "engine mount broken",
    ],
)
def test_words_that_only_sound_like_a_failure(text: str) -> None:
    assert condition_of(text).condition == ""


def test_cracked_is_open_only_where_it_is_wet() -> None:
    assert condition_of("cracked, no weeping").condition == "degraded"
    assert condition_of("perished but dry").condition == "degraded"
    assert condition_of("cracked, weeping").certain
    assert not condition_of("weeping").certain
