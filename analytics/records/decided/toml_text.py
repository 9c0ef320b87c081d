"""Values as TOML text (toml.io, version 1.0): the same value gives the same text."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date, datetime, time
from typing import Any

_SHORT = {'"': '\\"', "\\": "\\\\", "\n": "\\n", "\t": "\\t", "\r": "\\r"}


def quoted(text: str) -> str:
    """A text in quotes, on one line.

    Whatever cannot be seen, marks that turn the direction of writing among it,
    is written as an escape. Half a surrogate pair, which no TOML file can hold,
    becomes the replacement mark.
    """
    return '"' + "".join(map(_escaped, text)) + '"'


def _escaped(mark: str) -> str:
    if mark in _SHORT:
        return _SHORT[mark]
    if mark.isprintable():
        return mark
    code = ord(mark)
    if 0xD800 <= code <= 0xDFFF:
        return "\ufffd"
    return f"\\u{code:04X}" if code <= 0xFFFF else f"\\U{code:08X}"


def key(name: str) -> str:
    """A key, in quotes where it needs them."""
    return name if re.fullmatch("[A-Za-z0-9_-]+", name) else quoted(name)


def value(given: Any) -> str:
    """Any value that a TOML file can hold, on one line.

    Raises
    ------
    TypeError
        If no TOML file can hold it.
    """
    if isinstance(given, str):
        return quoted(given)
    if isinstance(given, bool):
        return "true" if given else "false"
    if isinstance(given, int | float):
        # Python prints no whole number of thousands of digits but as hexadecimal ones.
        return hex(given) if isinstance(given, int) and given >= 2**64 else repr(given)
    if isinstance(given, datetime | date | time):
        return given.isoformat()
    if isinstance(given, list | tuple):
        return "[" + ", ".join(map(value, given)) + "]"
    if isinstance(given, Mapping):
        pairs = (f"{key(name)} = {value(item)}" for name, item in given.items())
        return "{" + ", ".join(pairs) + "}"
    raise TypeError(f"no TOML value: {type(given).__name__}")


def lines(table: Mapping[str, Any]) -> str:
    """A table as one line for each of its keys."""
    return "".join(f"{key(name)} = {value(item)}\n" for name, item in table.items())


def comment(text: str) -> str:
    """A text as comment lines."""
    return "".join(f"# {line}".rstrip() + "\n" for line in text.splitlines())
