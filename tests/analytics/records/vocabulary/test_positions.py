"""Sides in words and letters. What they mean at sea is common practice, no source."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from analytics.records.vocabulary.positions import position_of, side_named


@pytest.mark.parametrize(
    ("text", "position", "certain"),
    [
        *(
            (text, "port", True)
            for text in ("port", "P", "Left", "BB", "bb.", "Backbord", "bâbord")
        ),
        *((text, "port", True) for text in ("babor", "bakboord", "sinistra", "port engine")),
        *((text, "starboard", True) for text in ("s", "stb", "Stbd.", "SB", "right", "tribord")),
        *((text, "starboard", True) for text in ("estribor", "Steuerbord Welle", "stbd side")),
        *((text, "single", True) for text in ("single", "only", "centre", "center", "Main")),
        *((text, "both", True) for text in ("both", "p+s", "P & S", "p/s", "port & starboard")),
        ("beide", "both", True),
        *((text, "starboard", True) for text in ("Tb", "TB.", "Trib", "Tri", "arbre Tb")),
        *((text, "port", True) for text in ("Bb", "Bab", "bab.")),
        *((text, "", False) for text in ("Tri hull", "trim", "tbc", "babel")),
        ("Tb?", "starboard", False),
        ("port main engine", "port", True),
        ("stbd?", "starboard", False),
        ("L", "port", False),
        ("1/2", "both", False),
        ("Port Tiller", "port", False),
        ("PS", "", False),
        ("n/a", "", False),
        ("not port", "", False),
        ("port or starboard", "", False),
        ("-", "", False),
        ("", "", False),
    ],
)
def test_positions(text: str, position: str, certain: bool) -> None:
    read = position_of(text)
    assert (read.position, read.certain) == (position, certain)


@pytest.mark.parametrize(
    ("text", "number"),
    [("1", 1), ("2", 2), ("I", 1), ("II", 2), ("engine 1", 1), ("Engine No. 2", 2), ("E1", 1)],
)
def test_number_is_no_side(text: str, number: int) -> None:
    read = position_of(text)
    assert (read.position, read.certain, read.numbered) == ("", False, number)


def test_side_with_a_number_is_asked() -> None:
    read = position_of("starboard (2)")
    assert (read.position, read.certain, read.numbered) == ("starboard", False, 2)


@pytest.mark.parametrize(
    ("text", "side"),
    [
        ("port seal", "port"),
        ("stbd bellows", "starboard"),
        ("seals p&s", "both"),
        ("both cutless", "both"),
        ("seal P", "port"),
        ("S seal", "starboard"),
        ("rubber hose on the stern gland (S)", "starboard"),
        ("hose(s) on the stern gland", ""),
        ("soufflet Tb", "starboard"),
        ("boat's seal", ""),
        ("P bracket bearing", ""),
        ("porthole seal", ""),
        ("back in port, seal done", ""),
        ("seal for main engine", ""),
    ],
)
def test_side_named_in_passing(text: str, side: str) -> None:
    assert side_named(text) == side


@given(st.text())
def test_no_text_raises(text: str) -> None:
    position_of(text)
    side_named(text)


def test_letters_in_brackets_of_both_sides() -> None:
    assert side_named("hoses on the stern glands (P) (S)") == "both"
