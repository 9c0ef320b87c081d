"""The exports read back by csv and python-calamine alone, nothing of Tideworn's own reader."""

from __future__ import annotations

import csv
import io
import json
from datetime import date, datetime, timedelta
from functools import cache
from typing import Any

from python_calamine import CalamineWorkbook

from analytics.sample import TARNWICK, InventedMess, invent_fleet, mess_of

Grid = list[list[Any]]

SEEDS = (0, 1, 2)

ENCODED = {
    "fleet list.csv": ("utf-8-sig", ","),
    "quillhaven jobs.csv": ("utf-8-sig", ","),
    "quillhaven parts issued.csv": ("utf-8-sig", ","),
    "quillhaven hours.csv": ("utf-8-sig", ","),
    "quillhaven haul-outs.csv": ("utf-8-sig", ","),
    "ellorn gear.csv": ("cp1252", ";"),
    "ellorn hours.csv": ("cp1252", ";"),
    "ellorn haul-outs.csv": ("cp1252", ";"),
}
SHEETS = ("Boote", "Anlage", "Stunden", "Kranen", "Preise", "Failures")


@cache
def mess(seed: int = 0, boats: int = 60) -> InventedMess:
    """The exports of an invented fleet, made once."""
    return mess_of(invent_fleet(TARNWICK, boats=boats, seed=seed))


def key(made: InventedMess) -> dict[str, Any]:
    """The key beside them."""
    return json.loads(made.files["key.json"])


def grids(made: InventedMess) -> dict[tuple[str, str], Grid]:
    """Every row of every file and sheet from its top, by file and sheet."""
    read: dict[tuple[str, str], Grid] = {}
    for name, (encoding, delimiter) in ENCODED.items():
        text = made.files[name].decode(encoding)
        read[name, ""] = list(csv.reader(io.StringIO(text, newline=""), delimiter=delimiter))
    book = CalamineWorkbook.from_filelike(io.BytesIO(made.files["sandrick.xlsx"]))
    for sheet in book.sheet_names:
        read["sandrick.xlsx", sheet] = book.get_sheet_by_name(sheet).to_python(
            skip_empty_area=False
        )
    return read


def header_row(grid: Grid) -> int:
    """The number of the first row in which more than two cells are filled."""
    return next(n for n, row in enumerate(grid) if sum(cell != "" for cell in row) > 2)


def cell(grid: Grid, row: int, column: str) -> str:
    """The text of a cell by the number of its row, the first being 1, and its header."""
    return as_text(grid[row - 1][grid[header_row(grid)].index(column)])


def records(grid: Grid) -> dict[int, dict[str, Any]]:
    """The rows under the headers by their number."""
    at = header_row(grid)
    headers = grid[at]
    return {n + 1: dict(zip(headers, grid[n], strict=True)) for n in range(at + 1, len(grid))}


def as_text(value: Any) -> str:
    if isinstance(value, datetime):
        return value.date().isoformat()
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    return str(value)


def plain_date(value: Any) -> str:
    """A date of any office in the form of the plain layout; a year stays a year."""
    if isinstance(value, float):  # days of the 1900 system, in which 1 January 2000 is 36526
        return (date(2000, 1, 1) + timedelta(days=int(value) - 36526)).isoformat()
    text = as_text(value)
    for form in ("%d.%m.%Y", "%d/%m/%y", "%d %b %Y", "%Y-%m-%d"):
        try:
            return datetime.strptime(text, form).date().isoformat()
        except ValueError:
            continue
    return text


def clean_rows(made: InventedMess, name: str = "parts.csv") -> dict[int, dict[str, str]]:
    """The rows of a file of the clean folder by their line."""
    return dict(enumerate(csv.DictReader(io.StringIO(made.clean[name])), start=2))
