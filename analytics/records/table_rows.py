"""A grid read as one table: where its header stands, and its rows by column."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import chain, islice

from analytics.records.dates import parse_window
from analytics.records.files import limits
from analytics.records.files.grids import Grid
from analytics.records.findings import Finding, FleetError
from analytics.records.tables import PARTS, TABLES, Table, as_word


@dataclass(frozen=True)
class TableRows:
    """Rows of one table.

    Attributes
    ----------
    grid : Grid
        Where they come from.
    header : list of str
        Column names in lower case.
    header_row : int
        Row of the file in which they stand.
    rows : list of (int, dict of str to str)
        Row of the file on which each begins and the cells by column, stripped.
    findings : list of Finding
        What was noticed on the way.
    where : callable
        How findings name a row by its number, such as "row 12".
    """

    grid: Grid
    header: list[str]
    header_row: int
    rows: list[tuple[int, dict[str, str]]]
    findings: list[Finding]
    where: Callable[[int], str] = "row {}".format


def read_rows(table: Table, grid: Grid) -> TableRows:
    """Read a grid as a table.

    Parameters
    ----------
    table : Table
        Which table it should be.
    grid : Grid

    Raises
    ------
    FleetError
        If the text breaks off, or a column that is needed is missing.
    """
    findings = list(grid.findings)
    lines = grid.rows()
    top = list(islice(lines, max(limits.TITLE_ROWS, grid.chosen.header_row or 0)))
    if not any(cell.strip() for _, cells in top for cell in cells):
        raise FleetError.because(
            grid.place,
            found="an empty sheet" if grid.sheet else "an empty file",
            expected="a header with " + ", ".join(table.needed),
            remedy="Export it again, or remove it if there is nothing to tell.",
        )
    at = _header_at(table, grid, top)
    header_row, titles = top[at][0], top[at]
    header = [as_word(name) for name in titles[1]]
    while header and not header[-1]:
        header.pop()
    findings += _titles_above(grid, top[:at])
    _check_header(table, grid, header_row, header, findings)
    named = [(place, name) for place, name in enumerate(header) if name]
    rows: list[tuple[int, dict[str, str]]] = []
    for line, cells in chain(top[at + 1 :], lines):
        if len(cells) < len(header):
            cells = cells + [""] * (len(header) - len(cells))
        elif extra := [cell for cell in cells[len(header) :] if cell.strip()]:
            findings.append(_extra_cells(grid, line, extra, len(header)))
        rows.append((line, {name: cells[place].strip() for place, name in named}))
    if grid.sheet:
        while rows and not any(rows[-1][1].values()):
            rows.pop()  # a sheet ends where its last cell is, not where its formats end
    return TableRows(grid, header, header_row, rows, findings)


def table_of(grid: Grid) -> Table | None:
    """The table that a grid's header fits; None where none does, or two do as well.

    A header fits where it holds every column that the table needs, and most of
    what it holds are columns of the table. One of the dates of a life is needed
    for parts: a list of jobs may share every other header with them.
    """
    best: list[tuple[int, Table]] = []
    for _, cells in islice(grid.rows(), limits.TITLE_ROWS):
        header = {as_word(cell) for cell in cells if cell.strip()}
        if len(header) < 2:
            continue
        for table in TABLES:
            known = len(header & {column.name for column in table.columns})
            dated = table is not PARTS or not header.isdisjoint(("fitted_on", "removed_on"))
            if dated and header.issuperset(table.needed) and 2 * known > len(header):
                best.append((known, table))
    if not best:
        return None
    most = max(known for known, _ in best)
    fitting = {table.file: table for known, table in best if known == most}
    return next(iter(fitting.values())) if len(fitting) == 1 else None


def dates_are_plain(table: Table, grid: Grid) -> bool:
    """False where most dates near the top of a table are in another writing than the plain one.

    Such a file has the plain layout's headers and somebody's own dates: it is
    read by a mapping, which can say what stands first in them.
    """
    windows = {column.name for column in table.columns if column.holds == "window"}
    places: list[int] = []
    plain = other = 0
    for _, cells in islice(grid.rows(), limits.TITLE_ROWS + _DATES_LOOKED_AT):
        header = [as_word(cell) for cell in cells]
        if not places and windows.intersection(header):
            places = [at for at, name in enumerate(header) if name in windows]
            continue
        for at in places:
            text = cells[at].strip() if at < len(cells) else ""
            if any(mark.isdigit() for mark in text):
                try:
                    parse_window(text)
                    plain += 1
                except ValueError:
                    other += 1
    return other < _FEWEST_DATES or plain >= other


_DATES_LOOKED_AT = 300
_FEWEST_DATES = 4


def _header_at(table: Table, grid: Grid, top: Sequence[tuple[int, list[str]]]) -> int:
    """Which of the first rows holds the header: the one set, or the one with most columns."""
    if grid.chosen.header_row is not None:
        for at, (line, _) in enumerate(top):
            if line == grid.chosen.header_row:
                return at
        raise FleetError.because(
            grid.place,
            found=f"no row {grid.chosen.header_row}",
            expected="a header in the row that fleet.toml names",
            remedy="Correct header_row, or remove it to have the header looked for.",
        )
    known = {column.name for column in table.columns}

    def worth(at: int) -> tuple[bool, int, bool, int]:
        words = {as_word(cell) for cell in top[at][1] if cell.strip()}
        return words.issuperset(table.needed), len(words & known), bool(words), -at

    return max(range(len(top)), key=worth)


def _titles_above(grid: Grid, above: Sequence[tuple[int, list[str]]]) -> list[Finding]:
    titles = [
        (line, " ".join(cell.strip() for cell in cells if cell.strip())) for line, cells in above
    ]
    return [
        Finding(
            grid.place,
            line,
            "",
            title[:200],
            "the header in the first row",
            "noted",
            "Taken for a title and left out. Set header_row in fleet.toml if it is the header.",
            "totals_and_titles",
        )
        for line, title in titles
        if title
    ]


def _check_header(
    table: Table, grid: Grid, line: int, header: list[str], findings: list[Finding]
) -> None:
    known = {column.name for column in table.columns}
    if len(header) > limits.COLUMNS:
        raise FleetError.because(
            grid.place,
            line,
            found=f"{len(header):,} columns",
            expected=f"at most {limits.COLUMNS:,}",
            remedy="Check that this is the right file, and delete the columns that hold nothing.",
        )
    missing = [name for name in table.needed if name not in header]
    if missing:
        remedy = "Add the column, or rename the one that holds it."
        if grid.delimiter and len(header) == 1:
            remedy += " If the cells are parted by another mark, set delimiter in fleet.toml."
        raise FleetError.because(
            grid.place,
            line,
            field=", ".join(missing),
            found=", ".join(name for name in header if name)[:200],
            expected="a header with " + ", ".join(missing),
            remedy=remedy,
        )
    if twice := sorted(name for name, times in Counter(header).items() if name and times > 1):
        raise FleetError.because(
            grid.place,
            line,
            field=", ".join(twice),
            found=", ".join(twice),
            expected="each header once",
            remedy="Rename or remove one of the columns that share a header.",
        )
    findings += [
        Finding(
            grid.place,
            line,
            name,
            name,
            "a column of the plain layout",
            "ignored",
            "The column is not read; compare its name with the README if it should be.",
            "column_left_alone",
        )
        for name in header
        if name and name not in known
    ]


def _extra_cells(grid: Grid, line: int, extra: list[str], width: int) -> Finding:
    return Finding(
        grid.place,
        line,
        "",
        ",".join(extra),
        f"{width} cells",
        "noted",
        "Cells beyond the last header are not read: put quotes round a text that holds the mark "
        "between cells.",
        "cell_unreadable",
    )
