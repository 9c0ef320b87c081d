"""Actions in words. What they mean to the trade is common practice, no source."""

from __future__ import annotations

from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from analytics.records.vocabulary.actions import Action, action_of
from analytics.records.vocabulary.conditions import FAILED, FAILED_PERHAPS

CLEAR = {
    "replaced": (
        "renewed, replaced, new, changed, swapped, repacked, New bellows fitted, Replace bellows, "
        "ersetzt, getauscht, remplacé, sustituido, sostituito, vervangen"
    ),
    "fitted": "fitted, installed, mounted, ne eingebaut, neu eingebaut, installé, instalado, "
    "montato",
    "removed": "removed, taken out, ausgebaut, démonté, desmontado, smontato, verwijderd",
    "seen": "inspected, checked, surveyed, geprüft, contrôlé, revisado, controllato, gecontroleerd",
    "upkeep": (
        "greased, tightened, packing tightened, packing adjusted, re-compressed, bled, cleaned, "
        "new clamps, nachgezogen, graissé, engrasado, ingrassato, gesmeerd"
    ),
    "refurbished": "refurbished, re-lapped, overhauled, überholt, revisionato, gereviseerd",
    "moved": "moved to Penny Wren, transferred to, swapped to the other boat",
    "bought": "ordered, bought, purchased, stock, kit received, new kit received, bestellt, acheté",
    "meter": "meter replaced, new hour meter, counter reset, hour meter reset",
    "engine": "engine replaced, repowered, new engine, Motor getauscht, nouveau moteur",
    "left": "sold, left fleet, verkauft",
    "failed": "failed, leaking, found to be leaking, undicht",
    "other": "other, misc",
}


@pytest.mark.parametrize(
    ("text", "action"),
    [(text.strip(), action) for action, texts in CLEAR.items() for text in texts.split(",")],
)
def test_clear_actions(text: str, action: str) -> None:
    read = action_of(text)
    assert (read.action, read.certain, read.negated) == (action, True, False)


def test_every_action_has_words() -> None:
    assert set(CLEAR) | {""} == set(get_args(Action))


@pytest.mark.parametrize(
    ("text", "action"),
    [
        ("not replaced", "seen"),
        ("never replaced", "seen"),
        ("nicht ersetzt", "seen"),
        ("no leak found", "seen"),
        ("failed to find leak", "seen"),
        ("checked, no leaks", "seen"),
        ("needs replacing", "seen"),
        ("to be replaced next lift", "seen"),
        ("replace next haul-out", "seen"),
        ("inspected, needs new bellows", "seen"),
        ("à remplacer", "seen"),
        ("not leaking, renewed by age", "replaced"),
        ("not leaking and replaced by age", "replaced"),
        ("bellows not replaced, greased only", "upkeep"),
        ("removed, not replaced", "removed"),
        ("not greased", "other"),
        ("not inspected", "other"),
    ],
)
def test_what_was_not_done(text: str, action: str) -> None:
    read = action_of(text)
    assert (read.action, read.negated) == (action, True)


@pytest.mark.parametrize(
    ("text", "action", "certain"),
    [
        ("removed and replaced", "replaced", True),
        ("seal failed, replaced", "replaced", True),
        ("replaced from stock", "replaced", True),
        ("removed, cleaned and refitted", "upkeep", True),
        ("engine replaced, seal renewed", "replaced", False),
        ("new bellows needed", "replaced", False),
        ("replaced?", "replaced", False),
        ("as new", "", False),
        ("shaft removed", "", False),
        ("R", "", False),
        ("", "", False),
    ],
)
def test_several_meanings(text: str, action: str, certain: bool) -> None:
    read = action_of(text)
    assert (read.action, read.certain) == (action, certain)


@given(st.text())
def test_no_text_raises(text: str) -> None:
    assert action_of(text).action in get_args(Action)


def test_denied_failures_are_none() -> None:
    for phrase in (*FAILED, *FAILED_PERHAPS):
        assert action_of(f"no {phrase}".replace("*", "")).action != "failed", phrase


@given(
    st.sampled_from(("renewed", "replaced", "fitted", "removed", "inspected", "greased", "sold")),
    st.sampled_from(("tuesday", "the blue boat", "near the quay")),
    st.sampled_from(("on thursday", "said the yard", "12 345")),
)
def test_unrelated_words_change_nothing(phrase: str, before: str, behind: str) -> None:
    alone, among = action_of(phrase), action_of(f"{before} {phrase} {behind}")
    assert (among.action, among.certain) == (alone.action, True)


@pytest.mark.parametrize(
    ("text", "action", "certain"),
    [
        *(
            (text, "replaced", True)
            for text in ("put in new lip seal", "Stuffing box repacked", "renew hose", "swap out")
        ),
        *(
            (text, "replaced", True)
            for text in ("Install new bellows", "R&R port bellows", "R & R seal", "out and in")
        ),
        ("Gearbox out for rebuild, put in new lip seal", "replaced", True),
        ("Shaft moved aft. Stuffing box repacked", "replaced", True),
        ("Burped dripless seal, checked for leaks, none", "upkeep", True),
        ("Adjusted gland, drip too fast", "upkeep", False),
        ("leaking badly, tightened", "failed", True),
        ("R&I bellows", "upkeep", False),
        ("Inspected dripless seal", "seen", True),
        ("coupling repair", "", False),
        ("changement moteur", "engine", True),
        ("put in new engine", "engine", False),
        ("duty rota", "", False),
    ],
)
def test_words_of_the_yard(text: str, action: str, certain: bool) -> None:
    read = action_of(text)
    assert (read.action, read.certain) == (action, certain)
