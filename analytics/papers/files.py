"""Tables as CSV files that a spreadsheet opens without harm."""

from __future__ import annotations

import io
import re
from pathlib import Path

import pandas as pd

from analytics.records.settings import Settings

# What a spreadsheet takes for a formula's begin (OWASP, "CSV Injection", from memory), in wide
# and small forms of the marks too.
_MARK = "=+@\\-＝＋－＠﹢﹣﹦﹫⁺⁻⁼₊₋₌−"
# Spaces, controls and marks of no width, behind which a formula may stand.
_UNSEEN = r"\s\x00-\x1f\x7f-\x9f\xad\u180e\u200b-\u200f\u202a-\u202e\u2060-\u206f\ufeff"
_RUN = re.compile(
    rf"\A(?=[{_UNSEEN}]*[{_MARK}]|[\t\r\n])"
    # A file whose cells are parted by commas may be opened as if by semicolons or tabs, and a
    # text cut there would begin anew.
    rf'|(?<=[;\t\n])(?=(?:(?![;\t\n])["{_UNSEEN}])*[{_MARK}])'
)


def csv_text(table: pd.DataFrame, settings: Settings) -> str:
    """A table as CSV, LF line ends, a `notice` column where the fleet is invented.

    A text that a spreadsheet would take for a formula gets an apostrophe in
    front, in the header too. Columns of numbers stay numbers, with ten
    significant digits; a number in a column of texts is a text.
    """
    safe = stamped(table, settings)
    for at in range(safe.shape[1]):
        column = safe.iloc[:, at]
        if pd.api.types.is_datetime64_any_dtype(column):
            safe.isetitem(at, column.dt.strftime("%Y-%m-%d").to_numpy())
        elif not pd.api.types.is_numeric_dtype(column):
            safe.isetitem(at, column.astype(object).map(_harmless_cell).to_numpy())
    safe.columns = pd.Index([harmless(str(name)) for name in safe.columns], dtype=object)
    text = io.StringIO()
    safe.to_csv(text, index=False, lineterminator="\n", float_format="%.10g")
    return text.getvalue()


def write_csv(table: pd.DataFrame, settings: Settings, path: Path) -> Path:
    """Write a table beside the others; folders are made as needed."""
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(csv_text(table, settings), encoding="utf-8", newline="\n")
    return path


def stamped(table: pd.DataFrame, settings: Settings) -> pd.DataFrame:
    """A copy of a table, with a `notice` column where the fleet is invented."""
    marked = table.copy()
    if settings.demo:
        marked["notice"] = notice(settings)
    return marked


def notice(settings: Settings) -> str:
    """What is said of an invented fleet in every file."""
    return settings.note or "demo data, invented"


def harmless(text: str) -> str:
    """A text as a cell that no spreadsheet runs, with line feeds as its only line ends.

    An apostrophe goes before whatever begins like a formula: the text itself,
    also behind blanks and marks of no width, and what stands in it after a
    semicolon, a tab or a line end.
    """
    # A lone carriage return would end the row: pandas puts quotes round line feeds alone.
    return _RUN.sub("'", text.replace("\r\n", "\n").replace("\r", "\n"))


def _harmless_cell(cell: object) -> object:
    if isinstance(cell, str):
        return harmless(cell)
    if isinstance(cell, bool | int | float) or pd.api.types.is_number(cell):
        return cell
    missing = pd.isna(cell)  # type: ignore[call-overload]
    return None if missing is True else harmless(str(cell))
