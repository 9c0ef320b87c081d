"""Rows of the tables of the plain layout while they are put together, each with its lines."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import pandas as pd

from analytics.records.files.grids import FileSettings, Grid
from analytics.records.gather.ledger import Ledger, Trace
from analytics.records.table_rows import TableRows
from analytics.records.tables import BOATS, TABLES, Table

Rows = list[dict[str, str]]
Lines = list[tuple[int, ...]]

_PLAIN = FileSettings(decimal=".", thousands="")
"""How numbers are written in rows that were put together."""


@dataclass
class Making:
    """The rows of the tables while they are put together."""

    rows: dict[str, Rows] = field(default_factory=lambda: defaultdict(list))
    lines: dict[str, Lines] = field(default_factory=lambda: defaultdict(list))

    def add(self, table: Table, rows: Rows, lines: Lines) -> None:
        """Add rows of a table, and the lines of which each was made."""
        self.rows[table.file] += rows
        self.lines[table.file] += lines


def lines_of(frame: pd.DataFrame) -> Lines:
    """The lines of rows that are made one by one."""
    return [(line,) for line in frame["line"].tolist()]


def rows_of(plain: Mapping[str, TableRows], table: Table) -> Rows:
    """The rows of a table that is in the plain layout already."""
    return [cells for _, cells in plain[table.file].rows] if table.file in plain else []


def together(
    making: Making,
    plain: Mapping[str, TableRows],
    ledger: Ledger,
    *,
    listed: bool,
) -> tuple[dict[str, TableRows], dict[str, Trace]]:
    """The tables that hold rows of mapped exports, and where their rows come from.

    Parameters
    ----------
    making : Making
    plain : mapping of str to TableRows
        Tables that are in the plain layout; their rows follow the others.
    ledger : Ledger
    listed : bool
        False where the boats are those that other rows name.
    """
    tables, traces = {}, {}
    for table in TABLES:
        rows, lines = making.rows[table.file], making.lines[table.file]
        if not rows:
            continue
        if table.file in plain:
            own = plain[table.file]
            numbers = ledger.add(own.grid.place, [row for row, _ in own.rows])
            ledger.findings.extend(own.findings)
            rows = [*rows, *(cells for _, cells in own.rows)]
            lines = [*lines, *((number,) for number in numbers)]
        derived = table is BOATS and not listed
        traces[table.file] = Trace(ledger, lines, counts=not derived)
        tables[table.file] = replace(table_rows(table, rows), where=traces[table.file].named)
    return tables, traces


def table_rows(table: Table, rows: Rows) -> TableRows:
    """Rows as those of a file in the plain layout, numbered from 1."""
    held: set[str] = set().union(*map(dict.keys, rows))
    header = [column.name for column in table.columns if column.name in held or column.required]
    # A row that has every column of the table need not be made anew.
    most = len(held) if held.issuperset(header) else -1
    numbered = [
        (number, row if len(row) == most else {name: row.get(name, "") for name in header})
        for number, row in enumerate(rows, 1)
    ]
    grid = Grid(table.file, lambda: iter(()), chosen=_PLAIN)
    return TableRows(grid, header, 0, numbered, [])
