"""What a text denies, fears or only looked for.

The words are common practice, no source. They are tested before any keyword: "no
leak found" says nothing of a leak.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from analytics.records.vocabulary.doubt_words import FEARED
from analytics.records.vocabulary.matching import Entry, Index, Match, listed

REACH = 4
"""How many words a negation reaches, light ones such as 'any' and 'of' not counted."""

_NEGATED, SUPPOSED, _NEITHER = "negated", "supposed", "neither"

NEGATIONS = Index(
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
        SUPPOSED: FEARED
        + listed(
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
_SEARCH = Entry(((SUPPOSED, False),), SUPPOSED, SUPPOSED)
# Behind these stands what was found, not what was looked for.
_FINDS = frozenset(
    listed("found, was, were, is, gefunden, festgestellt, trouve, hallado, trovato, gevonden")
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

BREAK = re.compile(r"[,;:.!?()|\n\r\t–—=]|\s-+\s|-{2,}")
_NEW_SENTENCE = re.compile(r"[;.!()|\n\r]")
_BREAK_BEHIND = re.compile(r"[,;.!()|\n\r]")

# "Checked for leaks", "auf Verschleiss geprüft": looked for, which is not found.
_LOOKS = tuple(
    listed(
        "check, inspect, look, test, examin, survey, monitor, watch, gepruft, geprueft, pruf, "
        "kontroll, untersucht, gecontroleerd, nagekeken"
    )
)
_LOOKED_FOR, _LOOKED_AT = "for", frozenset(listed("auf, op"))
_LOOK_REACH = 8
"""How many words before a 'for' the word of looking may stand: "checked the port seal for wear"."""

_NO_BEHIND = frozenset(
    listed("none, nil, no, nein, nicht, niet, pas, keine, kein, aucune, nessuna, geen, negative")
)
# Of these a whole clause may consist: "checked for leaks, none".
_NONE_BEHIND = frozenset(
    listed("none, nil, nothing, keine, kein, aucune, aucun, nessuna, nessuno, ninguna, ninguno")
    + listed("geen")
)
_NOT_BEHIND = frozenset(
    listed(
        "found, seen, evident, visible, noted, observed, present, detected, mehr, meer, apparent, "
        "festgestellt, gevonden"
    )
)
# "Leaks no more": but "leaks no longer contained" denies nothing.
_NO_LONGER = frozenset(listed("more, longer"))
_GOES_BEHIND = frozenset(
    listed("now, at, in, on, once, with, following, and, under, today, thanks")
)


def looked_for(words: list[str], gaps: list[str]) -> Iterator[Match]:
    """Where the text says that something was looked for, and not whether it was there."""
    for at, word in enumerate(words):
        if word == _LOOKED_FOR:
            for before in range(at - 1, max(-1, at - 1 - _LOOK_REACH), -1):
                if BREAK.search(gaps[before + 1]) or words[before].startswith(_RENEWALS):
                    break
                if words[before].startswith(_LOOKS):
                    yield Match(at, at + 1, _SEARCH)
                    break
        elif word in _LOOKED_AT:
            behind = range(at + 1, min(at + REACH, len(words)))
            if any(words[one].startswith(_LOOKS) for one in behind):
                yield Match(at, at + 1, _SEARCH)


def negated_phrases(
    words: list[str], gaps: list[str], matches: list[Match], negations: list[Match]
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
        # "Leaking no longer watertight": the second phrase is no denial of the first.
        if match.end not in starts and _denied_behind(
            words, gaps, match.end, looked_for=match.start in told
        ):
            told[match.start] = _NEGATED
    return told


def _is_a_number(words: list[str], at: int) -> bool:
    """Whether a 'no' stands for 'number': "no. 2 shaft"."""
    return at < len(words) and words[at][0].isdigit()


def _reached(words: list[str], gaps: list[str], negation: Match) -> Iterator[int]:
    """The words that a negation reaches."""
    counted = 0
    for at in range(negation.end, len(words)):
        word = words[at]
        if word in _TURNS or (word in _AND and _renews(words, at, negation.end)):
            return
        if negation.entry is _SEARCH and word in _FINDS:
            return
        if BREAK.search(gaps[at]) and not _goes_on(words, gaps, at, negation):
            return
        yield at
        counted += word not in _LIGHT
        if counted >= REACH:
            return


def _renews(words: list[str], at: int, begun: int) -> bool:
    """Whether an 'and' brings what was done or found: "not leaking and replaced"."""
    after = words[at + 1] if at + 1 < len(words) else ""
    if after in _FINDS:
        return True
    before = words[at - 1] if at > begun else ""
    return after.startswith(_RENEWALS) and not before.startswith((*_RENEWALS, "remov"))


def _goes_on(words: list[str], gaps: list[str], at: int, negation: Match) -> bool:
    """Whether the comma before this word parts things of one list: "no leaks, cracks or wear"."""
    if words[negation.start] not in _BEFORE_LISTS or "," not in gaps[at]:
        return False
    for ahead in range(at, min(at + 4, len(words))):
        if words[ahead] in _OR:
            return True
        if _NEW_SENTENCE.search(gaps[ahead]):
            return False
    return False


def _denied_behind(words: list[str], gaps: list[str], end: int, *, looked_for: bool) -> bool:
    """Whether a denial stands right behind a phrase: "leaks: none", "leckt nicht"."""
    if end >= len(words):
        return False
    word = words[end]
    ends = end + 1 == len(words) or bool(BREAK.search(gaps[end + 1]))
    after = "" if ends else words[end + 1]
    if _BREAK_BEHIND.search(gaps[end]):
        return looked_for and word in _NONE_BEHIND and (ends or after in _NOT_BEHIND)
    if word == "no" and after in _NO_LONGER and not ends:
        behind = end + 2
        return (
            behind == len(words)
            or bool(BREAK.search(gaps[behind]))
            or words[behind] in _TURNS | _GOES_BEHIND
        )
    if word in _NO_BEHIND:
        return ends or after in _NOT_BEHIND
    return word == "not" and after in _NOT_BEHIND
