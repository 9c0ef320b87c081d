"""A fleet folder, read: its records, the lives made of them, and what was found wrong."""

from __future__ import annotations

import gc
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import timedelta
from functools import cached_property

import pandas as pd

from analytics.ageing.wear.wear_readings import WearReadings, wear_readings
from analytics.lives import Lives, table_of_lives
from analytics.papers.people import Mask, mask_of, people_told
from analytics.records.findings import Finding, findings_table
from analytics.records.reading import Records, read_fleet
from analytics.records.seasons import Season
from analytics.records.tables import PARTS

Progress = Callable[[str, int, int], None]


@dataclass(frozen=True)
class Fleet:
    """A fleet folder, read: the records and the lives made of them."""

    records: Records
    lives: Lives

    @cached_property
    def mask(self) -> Mask:
        """Masks the names of people in whatever leaves the program."""
        return mask_of(self.records)

    @cached_property
    def told(self) -> tuple[Finding, ...]:
        """Every finding of reading and of making lives, the names of people masked."""
        of_people = people_told(self.records, self.mask)
        of_readings = self.readings.findings
        every = [*self.records.findings, *self.lives.findings, *of_readings, *of_people]
        return tuple(self.mask.findings(every))

    @cached_property
    def readings(self) -> WearReadings:
        """Measurements of wear, each laid to the life it is of."""
        return wear_readings(self.records, self.lives, self.records.settings.wear)

    def findings(self) -> pd.DataFrame:
        """The same as a table, in the order of file and row."""
        return findings_table(self.told)

    def rejected(self) -> pd.DataFrame:
        """Every row that was rejected, the names of people masked; `reading.REJECTED_COLUMNS`."""
        return self.mask.table(self.records.rejected)

    def coming_season(self) -> Season:
        """The season to look at: the first with a month or more of it left."""
        return self.records.settings.seasons.next_after(self.records.as_of + timedelta(days=30))

    def reconciliation(self) -> str:
        """The sum that must come out: rows read = used + merged + rejected + ignored."""
        about = [export for export in self.records.exports if export.about_parts]
        counts = self.records.counts.set_index("file").loc[[export.name for export in about]]
        parts = counts.sum()
        several = f"about parts in {len(about)} files and sheets"
        where = f"of {about[0].place}" if len(about) == 1 else several
        lives = len(self.lives.table)
        one_a_life = all(export.holds == PARTS.file for export in about)
        used = f"{parts['used']:,} lives" if one_a_life else f"{parts['used']:,} used"
        told = "" if one_a_life else f"; they make {lives:,} lives"
        return (
            f"{parts['rows_read']:,} rows {where} read = {used} + {parts['merged']:,} merged + "
            f"{parts['rejected']:,} rejected + {parts['ignored']:,} ignored{told}"
        )


def open_fleet(files: Mapping[str, bytes], progress: Progress | None = None) -> Fleet:
    """Read the files of a fleet and make lives of them.

    Parameters
    ----------
    files : mapping of str to bytes
        Content by file name.
    progress : callable, optional
        Called with what is done, how far and of how much.

    Raises
    ------
    FleetError
        If the files cannot be read; the findings say why and what to do.
    """
    with _no_collecting():
        records = read_fleet(files, progress)
        return Fleet(records, table_of_lives(records))


@contextmanager
def _no_collecting() -> Iterator[None]:
    """Without the search for unreachable cycles.

    A million rows are millions of small objects, all of which stay: looking through them again
    and again takes a third of the time, and finds nothing.
    """
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()
