"""Tables as CSV files that a spreadsheet opens without harm."""

from __future__ import annotations

import io
from pathlib import Path

import pandas as pd

from analytics.records.settings import Settings

_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")


def csv_text(table: pd.DataFrame, settings: Settings) -> str:
    """A table as CSV, LF line ends, a `note` column where the fleet is invented.

    A text that a spreadsheet would take for a formula gets an apostrophe in
    front. Numbers keep ten significant digits.
    """
    safe = table.copy()
    for name in safe.columns:
        if safe[name].dtype == object:
            safe[name] = safe[name].map(_harmless)
        elif pd.api.types.is_datetime64_any_dtype(safe[name]):
            safe[name] = safe[name].dt.strftime("%Y-%m-%d")
    if settings.demo:
        safe["notice"] = settings.note or "demo data, invented"
    text = io.StringIO()
    safe.to_csv(text, index=False, lineterminator="\n", float_format="%.10g")
    return text.getvalue()


def write_csv(table: pd.DataFrame, settings: Settings, path: Path) -> Path:
    """Write a table beside the others; folders are made as needed."""
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(csv_text(table, settings), encoding="utf-8", newline="\n")
    return path


def _harmless(cell: object) -> object:
    if isinstance(cell, str) and cell.startswith(_FORMULA_STARTS):
        return "'" + cell
    return cell
