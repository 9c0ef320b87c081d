"""Which of the first rows of somebody's sheet holds the headers, and what each column is called."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import islice

from analytics.records.files import limits
from analytics.records.files.grids import Grid
from analytics.records.findings import FleetError
from analytics.records.vocabulary.headers import best_score

_BELOW = 20
"""Rows under a header that are looked at to tell it from a title."""

_LONG = 60
"""Characters from which a text is a sentence rather than a header."""


@dataclass(frozen=True)
class HeaderRow:
    """The row of headers.

    Attributes
    ----------
    line : int
        Its number in the file or sheet, the first being 1.
    cells : tuple of str
        What stands in it, one cell for each column that holds anything.
    titles : tuple of (int, str)
        Rows above it, with their text.
    known : int
        Cells that are headers as people write them; 0 where nothing but its
        place speaks for the row.
    """

    line: int
    cells: tuple[str, ...]
    titles: tuple[tuple[int, str], ...] = ()
    known: int = 0

    @cached_property
    def headers(self) -> list[str]:
        """The name of each column, every one different."""
        return headers_named(self.cells)


def header_of(grid: Grid) -> HeaderRow:
    """The row of headers of a sheet whose columns nobody has named yet.

    It is the one set in the settings; else, of the first rows, that with most
    cells that are headers in any shape, with different texts without figures,
    and with rows of its width below.

    Raises
    ------
    FleetError
        If the sheet is empty or too wide, breaks off, or has not the row that is set.
    """
    wanted = grid.chosen.header_row
    top = list(islice(grid.rows(), max(limits.TITLE_ROWS, wanted or 0) + _BELOW))
    filled = [
        (line, stripped)
        for line, cells in top
        if any(stripped := [" ".join(cell.split()) for cell in cells])
    ]
    if not filled:
        raise FleetError.because(
            grid.place,
            found="an empty sheet" if grid.sheet else "an empty file",
            expected="a row of headers and rows below it",
            remedy="Export it again, or remove it if there is nothing to tell.",
        )
    at = _set_row(grid, filled, wanted) if wanted is not None else _likeliest(filled)
    line, cells = filled[at]
    # Cells beyond the row of headers have no column; blanks at its end count where rows fill them.
    width = min(len(cells), max(_width(row) for _, row in filled[at : at + _BELOW]))
    if width > limits.COLUMNS:
        raise FleetError.because(
            grid.place,
            line,
            found=f"{width:,} columns",
            expected=f"at most {limits.COLUMNS:,}",
            remedy="Check that this is the right file, and delete the columns that hold nothing.",
        )
    titles = tuple((number, " ".join(cell for cell in row if cell)) for number, row in filled[:at])
    return HeaderRow(
        line, tuple(cells[:width]), titles, sum(best_score(cell) > 0 for cell in cells)
    )


def headers_named(cells: Iterable[str]) -> list[str]:
    """A name for each column: its header, or its place where that is blank, each name once.

    Parameters
    ----------
    cells : iterable of str
        The row of headers, from the first column.

    Returns
    -------
    list of str
        Blank headers as "column 4"; the second "Date" as "Date (2)", whatever its capitals.
    """
    plain = [
        " ".join(cell.split()) or f"column {place}" for place, cell in enumerate(cells, start=1)
    ]
    taken, times, names = {name.casefold() for name in plain}, Counter[str](), []
    for name in plain:
        key = name.casefold()
        times[key] += 1
        own = name
        if times[key] > 1:
            while own.casefold() in taken:
                own = f"{name} ({times[key]})"
                times[key] += own.casefold() in taken
            taken.add(own.casefold())
        names.append(own)
    return names


def _set_row(grid: Grid, filled: Sequence[tuple[int, list[str]]], wanted: int) -> int:
    for at, (line, _) in enumerate(filled):
        if line == wanted:
            return at
    raise FleetError.because(
        grid.place,
        found=f"nothing in row {wanted}",
        expected="a header in the row that fleet.toml names",
        remedy="Correct header_row, or remove it to have the header looked for.",
    )


def _likeliest(filled: Sequence[tuple[int, list[str]]]) -> int:
    first = filled[: limits.TITLE_ROWS]
    worth = [
        _worth(row, [cells for _, cells in filled[at + 1 : at + 1 + _BELOW]])
        for at, (_, row) in enumerate(first)
    ]
    return max(range(len(first)), key=lambda at: (worth[at], -at))


def _worth(row: list[str], below: Sequence[list[str]]) -> float:
    """How much a row looks like headers."""
    held = [cell for cell in row if cell]
    distinct = {cell.casefold() for cell in held}
    plain = sum(not any(mark.isdigit() for mark in cell) and len(cell) < _LONG for cell in distinct)
    known = sum(best_score(cell) for cell in distinct if len(cell) < _LONG)
    figures = sum(sum(map(str.isdigit, cell)) > len(cell) / 2 for cell in held)
    widths = [sum(map(bool, cells)) for cells in below]
    # A title stands alone over wider rows; a header is as wide as what it heads.
    narrow = 1.0 if widths and 2 * len(held) < max(widths) else 0.0
    lonely = 0.0 if widths else 1.0
    spread = (len(held) - len(distinct)) / len(held)
    return 2 * known + 0.5 * plain - figures - 3 * narrow - 2 * lonely - 2 * spread


def _width(row: Sequence[str]) -> int:
    return max((place for place, cell in enumerate(row, start=1) if cell), default=0)
