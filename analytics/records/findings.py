"""What was found wrong, assumed or changed while reading: rows with a place and a remedy."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass, replace
from typing import Literal

import pandas as pd

Done = Literal["stopped", "rejected", "merged", "ignored", "assumed", "noted"]
"""What the program did: everything short of ``stopped`` lets the rest go on."""

FINDING_COLUMNS = ["file", "row", "field", "found", "expected", "done", "remedy", "sort", "also"]


@dataclass(frozen=True)
class Finding:
    """One thing a person may want to act on.

    Attributes
    ----------
    file : str
        The user's file, and the sheet where there is one.
    row : int or None
        Row of the file or sheet, the first being 1; None for the file as a whole.
    field, found, expected : str
        The column, the text that stood there, and what would have been right.
    done : str
        What the program did about it.
    remedy : str
        What the user can do.
    sort : str
        A key of `sorts.SORTS`, blank where it is of none.
    also : tuple of int
        Further rows of which the same is true.
    """

    file: str
    row: int | None
    field: str
    found: str
    expected: str
    done: Done
    remedy: str
    sort: str = ""
    also: tuple[int, ...] = ()

    @property
    def rows(self) -> tuple[int, ...]:
        """Every row of which it is true."""
        return self.also if self.row is None else (self.row, *self.also)

    def sentence(self) -> str:
        """The finding as one line for a terminal or a page."""
        place = f"{self.file} row {self.row}" if self.row is not None else self.file
        if self.row is not None and self.also:
            place += f" and {len(self.also):,} more"
        field = f", {self.field}" if self.field else ""
        found = f"found '{_shortened(self.found)}', " if self.found else ""
        said = f"{place}{field}: {found}expected {self.expected}. {self.remedy} [{self.done}]"
        # A cell may hold line ends, or marks that a terminal would obey.
        return "".join(mark if mark.isprintable() else " " for mark in said)


def of_rows(finding: Finding, rows: Iterable[int]) -> list[Finding]:
    """A finding that is true of several rows: the first of them and, as `also`, the others.

    Returns
    -------
    list of Finding
        The one; empty where there is no row.
    """
    ordered = sorted(rows)
    return [replace(finding, row=ordered[0], also=tuple(ordered[1:]))] if ordered else []


def located(findings: Iterable[Finding], places: Mapping[str, str]) -> list[Finding]:
    """Findings about tables of the plain layout, each where the user's own file holds it.

    Parameters
    ----------
    findings : iterable of Finding
    places : mapping of str to str
        The user's file, and sheet, by the table's name in the plain layout.
    """
    return [replace(one, file=places.get(one.file, one.file)) for one in findings]


def _shortened(text: str, most: int = 120) -> str:
    return text if len(text) <= most else text[: most - 1] + "…"


class FleetError(Exception):
    """The records cannot give what was asked for; `findings` say what is missing and where."""

    def __init__(self, findings: Iterable[Finding]) -> None:
        self.findings = tuple(findings)
        super().__init__("\n".join(finding.sentence() for finding in self.findings))

    @classmethod
    def because(
        cls,
        file: str,
        row: int | None = None,
        field: str = "",
        *,
        found: str,
        expected: str,
        remedy: str,
        sort: str = "",
    ) -> FleetError:
        """The error of one finding that stops everything."""
        return cls([Finding(file, row, field, found, expected, "stopped", remedy, sort)])


_IN_ORDER: tuple[Done, ...] = ("stopped", "rejected", "merged", "ignored", "assumed", "noted")

ALIKE = 3
"""More findings than this that differ only in their row are told as one."""


def told(findings: Iterable[Finding]) -> list[str]:
    """Findings as sentences, what was left out first, many of one sort as one sentence.

    Returns
    -------
    list of str
        Rejected, merged and ignored rows one by one; assumptions that differ
        only in row and text found are one sentence with their number.
    """
    sorts: dict[tuple[str, str, str, Done], list[Finding]] = {}
    ordered = sorted(findings, key=lambda one: (_IN_ORDER.index(one.done), one.file, one.row or 0))
    for one in ordered:
        sorts.setdefault((one.file, one.field, one.expected, one.done), []).append(one)
    sentences = []
    for alike in sorts.values():
        first = alike[0]
        if len(alike) <= ALIKE or first.done in ("stopped", "rejected", "merged"):
            sentences += [one.sentence() for one in alike]
            continue
        rows = ", ".join(str(one.row) for one in alike[:ALIKE])
        sentences.append(f"{len(alike)} alike (rows {rows}, …), the first: {first.sentence()}")
    return sentences


def findings_table(findings: Iterable[Finding]) -> pd.DataFrame:
    """Findings as a table, in the order of file and row.

    Returns
    -------
    DataFrame
        Columns `FINDING_COLUMNS`; `row` is a nullable integer.
    """
    table = pd.DataFrame([asdict(finding) for finding in findings], columns=FINDING_COLUMNS)
    table["also"] = [", ".join(map(str, rows)) for rows in table["also"]]
    table["row"] = table["row"].astype("Int64")
    return table.sort_values(["file", "row", "field", "done"], kind="stable", ignore_index=True)
