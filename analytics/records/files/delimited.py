"""Text to a grid: which mark stands between the cells, decided by how the rows agree."""

from __future__ import annotations

import csv
import io
import re
from collections import Counter
from collections.abc import Iterator

from analytics.records.files import limits
from analytics.records.files.encodings import decoded
from analytics.records.files.grids import AS_DETECTED, FileSettings, Grid
from analytics.records.files.last_rows import broken_off
from analytics.records.findings import FleetError
from analytics.records.tables import TABLES, as_word

DELIMITERS = (",", ";", "\t", "|")
"""The usual ones, the plain layout's first."""

_SAMPLE = 65_536
"""Characters that are looked at to find the delimiter."""

_SAMPLE_ROWS = 500

_SAID = re.compile(r'"?sep=(.)"?\r?(?:\n|$)', re.IGNORECASE)
"""The first line of some spreadsheet exports."""

_AGREEING = 0.5
"""Share of the lines of a table that have as many cells, titles and totals left aside."""

_NOTHING = (0, 0.0, 0)

_MARKUP = ("<!doctype", "<html", "<table", "<?xml")
"""How exports begin that only bear the name of a spreadsheet."""

_HEADERS = frozenset(column.name for table in TABLES for column in table.columns)


def text_grid(file: str, content: bytes, chosen: FileSettings = AS_DETECTED) -> Grid:
    """The grid of a delimited text file.

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
        If the content is too large or no text.
    """
    if len(content) > limits.BIGGEST_FILE:
        raise FleetError.because(
            file,
            found=f"{len(content):,} bytes",
            expected=f"at most {limits.BIGGEST_FILE:,} bytes",
            remedy="Check that this is the right file, or split the export by base.",
        )
    text, encoding, findings = decoded(file, content, chosen.encoding)
    if _is_markup(text):
        raise FleetError.because(
            file,
            found="a web page or XML",
            expected="a text file with a mark between the cells, or a workbook",
            remedy="Open it in a spreadsheet and save it as XLSX or CSV (UTF-8).",
        )
    said = _SAID.match(text)
    begins = said.end() if said else 0
    skipped = 1 if said else 0
    delimiter = chosen.delimiter or (said[1] if said else delimiter_of(text))
    broken = broken_off(text[begins:], delimiter)
    if broken:
        findings.append(broken.finding(file, broken.line + skipped))

    def rows() -> Iterator[tuple[int, list[str]]]:
        lines = csv.reader(io.StringIO(text[begins:], newline=""), delimiter=delimiter, strict=True)
        line = 1 + skipped
        try:
            for cells in lines:
                yield line, cells
                line = lines.line_num + 1 + skipped
        except csv.Error as error:
            if broken and broken.line + skipped == line:
                yield line, broken.cells
                return
            raise FleetError.because(
                file,
                line,
                found=str(error),
                expected="a text file with a mark between the cells",
                remedy="Look for an unclosed quote on this row or above it, "
                "or save the sheet as CSV again.",
            ) from None

    return Grid(
        file, rows, encoding=encoding, delimiter=delimiter, chosen=chosen, findings=findings
    )


def is_prose(content: bytes, chosen: FileSettings = AS_DETECTED) -> bool:
    """True for a text that is no table: no mark parts most of its lines into as many cells.

    A text that cannot be read, and one in which headers of the plain layout
    stand, are none.
    """
    try:
        text, _, _ = decoded("", content[: limits.BIGGEST_FILE], chosen.encoding)
    except FleetError:
        return False
    if _SAID.match(text) or _is_markup(text):
        return False
    sample = _sample(text)
    return not any(_parts_lines(sample, mark) for mark in DELIMITERS)


def _is_markup(text: str) -> bool:
    return text[:200].lstrip().lower().startswith(_MARKUP)


def _sample(text: str) -> str:
    if len(text) <= _SAMPLE:
        return text
    sample = text[:_SAMPLE]
    return sample[: max(sample.rfind("\n"), sample.rfind("\r")) + 1] or sample


def _parts_lines(sample: str, mark: str) -> bool:
    if mark not in sample:
        return False
    headers, agreeing, _ = _score(sample, mark)
    lines = sum(1 for line in sample.splitlines() if line.strip())
    return headers > 1 or (lines > 1 and agreeing >= _AGREEING)


def delimiter_of(text: str) -> str:
    """The mark between the cells.

    Where a row near the top holds headers of the plain layout, the mark that
    parts most of them; else the one under which most rows have the same number
    of cells, quotes respected; among equals the one that makes more cells.
    """
    sample = _sample(text)
    scores = {mark: _score(sample, mark) for mark in DELIMITERS if mark in sample}
    best = max(scores, key=scores.__getitem__, default=DELIMITERS[0])
    return best if scores.get(best, _NOTHING) > _NOTHING else DELIMITERS[0]


def _score(sample: str, delimiter: str) -> tuple[int, float, int]:
    rows, misquoted = [], False
    try:
        for cells in csv.reader(io.StringIO(sample, newline=""), delimiter=delimiter, strict=True):
            if any(cell.strip() for cell in cells):
                rows.append(cells)
            if len(rows) == _SAMPLE_ROWS:
                break
    except csv.Error as error:
        # A quote that ends before the mark speaks against it; a cell too long, or cut off with the
        # sample, says nothing.
        misquoted = "expected after" in str(error)
    top = max(rows[: limits.TITLE_ROWS], key=_headers_in, default=[])
    headers = _headers_in(top)
    if headers and len(top) == 1:
        return _NOTHING  # a table of one column
    parted = Counter(len(row) for row in rows if len(row) > 1)
    if not parted:
        return _NOTHING
    width, agreeing = max(parted.items(), key=lambda item: (item[1], item[0]))
    return headers, 0.0 if misquoted else agreeing / len(rows), width


def _headers_in(row: list[str]) -> int:
    return len(_HEADERS & set(map(as_word, row)))
