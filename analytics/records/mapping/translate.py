"""The rows of one file or sheet in our fields, by its mapping."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date

import numpy as np
import pandas as pd

from analytics.records.dating.styles import DateStyle, style_of
from analytics.records.decided.decision import Decisions
from analytics.records.decided.replay import Replayed, apply
from analytics.records.files.grids import FileSettings, Grid
from analytics.records.findings import Done, Finding
from analytics.records.mapping.below_header import below_header
from analytics.records.mapping.columns import (
    Column,
    Read,
    number_text,
    read_dates,
    read_numbers,
    read_texts,
    read_words,
    with_sides_said,
)
from analytics.records.mapping.document import same_header
from analytics.records.mapping.fields import Field
from analytics.records.mapping.model import FILE as MAPPING
from analytics.records.mapping.model import SourceMapping
from analytics.records.numbers import Marks, marks_of
from analytics.records.totals import WORDS, is_totals_row, may_be_totals

_LETTER = re.compile(r"[^\W\d_]")


@dataclass(frozen=True)
class Translated:
    """One file or sheet in our fields.

    Attributes
    ----------
    grid : Grid
    source : SourceMapping
    header : list of str
        Every header, named as the mapping names them.
    header_row : int
    replayed : Replayed
        The rows below it with a person's decisions applied.
    frame : DataFrame
        A line for each row that may tell of something: `row`, then the fields;
        a date is `NAME` in the plain writing with `NAME_lo` and `NAME_hi`.
    findings : list of Finding
    out : dict of int to Finding
        Rows left out before they were looked at: blank, totals, decided.
    unread : mapping of str to (dict of int to Finding)
        By field, the rows whose cell cannot be read.
    style : DateStyle
    """

    grid: Grid
    source: SourceMapping
    header: list[str]
    header_row: int
    replayed: Replayed
    frame: pd.DataFrame
    findings: list[Finding]
    out: dict[int, Finding]
    unread: Mapping[str, Mapping[int, Finding]]
    style: DateStyle

    @property
    def place(self) -> str:
        """File and sheet, as findings name them."""
        return self.grid.place


def translate(
    grid: Grid,
    source: SourceMapping,
    decisions: Decisions,
    earliest: date | None = None,
    latest: date | None = None,
    beside: frozenset[str] = frozenset(),
) -> Translated:
    """Read a grid by its mapping.

    Parameters
    ----------
    grid : Grid
    source : SourceMapping
    decisions : Decisions
        Replayed on the rows before anything is read from them.
    earliest, latest : date, optional
        Between which dates of the fleet lie: they decide the century of a year
        of two figures.
    beside : frozenset of str
        Dates of other exports of the same mapping, as they stand: the program
        that wrote them all writes its dates in one way.

    Raises
    ------
    FleetError
        If a header that the mapping reads is gone, or the text breaks off.
    """
    findings = list(grid.findings)
    header, header_row, lines = below_header(grid, source, findings)
    now = {same_header(name): name for name in header}
    source = replace(
        source, columns={name: now[same_header(text)] for name, text in source.columns.items()}
    )
    replayed = apply(decisions, grid.file, grid.sheet, header, lines)
    findings += replayed.findings
    out = dict(replayed.left_out)
    kept = _tell_of_something(grid, source, header, replayed.rows, out, findings)
    numbers = np.fromiter((row for row, _ in kept), dtype=np.int64, count=len(kept))
    place_of = {name: at for at, name in enumerate(header)}
    columns = {
        name: Column.of(
            grid.place,
            source.columns[name],
            numbers,
            [cells[place_of[source.columns[name]]] for _, cells in kept],
        )
        for name in source.form().by_name
        if name in source.columns
    }
    fields = source.form().by_name
    style = _style(source, columns, earliest, latest, beside)
    how = _How(
        source, decisions, style, earliest, latest, grid.chosen, _marks(columns, fields, grid)
    )
    values: dict[str, object] = {"row": numbers}
    unread: dict[str, Mapping[int, Finding]] = {}
    for name, column in columns.items():
        read = _read(fields[name], column, how)
        if name in source.form().vital:
            read = _rejecting(read)
        values |= dict(read.values)
        findings += read.findings
        unread[name] = read.unread
    for name, text in source.fixed.items():
        if name not in columns and name in fields:
            fixed = Column(MAPPING, f"fixed.{name}", _ONE, _ONE, [text])
            read = _read(fields[name], fixed, how)
            if name in source.form().vital:
                read = _rejecting(read)
            # It stands in no row: what is said of it is said of the mapping.
            findings += [replace(one, row=None, also=()) for one in read.findings]
            for wrong in read.unread.values():
                unread[name] = dict.fromkeys(numbers.tolist(), replace(wrong, row=None, also=()))
            values |= {key: np.repeat(one, len(numbers)) for key, one in read.values.items()}
    frame = pd.DataFrame(values)
    return Translated(
        grid,
        source,
        header,
        header_row,
        replayed,
        frame,
        findings,
        out,
        unread,
        style,
    )


_ONE = np.zeros(1, dtype=np.int64)


def _rejecting(read: Read) -> Read:
    """A column whose cells that cannot be read take their rows with them."""
    wrong = {id(finding): replace(finding, done="rejected") for finding in read.unread.values()}
    return Read(
        read.values,
        [wrong.get(id(finding), finding) for finding in read.findings],
        {row: wrong[id(finding)] for row, finding in read.unread.items()},
    )


def _tell_of_something(
    grid: Grid,
    source: SourceMapping,
    header: list[str],
    rows: list[tuple[int, list[str]]],
    out: dict[int, Finding],
    findings: list[Finding],
) -> list[tuple[int, list[str]]]:
    """The rows that are neither blank nor totals nor the header again."""

    def leave(row: int, found: str, done: Done, remedy: str, *, tell: bool) -> None:
        expected = f"a row that is {source.form().row_is}"
        out[row] = Finding(grid.place, row, "", found, expected, done, remedy, "totals_and_titles")
        if tell:
            findings.append(out[row])

    field_of = {text: name for name, text in source.columns.items()}
    names = [field_of.get(name, name) for name in header]
    table = source.form().as_table
    kept = []
    for row, cells in rows:
        if row in out:
            continue
        # Most rows begin with a word or hold one: no look at each cell is needed for them.
        head = cells[0].strip()
        if head and head.casefold().strip(" :.") not in WORDS and _LETTER.search("".join(cells)):
            if cells[0] != header[0] or list(map(str.strip, cells)) != header:
                kept.append((row, cells))
            else:
                leave(row, head, "ignored", "The header again: left out.", tell=True)
            continue
        texts = [cell.strip() for cell in cells]
        first = next(filter(None, texts), None)
        if first is None:
            leave(row, "", "ignored", "Nothing to do.", tell=False)
        elif may_be_totals(first) and is_totals_row(table, dict(zip(names, texts, strict=True))):
            filled = ", ".join(filter(None, texts))
            leave(row, filled, "ignored", "Taken for a row of totals.", tell=True)
        else:
            kept.append((row, cells))
    return kept


def date_texts(grid: Grid, source: SourceMapping) -> frozenset[str]:
    """Every different date of an export, as it stands.

    Raises
    ------
    FleetError
        As `translate` does.
    """
    header, _, rows = below_header(grid, source, [])
    fields = source.form().by_name
    now = {same_header(name): at for at, name in enumerate(header)}
    places = [
        now[same_header(column)]
        for name, column in source.columns.items()
        if name in fields and fields[name].holds == "date"
    ]
    return frozenset(cells[at].strip() for _, cells in rows for at in places) - {""}


def _style(
    source: SourceMapping,
    columns: Mapping[str, Column],
    earliest: date | None,
    latest: date | None,
    beside: frozenset[str],
) -> DateStyle:
    """How dates are written, by every date there is: one program wrote them all."""
    fields = source.form().by_name
    texts = beside | {
        text
        for name, column in columns.items()
        if fields[name].holds == "date"
        for text in column.texts
        if text
    }
    style, _ = style_of(
        texts, order=source.order, origin=source.origin, earliest=earliest, latest=latest
    )
    return style


def _marks(columns: Mapping[str, Column], fields: Mapping[str, Field], grid: Grid) -> Marks:
    """The marks within the numbers of the whole file: one program wrote them all."""
    texts = {
        number_text(text)
        for name, column in columns.items()
        if fields[name].holds == "number"
        for text in column.texts
        if type(text) is str
    }
    return marks_of(texts, grid.chosen)


@dataclass(frozen=True)
class _How:
    """How the columns of a file are read."""

    source: SourceMapping
    decisions: Decisions
    style: DateStyle
    earliest: date | None
    latest: date | None
    chosen: FileSettings
    marks: Marks

    def words(self, name: str) -> Mapping[str, str]:
        return self.source.words.get(name, {})


def _read(field: Field, column: Column, how: _How) -> Read:
    match field.holds:
        case "date":
            return read_dates(field, column, how.style, how.earliest, how.latest)
        case "number":
            return read_numbers(field, column, how.chosen, how.marks)
        case "text" | "size":
            return read_texts(field, column)
        case _:
            decided = how.decisions.words(field.name)
            read = read_words(field, column, how.words(field.name), decided)
            if field.name != "kind":
                return read
            # The words for the part may name the side, and a person may have said which.
            return with_sides_said(
                read, column, how.words("position"), how.decisions.words("position")
            )
