"""What the assembling of lives has to say, by the lines of the sources it is true of."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal, NamedTuple

from analytics.records.findings import Done

Outcome = Literal["used", "merged", "ignored", "rejected"]
"""What became of a line."""

_BY_WEIGHT: tuple[Outcome, ...] = ("used", "merged", "ignored", "rejected")


@dataclass(frozen=True)
class Told:
    """One thing found, before its lines are known as rows of files.

    Attributes
    ----------
    line : int
        Line of the source that it is about, the first of several.
    field, found, expected, done, remedy, sort : str
        As in `Finding`.
    also : tuple of int
        Further lines of which the same is true.
    beside : int or None
        The line that it was held against: the entry that stands where this one
        was merged, the fitting whose part was never removed.
    """

    line: int
    field: str
    found: str
    expected: str
    done: Done
    remedy: str
    sort: str = ""
    also: tuple[int, ...] = ()
    beside: int | None = None


class Fate(NamedTuple):
    """What became of a line, and what says why; `told` is None where it was used."""

    outcome: Outcome
    told: Told | None = None


USED = Fate("used")

Saying = tuple[str, str, str, Done, str, str, int]
"""Field, found, expected, done, remedy, sort and the line beside (-1: none)."""


class Telling:
    """Collects what is said; what is the same of many lines becomes one `Told`."""

    def __init__(self) -> None:
        self._lines: dict[Saying, list[int]] = {}
        self._left_out: dict[int, list[tuple[Outcome, Saying]]] = {}

    def say(
        self,
        line: int,
        field: str,
        found: str,
        expected: str,
        done: Done,
        remedy: str,
        sort: str = "",
        beside: int = -1,
    ) -> Saying:
        """Say something of a line that is used all the same."""
        saying: Saying = (field, found, expected, done, remedy, sort, beside)
        self._lines.setdefault(saying, []).append(line)
        return saying

    def leave_out(
        self,
        line: int,
        outcome: Literal["merged", "ignored", "rejected"],
        field: str,
        found: str,
        expected: str,
        remedy: str,
        sort: str = "",
        beside: int = -1,
    ) -> None:
        """Say why an event of a line makes no life of its own."""
        saying = self.say(line, field, found, expected, outcome, remedy, sort, beside)
        self._left_out.setdefault(line, []).append((outcome, saying))

    def all_told(self, lines: Iterable[int]) -> tuple[tuple[Told, ...], dict[int, Fate]]:
        """Everything said, and what became of every line.

        Parameters
        ----------
        lines : iterable of int
            The line of every event; a line that told of two parts comes twice.
            It was used if one of its events was.

        Returns
        -------
        tuple of Told
            In the order of their lines.
        dict of int to Fate
        """
        lines = list(lines)
        events = Counter(line for line in lines if line in self._left_out)
        told = {saying: _one(saying, said_of) for saying, said_of in self._lines.items()}
        fates = dict.fromkeys(lines, USED)
        for line, whys in self._left_out.items():
            if len(whys) >= events[line]:
                outcome, saying = min(whys, key=_weight)
                fates[line] = Fate(outcome, told[saying])
        return tuple(sorted(told.values(), key=_in_order)), fates


def _one(saying: Saying, said_of: list[int]) -> Told:
    field, found, expected, done, remedy, sort, beside = saying
    first, *also = sorted(set(said_of)) if len(said_of) > 1 else said_of
    held = beside if beside >= 0 else None
    return Told(first, field, found, expected, done, remedy, sort, tuple(also), held)


def _in_order(told: Told) -> tuple[int, str, str, str, str]:
    return told.line, told.field, told.sort, told.found, told.remedy


def _weight(why: tuple[Outcome, Saying]) -> tuple[int, Saying]:
    return _BY_WEIGHT.index(why[0]), why[1]
