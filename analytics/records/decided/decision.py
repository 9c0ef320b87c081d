"""One decision about a finding, and all those of a fleet."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date
from fnmatch import fnmatchcase
from functools import cached_property
from typing import Literal, get_args

from analytics.records.decided.marks import row_mark, same_text
from analytics.records.files.names import known_as

What = Literal["name", "word", "cell", "leave_out", "keep"]
"""A boat's name read as another; a text of a field read as one of our words; one cell of a row
read as something else; a row left out; a finding looked at and accepted as it stands."""

WHATS: tuple[What, ...] = get_args(What)


@dataclass(frozen=True)
class Decision:
    """What a person decided about one finding.

    Attributes
    ----------
    what : str
        One of `WHATS`.
    found, read_as : str
        The text as it stands, and what it is read as.
    field : str
        Of a word, the field (as `mapping.fields` names it); of a cell, the
        header of the file.
    file, sheet : str
        Where the row or finding is: the name of the file without its folder,
        `*` standing for what changes from one export to the next.
    row_mark : str
        The mark of the row, see `marks.row_marks`.
    cells : tuple of (str, str)
        Header and cell of the whole row, for people who read the file and for
        exports whose columns have changed since.
    sort : str
        Of a finding that is kept, a key of `sorts.SORTS`.
    by, why : str
    on : date or None
        Who decided it, for what reason, and when.
    """

    what: What
    found: str = ""
    read_as: str = ""
    field: str = ""
    file: str = ""
    sheet: str = ""
    row_mark: str = ""
    cells: tuple[tuple[str, str], ...] = ()
    sort: str = ""
    by: str = ""
    on: date | None = None
    why: str = ""

    def of_row(self, header: list[str], cells: list[str]) -> Decision:
        """The same decision, about this row."""
        padded = [*cells, *[""] * (len(header) - len(cells))]
        return replace(
            self,
            row_mark=row_mark(header, cells),
            cells=tuple(zip(header, padded, strict=False)),
        )

    @property
    def question(self) -> tuple[str, ...]:
        """What was asked: of two decisions about one question, the later counts."""
        place = (self.file.casefold(), self.sheet)
        if self.what == "name":
            return ("name", same_text(self.found))
        if self.what == "word":
            return ("word", self.field, same_text(self.found))
        if self.what == "cell":
            return ("cell", *place, self.row_mark, same_text(self.field))
        if self.what == "leave_out":
            return ("leave_out", *place, self.row_mark)
        return ("keep", *place, self.row_mark, self.sort, same_text(self.found))

    def is_of(self, file: str, sheet: str) -> bool:
        """True where its file and sheet are these."""
        pattern = self.file.casefold()
        # A name with square brackets in it is a name before it is a pattern.
        return self.sheet == sheet and any(
            name == pattern or fnmatchcase(name, pattern) for name in known_as(file)
        )

    def said(self) -> str:
        """Who decided it, when and why, as words that end a sentence."""
        by = f" by {self.by}" if self.by else ""
        on = f" on {self.on.isoformat()}" if self.on else ""
        why = f": {self.why}" if self.why else ""
        return f"decided{by}{on}{why}"


@dataclass(frozen=True)
class Unread:
    """An entry that is wrong: kept as it stands, so that nothing a person wrote is lost.

    Attributes
    ----------
    text : str
        Its lines, as TOML.
    """

    text: str


class ByText(Mapping[str, str]):
    """Texts by text; how a key is written does not matter (see `marks.same_text`)."""

    def __init__(self, pairs: Iterable[tuple[str, str]]) -> None:
        self._pairs = {same_text(found): read_as for found, read_as in pairs}

    def __getitem__(self, found: str) -> str:
        return self._pairs[same_text(found)]

    def __iter__(self) -> Iterator[str]:
        return iter(self._pairs)

    def __len__(self) -> int:
        return len(self._pairs)

    def __repr__(self) -> str:
        return f"ByText({self._pairs!r})"


@dataclass(frozen=True)
class Decisions:
    """What people decided about a fleet's records.

    Attributes
    ----------
    entries : tuple of Decision or Unread
        In the order of the file; the number of each is its place from 1.
    complete : bool
        False where the file is no TOML, so that nothing of it could be read:
        it must not be written over.
    """

    entries: tuple[Decision | Unread, ...] = ()
    complete: bool = True

    def __iter__(self) -> Iterator[Decision]:
        return (one for _, one in self.numbered())

    def __len__(self) -> int:
        return sum(1 for _ in self)

    def numbered(self) -> Iterator[tuple[int, Decision]]:
        """Each decision with its number."""
        for number, one in enumerate(self.entries, 1):
            if isinstance(one, Decision):
                yield number, one

    def in_force(self) -> Iterator[tuple[int, Decision]]:
        """Each that no later one replaces, with its number."""
        latest = {one.question: number for number, one in self.numbered()}
        return ((number, one) for number, one in self.numbered() if latest[one.question] == number)

    def with_(self, decision: Decision) -> Decisions:
        """These and one more, which replaces what was decided about the same question."""
        kept = [
            one
            for one in self.entries
            if isinstance(one, Unread) or one.question != decision.question
        ]
        return replace(self, entries=(*kept, decision))

    def without(self, number: int) -> Decisions:
        """All but one; the numbers of those after it become one less.

        Raises
        ------
        IndexError
            If there is none of this number.
        """
        if not 1 <= number <= len(self.entries):
            raise IndexError(f"no decision {number} among {len(self.entries)}")
        at = number - 1
        return replace(self, entries=self.entries[:at] + self.entries[at + 1 :])

    @cached_property
    def names(self) -> Mapping[str, str]:
        """The boat that a name stands for, by the name found."""
        return ByText((one.found, one.read_as) for one in self if one.what == "name")

    def words(self, field: str) -> Mapping[str, str]:
        """What a text stands for in a field, by the text found."""
        return ByText(
            (one.found, one.read_as) for one in self if one.what == "word" and one.field == field
        )

    def kept(
        self, sort: str, file: str, sheet: str = "", *, found: str = "", row_mark: str = ""
    ) -> Decision | None:
        """The decision that accepts a finding as it stands; None where there is none.

        Parameters
        ----------
        sort, file, sheet : str
            What the finding is of, and where.
        found : str
            The text found.
        row_mark : str
            The mark of its row; blank where the finding is of no row.

        Returns
        -------
        Decision or None
            The latest that names this row, or this text, or neither: the whole
            group.
        """
        for one in reversed(list(self)):
            if (
                one.what == "keep"
                and one.sort == sort
                and one.is_of(file, sheet)
                and one.row_mark in ("", row_mark)
                and (not one.found or same_text(one.found) == same_text(found))
            ):
                return one
        return None
