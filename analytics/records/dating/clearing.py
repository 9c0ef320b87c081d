"""A written date freed of what does not change it: widths, accents, weekday and time of day."""

from __future__ import annotations

import re
import unicodedata

from analytics.records.dating.words import MONTHS, WEEKDAYS

_SAME = str.maketrans(
    {
        **dict.fromkeys("‐‑‒–—―−", "-"),
        **dict.fromkeys("‘’‛`´ʼ′", "'"),
        **dict.fromkeys("⁄∕", "/"),
        **dict.fromkeys("\u200b\u200e\u200f\ufeff\u00ad\u2060"),
    }
)
_ZONES = "z|utc|gmt|w?est|bst|ist|wet|ces?t|mes?z|ees?t|edt|[cmpa][sd]t|msk|ae[sd]t|nz[sd]t"
_ZONE = rf"(?: ?(?:{_ZONES})\b)?(?: ?[+-][0-9]{{2}}(?::?[0-9]{{2}})?(?![0-9/.-]))?(?: ?\([^)]*\)$)?"
_TIME = re.compile(
    r"(?:(?<=[0-9])t| |,)+(?:(?:at|um|a|om|alle|ore|las) )?(?:"
    r"[0-9]{1,2}(?::[0-9]{2}){1,2}(?:[.,][0-9]+)?(?: ?[ap]\.?m\b\.?)?(?: ?(?:uhr|h|hrs)\b)?"
    rf"{_ZONE}"
    r"|[0-9]{1,2}h[0-9]{2}\b|[0-9]{2}h\b|[0-9]{1,2}(?:\.[0-9]{2})? ?uhr\b|[0-9]{1,2} ?[ap]\.?m\b\.?"
    r"|(?<=[0-9]{4} )[0-9]{1,2}\.[0-9]{2}$|(?<=[0-9]{4}, )[0-9]{1,2}\.[0-9]{2}$"
    rf")|(?<=[0-9]{{8}})t[0-9]{{2,6}}{_ZONE}$"
)
_TIME_FIRST = re.compile(r"[0-9]{1,2}(?::[0-9]{2}){1,2},? (?=.*[0-9]{2})")
_WEEKDAY = re.compile(r"([a-z]+)[.,]*[ ,]+(.+)")
_TEXT_MARK = re.compile(r"\A'(?=[0-9]{3}|[0-9]{1,2}[ /.-][0-9]|[a-z])")
_DAY_AND_WORD = re.compile(r"[0-9]{1,2}\.?[ -](?:de |di |of )?([a-z]+)")
_ORDINAL = re.compile(r"(?<=[0-9])(?:st|nd|rd|th|ere?|eme|ste|de|[eoa])\b")
_BLANKED = re.compile(r"(?<![a-z0-9])(?:xx|\?\?|__|dd|tt)(?![a-z0-9])")


def clear(text: str) -> str:
    """The text in plain small letters without accents, and without weekday, time and zone.

    Parameters
    ----------
    text : str
        As written.

    Returns
    -------
    str
        Single blanks, plain dashes and apostrophes; ``3rd`` as ``3``; a part of
        a date that a form left open (``xx``, ``??``) as ``00``.
    """
    text = unicodedata.normalize("NFKC", text.translate(_SAME)).casefold()
    if not text.isascii():
        apart = unicodedata.normalize("NFD", text)
        text = "".join(mark for mark in apart if not unicodedata.combining(mark))
        text = text.translate(_SAME)
    text = " ".join(text.split())
    text = _TIME_FIRST.sub("", text, count=1) if _TIME_FIRST.match(text) else text
    text = _BLANKED.sub("00", _ORDINAL.sub("", _TIME.sub(" ", text)))
    text = _bare(" ".join(text.split()))
    match = _WEEKDAY.fullmatch(text)
    if match and match[1] in WEEKDAYS and _dated(match[1], match[2]):
        text = match[2]
    return text


def _bare(text: str) -> str:
    text = _TEXT_MARK.sub("", text.strip('" ').rstrip(".,;:' "))
    if text.startswith("(") and text.endswith(")"):
        return text[1:-1].strip()
    return text


def _dated(weekday: str, rest: str) -> bool:
    """True where what follows is a date without the weekday; 'mar' may be a month."""
    if weekday not in MONTHS:
        return any(figure in rest for figure in "0123456789")
    named = _DAY_AND_WORD.match(rest)
    of_figures = " " not in rest and sum(rest.count(mark) for mark in "/.-") == 2
    return named[1] in MONTHS if named else of_figures
