"""Which shaft a text names. Every word is common practice, no source."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

from analytics.records.vocabulary.phrases import Phrases, listed, normal

Position = Literal["single", "port", "starboard", "both", ""]

_SIDES = Phrases(
    {
        "port": listed(
            "port, portside, prt, bab, pt side, left, left hand, lh, backbord, bb, babord, "
            "bakboord, "
            "babor, bombordo, babordo, sinistra, sinistro, sx, izquierd*, gauche, links"
        ),
        "starboard": listed(
            "starboard, stbd, strbd, stb, stbrd, starb, stboard, starbord, star board, sb, right, "
            "right hand, rh, tb, trib, steuerbord, stuurboord, tribord, estribor, estibordo, "
            "tribordo, "
            "styrbord, destra, destro, dritta, dx, derech*, droite, rechts"
        ),
        "both": listed(
            "both, both sides, pair, pair of, either side, each side, p and s, p s, "
            "port and starboard, "
            "beide, beiden, beidseitig, les deux, tous les deux, ambos, ambas, entrambi, entrambe, "
            "allebei, 1 and 2, 1 2"
        ),
        "": listed(
            "in port, at port, of port, port of, home port, port light*, portlight*, porthole*, "
            "port hole*, left fleet, left the fleet, all right, right away, port authority, "
            "port or starboard, p or s, fuel port, both ends"
        ),
    }
)
_ONLY_ONE = Phrases(
    {
        "single": listed(
            "single, only, centre, center, central, centreline, centerline, middle, mid, main, "
            "sole, single screw, einzel*, einzige*, mitte, mittel*, unique, simple, "
            "central*, centro, unico, unica, singolo, singola, enige, enkel, midden"
        )
    }
)
# Words that say nothing more than what the side is of.
_BESIDE = frozenset(
    listed(
        "side, shaft, engine, line, shaftline, unit, hand, motor, eng, the, hull, welle, seite, "
        "cote, arbre, ligne, moteur, lado, eje, linea, lato, asse, motore, zijde, as, kant, "
        "and, und, et, y, e, en, of, on, main, only, schacht, propeller, prop, screw"
    )
)
# Unsure even where it is all that stands there.
_UNSURE = frozenset(listed("lh, rh, 1 and 2, 1 2, pair, pair of, pt side, p s"))
_LETTERS = {"p": ("port", True), "s": ("starboard", True), "b": ("both", False)}
_LETTERS |= {"l": ("port", False), "r": ("starboard", False), "tri": ("starboard", True)}
_LETTERS |= {"c": ("single", False)}
_TWO_LETTERS = re.compile(r"\bp\s*(?:&|\+|/|,|and|und|et)\s*s(?:tbd|tb|b)?\b", re.IGNORECASE)
_TWO_NUMBERS = re.compile(
    r"\b(?:1\s*(?:&|\+|/|,|and)\s*2|i\s*(?:&|\+|/|,|and)\s*ii)\b", re.IGNORECASE
)
_NUMBERED = re.compile(
    r"(?:(?:no|nr|num|number|engine|eng|shaft|motor|moteur|motore|unit|line|side|pos|position|"
    r"welle|arbre|eje|asse|as|me|e|m|s|p) ?)?(?:no |nr |number )?"
    r"(?P<number>[1-4]|i{1,3}|iv|one|two|first|second|1st|2nd)(?: (?:engine|shaft|motor|side))?"
)
_COUNTED = {"i": 1, "one": 1, "first": 1, "1st": 1, "ii": 2, "two": 2, "second": 2, "2nd": 2}
_COUNTED |= {"iii": 3, "iv": 4, "1": 1, "2": 2, "3": 3, "4": 4}
_BRACKETED = re.compile(r"[(\[] *(P|S) *[)\]]")
_GENITIVE = re.compile(r"['’]s\b", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class PositionRead:
    """What a text says of the side.

    Attributes
    ----------
    position : {"single", "port", "starboard", "both", ""}
        '' where it says nothing, or a number.
    certain : bool
        False where a person should look at it.
    numbered : int
        The number that stands for a side or an engine; 0 where none does.
    """

    position: Position
    certain: bool
    numbered: int = 0


_NONE = PositionRead("", False)


def side_named(text: str) -> Position:
    """The side that a longer text names in passing: "stbd bellows"; '' where it names none."""
    text = _GENITIVE.sub("", text)
    if _TWO_LETTERS.search(text):
        return "both"
    found = {one.meaning for one in _SIDES.find(text) if not one.negated and one.phrase != "1 2"}
    if found:
        return _joined(found)
    bracketed = set(_BRACKETED.findall(text))
    if bracketed:
        return "both" if len(bracketed) == 2 else "port" if "P" in bracketed else "starboard"
    # A letter on its own, as a capital at either end of a few words: "seal P".
    words = re.findall(r"[^\W_]+", text)
    if 2 <= len(words) <= 5:
        for word, after in ((words[0], words[1].casefold()), (words[-1], "")):
            # A P bracket is a bracket on either side.
            if word in ("P", "S") and after not in ("bracket", "n", "no"):
                return "port" if word == "P" else "starboard"
    return ""


def position_of(text: str) -> PositionRead:
    """Which shaft a text names, left and right being those of somebody who looks forward.

    A number names an engine, and nobody but the fleet knows which side it is on.
    """
    text = _GENITIVE.sub("", text)
    said = normal(text)
    asked = "?" in text
    if not said:
        return _NONE
    if _TWO_NUMBERS.fullmatch(text.strip()):
        return PositionRead("both", False)
    if _TWO_LETTERS.fullmatch(text.strip()):
        return PositionRead("both", not asked)
    if said in _LETTERS:
        letter, certain = _LETTERS[said]
        return PositionRead(_checked(letter), certain and not asked)
    numbered = _NUMBERED.fullmatch(said)
    if numbered:
        return PositionRead("", False, _COUNTED[numbered["number"]])
    found = [one for one in _SIDES.find(text) if not one.negated]
    # "Port main engine" is the port one.
    found = found or [one for one in _ONLY_ONE.find(text) if not one.negated]
    if not found:
        return PositionRead("both", False) if _TWO_LETTERS.search(text) else _NONE
    covered = {i for one in found for i in range(one.start, one.end)}
    rest = [word for i, word in enumerate(said.split()) if i not in covered]
    number = next((_COUNTED[word] for word in rest if word in ("1", "2", "3", "4")), 0)
    certain = (
        not asked
        and all(word in _BESIDE for word in rest)
        and not any(one.phrase in _UNSURE for one in found)
    )
    return PositionRead(_joined({one.meaning for one in found}), certain, number)


def _joined(meanings: set[str]) -> Position:
    """One side where one stands, both where two do."""
    return _checked(next(iter(meanings))) if len(meanings) == 1 else "both"


def _checked(meaning: str) -> Position:
    match meaning:
        case "single" | "port" | "starboard" | "both":
            return meaning
    return ""
