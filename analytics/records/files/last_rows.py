"""Whether a text file breaks off in its last row, as one does that was copied while it was written.

A file that only lacks its last line end is whole. A row is broken where it is
shorter than the rows above and no line end follows, or where its last quote is
never closed.
"""

from __future__ import annotations

import csv
import io
from collections import Counter
from dataclasses import dataclass

from analytics.records.findings import Finding

_RAGGED = 10
"""Where more than one row in so many is short, a short one says nothing."""


@dataclass(frozen=True)
class BrokenRow:
    """The last row of a file that breaks off.

    Attributes
    ----------
    line : int
        Line of the text on which it begins, the first being 1.
    cells : list of str
        As far as they go.
    width : int
        Cells of the rows above.
    is_quoted : bool
        True where it ends within a quote.
    """

    line: int
    cells: list[str]
    width: int
    is_quoted: bool

    def finding(self, file: str, line: int) -> Finding:
        """What is said of it, the row standing on that line of the file."""
        many = f"{self.width:,} cells, as in the rows above"
        return Finding(
            file,
            line,
            "",
            " | ".join(self.cells)[:200],
            "the end of a quote, and of the row" if self.is_quoted else many,
            "noted",
            "The file breaks off in this row and may be half written: what follows is missing, "
            "the rows above are read, and this one as far as it goes. Export or copy it again.",
            "file_cut_off",
        )


def broken_off(text: str, delimiter: str) -> BrokenRow | None:
    """The last row, where the text breaks off in it.

    Parameters
    ----------
    text : str
    delimiter : str
        The mark between the cells.

    Returns
    -------
    BrokenRow or None
        None also where a quote is left open far above the end: then it is a
        stray one that swallows rows, and the file is not half written.
    """
    ends = text.endswith(("\n", "\r"))
    if ends and '"' not in text:
        return None
    widths: list[int] = []
    last: list[str] = []
    begins = line = 1
    after_blank = is_apart = False
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    try:
        for cells in reader:
            if "".join(cells).strip():
                widths.append(len(cells))
                last, begins, is_apart = cells, line, after_blank
            after_blank = not "".join(cells).strip()
            line = reader.line_num + 1
    except csv.Error as error:
        if "unexpected end" not in str(error):
            return None
        return _within_quote(text, delimiter, line, _width(widths))
    if ends or is_apart:  # a line of its own below the table is no row of it
        return None
    above = widths[:-1]
    width = _width(above)
    below_header = above[above.index(width) :] if width else []
    short = sum(one < width for one in below_header)
    if len(last) >= width or short * _RAGGED > len(below_header):
        return None
    return BrokenRow(begins, last, width, is_quoted=False)


def _width(widths: list[int]) -> int:
    """Cells of most rows that have several, 0 where none has."""
    parted = Counter(width for width in widths if width > 1)
    return max(parted, key=lambda width: (parted[width], width), default=0)


def _within_quote(text: str, delimiter: str, line: int, width: int) -> BrokenRow | None:
    lines = list(io.StringIO(text, newline=""))[line - 1 :]
    try:
        (cells,) = csv.reader(lines, delimiter=delimiter)
    except (csv.Error, ValueError):
        return None
    swallowed = cells[-1].splitlines()[1:]
    if not width or any(one.count(delimiter) >= width - 1 for one in swallowed):
        return None
    return BrokenRow(line, cells, width, is_quoted=True)
