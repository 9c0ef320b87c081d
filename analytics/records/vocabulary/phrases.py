"""Phrases found in what people write, and whether they are negated there."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import accumulate, pairwise

from analytics.records.vocabulary.matching import WORD, Index, Match, listed, normal, plainly
from analytics.records.vocabulary.negation import (
    BREAK,
    NEGATIONS,
    SUPPOSED,
    looked_for,
    negated_phrases,
)

__all__ = ["Found", "Phrases", "listed", "normal", "plainly"]


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
        self._index = Index(meanings)
        supposing = tuple(supposing)
        self._supposing = Index({SUPPOSED: supposing}) if supposing else None

    def find(self, text: str) -> list[Found]:
        """The phrases that stand in the text, in its order; those of meaning '' left out."""
        plain = plainly(text)
        places = list(WORD.finditer(plain))
        words = [place.group() for place in places]
        matches = self._index.matches(words)
        if not matches:
            return []
        gaps = ["", *(plain[a.end() : b.start()] for a, b in pairwise(places)), ""]
        negations = self._negations(words) + list(looked_for(words, gaps))
        # "Failed to find" is no failure.
        whole = {negation.start: negation.end for negation in negations}
        matches = [match for match in matches if whole.get(match.start, 0) <= match.end]
        negated = negated_phrases(words, gaps, matches, negations)
        clauses = list(accumulate(bool(BREAK.search(gap)) for gap in gaps))
        return [
            Found(
                match.entry.meaning,
                " ".join(words[match.start : match.end]),
                match.start in negated,
                match.start,
                match.end,
                negated.get(match.start) == SUPPOSED,
                match.entry.listed,
                clauses[match.start],
            )
            for match in matches
            if match.entry.meaning
        ]

    def _negations(self, words: list[str]) -> list[Match]:
        """What negates in the words, or makes them only wanted."""
        found = NEGATIONS.matches(words)
        return found if self._supposing is None else found + self._supposing.matches(words)
