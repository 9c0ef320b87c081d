"""Phrases and negation. What words mean to the trade is common practice, no source."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from analytics.records.vocabulary.phrases import Phrases, normal

LEAKS = Phrases(
    {
        "leak": ("leak*", "won't seal", "not tight", "gerissen*", "failed"),
        "bellows": ("bellows",),
        "seal bellows": ("seal bellows",),
        "": ("leak test",),
    }
)


def denied(text: str) -> list[bool]:
    """For each word of a leak in the text whether it is denied."""
    return [found.negated for found in LEAKS.find(text) if found.meaning == "leak"]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("  Stbd.  SEAL ", "stbd seal"),
        ("Bâbord", "babord"),
        ("Stopfbüchse, größe Ø40", "stopfbuchse grosse o40"),
        ("n/a", "n a"),
        ("replaced_sound", "replaced sound"),
        ("didn't", "didn t"),
        ("--", ""),
    ],
)
def test_normal_text(text: str, expected: str) -> None:
    assert normal(text) == expected


@given(st.text())
def test_normal_text_is_normal_already(text: str) -> None:
    once = normal(text)
    assert normal(once) == once
    assert once == once.strip()
    assert "  " not in once


def test_only_whole_words_match() -> None:
    assert [found.meaning for found in LEAKS.find("the bellowsy unfailed thing")] == []
    assert [found.phrase for found in LEAKS.find("leakage, unleaked")] == ["leakage"]


def test_longest_phrase_wins() -> None:
    assert [found.meaning for found in LEAKS.find("old seal bellows")] == ["seal bellows"]


def test_phrase_of_no_meaning_swallows_its_words() -> None:
    assert LEAKS.find("leak test done") == []


def test_a_find_says_where_it_stands() -> None:
    found = LEAKS.find("The Bellows: leaking")
    assert [(one.phrase, one.start, one.end, one.listed) for one in found] == [
        ("bellows", 1, 2, "bellows"),
        ("leaking", 2, 3, "leak*"),
    ]


@pytest.mark.parametrize(
    "text",
    [
        "no leak found",
        "never failed",
        "without leaks",
        "didn't leak",
        "didn’t leak",
        "no sign of any leak",
        "nicht gerissen",
        "sans leak",
        "geen leak",
        "leaks: none",
        "leak - nil",
        "leak not found",
        "leak nicht",
        "neither torn nor leaking",
        "free of leaks",
        "unable to find leak",
        "failed to find leak",
        "might leak",
        "not checked for leaks",
        "no no longer not tight",
    ],
)
def test_denied(text: str) -> None:
    assert all(denied(text))


def test_a_whole_list_is_denied() -> None:
    words = Phrases({"wear": ("cracks", "wear", "leaks")})
    assert [found.negated for found in words.find("no leaks, cracks or wear")] == [True] * 3


@pytest.mark.parametrize(
    "text",
    [
        "leaking",
        "not tight",
        "won't seal",
        "No. 2 shaft leaking",
        "job no AB12 leaking",
        "no spare, leaking",
        "no spare; leaking",
        "not renewed but leaking",
        "nicht ersetzt aber gerissen",
        "pas ersetzt mais leaking",
        "no trouble until leaking",
        "not only old, leaking",
        "no more than one two three four five leaking",
        "leaking, not renewed",
        "leaking. No spare",
    ],
)
def test_not_denied(text: str) -> None:
    assert denied(text) == [False]


def test_negation_ends_at_a_renewal() -> None:
    words = Phrases({"leak": ("leaking",), "renewed": ("replaced",)})
    said = {one.meaning: one.negated for one in words.find("not leaking and replaced by age")}
    assert said == {"leak": True, "renewed": False}
    said = {one.meaning: one.negated for one in words.find("not removed and replaced")}
    assert said == {"renewed": True}


def test_what_is_feared_is_told_from_what_is_denied() -> None:
    (feared,) = LEAKS.find("in case it leaks")
    (denied_one,) = LEAKS.find("no leaks")
    assert (feared.supposed, denied_one.supposed) == (True, False)


@pytest.mark.parametrize(
    "meanings", [{"a": ("tight",), "b": ("TIGHT",)}, {"a": ("...",)}, {"a": ("",)}]
)
def test_list_that_contradicts_itself_is_refused(meanings: dict[str, tuple[str, ...]]) -> None:
    with pytest.raises(ValueError, match=r"without words|under"):
        Phrases(meanings)


@given(st.text())
def test_any_text_can_be_searched(text: str) -> None:
    for found in LEAKS.find(text):
        assert normal(text).split()[found.start : found.end] == found.phrase.split()


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("checked for leaks", [True]),
        ("checked the port one for any leaks", [True]),
        ("checked for leaks and found leaking", [True, False]),
        ("checked. Renewed for leaks", [False]),
        ("inspected, replaced for leaks", [False]),
        ("checked for leaks, none", [True]),
        ("leaking, none", [False]),
    ],
)
def test_what_was_looked_for_was_not_found(text: str, expected: list[bool]) -> None:
    assert denied(text) == expected
