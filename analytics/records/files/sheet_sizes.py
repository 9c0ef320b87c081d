"""How large the sheets of a workbook are, before anything makes a table of them.

A sheet of three cells may span the whole grid, a repeated row may stand for a
thousand million, and a text may be shared by every cell: each is small on the
disk and would fill any memory. What is counted is what the reader would make.
"""

from __future__ import annotations

import re
import zipfile
from xml.parsers import expat

import numpy as np
import numpy.typing as npt

from analytics.records.files import limits
from analytics.records.files.inflate import Allowance, broken, inflated, members
from analytics.records.findings import FleetError

_IN_SHEETS = (b"sheetData", b"worksheet", b"office:spreadsheet")

Counts = npt.NDArray[np.int64]

_PLACE = re.compile(rb"""\sr\s*=\s*["']\s*([A-Za-z]*)([0-9]+)["']""")
_SHARED_AT = re.compile(rb"""\st\s*=\s*["']s["'][^>]*>\s*<(?:\w+:)?v[^>]*>\s*([0-9]+)""")
_COUNT = re.compile(rb"""[Cc]ount\s*=\s*["']\s*([0-9]+)""")
_SHARED = re.compile(rb"<(?:\w+:)?si[\s>]")
_ODS_TAG = re.compile(
    rb"<(/?)table:(table-row|table-cell|covered-table-cell|table)\b"
    rb"""((?:[^>"']|"[^"]*"|'[^']*')*)>"""
)
_ODS_REPEATED = re.compile(rb"""table:number-(?:rows|columns)-repeated\s*=\s*["']([0-9]+)["']""")
_ASIDE = re.compile(rb"<!--.*?-->|<!\[CDATA\[.*?\]\]>", re.DOTALL)
"""What a reader of XML passes over, so that nothing in it is taken for a tag."""


def check_sizes(place: str, content: bytes) -> None:
    """Refuse a workbook that would fill the memory.

    Raises
    ------
    FleetError
        If it is broken, locked by a password, or too large in any way.
    """
    allowance = Allowance(place, len(content))
    listed = members(place, content)
    # Shared texts first: the sheets point into them.
    listed.sort(key=lambda one: "sharedstrings" not in one.filename.lower())
    lengths: Counts = np.zeros(0, dtype=np.int64)
    cells = 0
    for member in listed:
        data = _xml(content, member, allowance)
        if _SHARED.search(data):
            starts = [found.start() for found in _SHARED.finditer(data)]
            lengths = np.diff([*starts, len(data)])
        if b"sheetData" in data:
            cells += _xlsx_cells(place, data, lengths)
        elif b"office:spreadsheet" in data:
            cells += _ods_cells(data)
        # A reader makes room for as many as a list says it has.
        elif (said := _longest_list(data)) > limits.CELLS:
            raise _too_large(place, f"a list of {said:,} entries", f"{limits.CELLS:,}")
        if cells > limits.CELLS:
            raise _too_large(place, f"{cells:,} cells", f"{limits.CELLS:,}, blank ones too")


def _xml(content: bytes, member: zipfile.ZipInfo, allowance: Allowance) -> bytes:
    """The XML of a member, which must be sound; nothing where it is a picture or the like.

    A reader that trusts its writer may never come to the end of XML that breaks off.
    """
    data = inflated(content, member, allowance)
    named_so = member.filename.lower().endswith((".xml", ".rels"))
    if not data or not (named_so or any(mark in data for mark in _IN_SHEETS)):
        return b""
    parser = expat.ParserCreate()
    parser.EntityDeclHandler = _refuse_entity
    try:
        parser.Parse(data, True)
    except (expat.ExpatError, _Entity, ValueError, LookupError) as error:
        raise broken(allowance.place, f"{member.filename}: {error}") from None
    return data


class _Entity(Exception):
    """XML that defines words of its own, which no spreadsheet does."""


def _refuse_entity(*_: object) -> None:
    raise _Entity("it defines entities")


def _longest_list(data: bytes) -> int:
    """Entries of the longest list, as the XML itself says."""
    return max((int(found[:19]) for found in _COUNT.findall(data)), default=0)


def _xlsx_cells(place: str, data: bytes, lengths: Counts) -> int:
    """Cells up to the last one of a sheet, blank ones too."""
    if (merges := data.count(b"mergeCell ")) > limits.MERGES:
        raise _too_large(place, f"{merges:,} merged cells", f"{limits.MERGES:,} in a sheet")
    columns, last_row = set(), 0
    for letters, number in _PLACE.findall(data):
        columns.add(letters)
        last_row = max(last_row, int(number[:9]))
    width = max(map(_column, columns), default=0)
    # Cells without a place of their own follow one another.
    count = data.count(b"<c ") + data.count(b"<c>") + data.count(b":c ") + data.count(b":c>")
    if len(lengths) and count * int(lengths.max()) > limits.SHEET_TEXT:
        at = np.array([int(found[:9]) for found in _SHARED_AT.findall(data)], dtype=np.int64)
        shared = int(lengths[at[at < len(lengths)]].sum())
        if shared > limits.SHEET_TEXT:
            raise _too_large(place, f"{shared:,} characters", f"{limits.SHEET_TEXT:,} in a sheet")
    return max(width * last_row, count)


def _column(letters: bytes) -> int:
    """The number of a column by its letters, A being 1."""
    number = 0
    for letter in letters.upper()[:6]:
        number = number * 26 + letter - 64
    return number


def _ods_cells(data: bytes) -> int:
    """Cells up to the last row and column that hold something, repeated ones as often."""
    cells = row = column = repeated = last_row = last_column = 0
    filled = False
    for closing, tag, attributes in _ODS_TAG.findall(_ASIDE.sub(b"", data)):
        if tag == b"table":
            cells += last_row * last_column
            row = last_row = last_column = 0
        elif closing:
            if tag == b"table-row":
                row += repeated
                last_row = row if filled else last_row
        else:
            found = _ODS_REPEATED.search(attributes)
            times = int(found[1][:9]) if found else 1
            if tag == b"table-row":
                column, repeated, filled = 0, times, False
                if attributes.endswith(b"/"):
                    row += times
            else:
                column += times
                if b"value-type" in attributes or not attributes.endswith(b"/"):
                    filled, last_column = True, max(last_column, column)
    return cells + last_row * last_column


def _too_large(place: str, found: str, most: str) -> FleetError:
    return FleetError.because(
        place,
        found=found,
        expected=f"at most {most}",
        remedy="Something may stand far below or beside the table: delete it, "
        "or save the sheet as CSV.",
    )
