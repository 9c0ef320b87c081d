"""Which kind of part a text names, and which parts are of something else.

Every word is common practice, no source. The name of a part of the shaft line
is often that of another part too ("bellows" of an exhaust or a sterndrive, "seal"
of a hatch): what stands beside it decides, and such parts are never pooled.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from functools import lru_cache

from analytics.records.vocabulary.actions import action_of
from analytics.records.vocabulary.conditions import condition_of
from analytics.records.vocabulary.kind_words import (
    ACCESSORIES,
    ALIKE,
    ALIKE_PARTS,
    ELSEWHERE,
    MENDED,
    NO_PARTS,
    NOT_OURS,
    PARTS,
    WEAK,
)
from analytics.records.vocabulary.matching import WORD
from analytics.records.vocabulary.phrases import Found, Phrases, listed, normal, plainly
from analytics.records.vocabulary.positions import Position, side_named

# Names that no other part shares, so that only a word right before them can take them away.
_OURS: tuple[str, ...] = (
    "cutl",
    "shaft",
    "stern",
    "stuffing",
    "stopfb",
    "presse",
    "prensa",
    "premi",
    "p bracket",
)
_OURS += (
    "hydrolub",
    "bague hydro",
    "dripless",
    "log hose",
    "strut",
    "face seal",
    "carbon",
    "packed gland",
    "wellen",
    "steven",
    "schroefas",
    "prop",
)
_BETWEEN = frozenset(
    listed(
        "of, for, from, on, in, to, the, der, des, von, fur, de, du, d, del, di, della, van, "
        "voor, a"
    )
)
_APART = frozenset(listed("and, und, et, y, e, en, plus, with, while, after, before, also, near"))
# Where work stands between, the part may be of the place, or the next thing that was done.
_DONE_BETWEEN = frozenset(
    listed(
        "new, renewed, renew, replaced, replace, changed, change, fitted, fit, installed, install, "
        "repacked, out, off, removed, drawn, pulled, job, done, ok, neu, neue, neuer, ersetzt, "
        "getauscht, erneuert, neuf, neuve, nouveau, nouvelle, remplace, change, nuevo, nueva, "
        "cambiado, nuovo, nuova, sostituito, nieuw, nieuwe, vervangen"
    )
)
# Work on a gland that need not be the shaft's: "repack rudder gland".
_REPACKING = frozenset(listed("repacking, repacked, repack, stuffing"))
_BOTH_OF_THEM = re.compile(
    r"\b(?:both|beide\w*|les deux|amb[oa]s|entramb[ie]|allebei)\b(?! sides?| shafts?| engines?)",
    re.IGNORECASE,
)
_JOINED = re.compile(r"[&+,;/]")
_TOPIC = re.compile(
    r"[,;:.!?()|\n\r\t–—=]|\s-+\s|-{2,}"
    r"|\b(?:while|whilst|during|as long as|after|before|when|since|wahrend|waehrend|pendant|"
    r"durante|mentre|tijdens)\b"
)
_FOREIGN = "elsewhere"
_PHRASES = Phrases(
    {
        **{kind: (*words, *WEAK.get(kind, ())) for kind, words in PARTS.items()},
        _FOREIGN: ELSEWHERE,
        "not_ours": NOT_OURS,
        "": NO_PARTS,
    }
)

_LEAST_LETTERS = 6
_A_FEW = 2
_CUTOFF = 0.84


@dataclass(frozen=True, slots=True)
class KindRead:
    """Which kind of part a text names.

    Attributes
    ----------
    kind : str
        A name of the catalogue; '' where the text names none of them.
    certain : bool
        False where a person should look at it.
    foreign : str
        The words that name a part of something else, which must not be pooled.
    position : {"single", "port", "starboard", "both", ""}
        The side that the text names beside the part.
    both : bool
        True where that is both.
    kinds : tuple of str
        Every kind that the text names, in its order.
    """

    kind: str
    certain: bool
    foreign: str = ""
    position: Position = ""
    both: bool = False
    kinds: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Named:
    kind: str
    weak: bool
    found: Found
    doubtful: bool = False


def kind_of(text: str) -> KindRead:
    """The kind of part that a text names.

    'Seal' alone is none, for it may be a face seal or a lip seal. A word that is
    slightly misspelt is mended, and then nothing is certain.
    """
    words = normal(text).split()
    found = _PHRASES.find(text)
    mended = False
    if not any(one.meaning in _CATALOGUE for one in found):
        read = {i for one in found for i in range(one.start, one.end)}
        better = [word if i in read else _mended(word) for i, word in enumerate(words)]
        if better != words:
            retried = _PHRASES.find(" ".join(better))
            if any(one.meaning in _CATALOGUE for one in retried):
                words, found, mended = better, retried, True
    if not found:
        return KindRead("", False)
    own, others = _sorted_out(words, found)
    foreign = others[0][1] if others else ""
    position = side_named(text)
    if position == "both" and len({one.kind for one in own}) > 1:
        # "Bellows and cutless, both good": both parts, not both sides.
        position = side_named(_BOTH_OF_THEM.sub(" ", text))
    both = position == "both"
    if not (own or foreign) and len(words) <= _A_FEW:
        # "Impeller": no part of a shaft line, by its only word.
        return KindRead("", False, found[0].phrase, position, both)
    if not own:
        return KindRead("", bool(foreign) and not mended, foreign, position, both)
    kinds, clear = _kinds(own)
    if not kinds:
        return KindRead("", False, foreign, position, both)
    certain = clear and not (mended or "?" in text or _is_accessory(text, words, own))
    if certain:
        certain = not _is_shared(own, found)
    if certain and any(one.meaning in (_FOREIGN, "not_ours") for one in found):
        elsewhere = [one.start for one in found if one.meaning == _FOREIGN]
        certain = _is_worked_on(text, own, [at for at, _ in others], elsewhere)
    plain = any(not one.weak and one.kind in _CATALOGUE for one in own)
    return KindRead(kinds[0], certain, "" if plain else foreign, position, both, kinds)


_CATALOGUE = frozenset(PARTS) - {"seal", "hose"}


def _sorted_out(words: list[str], found: list[Found]) -> tuple[list[_Named], list[tuple[int, str]]]:
    """The parts of the shaft line that are named, and the words for parts of something else.

    Of the latter where they begin, too.
    """
    places = [one for one in found if one.meaning == _FOREIGN]
    own: list[_Named] = []
    foreign = [(one.start, one.phrase) for one in found if one.meaning == "not_ours"]
    for one in found:
        if one.meaning in (_FOREIGN, "not_ours"):
            continue
        belonging = [(place, _belongs(words, one, place)) for place in places]
        place = next((place for place, told in belonging if told == "yes"), None)
        if place is None:
            weak = one.listed in WEAK.get(one.meaning, ())
            own.append(_Named(one.meaning, weak, one, any(told for _, told in belonging)))
        else:
            start, end = min(one.start, place.start), max(one.end, place.end)
            foreign.append((start, " ".join(words[start:end])))
    if foreign:
        glands = [one for one in own if one.found.listed not in _REPACKING]
        # "Repack rudder stuffing box": the work is the other gland's.
        own = glands if not any(one.kind == "packed_gland" for one in glands) else own
    return own, foreign


def _belongs(words: list[str], part: Found, place: Found) -> str:
    """Whether a part is of that place, "yes", "perhaps" or "": "bearing of the rudder"."""
    # A cell of a few words names one part: "bearing, lower, rudder".
    short = len(words) <= 4
    ours = part.phrase.startswith(_OURS)
    if place.end <= part.start:
        between = words[place.end : part.start]
        if len(between) > _A_FEW or not _APART.isdisjoint(between):
            return ""
        if part.clause != place.clause:
            if ours or not short:
                return ""
            weak = part.meaning not in _CATALOGUE or part.listed in WEAK.get(part.meaning, ())
            return "yes" if weak or part.end == len(words) == place.end + 1 else "perhaps"
        return "yes" if _DONE_BETWEEN.isdisjoint(between) else "perhaps"
    between = words[part.end : place.start]
    if _APART.intersection(between) or ours:
        return ""
    joined = bool(between) and _BETWEEN.issuperset(between)
    return "yes" if short or (joined and part.clause == place.clause) else ""


def _is_shared(own: Sequence[_Named], found: Sequence[Found]) -> bool:
    """Whether the names may be of something else that the text is about as well."""
    named = [one for one in own if one.kind in _CATALOGUE and not one.weak]
    if any(one.doubtful for one in named):
        return True
    shared = not any(one.found.phrase.startswith(_OURS) for one in named)
    return shared and any(one.meaning == _FOREIGN and one.phrase in ALIKE_PARTS for one in found)


def _is_worked_on(
    text: str, own: Sequence[_Named], others: Sequence[int], places: Sequence[int]
) -> bool:
    """Whether the work is that on our part, and the part of something else only stands by.

    The words are parted where a clause or a 'while' begins. What all of them say
    was done must be what those about our part say; the others must tell of no damage.
    """
    plain = plainly(text)
    breaks = [0, *(one.start() for one in _TOPIC.finditer(plain)), len(plain)]
    begins = [word.start() for word in WORD.finditer(plain)]
    ours = {bisect_right(breaks, begins[one.found.start]) for one in own}
    theirs = {bisect_right(breaks, begins[at]) for at in others}
    if ours & theirs:
        return False
    # "Gearbox changed, cutless checked": the work may be that on the place.
    theirs |= {bisect_right(breaks, begins[at]) for at in places} - ours
    if not theirs:
        return True
    said = action_of(" ".join(plain[breaks[i - 1] : breaks[i]] for i in sorted(ours)))
    return (
        said.certain
        and said.action == action_of(text).action
        and all(
            condition_of(plain[breaks[i - 1] : breaks[i]]).condition in ("", "sound")
            for i in theirs
        )
    )


def _kinds(own: list[_Named]) -> tuple[tuple[str, ...], bool]:
    """The kinds named, and whether they are one that is clear."""
    strong = [one.kind for one in own if not one.weak]
    hose = "hose" in strong
    named = [kind for kind in strong if kind in _CATALOGUE]
    clear = bool(named)
    if not named:
        named = [one.kind for one in own if one.weak]
    if hose and "packed_gland" in named:
        # "Hose for the packed gland".
        named = ["gland_hose" if kind == "packed_gland" else kind for kind in named]
        clear = False
    kinds = tuple(dict.fromkeys(named))
    return kinds, clear and len(kinds) == 1


def _is_accessory(text: str, words: list[str], own: Sequence[_Named]) -> bool:
    """Whether a text is only about what goes with the part: "bellows clamps", "gland grease"."""
    places = list(WORD.finditer(plainly(text)))

    def with_it(end: int) -> bool:
        if end >= len(words) or words[end] not in ACCESSORIES:
            return False
        return not _JOINED.search(plainly(text)[places[end - 1].end() : places[end].start()])

    ends = [one.found.end for one in own if one.kind in _CATALOGUE]
    return bool(ends) and len(places) == len(words) and all(with_it(end) for end in ends)


@lru_cache(maxsize=20_000)
def _mended(word: str) -> str:
    """The long word that a misspelt one is meant for; the word itself where none is near."""
    if len(word) < _LEAST_LETTERS or word in ALIKE or word.isdigit():
        return word
    near = get_close_matches(word, [one for one in MENDED if one[0] == word[0]], 1, _CUTOFF)
    return near[0] if near else word
