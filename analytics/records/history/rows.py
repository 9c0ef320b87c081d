"""Every row of every file as it was accepted, so that a later number leads back to a row."""

from __future__ import annotations

import csv
import gzip
import io
import json
import re
import zlib
from collections.abc import Sequence
from itertools import chain
from typing import Any

import numpy as np
import pandas as pd

from analytics.records.findings import FleetError

FILE = "accepted/rows.csv.gz"

ROW_COLUMNS = ["source", "place", "row", "fate", "key", "lives", "cells"]
"""`source` is what stays the same from one export to the next (such as jobs-*.csv), `place` the
file, and sheet, itself; `key` what a row is recognised by when its cells change; `lives` the lives
it became part of; `cells` its texts as a JSON array (RFC 8259)."""

FATES = ("header", "used", "merged", "rejected", "ignored")
"""What became of a row; the header of each place is a row of its own, with no key."""

_TEXTS = [column for column in ROW_COLUMNS if column != "row"]

# What a spreadsheet would run, or a reader of text files might take for something else.
_RISKY = re.compile(r'^[=+\-@"]|[\x00-\x1f\x7f]')


def place_rows(
    source: str,
    place: str,
    header_row: int,
    header: Sequence[str],
    rows: Sequence[tuple[int, Sequence[str]]],
    *,
    keys: Sequence[str] | None = None,
    fates: Sequence[str] | None = None,
    lives: Sequence[str] | None = None,
) -> pd.DataFrame:
    """The rows of one file or sheet as a table.

    Half a surrogate pair, which no text file can hold, becomes a question mark.

    Parameters
    ----------
    source, place : str
        See `ROW_COLUMNS`.
    header_row : int
    header : sequence of str
    rows : sequence of (int, sequence of str)
        Number of each row and its cells, as they stand.
    keys, fates, lives : sequence of str, optional
        One for each row; blank, "used" and blank without them.

    Returns
    -------
    DataFrame
        Columns `ROW_COLUMNS`; the header is the first row.
    """
    number = len(rows)
    width = max([len(header), *(len(cells) for _, cells in rows)])
    encode = json.JSONEncoder(ensure_ascii=False, separators=(",", ":")).encode

    def written(cells: Sequence[str]) -> str:
        short = width - len(cells)
        return encode([*cells, *[""] * short] if short else cells)

    return pd.DataFrame(
        {
            "source": pd.Series([source] * (number + 1), dtype=object),
            "place": pd.Series([place] * (number + 1), dtype=object),
            "row": np.array([header_row, *(line for line, _ in rows)], dtype="int64"),
            "fate": ["header", *(fates or ["used"] * number)],
            "key": ["", *(keys or [""] * number)],
            "lives": ["", *(lives or [""] * number)],
            "cells": _whole([written(header), *(written(cells) for _, cells in rows)]),
        },
        columns=ROW_COLUMNS,
    )


def _whole(texts: list[str]) -> list[str]:
    try:
        "".join(texts).encode()
    except UnicodeEncodeError:
        return [text.encode("utf-8", "replace").decode() for text in texts]
    return texts


def all_rows(places: Sequence[pd.DataFrame]) -> pd.DataFrame:
    """Several tables of `place_rows` as one, in the order of source, place and row."""
    none = pd.DataFrame({column: pd.Series(dtype=object) for column in ROW_COLUMNS})
    filled = [one for one in places if len(one)]
    table = pd.concat(filled, ignore_index=True) if filled else none
    return _in_order(table.astype({"row": "int64"}))


def _in_order(table: pd.DataFrame) -> pd.DataFrame:
    # Sources and places are few: numbers for them sort far faster than the texts.
    codes = [pd.factorize(table[name], sort=True)[0] for name in ("place", "source")]
    order = np.lexsort((table["row"].to_numpy(), *codes))
    return table.iloc[order].reset_index(drop=True)


def cells_of(table: pd.DataFrame) -> list[list[str]]:
    """The cells of each row of a table with the column `cells`.

    Raises
    ------
    FleetError
        If a cell of that column is no JSON array of texts.
    """
    try:
        # All at once: half the time that one after the other takes.
        rows: Any = json.loads("[" + ",".join(table["cells"]) + "]")
    except (ValueError, RecursionError, TypeError) as error:
        raise _broken(str(error)) from None
    if len(rows) != len(table) or not set(map(type, rows)) <= {list}:
        raise _broken("cells that are no list")
    if not set(map(type, chain.from_iterable(rows))) <= {str}:
        raise _broken("cells that are no texts")
    return list(rows)


def rows_bytes(table: pd.DataFrame) -> bytes:
    """A table of rows as packed text: the same rows give the same bytes.

    Half a surrogate pair, which no text file can hold, becomes a question mark.

    Parameters
    ----------
    table : DataFrame
        Columns `ROW_COLUMNS`, rows in any order.
    """
    written = _in_order(table[ROW_COLUMNS])
    for name in ("source", "place", "key", "lives"):
        written[name] = _harmless(written[name])
    text = written.to_csv(index=False, quoting=csv.QUOTE_ALL, lineterminator="\n")
    packed = io.BytesIO()
    # Neither name nor time of packing stands in it, so that the bytes depend on the rows alone.
    with gzip.GzipFile(filename="", mode="wb", compresslevel=6, fileobj=packed, mtime=0) as file:
        file.write(text.encode("utf-8", "replace"))
    return packed.getvalue()


def _harmless(texts: pd.Series) -> pd.Series:
    # Not by pandas' own tables of texts: those end a text where a zero character stands.
    quoted = {
        text: json.dumps(text, ensure_ascii=False)
        for text in dict.fromkeys(texts)
        if _RISKY.search(text)
    }
    return texts.map(lambda text: quoted.get(text, text)) if quoted else texts


def read_rows_bytes(content: bytes) -> pd.DataFrame:
    """A table of rows from packed text.

    Raises
    ------
    FleetError
        If it is half written or is no such table.
    """
    try:
        text = gzip.decompress(content)
        table = pd.read_csv(
            io.BytesIO(text), dtype=str, keep_default_na=False, na_filter=False, encoding="utf-8"
        )
    except (OSError, EOFError, zlib.error, ValueError) as error:  # ValueError: pandas' and UTF-8's
        raise _broken(str(error)) from None
    if list(table.columns) != ROW_COLUMNS:
        raise _broken(", ".join(map(str, table.columns))[:200])
    try:
        table = table.astype({"row": "int64"} | dict.fromkeys(_TEXTS, "object"))
        for name in ("source", "place", "key", "lives"):
            is_quoted = table[name].str.startswith('"')
            if is_quoted.any():
                table.loc[is_quoted, name] = table.loc[is_quoted, name].map(json.loads)
    except (ValueError, OverflowError, AttributeError) as error:
        raise _broken(str(error)) from None
    if odd := sorted(set(table["fate"]) - set(FATES)):
        raise _broken(f"fate {odd[0]}")
    return table


def _broken(why: str) -> FleetError:
    return FleetError.because(
        FILE,
        found=f"a file that cannot be read: {why}"[:300],
        expected="the rows as they were accepted",
        remedy="What has changed since cannot be told. Bring the folder 'accepted' back from a "
        "copy, or accept the export as it is now.",
    )
