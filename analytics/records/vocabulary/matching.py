"""Lists of phrases, and where they stand in the words of a text."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

WORD = re.compile(r"[^\W_]+")
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
    return " ".join(WORD.findall(plainly(text)))


@dataclass(frozen=True, slots=True)
class Entry:
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
class Match:
    """A phrase of a list and where it stands in the words."""

    start: int
    end: int
    entry: Entry


class Index:
    """Entries by their first words, so that a text costs its own length, not the list's."""

    def __init__(self, meanings: Mapping[str, Iterable[str]]) -> None:
        self._whole: dict[str, list[Entry]] = {}
        self._stems: dict[str, list[Entry]] = {}
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
                book.setdefault(first, []).append(Entry(words, meaning, phrase))
        self._lengths = sorted({len(stem) for stem in self._stems})

    def matches(self, words: list[str]) -> list[Match]:
        """What stands in the words, longest first where two overlap; in order of the text."""
        if not words:
            return []
        met = [
            Match(start, start + len(entry.words), entry)
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

    def _beginning_with(self, word: str) -> Iterator[Entry]:
        yield from self._whole.get(word, ())
        for length in self._lengths:
            if length > len(word):
                return
            yield from self._stems.get(word[:length], ())


def _words_of(written: str) -> list[tuple[str, bool]]:
    """The words of one written word of a list ("d'arbre" is two), starred where a stem."""
    words = normal(written).split()
    return [(word, written.endswith("*") and i == len(words) - 1) for i, word in enumerate(words)]
