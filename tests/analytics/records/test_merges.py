"""Cells merged over several rows: what the first holds is carried down, and never across."""

from __future__ import annotations

import io
from collections.abc import Mapping

import pytest
import xlsxwriter
from hypothesis import given
from hypothesis import strategies as st
from odf.opendocument import OpenDocumentSpreadsheet
from odf.table import CoveredTableCell, Table, TableCell, TableRow
from odf.text import P

from analytics.records.files import limits
from analytics.records.files.grids import Grid
from analytics.records.files.merges import carried_down
from analytics.records.files.workbooks import workbook_grids
from analytics.records.findings import FleetError
from analytics.records.reading import read_fleet
from tests.analytics.records.exports import xlsx

Rows = list[list[str]]
Merges = list[tuple[int, int, int, int]]
"""First row and column, last row and column, the first being 0."""


def as_xlsx(rows: Rows, merges: Merges, sheet: str = "parts") -> bytes:
    made = io.BytesIO()
    book = xlsxwriter.Workbook(made, {"in_memory": True})
    page = book.add_worksheet(sheet)
    for top, left, bottom, right in merges:
        page.merge_range(top, left, bottom, right, rows[top][left])
    for at, row in enumerate(rows):
        for column, cell in enumerate(row):
            if cell:
                page.write_string(at, column, cell)
    book.close()
    return made.getvalue()


def as_ods(rows: Rows, merges: Merges, sheet: str = "parts") -> bytes:
    spans: Mapping[tuple[int, int], tuple[int, int]] = {
        (top, left): (bottom - top + 1, right - left + 1) for top, left, bottom, right in merges
    }
    covered = {
        (row, column)
        for top, left, bottom, right in merges
        for row in range(top, bottom + 1)
        for column in range(left, right + 1)
    } - set(spans)
    document = OpenDocumentSpreadsheet()
    document.spreadsheet.addElement(Table(name="before"))
    table = Table(name=sheet)
    for at, row in enumerate(rows):
        line = TableRow()
        for column, cell in enumerate(row):
            if (at, column) in covered:
                line.addElement(CoveredTableCell())
                continue
            down, across = spans.get((at, column), (1, 1))
            made = TableCell(
                valuetype="string" if cell else None,
                numberrowsspanned=down,
                numbercolumnsspanned=across,
            )
            if cell:
                made.addElement(P(text=cell))
            line.addElement(made)
        table.addElement(line)
    document.spreadsheet.addElement(table)
    written = io.BytesIO()
    document.write(written)
    return written.getvalue()


HEADER = ["boat", "kind", "fitted_on"]
SHEET: Rows = [
    ["Gear of the fleet", "", ""],
    HEADER,
    ["Wren", "bellows", "2014"],
    ["", "face_seal", "2015"],
    ["", "lip_seal", "2016"],
    ["Otter", "bellows", "2014"],
    ["", "face_seal", ""],
]
MERGES: Merges = [(0, 0, 0, 2), (2, 0, 4, 0), (5, 0, 6, 0), (5, 2, 6, 2)]


def cells(grid: Grid) -> Rows:
    return [row for _, row in grid.rows()]


@pytest.mark.parametrize("written", [as_xlsx, as_ods])
def test_a_name_merged_over_its_rows_is_that_of_every_row(written: object) -> None:
    book = written(SHEET, MERGES)  # type: ignore[operator]
    records = read_fleet({"boats.csv": b"boat\nWren\nOtter\n", "fleet.xlsx": book})
    parts = records.tables["parts.csv"]
    assert parts["boat"].tolist() == ["Wren"] * 3 + ["Otter"] * 2
    assert parts["fitted_on_lo"].dt.year.tolist() == [2014, 2015, 2016, 2014, 2014]
    (one,) = [one for one in records.findings if one.sort == "merged_cells"]
    assert (one.file, one.rows, one.done) == ("fleet.xlsx, sheet parts", (4, 5, 7), "noted")
    (title,) = [one for one in records.findings if one.sort == "totals_and_titles"]
    assert title.found == "Gear of the fleet"


@pytest.mark.parametrize("written", [as_xlsx, as_ods])
def test_without_merged_cells_nothing_is_carried(written: object) -> None:
    (grid,) = workbook_grids("x.xlsx", written(SHEET, []))  # type: ignore[operator]
    assert cells(grid) == SHEET
    assert not grid.findings


@pytest.mark.parametrize("written", [as_xlsx, as_ods])
def test_titles_and_headers_of_double_height_stay_one_row(written: object) -> None:
    rows = [
        ["Title", "", "", ""],
        ["", "", "", ""],
        ["Boat", "Fitted", "", "Note"],
        ["", "on", "hours", ""],
        ["Wren", "2014", "12", "x"],
        ["", "", "", ""],
        ["Otter", "2014", "13", "y"],
    ]
    merges = [(0, 0, 1, 3), (2, 0, 3, 0), (2, 1, 2, 2), (2, 3, 3, 3), (4, 0, 5, 0)]
    (grid,) = workbook_grids("x.xlsx", written(rows, merges))  # type: ignore[operator]
    changed = [list(row) for row in rows]
    changed[3] = ["Boat", "on", "hours", "Note"]  # the lower half of the header
    assert cells(grid) == changed


def test_rows_repeated_above_a_merged_cell_of_an_ods_count() -> None:
    document = OpenDocumentSpreadsheet()
    table = Table(name="parts")
    table.addElement(TableRow(numberrowsrepeated=3))
    for at, name in enumerate(("Wren", "")):
        line = TableRow()
        line.addElement(TableCell(numbercolumnsrepeated=2))
        kept = TableCell(valuetype="string", numberrowsspanned=2) if name else CoveredTableCell()
        if name:
            kept.addElement(P(text=name))
        line.addElement(kept)
        own = TableCell(valuetype="string")
        own.addElement(P(text=f"part {at}"))
        line.addElement(own)
        table.addElement(line)
    document.spreadsheet.addElement(table)
    made = io.BytesIO()
    document.write(made)
    (grid,) = workbook_grids("x.ods", made.getvalue())
    assert cells(grid)[3:] == [["", "", "Wren", "part 0"], ["", "", "Wren", "part 1"]]


def test_what_a_cell_holds_itself_is_never_written_over() -> None:
    rows = [["a", "1"], ["b", "2"], ["", "3"]]
    assert carried_down(rows, [((0, 0), (2, 0))]) == [3]
    assert rows == [["a", "1"], ["b", "2"], ["a", "3"]]


PLACES = st.tuples(st.integers(0, 9), st.integers(0, 4))


@given(st.lists(st.tuples(PLACES, PLACES), max_size=9))
def test_no_list_of_merged_cells_does_harm(merged: list[tuple[tuple[int, int], ...]]) -> None:
    rows = [[f"{row} {column}" if row % 3 == 0 or column == 2 else "" for column in range(4)]
            for row in range(7)]  # fmt: skip
    before = [list(row) for row in rows]
    filled = carried_down(rows, merged)  # type: ignore[arg-type]
    for at, (old, new) in enumerate(zip(before, rows, strict=True), 1):
        assert (old != new) == (at in filled)
        for column, (was, now) in enumerate(zip(old, new, strict=True)):
            assert now == was or (was == "" and now.endswith(f" {column}"))


def test_too_many_merged_cells_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    book = as_xlsx(SHEET, MERGES)
    monkeypatch.setattr(limits, "MERGES", 3)
    with pytest.raises(FleetError, match="4 merged cells"):
        workbook_grids("x.xlsx", book)
    workbook_grids("y.xlsx", xlsx({"parts": SHEET}))
