"""`decisions.toml`: read entry by entry, and written so that a person can read and edit it."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping
from datetime import date
from typing import Any, cast

from analytics.records import setting_values as values
from analytics.records.decided import toml_text
from analytics.records.decided.decision import WHATS, Decision, Decisions, Unread, What
from analytics.records.decided.marks import FIGURES, row_mark
from analytics.records.findings import Done, Finding, FleetError
from analytics.records.mapping.fields import SHAPES
from analytics.records.sorts import SORTS

FILE = "decisions.toml"

_ABOVE = """\
What people decided about the records of this fleet: how a name, a word or a cell is
read, which row is left out, and what was looked at and accepted as it stands. The
exports themselves are never changed; these decisions are applied each time they are
read. You may edit, add or remove entries; a wrong one is passed over and reported.
Comments of your own are not kept when the program saves this file.

A row is recognised by what it holds: row_mark is worked out from its cells, and
stands for them whatever the order of rows and columns. Where you add an entry by
hand, leave row_mark out and give all the cells of the row.
"""


def decisions_text(decisions: Decisions) -> str:
    """The content of `decisions.toml`, without its encoding (UTF-8).

    Entries that could not be read stand in it as they were.

    Raises
    ------
    FleetError
        If the file that the decisions come from could not be read at all, so
        that this text in its place would lose what it holds.
    """
    if not decisions.complete:
        raise FleetError.because(
            FILE,
            found="a file that is no TOML",
            expected="a file to which a decision can be added",
            remedy="Mend the line named while it was read, or move the file away to begin anew.",
        )
    parts = [toml_text.comment(_ABOVE)]
    for one in decisions.entries:
        text = one.text if isinstance(one, Unread) else _entry(one)
        parts.append(f"\n[[decision]]\n{text}")
    return "".join(parts)


def _entry(decision: Decision) -> str:
    given = {name: value for name, value in vars(decision).items() if value not in ("", (), None)}
    if decision.what == "cell":
        # A cell may have been blank, or be read as blank: both are worth saying.
        given |= {"found": decision.found, "read_as": decision.read_as}
    cells = given.pop("cells", ())
    in_order = {name: given[name] for name in _KEYS if name in given}
    rows = "".join(f"    {toml_text.value(pair)},\n" for pair in cells)
    return toml_text.lines(in_order) + (f"cells = [\n{rows}]\n" if rows else "")


def read_decisions(text: str | None) -> tuple[Decisions, list[Finding]]:
    """Read the text of `decisions.toml`.

    Parameters
    ----------
    text : str or None
        The file's content; None where the folder has none.

    Returns
    -------
    Decisions
        Without those that are wrong.
    list of Finding
        One for each wrong entry; `field` names its number, from 1, and the key.
    """
    if text is None:
        return Decisions(), []
    try:
        document = tomllib.loads(text)
    except (ValueError, RecursionError) as error:  # endless digits, brackets within brackets
        wrong = _finding(
            "",
            str(error),
            "a TOML file",
            "Mend the line named; until then no decision is applied, and none can be added.",
        )
        return Decisions(complete=False), [wrong]
    given = document.pop("decision", [])
    findings = [
        _finding(
            key,
            values.as_found(value),
            "entries that begin with [[decision]]",
            "Put it under [[decision]] or remove it; it goes when the next decision is saved.",
        )
        for key, value in document.items()
    ]
    entries: list[Decision | Unread] = []
    for number, one in enumerate(given if isinstance(given, list) else [given], 1):
        try:
            entries.append(_decision(one))
        except _WrongEntry as wrong:
            findings.append(
                _finding(
                    f"decision {number}, {wrong.key}" if wrong.key else f"decision {number}",
                    wrong.found,
                    wrong.expected,
                    "Correct the entry or remove it; until then the decision is not applied.",
                )
            )
            entries.append(Unread(toml_text.lines(one if isinstance(one, dict) else {"is": one})))
    return Decisions(tuple(entries)), findings + _decided_again(entries)


def _decided_again(entries: list[Decision | Unread]) -> list[Finding]:
    latest: dict[tuple[str, ...], int] = {}
    findings = []
    for number, one in reversed(list(enumerate(entries, 1))):
        if isinstance(one, Unread):
            continue
        later = latest.setdefault(one.question, number)
        if later != number:
            findings.append(
                _finding(
                    f"decision {number}",
                    one.found or one.row_mark or one.sort,
                    "one decision about one question",
                    f"Decision {later} is about the same and counts; remove one of them.",
                )
            )
    return findings[::-1]


class _WrongEntry(ValueError):
    def __init__(self, key: str, found: str, expected: str) -> None:
        self.key, self.found, self.expected = key, found, expected
        super().__init__(expected)


def _decision(given: Any) -> Decision:
    if not isinstance(given, dict):
        raise _WrongEntry("", values.as_found(given), "an entry that begins with [[decision]]")
    good: dict[str, Any] = {}
    for key, value in given.items():
        if key not in _KEYS:
            # Passed over as a whole: a key misspelt may be the one that narrows it down.
            raise _WrongEntry(key, values.as_found(value), f"one of the keys {', '.join(_KEYS)}")
        try:
            good[key] = _KEYS[key](value)
        except values.WrongValue as wrong:
            raise _WrongEntry(key, values.as_found(value), str(wrong)) from None
    if "what" not in good:
        raise _WrongEntry("what", "", f"one of {', '.join(WHATS)}")
    what = cast(What, good["what"])
    if good.get("cells") and not good.get("row_mark"):
        header, cells = zip(*good["cells"], strict=True)
        good["row_mark"] = row_mark(header, cells)
    for key, expected in _NEEDED[what].items():
        if key not in good or not (good[key].strip() or (what == "cell" and key == "read_as")):
            raise _WrongEntry(key, good.get(key, ""), expected)
    if what == "word" and good["field"] not in _FIELDS:
        raise _WrongEntry("field", good["field"], f"one of {', '.join(_FIELDS)}")
    return Decision(**good)


def _cells(value: Any) -> tuple[tuple[str, str], ...]:
    if not isinstance(value, list):
        raise values.WrongValue('pairs of header and cell, such as [["Boat", "Otter"]]')
    pairs = [values.texts(pair) for pair in value]
    if any(len(pair) != 2 for pair in pairs):
        raise values.WrongValue('pairs of header and cell, such as [["Boat", "Otter"]]')
    return tuple((pair[0], pair[1]) for pair in pairs)


def _mark(value: Any) -> str:
    mark = values.text(value)
    if len(mark) != FIGURES or not set(mark) <= set("0123456789abcdef"):
        raise values.WrongValue(f"{FIGURES} hexadecimal figures, or the cells of the row")
    return mark


_KEYS: Mapping[str, Callable[[Any], str | date | tuple[tuple[str, str], ...]]] = {
    "what": values.one_of(*WHATS),
    "sort": values.one_of(*SORTS),
    "file": values.text,
    "sheet": values.text,
    "field": values.text,
    "found": values.text,
    "read_as": values.text,
    "by": values.text,
    "on": values.day,
    "why": values.text,
    "row_mark": _mark,
    "cells": _cells,
}

_FIELDS = sorted({field.name for shape in SHAPES.values() for field in shape.fields})

_READ = {"found": "the text as it stands", "read_as": "what it is read as"}
_ROW = {
    "file": "the name of the file, * for what changes",
    "row_mark": "the mark of the row, or its cells",
}
_NEEDED: Mapping[What, Mapping[str, str]] = {
    "name": _READ,
    "word": {"field": "the field in which it stands", **_READ},
    "cell": {
        "field": "the header over the cell",
        "read_as": "what the cell is read as, which may be blank",
        **_ROW,
    },
    "leave_out": _ROW,
    "keep": {"sort": "the sort of the finding", "file": _ROW["file"]},
}


def _finding(field: str, found: str, expected: str, remedy: str, done: Done = "ignored") -> Finding:
    return Finding(FILE, None, field, found, expected, done, remedy, "decided")
