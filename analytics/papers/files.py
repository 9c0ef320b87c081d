"""Tables as CSV files that a spreadsheet opens without harm."""

from __future__ import annotations

import io
from pathlib import Path

import pandas as pd

from analytics.records.settings import Settings

_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
"""What a spreadsheet takes for a formula's begin (OWASP, "CSV Injection", from memory)."""


def csv_text(table: pd.DataFrame, settings: Settings) -> str:
    """A table as CSV, LF line ends, a `notice` column where the fleet is invented.

    A text that a spreadsheet would take for a formula gets an apostrophe in
    front. Numbers keep ten significant digits.
    """
    safe = table.copy()
    if settings.demo:
        safe["notice"] = settings.note or "demo data, invented"
    for name in safe.columns:
        if pd.api.types.is_datetime64_any_dtype(safe[name]):
            safe[name] = safe[name].dt.strftime("%Y-%m-%d")
        elif not pd.api.types.is_numeric_dtype(safe[name]):
            safe[name] = safe[name].astype(object).map(_harmless)
    text = io.StringIO()
    safe.to_csv(text, index=False, lineterminator="\n", float_format="%.10g")
    return text.getvalue()


def write_csv(table: pd.DataFrame, settings: Settings, path: Path) -> Path:
    """Write a table beside the others; folders are made as needed."""
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(csv_text(table, settings), encoding="utf-8", newline="\n")
    return path


def _harmless(cell: object) -> object:
    if not isinstance(cell, str):
        return cell
    mark = "'" if cell.startswith(_FORMULA_STARTS) else ""
    # A lone carriage return would end the row: pandas puts quotes round line feeds alone.
    return mark + cell.replace("\r\n", "\n").replace("\r", "\n")
