"""What the headers of other people's exports mean, in six languages and their abbreviations.

A header is first put into plain words: `DatumEinbau`, `Dt fitted` and `Einbaudatum` all become
"date fitted". The fields are then known by such words. The words are common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from difflib import get_close_matches
from functools import cache, lru_cache

from analytics.records.mapping.fields import SHAPES, Shape
from analytics.records.vocabulary.header_words import (
    ALSO,
    NUMBERS_OF_ROWS,
    SAID,
    SAID_IN,
    SMALL_WORDS,
    TAILS,
    WRITTEN,
)
from analytics.records.vocabulary.phrases import plainly

LEAST = 0.5
"""Scores below this are no evidence, and not given."""

_MOST_WORDS = 8
"""A text of more words is a sentence, and no header."""

_WEAK, _TURNED, _PART, _MISSPELT, _NUMBERED = 0.65, 0.97, 0.55, 0.85, 0.95
"""What a match is worth: by a word that may say another thing too; the words in another order;
some of the header's words, at least; a slip mended; a number left out."""

_CODED, _ALSO_SAID = 0.98, 0.95
"""What a match is worth without the 'code' of "COMP_CD"; by the other reading of a word."""

_CODE = "code"

_PLAIN = {written: word for word, all_of in WRITTEN.items() for written in all_of.split()}
_KNOWN = sorted({*_PLAIN, *WRITTEN})

_SILENT = frozenset(SMALL_WORDS.split())


def header_fields(header: str, shape: Shape) -> list[tuple[str, float]]:
    """The fields of a shape that a header may name.

    Parameters
    ----------
    header : str
        As it stands: capitals, accents, underscores, units in brackets and
        numbers do no harm.
    shape : Shape

    Returns
    -------
    list of (str, float)
        Field and score, from `LEAST` to 1, the best first, those of one score
        in the shape's order.
    """
    return list(_fields(header[:200], shape.name))


def best_score(header: str) -> float:
    """How surely a text is a header: its best score in any shape, 0 where it has none."""
    return max(
        (found[0][1] for name in SHAPES if (found := _fields(header[:200], name))), default=0
    )


def plain_words(header: str) -> str:
    """A header in plain words, the language, abbreviations and small words taken out."""
    return " ".join(_plain(_tokens(header))[0])


@cache
def _phrases(shape: str) -> dict[str, list[tuple[str, tuple[str, ...], float]]]:
    """By their first word: the phrases of a shape, the field that each says, and its worth."""
    found: dict[str, list[tuple[str, tuple[str, ...], float]]] = {}
    for field in SHAPES[shape].fields:
        for words, worth in _weighed(field.name, shape).items():
            found.setdefault(words[0], []).append((field.name, words, worth))
    return found


def _weighed(field: str, shape: str) -> dict[tuple[str, ...], float]:
    own = field.replace("_", " ")
    said = f"{SAID.get(field, own)}|{SAID_IN.get((shape, field), own)}"
    worth: dict[tuple[str, ...], float] = {}
    for phrase in said.split("|"):
        words = tuple(_plain(phrase.lstrip("~").split())[0])
        value = _WEAK if phrase.startswith("~") else 1.0
        worth[words] = max(value, worth.get(words, 0))
    return worth


@lru_cache(maxsize=20_000)
def _fields(header: str, shape: str) -> tuple[tuple[str, float], ...]:
    names = SHAPES[shape].by_name
    scores: dict[str, float] = {}
    if (plain := header.strip().lower()) in names:
        scores[plain] = 1.0
    by_first = _phrases(shape)
    for words, sure in _written_ways(header):
        for first in set(words):
            for field, said, worth in by_first.get(first, ()):
                score = round(_alike(words, said) * worth * sure, 3)
                if score >= LEAST:
                    scores[field] = max(score, scores.get(field, 0.0))
    # Sorting keeps the shape's order among equals.
    held = [(name, scores[name]) for name in names if name in scores]
    return tuple(sorted(held, key=lambda one: -one[1]))


@lru_cache(maxsize=20_000)
def _written_ways(header: str) -> tuple[tuple[tuple[str, ...], float], ...]:
    return tuple(_ways(header))


def _ways(header: str) -> Iterator[tuple[tuple[str, ...], float]]:
    """The words of a header, with what stands in brackets and without, and how sure they are."""
    texts = [header]
    if (bare := re.sub(r"[(\[{<][^)\]}>]*[)\]}>]?", " ", header)) != header:
        texts.append(bare)
    # A capital within a word begins another one, but not in MwSt.
    texts += [text.lower() for text in texts if any(len(one) < 3 for one in _tokens(text))]
    for text in dict.fromkeys(texts):
        tokens = _tokens(text)
        if len(tokens) > _MOST_WORDS:
            continue
        if len(tokens) == 1 and tokens[0] in NUMBERS_OF_ROWS:
            yield ("record", "no"), 1.0
            continue
        words, sure = _plain(tokens)
        if words:
            yield tuple(words), sure
        if any(token in ALSO for token in tokens):
            yield tuple(_plain([ALSO.get(token, token) for token in tokens])[0]), sure * _ALSO_SAID
        if _CODE in words and len(words) > 1:
            # A code of a part is a number of the stores where the header says 'code' in full.
            yield tuple(word for word in words if word != _CODE), sure * _CODED
            yield tuple("no" if word == _CODE else word for word in words), sure * _CODED
        figureless = [word for word in words if not word.isdigit()]
        if figureless and figureless != words:
            yield tuple(figureless), sure * _NUMBERED


def _alike(words: tuple[str, ...], said: tuple[str, ...]) -> float:
    if words == said:
        return 1.0
    if sorted(words) == sorted(said):
        return _TURNED
    if set(said) <= set(words):
        return _PART + 0.35 * len("".join(said)) / len("".join(words))
    return 0.0


def _tokens(text: str) -> list[str]:
    parted = "".join(
        f" {mark}" if _begins_word(text, place) else mark for place, mark in enumerate(text)
    )
    for sign in ("#", "№", "n°", "nº", "N°", "Nº"):
        parted = parted.replace(sign, " no ")
    parted = parted.replace("Ø", " dia ")
    return re.findall(r"[^\W\d_]+|\d+", plainly(parted))


def _begins_word(text: str, place: int) -> bool:
    """True within CamelCase, where a capital begins the next word."""
    if not place or not text[place].isupper():
        return False
    before, after = text[place - 1], text[place + 1 : place + 2]
    return before.islower() or (before.isupper() and after.islower())


def _plain(tokens: list[str]) -> tuple[list[str], float]:
    """Plain words for written ones, and how sure that is."""
    words, sure = [], 1.0
    for token in tokens:
        for part in _parts(token):
            word = _PLAIN.get(part, part)
            if word == part and part not in WRITTEN and (near := _near(part)):
                word, sure = _PLAIN.get(near, near), sure * _MISSPELT
            words.append(word)
    loud = [word for word in words if word not in _SILENT]
    return loud or words, sure


def _parts(token: str) -> list[str]:
    if token in _PLAIN or token in WRITTEN:
        return [token]
    for tail in TAILS:
        if token.endswith(tail) and len(token) >= len(tail) + 3:
            return [token[: -len(tail)], tail]
    return [token]


@lru_cache(maxsize=20_000)
def _near(token: str) -> str:
    """The known word for which a long one may be a slip, blank where there is none."""
    if len(token) < 5 or token in _ALL_SAID:
        return ""
    return next(iter(get_close_matches(token, _KNOWN, n=1, cutoff=0.86)), "")


_ALL_SAID = frozenset(
    word for said in (*SAID.values(), *SAID_IN.values()) for word in re.split(r"[|\s~]+", said)
)
