"""Which exports were accepted, by whom and when: `accepted/log.toml`."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable
from dataclasses import dataclass, fields
from datetime import UTC, datetime
from typing import Any

from analytics.records import setting_values as values
from analytics.records.decided import toml_text
from analytics.records.findings import Finding

FILE = "accepted/log.toml"

_ABOVE = """\
Which exports of this fleet were accepted, by whom and when; the last entry is the
one that rows.csv.gz beside this file holds. Written by Tideworn, and only added to.
"""


@dataclass(frozen=True)
class PlaceCount:
    """What became of the rows of one file or sheet.

    Attributes
    ----------
    place : str
        The user's file, and sheet.
    rows_read, used, merged, rejected, ignored : int
        The last four add up to the first.
    """

    place: str
    rows_read: int
    used: int
    merged: int
    rejected: int
    ignored: int


@dataclass(frozen=True)
class Accepted:
    """One acceptance of an export.

    Attributes
    ----------
    who : str
    when : datetime
        To the second, UTC.
    fingerprint : str
        SHA-256 of the files, see `files.folder.fingerprint`.
    counts : tuple of PlaceCount
    note : str
    rows_digest : str
        SHA-256 of the packed rows that were saved with it.

    Raises
    ------
    ValueError
        If the time has no zone.
    """

    who: str
    when: datetime
    fingerprint: str
    counts: tuple[PlaceCount, ...] = ()
    note: str = ""
    rows_digest: str = ""

    def __post_init__(self) -> None:
        if self.when.tzinfo is None:
            raise ValueError("the time of an acceptance needs its zone")
        object.__setattr__(self, "when", self.when.astimezone(UTC).replace(microsecond=0))


def log_text(log: Iterable[Accepted]) -> str:
    """The content of `accepted/log.toml`, without its encoding (UTF-8)."""
    return toml_text.comment(_ABOVE) + "".join(map(entry_text, log))


def entry_text(one: Accepted) -> str:
    """One entry of the log: what is added to it at each acceptance."""
    given = {name: value for name, value in vars(one).items() if name != "counts"}
    counts = "".join(f"    {toml_text.value(vars(count))},\n" for count in one.counts)
    return f"\n[[accepted]]\n{toml_text.lines(given)}counts = [\n{counts}]\n"


def read_log(text: str) -> tuple[list[Accepted], list[Finding]]:
    """Read the text of `accepted/log.toml`.

    Returns
    -------
    list of Accepted
        In the order of the file.
    list of Finding
        One for each wrong entry; `field` names its number, from 1.
    """
    try:
        document = tomllib.loads(text)
    except (ValueError, RecursionError) as error:  # endless digits, brackets within brackets
        return [], [_finding("", str(error), "a TOML file", "Mend the line named.")]
    given = document.get("accepted", [])
    log, findings = [], []
    for number, one in enumerate(given if isinstance(given, list) else [given], 1):
        try:
            log.append(_accepted(one))
        except values.WrongValue as wrong:
            field = f"entry {number}"
            findings.append(
                _finding(
                    field,
                    "",
                    str(wrong),
                    "Correct the entry or bring the file back from a copy; until then this "
                    "acceptance does not count.",
                )
            )
    return log, findings


def _accepted(given: Any) -> Accepted:
    if not isinstance(given, dict):
        raise values.WrongValue("an entry that begins with [[accepted]]")
    if unknown := sorted(given.keys() - {field.name for field in fields(Accepted)}):
        raise values.WrongValue(f"no key {unknown[0]}")
    counts = given.get("counts", [])
    if not isinstance(counts, list):
        raise values.WrongValue("counts: a list")
    return Accepted(
        who=values.text(given.get("who", "")),
        when=_when(given.get("when")),
        fingerprint=_digest("fingerprint", given.get("fingerprint")),
        counts=tuple(map(_count, counts)),
        note=values.text(given.get("note", "")),
        rows_digest=_digest("rows_digest", given.get("rows_digest", "")),
    )


def _when(value: Any) -> datetime:
    expected = values.WrongValue("when: a time with its zone, such as 2026-11-02T09:30:00Z")
    if not isinstance(value, datetime) or value.tzinfo is None:
        raise expected
    try:
        return value.astimezone(UTC)
    except OverflowError:
        raise expected from None


def _digest(key: str, value: Any) -> str:
    if not isinstance(value, str) or not re.fullmatch("[0-9a-f]*", value):
        raise values.WrongValue(f"{key}: hexadecimal figures")
    return value


def _count(value: Any) -> PlaceCount:
    names = [field.name for field in fields(PlaceCount)]
    if not isinstance(value, dict) or set(value) != set(names):
        raise values.WrongValue(f"counts: {', '.join(names)}")
    place = values.text(value["place"])
    numbers = [value[name] for name in names[1:]]
    if not all(type(number) is int and 0 <= number < 10**12 for number in numbers):
        raise values.WrongValue("counts: whole numbers of 0 or more")
    return PlaceCount(place, *numbers)


def _finding(field: str, found: str, expected: str, remedy: str) -> Finding:
    return Finding(FILE, None, field, found, expected, "ignored", remedy)
