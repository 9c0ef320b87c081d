"""The name of a file with a `*` for what changes from one export to the next."""

from __future__ import annotations

import re
from glob import escape

from analytics.records.files.names import base_name

_YEAR = r"(?:19|20)\d\d"
_TWO = r"\d\d?"
_MONTH = (
    r"(?:jan|feb|m[aä]r|apr|ma[iy]|ju[nl]|aug|ago|sep|set|o[ck]t|nov|de[czk]|enero|janv|f[eé]v|"
    r"avr|juin|juil|ao[uû]t|genn?|magg?|giu|lug|ott|dic)[^\W\d_]*\.?"
)
_MARK = r"[-_. /]?"
_DATE = re.compile(
    rf"(?<!\d)(?:{_YEAR}{_MARK}\d\d{_MARK}\d\d(?:[T_ -]?\d{{2}}[-:.h]?\d{{2}}(?:[-:.]?\d{{2}})?)?"
    rf"|{_TWO}[-_. ]{_TWO}[-_. ](?:{_YEAR}|\d\d)"
    rf"|(?:{_TWO}[-_. ])?(?<![^\W\d_]){_MONTH}[-_. ]?(?:{_YEAR}|\d\d)"
    rf"|{_YEAR}{_MARK}(?:q[1-4]|w\d\d|\d\d)|q[1-4]{_MARK}{_YEAR}|\d\d[-_.]{_YEAR}|{_YEAR})(?!\d)",
    re.IGNORECASE,
)


def pattern_of(file: str) -> str:
    """The pattern of a file's name: a `*` for each date in it, the rest as it stands.

    A name that is nothing but a date stays as it is, since its pattern would be
    that of every file.
    """
    name = base_name(file)
    starred = "*".join(escape(piece) for piece in _DATE.split(name))
    stem = starred.rpartition(".")[0] or starred
    return starred if any(mark.isalpha() for mark in stem) else literal(file)


def literal(file: str) -> str:
    """The pattern that is of one name only."""
    return escape(base_name(file))
