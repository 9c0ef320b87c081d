"""A grid: the cells of one text file or of one sheet, before anybody knows what they mean."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

from analytics.records.findings import Finding


class SheetNumber(str):
    """A number that a spreadsheet itself holds, as text with a decimal point.

    It needs no guess at its decimal mark, and is no evidence for that of the
    texts beside it.
    """

    __slots__ = ()

    def strip(self, chars: str | None = None, /) -> SheetNumber:
        """Itself: it has no blanks, and must stay what it is."""
        return self


@dataclass(frozen=True)
class FileSettings:
    """What `fleet.toml` says of one file; None where it leaves a thing to be detected.

    Attributes
    ----------
    encoding : str or None
        Name of a text encoding that Python knows.
    delimiter : str or None
        The mark between the cells.
    decimal, thousands : str or None
        Marks within numbers; a blank `thousands` says that there is none.
    sheet : tuple of str
        The sheets that are read; all of them where it is empty.
    header_row : int or None
        Row in which the headers stand.
    """

    encoding: str | None = None
    delimiter: str | None = None
    decimal: str | None = None
    thousands: str | None = None
    sheet: tuple[str, ...] = ()
    header_row: int | None = None


AS_DETECTED = FileSettings()


@dataclass(frozen=True)
class Grid:
    """The cells of one text file or sheet.

    Attributes
    ----------
    file : str
        The user's file; where it is packed in another one, both.
    rows : callable
        Gives an iterator over the rows that hold a cell: number of the row in
        the file or sheet, the first being 1, and its cells. Raises `FleetError`
        where the text breaks off.
    sheet : str
        Name of the sheet, blank for a text file.
    encoding, delimiter : str
        How the text was read; blank for a sheet.
    chosen : FileSettings
        What the settings say of the file.
    findings : list of Finding
        What was noticed on the way.
    """

    file: str
    rows: Callable[[], Iterator[tuple[int, list[str]]]]
    sheet: str = ""
    encoding: str = ""
    delimiter: str = ""
    chosen: FileSettings = AS_DETECTED
    findings: list[Finding] = field(default_factory=list)

    @property
    def place(self) -> str:
        """The file, and the sheet where there is one, as findings name them."""
        return f"{self.file}, sheet {self.sheet}" if self.sheet else self.file
