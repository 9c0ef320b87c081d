"""Tables as one XLSX workbook that no spreadsheet runs anything of.

What a sheet may hold (rows, columns, letters of a cell and of a sheet's name)
are the limits that spreadsheet programs publish (from memory).
"""

from __future__ import annotations

import io
import math
import re
from collections.abc import Mapping, Sequence
from datetime import date, datetime, time
from typing import Any

import numpy as np
import pandas as pd

from analytics.papers.files import harmless, notice, stamped
from analytics.records.findings import FleetError
from analytics.records.settings import Settings

MOST_ROWS = 1_048_575
"""Rows of a sheet below its header."""
MOST_COLUMNS = 16_384
MOST_LETTERS = 32_767
SHORTENED = " … (shortened)"
"""Ends a text that is longer than a cell can hold."""

_MOST_IN_NAME = 31
_NOT_IN_NAME = re.compile(r"[\[\]:*?/\\]")
_NO_LETTER = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ud800-\udfff\ufffe\uffff]")
"""What a text of an XML document cannot hold, and controls that nobody can see."""

_FIRST_DAY = datetime(1900, 3, 1)
"""Before it spreadsheets count a day that never was."""
_LARGEST_WHOLE = 10**15
"""Above it a spreadsheet rounds whole numbers."""

_WIDTHS = (8, 60)
_ROWS_MEASURED = 500


def workbook_bytes(
    tables: Mapping[str, pd.DataFrame],
    settings: Settings,
    number_formats: Mapping[str, str] | None = None,
    *,
    notice_on_top: bool = False,
) -> bytes:
    """A workbook with one sheet a table; the same tables give the same bytes.

    Texts are treated as in CSV files (`files.harmless`): a cell of text is never
    run, but it would be once the sheet is saved as CSV. Days are dates. An
    invented fleet says so on a sheet of its own, the first, and on every row.

    Parameters
    ----------
    tables : mapping of str to DataFrame
        By the name of the sheet; what a name cannot hold is left out of it.
    settings : Settings
    number_formats : mapping of str to str, optional
        How the numbers and days of a column are shown, by its name: "#,##0.00", "0.0 %".
    notice_on_top : bool
        An invented fleet says so above the header of every sheet instead, so that the workbook
        opens on the first of the tables.

    Raises
    ------
    FleetError
        If a table has more rows or columns than a sheet.
    """
    import xlsxwriter

    on_top = notice(settings) if settings.demo and notice_on_top else ""
    sheets = {name: table if on_top else stamped(table, settings) for name, table in tables.items()}
    if settings.demo and not on_top:
        sheets = {"Notice": pd.DataFrame({"Notice": [notice(settings)]}), **sheets}
    for name, table in sheets.items():
        _require_room(name, table, MOST_ROWS - bool(on_top))
    held = io.BytesIO()
    options = {
        "in_memory": True,
        "strings_to_formulas": False,
        "strings_to_urls": False,
        "strings_to_numbers": False,
    }
    with xlsxwriter.Workbook(held, options) as book:
        # The time of writing would make every file another one.
        written = datetime.combine(settings.as_of or date(2000, 1, 1), time())
        book.set_properties({"title": _clean(settings.name), "created": written})
        formats = {
            "header": book.add_format({"bold": True, "text_wrap": True, "valign": "top"}),
            "day": book.add_format({"num_format": "yyyy-mm-dd"}),
            "time": book.add_format({"num_format": "yyyy-mm-dd hh:mm"}),
        }
        columns = {
            name: book.add_format({"num_format": shown})
            for name, shown in (number_formats or {}).items()
        }
        for name, table in zip(sheet_names(list(sheets)), sheets.values(), strict=True):
            _fill(book.add_worksheet(name), table, formats, columns, on_top)
    return held.getvalue()


def sheet_names(names: Sequence[str]) -> list[str]:
    """Names that sheets can have, no two alike, each as near to the one given as can be."""
    taken: set[str] = {"history"}  # spreadsheets keep this name for themselves
    given = []
    for name in names:
        plain = _NOT_IN_NAME.sub(" ", _NO_LETTER.sub("", name))
        plain = " ".join(plain.split()).strip("' ") or "table"
        fitted, number = _within(plain, _MOST_IN_NAME, ""), 1
        while (fitted := fitted.strip("' ")).casefold() in taken:
            number += 1
            fitted = _within(f"{plain} ({number})", _MOST_IN_NAME, f" ({number})")
        taken.add(fitted.casefold())
        given.append(fitted)
    return given


def _require_room(name: str, table: pd.DataFrame, most: int) -> None:
    rows, columns = table.shape
    if rows > most or columns > MOST_COLUMNS:
        raise FleetError.because(
            name,
            found=f"{rows:,} rows and {columns:,} columns",
            expected=f"at most {most:,} rows and {MOST_COLUMNS:,} columns in a sheet",
            remedy="Take this table as CSV, or fewer boats, seasons or files at a time.",
        )


def _fill(
    sheet: Any,
    table: pd.DataFrame,
    formats: Mapping[str, Any],
    columns: Mapping[str, Any],
    on_top: str,
) -> None:
    head = 1 if on_top else 0
    if on_top:
        sheet.write_string(0, 0, _clean(on_top))
    sheet.freeze_panes(head + 1, 0)
    for at, name in enumerate(table.columns):
        header = _clean(str(name))
        sheet.write_string(head, at, header, formats["header"])
        cells = [_cell(cell) for cell in table.iloc[:, at].astype(object)]
        longest = max([len(header), *(_width(cell) for cell in cells[:_ROWS_MEASURED])])
        sheet.set_column(at, at, min(max(longest + 2, _WIDTHS[0]), _WIDTHS[1]))
        for row, cell in enumerate(cells, start=head + 1):
            if isinstance(cell, str):
                sheet.write_string(row, at, cell)
            elif isinstance(cell, datetime):
                whole = cell.time() == time()
                usual = formats["day" if whole else "time"]
                sheet.write_datetime(row, at, cell, columns.get(str(name), usual))
            elif isinstance(cell, bool):
                sheet.write_boolean(row, at, cell)
            elif cell is not None:
                sheet.write_number(row, at, cell, columns.get(str(name)))


def _cell(cell: Any) -> str | bool | int | float | datetime | None:
    """What a cell holds, None for a blank one."""
    if isinstance(cell, str):
        return _clean(cell) or None
    if pd.api.types.is_scalar(cell) and pd.isna(cell):
        return None
    if isinstance(cell, bool | np.bool_):
        return bool(cell)
    if isinstance(cell, int | np.integer) and abs(int(cell)) < _LARGEST_WHOLE:
        return int(cell)
    if isinstance(cell, float | np.floating) and math.isfinite(cell):
        return float(cell)
    if isinstance(cell, date):
        when = _moment(cell)
        return when if when >= _FIRST_DAY else when.date().isoformat()
    return _clean(str(cell)) or None


def _moment(day: date) -> datetime:
    """A day or a time as spreadsheets know it, without a zone."""
    if isinstance(day, pd.Timestamp):
        return day.tz_localize(None).to_pydatetime(warn=False)
    return day.replace(tzinfo=None) if isinstance(day, datetime) else datetime.combine(day, time())


def _clean(text: str) -> str:
    return _within(harmless(_NO_LETTER.sub("", text)), MOST_LETTERS, SHORTENED)


def _within(text: str, most: int, end: str) -> str:
    """A text of at most so many letters as spreadsheets count them, with an end where it was cut.

    They count in units of 16 bits, and a letter beyond the first 65,536 takes two.
    """
    units = text.encode("utf-16-le")
    if len(units) <= 2 * most:
        return text
    return units[: 2 * (most - len(end))].decode("utf-16-le", errors="ignore") + end


def _width(cell: object) -> int:
    """Letters that a cell shows side by side."""
    if isinstance(cell, str):
        return max(map(len, cell[:1000].split("\n")))
    return 10 if isinstance(cell, datetime) else len(f"{cell:.10g}" if cell is not None else "")
