"""`plan.toml`: what people decided about the coming haul-outs, read entry by entry and written.

A week may be promised to a boat, pinned or ruled out; a job may be done already, or left
undone although a rule asks for it, which only a named person can accept.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any, Literal, cast, get_args

from analytics.records import setting_values as values
from analytics.records.decided import toml_text
from analytics.records.files.names import WISHES as FILE
from analytics.records.findings import Finding
from analytics.records.tables import POSITIONS, as_word

What = Literal["promised", "pinned", "ruled_out", "done", "accepted"]

OF_WEEKS = ("promised", "pinned", "ruled_out")
"""Wishes about a boat's week; the others are about one of her jobs."""

_ABOVE = """\
What people decided about the haul-outs to come. what = "promised" or "pinned" fixes a boat
to a week (its Monday), "ruled_out" forbids one; "done" takes a job off the list, and
"accepted" leaves one undone although a rule asks for it: by says who accepts that.
"""


@dataclass(frozen=True)
class Wish:
    """One decision about a boat's haul-out.

    Attributes
    ----------
    what : {"promised", "pinned", "ruled_out", "done", "accepted"}
    boat : str
    week : date or None
        First day of the week, for the first three.
    position, kind : str
        Of the part, for the last two; a blank position is `single`.
    by, note : str
        Who decided it, and why; `by` is not blank where something is accepted.
    """

    what: What
    boat: str
    week: date | None = None
    position: str = ""
    kind: str = ""
    by: str = ""
    note: str = ""

    @property
    def job(self) -> tuple[str, str, str]:
        """Boat, position and kind of the part."""
        return self.boat, self.position or "single", self.kind


def read_wishes(text: str | None) -> tuple[tuple[Wish, ...], list[Finding]]:
    """Read the text of `plan.toml`.

    Returns
    -------
    tuple of Wish
        Without those that are wrong.
    list of Finding
        One per wrong entry; `field` names its number, from 1, and the key.
    """
    if text is None:
        return (), []
    try:
        document = tomllib.loads(text)
    except (ValueError, RecursionError) as error:  # endless digits, brackets within brackets
        expected = "a TOML file"
        remedy = "Mend the line named; until then nothing in it is applied to the plan."
        return (), [_finding("", str(error)[:200], expected, remedy)]
    given = document.pop("wish", [])
    remedy = "Put it under [[wish]] or remove it."
    findings = [
        _finding(key, values.as_found(value), "entries that begin with [[wish]]", remedy)
        for key, value in document.items()
    ]
    wishes: list[Wish] = []
    for number, one in enumerate(given if isinstance(given, list) else [given], 1):
        try:
            wishes.append(_wish(one))
        except _WrongEntry as wrong:
            at = f"wish {number}" + (f", {wrong.key}" if wrong.key else "")
            remedy = "Correct the entry or remove it; until then it is not applied."
            findings.append(_finding(at, wrong.found, wrong.expected, remedy))
    return tuple(wishes), findings


def wishes_text(wishes: Iterable[Wish]) -> str:
    """The content of `plan.toml`, without its encoding (UTF-8)."""
    parts = [toml_text.comment(_ABOVE)]
    for one in wishes:
        given = {name: value for name, value in vars(one).items() if value not in ("", None)}
        parts.append("\n[[wish]]\n" + toml_text.lines(given))
    return "".join(parts)


class _WrongEntry(ValueError):
    def __init__(self, key: str, found: object, expected: str) -> None:
        super().__init__(expected)
        self.key, self.found, self.expected = key, values.as_found(found), expected


def _wish(given: Any) -> Wish:
    if not isinstance(given, Mapping):
        raise _WrongEntry("", given, "entries that begin with [[wish]]")
    for key, value in given.items():
        if key not in vars(Wish("pinned", "")):
            raise _WrongEntry(key, value, "what, boat, week, position, kind, by or note")
    what = given.get("what")
    if what not in get_args(What):
        raise _WrongEntry("what", what, "one of " + ", ".join(get_args(What)))
    texts = {name: _text(given, name) for name in ("boat", "position", "kind", "by", "note")}
    texts["position"], texts["kind"] = as_word(texts["position"]), as_word(texts["kind"])
    week = None
    if "week" in given:
        try:
            week = values.day(given["week"])
        except values.WrongValue as wrong:
            raise _WrongEntry("week", given["week"], str(wrong)) from None
    if not texts["boat"]:
        raise _WrongEntry("boat", "", "the boat's name")
    if what in OF_WEEKS and week is None:
        raise _WrongEntry("week", "", "the first day of a week, such as 2026-11-02")
    if what not in OF_WEEKS and not texts["kind"]:
        raise _WrongEntry("kind", "", "the kind of part, as in parts.csv")
    if texts["position"] and texts["position"] not in POSITIONS:
        raise _WrongEntry("position", texts["position"], "one of " + ", ".join(POSITIONS))
    if what == "accepted" and not texts["by"]:
        raise _WrongEntry("by", "", "the name of the person who accepts it")
    return Wish(what=cast(What, what), week=week, **texts)


def _text(given: Mapping[str, Any], name: str) -> str:
    value = given.get(name, "")
    if not isinstance(value, str):
        raise _WrongEntry(name, value, "a text in quotes")
    return value.strip()


def _finding(field: str, found: str, expected: str, remedy: str) -> Finding:
    return Finding(FILE, None, field, found, expected, "ignored", remedy, "setting")
