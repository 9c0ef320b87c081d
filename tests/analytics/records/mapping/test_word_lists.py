"""Texts read by the word list of their field; the words are common practice, no source."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from analytics.records.mapping.meanings import meanings
from analytics.records.mapping.word_lists import LISTED, Word, read_word


@pytest.mark.parametrize(
    ("holds", "text", "word"),
    [
        ("found", "Ashore", "ashore"),
        ("found", "at haul-out", "ashore"),
        ("found", "beim Kranen", "ashore"),
        ("found", "under way", "afloat"),
        ("found", "à flot", "afloat"),
        ("lay_up", "Halle", "ashore"),
        ("lay_up", "in the water", "afloat"),
        ("water", "Salzwasser", "salt"),
        ("water", "agua dulce", "fresh"),
        ("water", "saumâtre", "brackish"),
        ("kind", "bellows", "bellows"),
        ("position", "Stbd", "starboard"),
        ("reason", "leaking", "failed"),
        ("action", "replaced", "replaced"),
        ("condition", "split", "failed"),
    ],
)
def test_texts_as_people_write_them(holds, text, word):
    assert read_word(holds, text) == Word(word, True)


def test_a_word_among_others_is_read_and_not_certain():
    assert read_word("found", "seen ashore by the fitter") == Word("ashore", False)


@pytest.mark.parametrize("text", ["", "afloat or ashore", "Tuesday"])
def test_what_says_nothing_or_both_is_blank(text):
    assert read_word("found", text) == Word("", False)


@given(st.sampled_from(sorted(LISTED)), st.text(max_size=40))
def test_any_text_is_read_as_one_of_the_words_or_as_nothing(holds, text):
    allowed = meanings(holds)
    read = read_word(holds, text)
    assert allowed is None or read.read_as in (*allowed, "")
