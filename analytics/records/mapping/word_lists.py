"""A text read by the word list of the field that its column holds."""

from __future__ import annotations

from typing import NamedTuple

from analytics.records.mapping.fields import Holds
from analytics.records.vocabulary.actions import action_of
from analytics.records.vocabulary.conditions import condition_of
from analytics.records.vocabulary.kinds import kind_of
from analytics.records.vocabulary.phrases import normal
from analytics.records.vocabulary.positions import position_of
from analytics.records.vocabulary.reasons import reason_of

LISTED: frozenset[Holds] = frozenset(
    {"kind", "position", "reason", "action", "condition", "found", "lay_up", "water"}
)
"""What is read by a word list."""


LONGEST = 500
"""Letters of a text that are looked at: a cause stands in the first lines of a remark."""


class Word(NamedTuple):
    """How a text is read: the plain layout's word, blank where it says nothing, and how surely."""

    read_as: str
    certain: bool


_ASHORE = (
    "ashore|on shore|at haul out|at lift|haul out|hauled out|haulout|haul|lift|lifted|lift out|"
    "yard|in yard|beim kranen|kranen|dry dock|"
    "dock|on the hard|hard|hardstand|out of water|dry|dry storage|hall|shed|land|an land|an land "
    "gelegt|kran|werft|halle|winterlager|a terre|terre|a sec|chantier|en tierra|tierra|en seco|"
    "varadero|a terra|terra|in secco|cantiere|op de kant|op het droge|aan wal|wal|werf"
)
_AFLOAT = (
    "afloat|in water|in the water|under way|underway|at sea|sea|berth|at berth|mooring|on mooring|"
    "dockside|im wasser|wasser|schwimmend|in fahrt|a flot|flot|en mer|dans l eau|a flote|flote|"
    "en el agua|in acqua|a galla|in navigazione|in het water|te water|drijvend|varend"
)
_LISTS = {
    "found": {"ashore": _ASHORE, "afloat": _AFLOAT},
    "lay_up": {"ashore": _ASHORE, "afloat": _AFLOAT},
    "water": {
        "salt": "salt|salt water|saltwater|sea|sea water|seawater|marine|salz|salzwasser|"
        "meerwasser|mer|sale|eau de mer|salee|salada|agua salada|mar|salata|acqua salata|mare|"
        "zout|zout water|zoutwater|zeewater",
        "brackish": "brackish|brackish water|estuary|brack|brackwasser|saumatre|salobre|"
        "salmastra|brak|brak water",
        "fresh": "fresh|fresh water|freshwater|lake|river|canal|sweet|suss|susswasser|suess|"
        "suesswasser|douce|eau douce|dulce|agua dulce|dolce|acqua dolce|zoet|zoet water|zoetwater",
    },
}
_MEANS = {
    holds: {normal(text): word for word, texts in lists.items() for text in texts.split("|")}
    for holds, lists in _LISTS.items()
}


def read_word(holds: Holds, text: str) -> Word:
    """A text as the word list reads it.

    Parameters
    ----------
    holds : str
        One of `LISTED`.
    text : str
    """
    text = text[:LONGEST]
    match holds:
        case "kind":
            kind = kind_of(text)
            return Word(kind.kind or "", kind.certain)
        case "position":
            position = position_of(text)
            return Word(position.position or "", position.certain)
        case "reason":
            reason = reason_of(text)
            return Word(reason.reason or "", reason.certain)
        case "action":
            action = action_of(text)
            return Word(action.action or "", action.certain)
        case "condition":
            condition = condition_of(text)
            return Word(condition.condition or "", condition.certain)
        case _:
            return _listed(_MEANS[holds], normal(text))


def _listed(means: dict[str, str], text: str) -> Word:
    """The word that the whole text is, or else the only one that it holds."""
    if text in means:
        return Word(means[text], True)
    held = {word for phrase, word in means.items() if f" {phrase} " in f" {text} "}
    return Word(held.pop(), False) if len(held) == 1 else Word("", False)
