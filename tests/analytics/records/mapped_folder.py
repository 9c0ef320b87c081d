"""Small folders of foreign exports for the tests: rows with bars between the cells, and a mapping.

Every boat, base and person is invented.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import pandas as pd

from analytics import job
from analytics.records.decided.decision import Decision, Decisions
from analytics.records.decided.document import decisions_text
from analytics.records.findings import Finding
from analytics.records.mapping.document import mapping_text
from analytics.records.mapping.model import FleetMapping, SourceMapping
from analytics.records.reading import Records, read_fleet

SETTINGS = "as_of = 2024-12-31\nrecords_from = 2015-01-01\n"
FATES = ["used", "merged", "rejected", "ignored"]


@dataclass(frozen=True)
class Export:
    """One file, and how it is read."""

    file: str
    content: bytes
    source: SourceMapping | None


def cells(text: str) -> list[list[str]]:
    """Rows of a text with `|` between the cells; blanks beside the cells say nothing."""
    lines = text.strip("\n").split("\n")
    return [[cell.strip() for cell in line.split("|")] for line in lines]


def as_csv(rows: list[list[str]]) -> bytes:
    text = io.StringIO()
    csv.writer(text, lineterminator="\n").writerows(rows)
    return text.getvalue().encode()


def export(file: str, shape: str, columns: Mapping[str, str], text: str, **said: Any) -> Export:
    """A text file and its mapping: `said` are further entries, `pattern` its name with a `*`."""
    rows = cells(text)
    said = {"headers": tuple(rows[0]), "file": said.pop("pattern", file)} | said
    return Export(file, as_csv(rows), SourceMapping(shape=shape, columns=columns, **said))


def plain(file: str, text: str) -> Export:
    """A file in the plain layout."""
    return Export(file, as_csv(cells(text)), None)


def folder(
    *exports: Export, settings: str = SETTINGS, decided: tuple[Decision, ...] = ()
) -> dict[str, bytes]:
    """The files of a fleet folder."""
    files = {"fleet.toml": settings.encode(), **{one.file: one.content for one in exports}}
    said = [one.source for one in exports if one.source]
    if said:
        once = tuple(one for at, one in enumerate(said) if one not in said[:at])
        files["mapping.toml"] = mapping_text(FleetMapping(once)).encode()
    if decided:
        files["decisions.toml"] = decisions_text(Decisions(decided)).encode()
    return files


def read(*exports: Export, **others: Any) -> Records:
    """The records of such a folder; every row is accounted for."""
    records = read_fleet(folder(*exports, **others))
    reconciled(records)
    return records


def opened(*exports: Export, **others: Any) -> job.Fleet:
    fleet = job.open_fleet(folder(*exports, **others))
    reconciled(fleet.records)
    return fleet


def reconciled(records: Records) -> None:
    """No row is lost, none counts twice, and every row that was left out says why."""
    table = records.counts
    assert (table[FATES].sum(axis=1) == table["rows_read"]).all()
    for one in records.exports:
        numbers = [row for row, _ in one.rows]
        assert set(numbers) <= one.fates.keys()
        for fate, why in one.fates.values():
            assert fate in FATES
            assert (why is None) == (fate == "used")
    assert len(records.rejected) == table["rejected"].sum()


def counts(records: Records, file: str) -> dict[str, int]:
    """What became of the rows of a file, without what is zero."""
    row = records.counts.set_index("file").loc[file]
    return {name: int(number) for name, number in row.items() if number}


def rows(records: Records, table: str, *names: str) -> list[tuple[str, ...]]:
    """Columns of a table as texts; a window of days as it is written in the plain layout."""
    held = records.tables[table]
    columns = []
    for name in names:
        if f"{name}_lo" in held:
            columns.append(list(map(_window, held[f"{name}_lo"], held[f"{name}_hi"])))
        else:
            columns.append([_text(cell) for cell in held[name]])
    return list(zip(*columns, strict=True))


def sources(records: Records, table: str = "parts.csv") -> list[str]:
    """The user's file and row of each row of a table."""
    return [records.source(table, row) for row in records.tables[table]["row"]]


def told(records: Records, sort: str) -> list[Finding]:
    """The findings of a sort."""
    return [one for one in records.findings if one.sort == sort]


def _window(lo: pd.Timestamp, hi: pd.Timestamp) -> str:
    if pd.isna(lo):
        return ""
    return f"{lo:%Y-%m-%d}" if lo == hi else f"{lo:%Y-%m-%d}..{hi:%Y-%m-%d}"


def _text(cell: object) -> str:
    if isinstance(cell, float):
        return "" if cell != cell else f"{cell:g}"
    return str(cell)
