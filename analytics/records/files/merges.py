"""Cells of a sheet that are merged over several rows: what they hold is true of each of them.

A value is carried down the first column of what is merged and never across,
where it would be a title; and only into rows that hold something of their own,
so that headers and titles of double height stay one row.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from xml.parsers import expat

from analytics.records.files import limits
from analytics.records.findings import Finding, of_rows

Place = tuple[int, int]
Merged = tuple[Place, Place]
"""First and last row and column of what is merged, the first of a sheet being 0."""

SORT = "merged_cells"


def carried_down(cells: Sequence[list[str]], merged: Iterable[Merged]) -> list[int]:
    """Fill the blank cells under merged ones.

    Parameters
    ----------
    cells : sequence of list of str
        The rows of a sheet from its first, each as wide as the others; changed in place.
    merged : iterable of Merged

    Returns
    -------
    list of int
        Numbers of the rows that were filled, the first being 1.
    """
    own = [any(cell.strip() for cell in row) for row in cells]
    filled: set[int] = set()
    # Nothing is merged twice, whatever the workbook says: else a few lines make endless work.
    free: dict[int, int] = {}
    for (top, column), (bottom, _) in sorted(merged):
        if top < free.get(column, 0) or not _is_in(cells, top, column):
            continue
        free[column] = bottom + 1
        value = cells[top][column]
        if not value.strip():
            continue
        for at in range(top + 1, min(bottom + 1, len(cells))):
            if own[at] and not cells[at][column].strip():
                cells[at][column] = value
                filled.add(at + 1)
    return sorted(filled)


def _is_in(cells: Sequence[list[str]], row: int, column: int) -> bool:
    return 0 <= row < len(cells) and 0 <= column < len(cells[row])


def merged_finding(place: str, rows: Sequence[int]) -> list[Finding]:
    """What is said of the rows of a sheet that were filled: one finding, or none."""
    told = Finding(
        place,
        None,
        "",
        f"cells merged over several rows, {len(rows):,} of them blank beneath",
        "a value in every row",
        "noted",
        "What a merged cell holds was carried down over the rows it spans. If it is not true of "
        "each of them, unmerge the cells and fill in what is.",
        SORT,
    )
    return of_rows(told, rows)


def merged_in_open_document(content: bytes) -> list[list[Merged]]:
    """What is merged over several rows, by table of an ODS workbook in the order of its sheets.

    Parameters
    ----------
    content : bytes
        Its `content.xml`, known to be sound XML without entities (OpenDocument 1.3, 9.1: a cell
        says over how many rows and columns it spans).
    """
    walk = _Walk()
    parser = expat.ParserCreate()
    parser.StartElementHandler = walk.start
    parser.EndElementHandler = walk.end
    parser.Parse(content, True)
    return walk.sheets


class _Walk:
    """Where the cells of each table stand, repeated rows and cells counted as often."""

    def __init__(self) -> None:
        self.sheets: list[list[Merged]] = []
        self._depth = self._row = self._column = 0
        self._rows = 1

    def start(self, tag: str, said: dict[str, str]) -> None:
        if tag == "table:table":
            self._depth += 1
            if self._depth == 1:
                self.sheets.append([])
                self._row = 0
        elif self._depth != 1:
            return  # a table within a cell
        elif tag == "table:table-row":
            self._column, self._rows = 0, _number(said, "table:number-rows-repeated")
        elif tag in ("table:table-cell", "table:covered-table-cell"):
            times = _number(said, "table:number-columns-repeated")
            rows = _number(said, "table:number-rows-spanned")
            columns = _number(said, "table:number-columns-spanned")
            if rows > 1:
                first, last = (self._row, self._column), self._row + rows - 1
                self.sheets[-1].append((first, (last, self._column + columns - 1)))
            self._column += times

    def end(self, tag: str) -> None:
        if tag == "table:table":
            self._depth -= 1
        elif tag == "table:table-row" and self._depth == 1:
            self._row += self._rows


def _number(said: dict[str, str], name: str) -> int:
    text = said.get(name, "1").strip()
    return min(int(text[:9]), limits.CELLS) if text.isdecimal() else 1
