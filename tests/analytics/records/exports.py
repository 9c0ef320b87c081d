"""The same tables as people export them: workbooks, archives, text of every dialect."""

import csv
import datetime
import gzip
import io
import zipfile
from collections.abc import Mapping, Sequence

import xlsxwriter
from odf.opendocument import OpenDocumentSpreadsheet
from odf.table import Table, TableCell, TableRow
from odf.text import P

Cell = str | float | datetime.date
Sheet = Sequence[Sequence[Cell]]


def rows_of(content: bytes) -> list[list[str]]:
    """A plain file as rows of text, the header first."""
    return list(csv.reader(io.StringIO(content.decode(), newline="")))


def delimited(
    rows: Sequence[Sequence[str]],
    delimiter: str = ",",
    encoding: str = "utf-8",
    line_end: str = "\r\n",
    *,
    quote_all: bool = False,
) -> bytes:
    """Rows as a text file, quoted as RFC 4180 asks (from memory), or throughout."""

    def written(cell: str) -> str:
        if quote_all or any(mark in cell for mark in (delimiter, '"', "\r", "\n")):
            return '"' + cell.replace('"', '""') + '"'
        return cell

    lines = [delimiter.join(map(written, row)) + line_end for row in rows]
    return "".join(lines).encode(encoding)


def typed(rows: Sequence[Sequence[str]]) -> list[list[Cell]]:
    """Rows as a person types them into a spreadsheet: numbers and days are such."""
    return [list(rows[0]), *([_typed(cell) for cell in row] for row in rows[1:])]


def _typed(cell: str) -> Cell:
    for read in (float, datetime.date.fromisoformat):
        try:
            return read(cell)
        except ValueError:
            pass
    return cell


def xlsx(sheets: Mapping[str, Sheet], *, since_1904: bool = False) -> bytes:
    """A workbook by xlsxwriter."""
    made = io.BytesIO()
    book = xlsxwriter.Workbook(
        made, {"in_memory": True, "date_1904": since_1904, "strings_to_formulas": False}
    )
    day = book.add_format({"num_format": "dd/mm/yy"})
    for name, rows in sheets.items():
        sheet = book.add_worksheet(name)
        for at, row in enumerate(rows):
            for column, cell in enumerate(row):
                if isinstance(cell, datetime.date):
                    sheet.write_datetime(at, column, cell, day)
                elif isinstance(cell, str):
                    sheet.write_string(at, column, cell)
                else:
                    sheet.write_number(at, column, cell)
    book.close()
    return made.getvalue()


def ods(sheets: Mapping[str, Sheet]) -> bytes:
    """A workbook by odfpy."""
    document = OpenDocumentSpreadsheet()
    for name, rows in sheets.items():
        table = Table(name=name)
        for row in rows:
            line = TableRow()
            for cell in row:
                line.addElement(_ods_cell(cell))
            table.addElement(line)
        document.spreadsheet.addElement(table)
    made = io.BytesIO()
    document.write(made)
    return made.getvalue()


def _ods_cell(cell: Cell) -> TableCell:
    if isinstance(cell, datetime.date):
        made, shown = TableCell(valuetype="date", datevalue=cell.isoformat()), f"{cell:%d/%m/%y}"
    elif isinstance(cell, str):
        made, shown = TableCell(valuetype="string"), cell
    else:
        made, shown = TableCell(valuetype="float", value=repr(cell)), f"{cell:g}"
    if cell == "":
        return TableCell()
    made.addElement(P(text=shown))
    return made


def zipped(files: Mapping[str, bytes]) -> bytes:
    """An archive."""
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in files.items():
            archive.writestr(name, content)
    return made.getvalue()


def gzipped(content: bytes) -> bytes:
    """One file packed."""
    return gzip.compress(content, mtime=0)
