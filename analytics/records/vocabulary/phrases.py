"""Phrases found in what people write, and whether they are negated there.

The words of negation are common practice, no source. They are tested before any
keyword: "no leak found" says nothing of a leak.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import accumulate, pairwise

REACH = 4
"""How many words a negation reaches, light ones such as 'any' and 'of' not counted."""

_WORD = re.compile(r"[^\W_]+")
# Letters that no accent can be stripped from.
_PLAIN_LETTERS = str.maketrans({"ø": "o", "æ": "ae", "œ": "oe", "ł": "l", "đ": "d", "ð": "d"})


def listed(text: str) -> tuple[str, ...]:
    """The phrases of a list that is written with commas between them."""
    return tuple(phrase.strip() for phrase in text.split(",") if phrase.strip())


def plainly(text: str) -> str:
    """The text in small letters without accents; its punctuation stays."""
    if text.isascii():
        return text.lower()
    apart = unicodedata.normalize("NFKD", unicodedata.normalize("NFKD", text).casefold())
    kept = "".join(sign for sign in apart if not unicodedata.combining(sign))
    return kept.translate(_PLAIN_LETTERS)


def normal(text: str) -> str:
    """The text in small letters without accents; whatever is no letter or figure is one space."""
    return " ".join(_WORD.findall(plainly(text)))


@dataclass(frozen=True, slots=True)
class Found:
    """A phrase that stands in a text.

    Attributes
    ----------
    meaning : str
        What it was listed under.
    phrase : str
        The words as they stood, in the form of `normal`.
    negated : bool
        True where the text says that it is not so, or only that it may be.
    start, end : int
        Its first word, and the one behind its last, counted from 0.
    supposed : bool
        True where it is negated only by being feared, possible or not looked at.
    listed : str
        The phrase as the list has it, with its '*' where it is a stem.
    clause : int
        How many commas, full stops and the like stand before it.
    """

    meaning: str
    phrase: str
    negated: bool
    start: int
    end: int
    supposed: bool
    listed: str
    clause: int


@dataclass(frozen=True, slots=True)
class _Entry:
    """A phrase of a list: its words, each with True where it is only a stem."""

    words: tuple[tuple[str, bool], ...]
    meaning: str
    listed: str

    def fits(self, words: list[str], start: int) -> bool:
        """Whether the phrase stands at this word; its first word is known to fit."""
        if start + len(self.words) > len(words):
            return False
        for at in range(1, len(self.words)):
            wanted, stem = self.words[at]
            word = words[start + at]
            if not (word.startswith(wanted) if stem else word == wanted):
                return False
        return True


@dataclass(frozen=True, slots=True)
class _Match:
    start: int
    end: int
    entry: _Entry


class _Index:
    """Entries by their first words, so that a text costs its own length, not the list's."""

    def __init__(self, meanings: Mapping[str, Iterable[str]]) -> None:
        self._whole: dict[str, list[_Entry]] = {}
        self._stems: dict[str, list[_Entry]] = {}
        known: dict[tuple[tuple[str, bool], ...], str] = {}
        for meaning, phrases in meanings.items():
            for phrase in phrases:
                words = tuple(
                    (word, starred)
                    for written in phrase.split()
                    for word, starred in _words_of(written)
                )
                if not words:
                    raise ValueError(f"a phrase without words under '{meaning}': '{phrase}'")
                if words in known:
                    if known[words] != meaning:
                        raise ValueError(f"'{phrase}' under '{known[words]}' and '{meaning}'")
                    continue
                known[words] = meaning
                first, stem = words[0]
                book = self._stems if stem else self._whole
                book.setdefault(first, []).append(_Entry(words, meaning, phrase))
        self._lengths = sorted({len(stem) for stem in self._stems})

    def matches(self, words: list[str]) -> list[_Match]:
        """What stands in the words, longest first where two overlap; in order of the text."""
        if not words:
            return []
        met = [
            _Match(start, start + len(entry.words), entry)
            for start, word in enumerate(words)
            for entry in self._beginning_with(word)
            if entry.fits(words, start)
        ]
        if len(met) < 2:
            return met
        # Of two as long, the one listed in full says more than the stem.
        met.sort(
            key=lambda match: (
                match.start - match.end,
                -len(match.entry.listed.rstrip("*")),
                match.start,
            )
        )
        taken: set[int] = set()
        kept = []
        for match in met:
            if taken.isdisjoint(range(match.start, match.end)):
                taken.update(range(match.start, match.end))
                kept.append(match)
        return sorted(kept, key=lambda match: match.start)

    def _beginning_with(self, word: str) -> Iterator[_Entry]:
        yield from self._whole.get(word, ())
        for length in self._lengths:
            if length > len(word):
                return
            yield from self._stems.get(word[:length], ())


def _words_of(written: str) -> list[tuple[str, bool]]:
    """The words of one written word of a list ("d'arbre" is two), starred where a stem."""
    words = normal(written).split()
    return [(word, written.endswith("*") and i == len(words) - 1) for i, word in enumerate(words)]


_NEGATED, _SUPPOSED, _NEITHER = "negated", "supposed", "neither"

_NEGATIONS = _Index(
    {
        _NEGATED: listed(
            "no, not, never, none, nothing, nil, zero, non, neither, nor, without, w o, cannot, "
            "cant, didn t, didnt, doesn t, doesnt, don t, dont, isn t, isnt, wasn t, wasnt, "
            "aren t, arent, weren t, werent, hasn t, hasnt, hadn t, hadnt, haven t, havent, "
            "won t, wont, wouldn t, wouldnt, couldn t, couldnt, can t, "
            "free of, free from, clear of, absence of, failed to find, unable to find, "
            "kein*, nicht, nie, niemals, ohne, frei von, weder, "
            "sans, pas, jamais, aucun*, sin, nunca, ningun*, ni, senza, nessun*, "
            "niet, geen, nooit, zonder, vrij van"
        ),
        _SUPPOSED: listed(
            "before it, before they, before any, to prevent, prevent, "
            "preventing, to avoid, avoid, avoiding, in case, risk of, might, could fail, "
            "could leak, likely to, about to, unlikely to, if, unsure, not sure, not certain, "
            "not checked, not inspected, not examined, not tested, not seen, not looked, "
            "not possible to see, could not see, couldn t see, cannot see, can t see, "
            "unable to see, unable to tell, cannot tell, can t tell, not accessible, no access, "
            "nicht gepruft, nicht geprueft, nicht kontrolliert, bevor, ob, "
            "non controle, pas controle, pas verifie, avant de, pour eviter, para evitar, "
            "per evitare, antes de, prima che, prima di, niet gecontroleerd, voordat, "
            "om te voorkomen"
        ),
        # Words of negation that negate nothing.
        _NEITHER: listed(
            "not only, not just, not merely, no doubt, no wonder, no surprise, no question, "
            "not surprising*, nicht nur, pas seulement, no solo, non solo, niet alleen, "
            "job no, part no, serial no, hull no, stock no, order no, ref no, batch no, lot no, "
            "item no, invoice no, engine no, why not"
        ),
    }
)
# Words that bring a new thought, which the negation of the last does not reach.
_TURNS = frozenset(
    listed(
        "but, however, although, though, except, because, since, so, therefore, until, till, "
        "after, when, then, aber, jedoch, sondern, weil, bis, nachdem, dann, mais, car, apres, "
        "pero, sino, porque, hasta, ma, perche, dopo, maar, echter, omdat, tot, daarna"
    )
)
_AND = frozenset(listed("and, und, et, y, e, en"))
_RENEWALS = (
    *listed("replac, renew, chang, swap, fitted, installed, new, ersetzt, erneuert, gewechselt"),
    *listed("getauscht, remplac, chang, sustitu, cambia, sostitu, vervang, vernieuw"),
)
_OR = frozenset(listed("or, nor, oder, noch, ou, o, of"))
_LIGHT = _OR | frozenset(
    listed(
        "a, an, the, any, of, sign, signs, evidence, trace, traces, indication, visible, further, "
        "found, to, be, been, der, die, das, den, de, la, le, les, du, des, het, el, il, "
        "anzeichen, spuren, signe, trace, segno, signo, spoor"
    )
)
# Of these a list may follow, with commas: "no leaks, cracks or wear".
_BEFORE_LISTS = frozenset(listed("no, without, kein, keine, sans, sin, senza, geen, zonder, nil"))

_BREAK = re.compile(r"[,;:.!?()|\n\r\t–—=]|\s-+\s|-{2,}")
_NEW_SENTENCE = re.compile(r"[;.!()|\n\r]")
_BREAK_BEHIND = re.compile(r"[,;.!()|\n\r]")

_NO_BEHIND = frozenset(
    listed("none, nil, no, nein, nicht, niet, pas, keine, kein, aucune, nessuna, geen, negative")
)
_NOT_BEHIND = frozenset(
    listed(
        "found, seen, evident, visible, noted, observed, present, detected, mehr, meer, apparent, "
        "festgestellt, gevonden"
    )
)


class Phrases:
    """A list of phrases by meaning, looked for in texts.

    A phrase matches whole words; the longest phrase wins where several stand on
    the same words; a word that ends in '*' may be the start of a longer one.

    Parameters
    ----------
    meanings : mapping of str to iterable of str
        The phrases of each meaning. The meaning '' is for phrases that keep their
        words from being read as something else ("split pin").
    supposing : iterable of str
        Phrases after which something is only wanted ("needs").

    Raises
    ------
    ValueError
        If a phrase has no words or stands under two meanings.
    """

    def __init__(
        self, meanings: Mapping[str, Iterable[str]], supposing: Iterable[str] = ()
    ) -> None:
        self._index = _Index(meanings)
        supposing = tuple(supposing)
        self._supposing = _Index({_SUPPOSED: supposing}) if supposing else None

    def find(self, text: str) -> list[Found]:
        """The phrases that stand in the text, in its order; those of meaning '' left out."""
        plain = plainly(text)
        places = list(_WORD.finditer(plain))
        words = [place.group() for place in places]
        matches = self._index.matches(words)
        if not matches:
            return []
        gaps = ["", *(plain[a.end() : b.start()] for a, b in pairwise(places)), ""]
        negations = self._negations(words)
        # "Failed to find" is no failure.
        whole = {negation.start: negation.end for negation in negations}
        matches = [match for match in matches if whole.get(match.start, 0) <= match.end]
        negated = _negated(words, gaps, matches, negations)
        clauses = list(accumulate(bool(_BREAK.search(gap)) for gap in gaps))
        return [
            Found(
                match.entry.meaning,
                " ".join(words[match.start : match.end]),
                match.start in negated,
                match.start,
                match.end,
                negated.get(match.start) == _SUPPOSED,
                match.entry.listed,
                clauses[match.start],
            )
            for match in matches
            if match.entry.meaning
        ]

    def _negations(self, words: list[str]) -> list[_Match]:
        """What negates in the words, or makes them only wanted."""
        found = _NEGATIONS.matches(words)
        return found if self._supposing is None else found + self._supposing.matches(words)


def _negated(
    words: list[str], gaps: list[str], matches: list[_Match], negations: list[_Match]
) -> dict[int, str]:
    """For the first word of each negated phrase how it is; a denial outweighs a supposition.

    `gaps` holds what stands before each word, and behind the last.
    """
    taken = {i for match in matches for i in range(match.start, match.end)}
    starts = {match.start for match in matches}
    told: dict[int, str] = {}
    for negation in negations:
        how = negation.entry.meaning
        # The 'not' of a listed "not tight" denies nothing else.
        if how == _NEITHER or negation.start in taken:
            continue
        if words[negation.start] == "no" and _is_a_number(words, negation.end):
            continue
        inside = range(negation.start + 1, negation.end)
        for reached in (*inside, *_reached(words, gaps, negation)):
            if reached in starts and told.get(reached) != _NEGATED:
                told[reached] = how
    for match in matches:
        if _denied_behind(words, gaps, match.end):
            told[match.start] = _NEGATED
    return told


def _is_a_number(words: list[str], at: int) -> bool:
    """Whether a 'no' stands for 'number': "no. 2 shaft"."""
    return at < len(words) and words[at][0].isdigit()


def _reached(words: list[str], gaps: list[str], negation: _Match) -> Iterator[int]:
    """The words that a negation reaches."""
    counted = 0
    for at in range(negation.end, len(words)):
        word = words[at]
        if word in _TURNS or (word in _AND and _renews(words, at, negation.end)):
            return
        if _BREAK.search(gaps[at]) and not _goes_on(words, gaps, at, negation):
            return
        yield at
        counted += word not in _LIGHT
        if counted >= REACH:
            return


def _renews(words: list[str], at: int, begun: int) -> bool:
    """Whether an 'and' brings the renewal of what was not so: "not leaking and replaced"."""
    after = words[at + 1] if at + 1 < len(words) else ""
    before = words[at - 1] if at > begun else ""
    return after.startswith(_RENEWALS) and not before.startswith((*_RENEWALS, "remov"))


def _goes_on(words: list[str], gaps: list[str], at: int, negation: _Match) -> bool:
    """Whether the comma before this word parts things of one list: "no leaks, cracks or wear"."""
    if words[negation.start] not in _BEFORE_LISTS or "," not in gaps[at]:
        return False
    for ahead in range(at, min(at + 4, len(words))):
        if words[ahead] in _OR:
            return True
        if _NEW_SENTENCE.search(gaps[ahead]):
            return False
    return False


def _denied_behind(words: list[str], gaps: list[str], end: int) -> bool:
    """Whether a denial stands right behind a phrase: "leaks: none", "leckt nicht"."""
    if end >= len(words) or _BREAK_BEHIND.search(gaps[end]):
        return False
    word = words[end]
    ends = end + 1 == len(words) or bool(_BREAK.search(gaps[end + 1]))
    after = "" if ends else words[end + 1]
    if word in _NO_BEHIND:
        return ends or after in _NOT_BEHIND
    return word == "not" and after in _NOT_BEHIND
