"""What leaves the program about a fleet's records, with the names of people masked.

The records themselves keep every text as it stands, because decisions are made
of it; so does what is kept in the fleet folder of rows that were accepted.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import pandas as pd

from analytics.papers.masking import masked, people_in
from analytics.records.findings import Finding, of_rows
from analytics.records.reading import Records
from analytics.records.tables import BOATS, LIFTS

SHOWN_TO_NOBODY = ["found", "remedy", "cells"]
"""Columns of findings and of rejected rows that may hold what people wrote."""


LONGEST_NAMES = 200
"""Letters of a cell beyond which it is a remark, and names neither people nor boats."""


@dataclass(frozen=True)
class Mask:
    """Masks the people of a fleet.

    Attributes
    ----------
    people : frozenset of str
        Names, as `masking.people_in` gives them.
    keep : frozenset of str
        Boats, bases and yards.
    """

    people: frozenset[str] = frozenset()
    keep: frozenset[str] = frozenset()

    def text(self, text: str) -> str:
        """A text without the names of people."""
        return _masked(text, self.people, self.keep)

    def findings(self, findings: Iterable[Finding]) -> list[Finding]:
        """Findings without the names of people; what was expected is our own words."""
        return [
            replace(one, found=self.text(one.found), remedy=self.text(one.remedy))
            for one in findings
        ]

    def table(self, table: pd.DataFrame, columns: Sequence[str] = ()) -> pd.DataFrame:
        """A table without the names of people in some of its columns of text."""
        shown = table.copy()
        for name in columns or SHOWN_TO_NOBODY:
            if name in shown:
                shown[name] = [self.text(cell) for cell in shown[name]]
        return shown


@lru_cache(maxsize=50_000)
def _masked(text: str, people: frozenset[str], keep: frozenset[str]) -> str:
    return masked(text, people, keep) if text else text


MOST_REMARKS = 20_000
"""Different remarks of one export that are looked at for names."""


def people_told(records: Records, mask: Mask) -> list[Finding]:
    """Which remarks name people: one finding an export, with the rows and without the names."""
    findings = []
    for export in records.exports:
        header = export.columns.get("note", "note")
        if header not in export.header:
            continue
        at = export.header.index(header)
        rows: dict[str, list[int]] = {}
        for row, cells in export.rows:
            if cells[at]:
                rows.setdefault(cells[at], []).append(row)
        naming = [text for text in list(rows)[:MOST_REMARKS] if mask.text(text) != text]
        if naming:
            finding = Finding(
                export.place,
                None,
                header,
                f"{len(naming)} remarks that name people",
                "remarks without names",
                "noted",
                "The names are masked in whatever is shown or written; your own files keep them.",
                "person_named",
            )
            findings += of_rows(finding, sorted(row for text in naming for row in rows[text]))
    return findings


def mask_of(records: Records) -> Mask:
    """The mask of a fleet: its columns of persons name people; boats, bases and yards are none."""
    boats, lifts = records.tables[BOATS.file], records.tables[LIFTS.file]
    named = {*boats["boat"], *boats["base"], *lifts["yard"]}
    for names in boats["was_named"]:
        named.update(map(str.strip, names.split(";")))
    people = people_in(text for text in records.people if len(text) <= LONGEST_NAMES)
    return Mask(people, frozenset(name for name in named if 0 < len(name) <= LONGEST_NAMES))
