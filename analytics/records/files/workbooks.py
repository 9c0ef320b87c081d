"""XLSX and ODS workbooks to grids, one a sheet; read by calamine once nothing in them is too large.

The cells come as the spreadsheet holds them: a date is a day whatever its
format or the workbook's first year, a number has no marks to be guessed at.
"""

from __future__ import annotations

import datetime
import io
import unicodedata
from collections.abc import Iterator
from dataclasses import replace

from analytics.records.files.grids import AS_DETECTED, FileSettings, Grid, SheetNumber
from analytics.records.files.inflate import BROKEN, Allowance, inflated, members
from analytics.records.files.merges import (
    Merged,
    carried_down,
    merged_finding,
    merged_in_open_document,
)
from analytics.records.files.sheet_sizes import check_sizes
from analytics.records.findings import FleetError

Time = datetime.time | datetime.date | datetime.datetime | datetime.timedelta
Value = int | float | str | bool | Time

_WHOLE = 1e15
"""Up to here a whole number is written without a decimal point."""


def workbook_grids(file: str, content: bytes, chosen: FileSettings = AS_DETECTED) -> list[Grid]:
    """The grids of a workbook's sheets, those without a cell left out.

    Parameters
    ----------
    file : str
        Its name, for findings.
    content : bytes
    chosen : FileSettings
        What the settings say of it.

    Raises
    ------
    FleetError
        If it is broken, locked by a password, or too large.
    """
    from python_calamine import CalamineError, CalamineWorkbook, PasswordError

    check_sizes(file, content)
    try:
        workbook = CalamineWorkbook.from_filelike(io.BytesIO(content))
        grids = []
        open_document = _merged_by_name(file, content, workbook.sheet_names)
        for name in workbook.sheet_names:
            sheet = workbook.get_sheet_by_name(name)
            if sheet.start is not None:
                cells = [_texts(row) for row in sheet.to_python(skip_empty_area=False)]
                merged = sheet.merged_cell_ranges or open_document.get(name, [])
                grids.append(_grid(file, name, cells, merged, chosen))
        return grids
    except PasswordError:
        raise FleetError.because(
            file,
            found="a password",
            expected="a workbook that opens without one",
            remedy="Save it without a password.",
        ) from None
    except BaseException as error:
        # A fault within the reader is told by an exception of its own that has no public name.
        own_fault = type(error).__name__ == "PanicException"
        if not (own_fault or isinstance(error, CalamineError | OSError | ValueError)):
            raise
        raise FleetError.because(
            file, found=f"a broken workbook: {error}", expected="a complete one", remedy=BROKEN
        ) from None


def _merged_by_name(file: str, content: bytes, names: list[str]) -> dict[str, list[Merged]]:
    """What is merged in the sheets of an ODS workbook, of which calamine says nothing."""
    for member in members(file, content):
        if member.filename == "content.xml":
            xml = inflated(content, member, Allowance(file, len(content)))
            if b"number-rows-spanned" in xml:
                sheets = merged_in_open_document(xml)
                return dict(zip(names, sheets, strict=len(names) == len(sheets)))
    return {}


def _grid(
    file: str,
    name: str,
    cells: list[list[str]],
    merged: list[Merged],
    chosen: FileSettings,
) -> Grid:
    def rows() -> Iterator[tuple[int, list[str]]]:
        return enumerate(cells, 1)

    filled = carried_down(cells, merged)
    grid = Grid(file, rows, sheet=name, chosen=chosen)
    return replace(grid, findings=merged_finding(grid.place, filled))


def _texts(row: list[Value]) -> list[str]:
    return [_text(value) for value in row]


def _text(value: Value) -> str:
    if isinstance(value, str):
        return value if value.isascii() else unicodedata.normalize("NFC", value)
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        whole = abs(value) < _WHOLE and float(value).is_integer()
        return SheetNumber(int(value) if whole else value)
    if isinstance(value, datetime.datetime):
        value = value.date()  # a spreadsheet's day may hold the hour of an entry
    return str(value)
