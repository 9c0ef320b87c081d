"""A page of somebody's export before it is written: titles, headers, lines and what adds up."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date

from analytics.sample.mess.clean import CleanLife

Cell = str | date | int | float
"""A cell; dates and numbers are such only in a workbook."""


@dataclass(eq=False)
class Line:
    """A line of a page.

    Attributes
    ----------
    cells : dict of str to Cell
        By header; what is missing is blank.
    lives : tuple of CleanLife
        The lives that it tells of.
    on : date or None
        The true day of what it tells of, for putting the lines in order.
    """

    cells: dict[str, Cell] = field(default_factory=dict)
    lives: tuple[CleanLife, ...] = ()
    on: date | None = None

    def text(self, header: str) -> str:
        """A cell as a reader that knows nothing of it would show it."""
        cell = self.cells.get(header, "")
        return cell.isoformat() if isinstance(cell, date) else str(cell)


@dataclass(eq=False)
class Page:
    """A text file, or a sheet of a workbook."""

    file: str
    headers: tuple[str, ...]
    sheet: str = ""
    titles: list[Line] = field(default_factory=list)
    lines: list[Line] = field(default_factory=list)
    foot: list[Line] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.header = Line({name: name for name in self.headers})

    def title(self, text: str) -> Line:
        """Put a line of text above the headers."""
        line = Line({self.headers[0]: text})
        self.titles.append(line)
        return line

    def all_lines(self) -> Iterator[Line]:
        """Every line from the top, the headers among them."""
        yield from self.titles
        yield self.header
        yield from self.lines
        yield from self.foot

    def rows(self) -> Iterator[Sequence[Cell]]:
        """The cells of every line from the top."""
        for line in self.all_lines():
            yield [line.cells.get(name, "") for name in self.headers]

    def numbers(self) -> dict[int, int]:
        """The row of each line, the first being 1, by the identity of the line."""
        return {id(line): number for number, line in enumerate(self.all_lines(), start=1)}
