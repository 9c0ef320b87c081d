"""Bytes of the files as each office's program writes them."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from datetime import date, datetime

from analytics.sample.mess.pages import Page
from analytics.sample.mess.words import SAYS_INVENTED

_FIXED_TIME = datetime(2026, 10, 31)


def text_bytes(page: Page, *, delimiter: str, encoding: str) -> bytes:
    """A text file with carriage returns, as old programs write it."""
    out = io.StringIO()
    writer = csv.writer(out, delimiter=delimiter, lineterminator="\r\n")
    writer.writerows(page.rows())
    return out.getvalue().encode(encoding)


def workbook_bytes(pages: Sequence[Page]) -> bytes:
    """A workbook with a sheet for each page; the same pages give the same bytes.

    Texts stay texts, whatever they begin with; dates are dates of the spreadsheet.
    """
    import xlsxwriter

    out = io.BytesIO()
    book = xlsxwriter.Workbook(out, {"in_memory": True, "strings_to_formulas": False})
    book.set_properties({"created": _FIXED_TIME, "comments": SAYS_INVENTED})
    as_date = book.add_format({"num_format": "dd.mm.yyyy"})
    for page in pages:
        sheet = book.add_worksheet(page.sheet)
        for row, cells in enumerate(page.rows()):
            for column, cell in enumerate(cells):
                if isinstance(cell, date):
                    sheet.write_datetime(row, column, cell, as_date)
                elif isinstance(cell, str):
                    if cell:
                        sheet.write_string(row, column, cell)
                else:
                    sheet.write_number(row, column, cell)
    book.close()
    return out.getvalue()
