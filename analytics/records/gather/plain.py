"""Files in the plain layout, with a person's decisions applied."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from analytics.records.decided.decision import Decisions
from analytics.records.decided.replay import Replayed, apply
from analytics.records.files.grids import Grid
from analytics.records.findings import Finding, FleetError, of_rows
from analytics.records.table_rows import TableRows, read_rows
from analytics.records.tables import BOATS, TABLES, Table


@dataclass(frozen=True)
class PlainTables:
    """The tables that files hold in the plain layout.

    Attributes
    ----------
    read : mapping of str to TableRows
        By the table's file name.
    replays : mapping of str to Replayed
        What decisions did to their rows.
    stopped : list of Finding
        Why a file could not be read.
    """

    read: Mapping[str, TableRows]
    replays: Mapping[str, Replayed]
    stopped: list[Finding]

    def left_out(self, file: str) -> Mapping[int, Finding]:
        """Rows left out by a decision."""
        return self.replays[file].left_out if file in self.replays else {}


def plain_tables(grids: Mapping[str, Grid], decisions: Decisions) -> PlainTables:
    """Read the grids that hold tables of the plain layout.

    Parameters
    ----------
    grids : mapping of str to Grid
        By the table's file name.
    decisions : Decisions
    """
    read: dict[str, TableRows] = {}
    replays: dict[str, Replayed] = {}
    stopped: list[Finding] = []
    for table in TABLES:
        if table.file in grids:
            try:
                rows = read_rows(table, grids[table.file])
            except FleetError as error:
                stopped += error.findings
                continue
            boats = read.get(BOATS.file)
            listed = {cells["boat"] for _, cells in boats.rows} if boats else set()
            read[table.file], replays[table.file] = _decided(table, rows, decisions, listed)
    return PlainTables(read, replays, stopped)


def _decided(
    table: Table, rows: TableRows, decisions: Decisions, boats: set[str]
) -> tuple[TableRows, Replayed]:
    if not len(decisions):
        return rows, Replayed([], [], {}, frozenset())
    header = [name for name in rows.header if name]
    listed = [(line, list(cells.values())) for line, cells in rows.rows]
    replayed = apply(decisions, rows.grid.file, rows.grid.sheet, header, listed)
    words = {
        column.name: decisions.words(column.name)
        for column in table.columns
        if column.holds in ("choice", "word") and column.name in header
    }
    if "boat" in header and table.file != "boats.csv":
        words["boat"] = decisions.names
    kept = []
    renamed: dict[tuple[str, str], list[int]] = {}
    for line, cells in replayed.rows:
        row = dict(zip(header, cells, strict=True))
        for name, said in words.items():
            before = row[name]
            # A boat that is in the list is that boat, whatever was decided when it was not.
            if before and not (name == "boat" and before in boats):
                row[name] = said.get(before, before)
                if name == "boat" and row[name] != before:
                    renamed.setdefault((before, row[name]), []).append(line)
        kept.append((line, row))
    findings = [*rows.findings, *replayed.findings]
    for (name, boat), lines in sorted(renamed.items()):
        finding = Finding(
            rows.grid.place,
            None,
            "boat",
            name,
            "a boat of the list",
            "noted",
            f"Read as {boat}, as was decided.",
            "decided",
        )
        findings += of_rows(finding, lines)
    return replace(rows, rows=kept, findings=findings), replayed
