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
from analytics.records.findings import Finding
from analytics.records.reading import Records
from analytics.records.tables import BOATS, LIFTS

SHOWN_TO_NOBODY = ["found", "remedy", "cells"]
"""Columns of findings and of rejected rows that may hold what people wrote."""


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


def mask_of(records: Records) -> Mask:
    """The mask of a fleet: its columns of persons name people; boats, bases and yards are none."""
    boats, lifts = records.tables[BOATS.file], records.tables[LIFTS.file]
    named = {*boats["boat"], *boats["base"], *lifts["yard"]}
    for names in boats["was_named"]:
        named.update(map(str.strip, names.split(";")))
    return Mask(people_in(records.people), frozenset(named - {""}))
