"""One source of exports as the page shows it: columns, words and doubts; no Streamlit."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from analytics.records.decided.marks import same_text
from analytics.records.files.grids import Grid
from analytics.records.findings import FleetError
from analytics.records.mapping.assigning import SURE, Held
from analytics.records.mapping.column_words import meaning_of
from analytics.records.mapping.contents import Contents, Table, table_of_contents
from analytics.records.mapping.document import HeaderChange, changed_headers
from analytics.records.mapping.doubts import doubts_of
from analytics.records.mapping.fields import SHAPES, Field, Shape
from analytics.records.mapping.header_rows import header_of
from analytics.records.mapping.meanings import LEAVE, NOT_OURS, meanings
from analytics.records.mapping.model import FleetMapping, SourceMapping
from analytics.records.mapping.proposal import Proposal, WordUse
from analytics.records.mapping.shapes import Choice
from analytics.records.mapping.word_lists import LISTED
from analytics.records.vocabulary.headers import header_fields

_OF_WORDS = re.compile(r"\d+ texts? in '")
"""So begin doubts about single words."""


@dataclass(frozen=True)
class Looked:
    """A file or sheet that is not in the plain layout, and what is in it.

    Attributes
    ----------
    grid : Grid
    proposal : Proposal
    table : Table or None
        None where it cannot be read.
    """

    grid: Grid
    proposal: Proposal
    table: Table | None


def looked_into(grids: Iterable[Grid], proposals: Iterable[Proposal]) -> list[Looked]:
    """What is in each file or sheet."""
    return [
        Looked(grid, proposal, _contents(grid))
        for grid, proposal in zip(grids, proposals, strict=True)
    ]


def _contents(grid: Grid) -> Table | None:
    try:
        return table_of_contents(grid, header_of(grid))
    except FleetError:
        return None


@dataclass(frozen=True)
class WordRow:
    """A text of a column, and what it means.

    Attributes
    ----------
    use : WordUse
        As the word list reads it.
    said : str or None
        What a person said that it means.
    """

    use: WordUse
    said: str | None

    @property
    def to_look_at(self) -> bool:
        """True where nobody said, and the word list is not sure."""
        return self.said is None and not self.use.certain


@dataclass(frozen=True)
class Source:
    """How one file or sheet is read, with all exports that are read in this way.

    Attributes
    ----------
    mapping : SourceMapping
    exports : tuple of Looked
        In the order of their names, so that the latest is the last.
    saved : bool
        False where it is proposed, or said here and not accepted yet.
    proposed : bool
        True where nobody has said anything of it yet.
    """

    mapping: SourceMapping
    exports: tuple[Looked, ...]
    saved: bool
    proposed: bool

    @property
    def key(self) -> str:
        """What names it among the sources."""
        return f"{self.mapping.file}\x1f{self.mapping.sheet}"

    @property
    def name(self) -> str:
        """What people call it."""
        sheet = self.mapping.sheet
        files = ", ".join(one.grid.file for one in self.exports)
        return f"{files}, sheet {sheet}" if sheet else files

    @property
    def shape(self) -> Shape | None:
        """The shape; None where it is left alone."""
        return SHAPES.get(self.mapping.shape)

    @cached_property
    def tables(self) -> list[Table]:
        """Those of its exports that can be read."""
        return [one.table for one in self.exports if one.table]

    @cached_property
    def columns(self) -> dict[str, Contents]:
        """The columns of the latest export, by header."""
        return {column.header: column for column in self.tables[-1].columns} if self.tables else {}

    @property
    def headers(self) -> tuple[str, ...]:
        """The headers of the latest export."""
        return tuple(self.tables[-1].header.headers) if self.tables else ()

    @property
    def cannot_be_read(self) -> str:
        """Why, where no export of it can be read."""
        return "" if self.tables else self.exports[0].proposal.reasons.get("shape", "")

    def fields_of(self, header: str) -> list[str]:
        """What a column is read as."""
        return [name for name, one in self.mapping.columns.items() if one == header]

    def reason(self, name: str) -> str:
        """Why a column is proposed for a field; blank where a person or its header says so."""
        for one in self.exports:
            source = one.proposal.source
            if source.shape == self.mapping.shape and source.columns.get(
                name
            ) == self.mapping.columns.get(name):
                why = one.proposal.reasons.get(name, "")
                return "" if why.endswith("' says so.") else why
        return ""

    def lacking(self) -> list[str]:
        """What a row of this shape needs and no column or fixed text gives, as words."""
        if self.shape is None:
            return []
        known = self.mapping.columns.keys() | self.mapping.fixed.keys()
        by_name = self.shape.by_name
        return [
            " or ".join(by_name[name].says for name in group)
            for group in self.shape.needed
            if known.isdisjoint(group)
        ]

    def changes(self) -> HeaderChange:
        """What has changed in the headers since somebody said how they are read."""
        missing: dict[str, str] = {}
        new: dict[str, None] = {}
        if self.mapping.shape != LEAVE:
            for table in self.tables:
                change = changed_headers(self.mapping, table.header.headers)
                missing |= change.missing
                new |= dict.fromkeys(change.new)
        return HeaderChange(missing, tuple(new))

    def doubts(self) -> list[str]:
        """What a person should look at, as sentences; what was settled is left out.

        Words that are not sure have a box each, see `word_rows`.
        """
        if self.shape is None or self.changes().missing:
            return []
        found: dict[str, None] = {}
        for one in self.exports:
            if one.table:
                held = {name: h for name, h in self._held(one.table) if h.column.held}
                rivals = self._rivals(one) if self.proposed else ()
                choice = Choice(self.mapping.shape, "", held, self._fixed(one), rivals)
                found |= dict.fromkeys(doubts_of(one.table, choice))
        if self.mapping.order:
            found = {text: None for text in found if "; set order" not in text}
        return [text for text in found if not _OF_WORDS.match(text)]

    @cached_property
    def unsure(self) -> dict[str, list[WordRow]]:
        """By field that is read by a word list, the texts that it is not sure of."""
        return {
            field.name: rows
            for field in word_fields(self)
            if (rows := [row for row in word_rows(self, field) if not row.use.certain])
        }

    @property
    def to_look_at(self) -> int:
        """How many things of it need a person."""
        words = sum(row.to_look_at for rows in self.unsure.values() for row in rows)
        change = self.changes()
        return len(self.doubts()) + len(self.lacking()) + words + bool(change.missing or change.new)

    def _held(self, table: Table) -> Iterable[tuple[str, Held]]:
        assert self.shape is not None
        columns = {column.header: column for column in table.columns}
        for name, header in self.mapping.columns.items():
            if header in columns and name in self.shape.by_name:
                scores = dict(header_fields(header, self.shape))
                score = scores.get(name, 0.0) if self.proposed else SURE
                field = self.shape.by_name[name]
                yield name, Held(field, self._unsaid(field, columns[header]), score, score)

    def _unsaid(self, field: Field, column: Contents) -> Contents:
        """A column without the texts that a person has said the meaning of."""
        said = {same_text(text) for text in self.mapping.words.get(field.name, {})}
        if not said:
            return column
        left = tuple((text, times) for text, times in column.counts if same_text(text) not in said)
        return replace(column, counts=left)

    def _fixed(self, one: Looked) -> Mapping[str, str]:
        """Fixed texts that were proposed; those a person said are no doubt."""
        source = one.proposal.source
        return {
            name: text
            for name, text in self.mapping.fixed.items()
            if self.proposed and source.fixed.get(name) == text
        }

    def _rivals(self, one: Looked) -> tuple[str, ...]:
        """Other shapes that the proposal told of."""
        told = " ".join(one.proposal.doubts).partition("A row may also be ")[2].split(". Is it")[0]
        return tuple(name for name, shape in SHAPES.items() if shape.row_is in told.split(" or "))


def sources(
    looked: Sequence[Looked], mapping: FleetMapping, saved: FleetMapping, said: FleetMapping
) -> list[Source]:
    """The sources, in the order of their exports.

    Parameters
    ----------
    looked : sequence of Looked
    mapping : FleetMapping
        As all is read now.
    saved, said : FleetMapping
        What is in the folder, and what was said on the page.
    """
    by_key: dict[tuple[str, str], list[Looked]] = {}
    of_key: dict[tuple[str, str], SourceMapping] = {}
    for one in sorted(looked, key=lambda one: one.grid.place):
        source = mapping.of(one.grid)
        if source is not None:
            by_key.setdefault((source.file, source.sheet), []).append(one)
            of_key[source.file, source.sheet] = source
    return [
        Source(
            of_key[key],
            tuple(exports),
            saved=of_key[key] in saved.sources,
            proposed=of_key[key] not in (*saved.sources, *said.sources),
        )
        for key, exports in by_key.items()
    ]


def unsaid(
    looked: Iterable[Looked], saved: FleetMapping, said: FleetMapping
) -> list[SourceMapping]:
    """What is proposed for files and sheets of which neither mapping says anything."""
    return [
        one.proposal.source
        for one in looked
        if saved.of(one.grid) is None and said.of(one.grid) is None
    ]


def word_fields(source: Source) -> list[Field]:
    """Fields of this source whose columns are read by word lists."""
    if source.shape is None:
        return []
    return [
        field
        for field in source.shape.fields
        if field.holds in LISTED and field.name in source.mapping.columns
    ]


def word_rows(source: Source, field: Field) -> list[WordRow]:
    """The texts of a field, those that are not sure first, then the most frequent."""
    header = source.mapping.columns[field.name]
    said = {
        same_text(text): word for text, word in source.mapping.words.get(field.name, {}).items()
    }
    times: Counter[str] = Counter()
    read: dict[str, WordUse] = {}
    for table in source.tables:
        for column in table.columns:
            if column.header == header:
                for text, number, word in column.words(field.holds):
                    times[text] += number
                    read[text] = _as_translated(field, WordUse(text, number, *word))
    rows = [
        WordRow(read[text]._replace(times=number), said.get(same_text(text)))
        for text, number in times.items()
    ]
    return sorted(rows, key=lambda row: (row.use.certain, -row.use.times, row.use.text))


def _as_translated(field: Field, use: WordUse) -> WordUse:
    """The same, sure where reading it as it stands tells nobody to say what it means."""
    if use.certain:
        return use
    meaning = meaning_of(field.holds, use.text)
    if meaning.problem or meaning.sort == "words_unknown":
        return use
    return use._replace(read_as=meaning.word, certain=True)


def word_options(field: Field, kinds: Iterable[str]) -> list[str]:
    """The words that a text of a field may mean, blank for nothing."""
    allowed = meanings(field.holds)
    return ["", *(allowed if allowed is not None else (*kinds, NOT_OURS))]
