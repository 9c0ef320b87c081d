"""Every row of every file that was read, and what became of it: nothing is lost on the way."""

from __future__ import annotations

import csv
import io
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import pandas as pd

from analytics.records.cells import CheckedRows, Row
from analytics.records.findings import Finding
from analytics.records.gather.gather import Gathered
from analytics.records.gather.ledger import fates
from analytics.records.gather.plain import PlainTables
from analytics.records.tables import PARTS

COUNT_COLUMNS = ["file", "rows_read", "used", "merged", "rejected", "ignored"]
REJECTED_COLUMNS = ["file", "row", "field", "found", "expected", "remedy", "cells"]

FATES = ("used", "merged", "rejected", "ignored")


@dataclass(frozen=True)
class Export:
    """One file or sheet, row by row.

    Attributes
    ----------
    name : str
        What counts call it: the table's name in the plain layout, or the file
        with its sheet.
    place : str
        The file with its sheet.
    source : str
        What stays the same from one export to the next: the pattern of the
        file's name with the sheet.
    holds : str
        The table or the shape.
    header_row : int
    header : list of str
    columns : mapping of str to str
        Header by field, of a mapped export.
    rows : sequence of (int, sequence of str)
        Row of the file, and its cells, without those left out by a decision.
    fates : mapping of int to (str, Finding or None)
        What became of each row, one of `FATES`, and what says why.
    """

    name: str
    place: str
    source: str
    holds: str
    header_row: int
    header: list[str]
    columns: Mapping[str, str]
    rows: Sequence[tuple[int, Sequence[str]]]
    fates: Mapping[int, tuple[str, Finding | None]]

    @property
    def about_parts(self) -> bool:
        """True where its rows are about parts."""
        return self.holds in (PARTS.file, "lives", "events")


def exports_of(
    plain: PlainTables,
    gathered: Gathered,
    checked: Mapping[str, CheckedRows],
    rows: Mapping[str, Sequence[Row]],
    merged: Mapping[int, Finding],
) -> tuple[Export, ...]:
    """What became of every row.

    Parameters
    ----------
    plain, gathered
        What was read.
    checked : mapping of str to CheckedRows
        By table.
    rows : mapping of str to sequence of dict
        The rows that were used, by table.
    merged : mapping of int to Finding
        Rows of `parts.csv` that were merged into others.

    Raises
    ------
    AssertionError
        If a row was lost: a fault of the program.
    """
    used = {file: [row["row"] for row in some] for file, some in rows.items()}
    by_line = fates(gathered.ledger, gathered.traces, checked, used, {PARTS.file: merged})
    exports = []
    for file, read in plain.read.items():
        left = {row: ("ignored", why) for row, why in plain.left_out(file).items()}
        if file in gathered.traces:
            number = gathered.ledger.places.index(read.grid.place)
            of_rows = {**left, **_of_source(gathered, number, by_line)}
        else:
            part = checked[file]
            own_merged = merged if file == PARTS.file else {}
            of_rows = {
                **dict.fromkeys(used[file], ("used", None)),
                **{row: ("merged", why) for row, why in own_merged.items()},
                **{row: ("ignored", why) for row, why in part.ignored.items()},
                **{row: ("rejected", why) for row, why in part.rejected.items()},
                **left,
            }
        cells = [(row, list(texts.values())) for row, texts in read.rows]
        header = [name for name in read.header if name]
        exports.append(
            Export(file, read.grid.place, file, file, read.header_row, header, {}, cells, of_rows)
        )
    for number, one in enumerate(gathered.translated):
        of_rows = {
            **{row: ("ignored", why) for row, why in one.out.items()},
            **_of_source(gathered, number, by_line),
        }
        source = one.source
        name = f"{source.file}, sheet {source.sheet}" if source.sheet else source.file
        exports.append(
            Export(
                one.place,
                one.place,
                name,
                source.shape,
                one.header_row,
                one.header,
                source.columns,
                one.replayed.rows,
                of_rows,
            )
        )
    for export in exports:
        if lost := [row for row, _ in export.rows if row not in export.fates]:
            raise AssertionError(f"rows of {export.place} were lost while reading: {lost[:5]}")
    return tuple(exports)


def _of_source(
    gathered: Gathered, number: int, by_line: Mapping[int, tuple[str, Finding | None]]
) -> dict[int, tuple[str, Finding | None]]:
    ledger = gathered.ledger
    start = ledger.starts[number]
    ends = [*ledger.starts[number + 1 :], len(ledger.rows)]
    return {
        ledger.rows[line - 1]: by_line[line]
        for line in range(start + 1, ends[0] + 1)
        if line in by_line
    }


def counts_of(exports: Sequence[Export]) -> pd.DataFrame:
    """How many rows were read, and what became of them, by file; columns `COUNT_COLUMNS`."""
    lines = []
    for export in exports:
        counted = Counter(what for what, _ in export.fates.values())
        lines.append((export.name, len(export.fates), *(counted[what] for what in FATES)))
    return pd.DataFrame(lines, columns=COUNT_COLUMNS)


def rejected_of(exports: Sequence[Export]) -> pd.DataFrame:
    """Every row that was rejected, why, and as it stood; columns `REJECTED_COLUMNS`."""
    lines = []
    for export in exports:
        texts = None
        for row, (what, why) in sorted(export.fates.items()):
            if what != "rejected" or why is None:
                continue
            texts = texts or dict(export.rows)
            cells = io.StringIO()
            csv.writer(cells).writerow(texts[row])
            lines.append(
                (
                    export.place,
                    row,
                    why.field,
                    why.found,
                    why.expected,
                    why.remedy,
                    cells.getvalue().removesuffix("\r\n"),
                )
            )
    return pd.DataFrame(lines, columns=REJECTED_COLUMNS)
