"""How a foreign table may be read: a proposal, with its reasons and its doubts, for a person."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from fnmatch import fnmatchcase
from types import MappingProxyType
from typing import NamedTuple

from analytics.records.files.grids import Grid
from analytics.records.files.names import base_name
from analytics.records.findings import FleetError
from analytics.records.mapping.assigning import Held
from analytics.records.mapping.contents import Table, table_of_contents
from analytics.records.mapping.doubts import doubts_of
from analytics.records.mapping.file_patterns import literal, pattern_of
from analytics.records.mapping.header_rows import header_of
from analytics.records.mapping.meanings import LEAVE
from analytics.records.mapping.model import SourceMapping
from analytics.records.mapping.shapes import Choice, choose
from analytics.records.mapping.word_lists import LISTED
from analytics.records.table_rows import dates_are_plain, table_of
from analytics.records.tables import PARTS, as_word


class WordUse(NamedTuple):
    """A text of a column that a word list reads.

    Attributes
    ----------
    text : str
    times : int
        How often it stands there.
    read_as : str
        The plain layout's word, blank where it says nothing.
    certain : bool
        False where a person should look at it.
    """

    text: str
    times: int
    read_as: str
    certain: bool


@dataclass(frozen=True)
class Proposal:
    """How a table may be read.

    Attributes
    ----------
    source : SourceMapping
        Shape ``leave`` where none fits.
    reasons : mapping of str to str
        By field why its column was chosen; under ``shape`` why the shape was.
    doubts : tuple of str
        What a person should look at, in plain sentences.
    unmapped : tuple of str
        Headers of columns that are not read.
    samples : mapping of str to (tuple of str)
        By header a few different texts, the most frequent first.
    words : mapping of str to (tuple of WordUse)
        By field that is read by a word list, its texts, the most frequent first.
    """

    source: SourceMapping
    reasons: Mapping[str, str]
    doubts: tuple[str, ...] = ()
    unmapped: tuple[str, ...] = ()
    samples: Mapping[str, tuple[str, ...]] = field(default_factory=lambda: MappingProxyType({}))
    words: Mapping[str, tuple[WordUse, ...]] = field(default_factory=lambda: MappingProxyType({}))


def is_plain(grid: Grid) -> bool:
    """True for a table in the plain layout, which needs no proposal.

    A list of parts in the plain layout has one of its dates: a list of jobs
    may share every other header with it.

    Raises
    ------
    FleetError
        If the text breaks off.
    """
    table = table_of(grid)
    if table is not None and not dates_are_plain(table, grid):
        return False
    if table is not PARTS:
        return table is not None
    headers = set(map(as_word, header_of(grid).cells))
    return not headers.isdisjoint({"fitted_on", "removed_on"})


def propose(grid: Grid) -> Proposal:
    """How one table may be read.

    Parameters
    ----------
    grid : Grid

    Returns
    -------
    Proposal
        The same whatever the order of rows, up to `contents.MOST_ROWS` of them.
        A table that cannot be read at all is left, and the reason says why.
    """
    seen = _seen(grid)
    return seen if isinstance(seen, Proposal) else _proposal(seen, choose(seen))


def propose_all(grids: Iterable[Grid]) -> list[Proposal]:
    """How the tables of one folder may be read, those of the plain layout left out.

    Parameters
    ----------
    grids : iterable of Grid
        All of the folder, so that a pattern for one file's name takes in no
        other that is read in another way.

    Returns
    -------
    list of Proposal
        In the order of the grids. Boats' names in the lists of boats help to
        find the columns of names elsewhere.
    """
    foreign: list[tuple[Grid, Table | Proposal]] = []
    plain: list[Grid] = []
    for grid in grids:
        try:
            known = is_plain(grid)
        except FleetError:
            known = False
        if known:
            plain.append(grid)
        else:
            foreign.append((grid, _seen(grid)))
    first = [None if isinstance(seen, Proposal) else choose(seen) for _, seen in foreign]
    boats = frozenset(
        text.casefold()
        for choice in first
        if choice and choice.shape == "boats" and "boat" in choice.held
        for text, _ in choice.held["boat"].column.counts
    )
    proposals = [
        seen if isinstance(seen, Proposal) else _proposal(seen, choose(seen, boats))
        for _, seen in foreign
    ]
    everything = [
        *((grid, _reading(one)) for (grid, _), one in zip(foreign, proposals, strict=True)),
        *((grid, None) for grid in plain),
    ]
    return [
        replace(one, source=replace(one.source, file=_apart(grid, one, everything)))
        for (grid, _), one in zip(foreign, proposals, strict=True)
    ]


def _seen(grid: Grid) -> Table | Proposal:
    """What the table looks like, or that it is left because it cannot be read."""
    try:
        return table_of_contents(grid, header_of(grid))
    except FleetError as error:
        why = "; ".join(f"{one.found}, expected {one.expected}" for one in error.findings)
        source = SourceMapping(literal(grid.file), LEAVE, sheet=grid.sheet)
        return Proposal(source, {"shape": f"It cannot be read: {why}."})


def _proposal(table: Table, choice: Choice) -> Proposal:
    headers = tuple(table.header.headers)
    held = choice.held
    source = SourceMapping(
        pattern_of(table.grid.file),
        choice.shape,
        sheet=table.grid.sheet,
        headers=headers,
        columns={name: one.column.header for name, one in held.items()},
        fixed=dict(choice.fixed),
    )
    read = {one.column.header for one in held.values()}
    return Proposal(
        source,
        {
            "shape": choice.why,
            **{name: one.why() for name, one in held.items()},
            **{name: _FIXED.format(text) for name, text in choice.fixed.items()},
        },
        tuple(doubts_of(table, choice)),
        tuple(header for header in headers if header not in read),
        {column.header: column.examples for column in table.columns},
        {name: _words(one) for name, one in held.items() if one.field.holds in LISTED},
    )


_FIXED = "No column says it; the name of the file or sheet, or a title, does: '{}'."


def _words(held: Held) -> tuple[WordUse, ...]:
    return tuple(
        WordUse(text, times, *word) for text, times, word in held.column.words(held.field.holds)
    )


_Reading = tuple[str, Mapping[str, str], Mapping[str, str]]


def _reading(proposal: Proposal) -> _Reading:
    source = proposal.source
    return source.shape, source.columns, source.fixed


def _apart(
    grid: Grid, proposal: Proposal, everything: Sequence[tuple[Grid, _Reading | None]]
) -> str:
    """The pattern of a file's name, or the name itself where others would be read like it."""
    pattern = proposal.source.file
    for other, reading in everything:
        if (
            other is not grid
            and other.sheet == grid.sheet
            and fnmatchcase(base_name(other.file).casefold(), pattern.casefold())
            and reading != _reading(proposal)
        ):
            return literal(grid.file)
    return pattern
