"""How each file was read: what was detected in it, for people to look at and to overrule."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import pandas as pd

from analytics.records.cells import CheckedRows
from analytics.records.files.grids import Grid
from analytics.records.mapping.translate import Translated
from analytics.records.numbers import MARK_NAMES
from analytics.records.table_rows import TableRows

FILE_COLUMNS = [
    "file",
    "sheet",
    "taken_for",
    "encoding",
    "delimiter",
    "decimal",
    "thousands",
    "dates",
    "header_row",
    "rows",
]

_ORDERS = {
    "day": "day first",
    "month": "month first",
    "year": "year first",
    "": "not decided",
}

_DELIMITER_NAMES = {",": "comma", ";": "semicolon", "\t": "tab", "|": "pipe", "": ""}


def files_table(
    read: Mapping[str, TableRows],
    checked: Mapping[str, CheckedRows],
    translated: Iterable[Translated],
    left_alone: Iterable[Grid],
) -> pd.DataFrame:
    """How each file and sheet was read.

    Parameters
    ----------
    read, checked : mappings
        By the table's file name in the plain layout.
    translated : iterable of Translated
        Files and sheets read by the mapping.
    left_alone : iterable of Grid
        Files and sheets that hold no table.

    Returns
    -------
    DataFrame
        Columns `FILE_COLUMNS`; `taken_for` is blank for what was left alone, a
        mark within numbers is blank where no cell needs one.
    """
    lines: list[tuple[object, ...]] = [
        (
            *_text_read(table_rows.grid, file),
            _marks({name: one.decimal for name, one in checked[file].marks.items()}),
            _marks({name: "".join(one.seen) for name, one in checked[file].marks.items()}),
            "year first",
            table_rows.header_row,
            len(table_rows.rows),
        )
        for file, table_rows in read.items()
    ]
    lines += [
        (
            *_text_read(one.grid, f"{one.source.shape} (mapped)"),
            "",
            "",
            _ORDERS[one.style.order],
            one.header_row,
            len(one.replayed.rows),
        )
        for one in translated
    ]
    lines += [(*_text_read(grid, ""), "", "", "", None, None) for grid in left_alone]
    table = pd.DataFrame(lines, columns=FILE_COLUMNS)
    return table.astype({"header_row": "Int64", "rows": "Int64"})


def _text_read(grid: Grid, taken_for: str) -> tuple[str, str, str, str, str]:
    delimiter = _DELIMITER_NAMES.get(grid.delimiter, grid.delimiter)
    return grid.file, grid.sheet, taken_for, grid.encoding, delimiter


def _marks(by_column: Mapping[str, str]) -> str:
    """One word where the columns agree, else each with its own."""
    found = {name: mark for name, mark in by_column.items() if mark}
    if len(set(found.values())) == 1:
        return _mark_name(next(iter(found.values())))
    return ", ".join(f"{name}: {_mark_name(mark)}" for name, mark in found.items())


def _mark_name(marks: str) -> str:
    return " and ".join(MARK_NAMES[mark] for mark in sorted(marks))
