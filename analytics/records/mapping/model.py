"""How the files of one fleet are read, once somebody has said so."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from fnmatch import fnmatchcase
from typing import Literal

from analytics.records.files.grids import Grid
from analytics.records.files.names import MAPPING as FILE
from analytics.records.files.names import known_as
from analytics.records.mapping.fields import SHAPES, Shape

__all__ = ["FILE", "DateOrder", "FleetMapping", "SourceMapping"]

DateOrder = Literal["day", "month", "year", ""]
"""What stands first in a date of three numbers; blank where nothing decides."""


@dataclass(frozen=True)
class SourceMapping:
    """How one file or sheet is read.

    Attributes
    ----------
    file : str
        Name of the file, without its folder; `*` stands for what changes from
        one export to the next.
    shape : str
        What a row is, a key of `SHAPES`; ``leave`` for a file that is not read.
    sheet : str
        The sheet of a workbook, blank for a text file.
    headers : tuple of str
        Every header as it stood when the mapping was made, so that a change is
        noticed.
    columns : mapping of str to str
        Header by field.
    fixed : mapping of str to str
        Text by field, where every row says the same and no column does.
    words : mapping of str to (mapping of str to str)
        By field, what a text in its column means, in the plain layout's words.
        What is not listed is read by the word lists.
    order : {"day", "month", "year", ""}
        What stands first in dates such as 03/04/19; blank to go by the file.
    origin : date or None
        Day from which dates given as a number of days count.
    as_built : bool
        True where the first part of a place counts as fitted when the boat was
        built.
    """

    file: str
    shape: str
    sheet: str = ""
    headers: tuple[str, ...] = ()
    columns: Mapping[str, str] = field(default_factory=dict)
    fixed: Mapping[str, str] = field(default_factory=dict)
    words: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    order: DateOrder = ""
    origin: date | None = None
    as_built: bool = False

    def is_of(self, grid: Grid) -> bool:
        """True where this says how a grid is read, by the names of file and sheet."""
        return self.names(grid.file) and grid.sheet == self.sheet

    def names(self, file: str) -> bool:
        """True for a file of this name, also where it is packed in an archive."""
        pattern = self.file.casefold()
        return any(fnmatchcase(name, pattern) for name in known_as(file))

    def form(self) -> Shape:
        """The shape, with its fields."""
        return SHAPES[self.shape]


@dataclass(frozen=True)
class FleetMapping:
    """How the files of a fleet are read: the first source that names a file counts."""

    sources: tuple[SourceMapping, ...] = ()

    def leaves(self, file: str) -> bool:
        """True for a file of which it is said that it is left alone."""
        shapes = {source.shape for source in self if source.names(file)}
        return shapes == {"leave"}

    def of(self, grid: Grid) -> SourceMapping | None:
        """What is said of a grid, None where nothing is."""
        return next((source for source in self if source.is_of(grid)), None)

    def names(self, file: str) -> bool:
        """True where a source is about a file of this name."""
        return any(source.names(file) for source in self)

    def __iter__(self) -> Iterator[SourceMapping]:
        return iter(self.sources)
