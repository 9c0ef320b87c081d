"""The whole job, one call per question: what the command and the dashboard both use.

Each answer is made once, here, from the answer before it, so that a number on a
page, on the terminal and in a file is the same number.
"""

from __future__ import annotations

import gc
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import timedelta
from functools import cached_property

import pandas as pd

from analytics.ageing.fit import FleetAgeing, fleet_ageing
from analytics.ageing.wear.fleet_wear import FleetOwnLives, FleetWear, fleet_own_lives, fleet_wear
from analytics.ageing.wear.wear_readings import WearReadings, wear_readings
from analytics.decisions.budget import Budget, parts_budget
from analytics.decisions.consequence import with_consequence
from analytics.decisions.prices import price_list
from analytics.lives import Lives, table_of_lives
from analytics.outlook.futures import N_FUTURES, Futures, simulated_futures
from analytics.outlook.season import SeasonRisk, season_risk
from analytics.papers.people import Mask, mask_of, people_told
from analytics.records.findings import Finding, FleetError, findings_table
from analytics.records.reading import Records, read_fleet
from analytics.records.seasons import Season
from analytics.records.settings import FILE as SETTINGS_FILE
from analytics.records.tables import PARTS

Progress = Callable[[str, int, int], None]

HORIZON = 5
"""Seasons in a parts budget unless asked otherwise."""


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


def how_it_ages(fleet: Fleet, seed: int = 0, progress: Progress | None = None) -> FleetAgeing:
    """How each kind ages.

    Raises
    ------
    FleetError
        If the records cannot be fitted, see `lives.require_survivors`; where no
        row could be used, with what was wrong with each.
    """
    try:
        return fleet_ageing(fleet.lives, seed, progress)
    except FleetError as error:
        stopped = fleet.records.located(error.findings)
        if len(fleet.lives.table):
            raise FleetError(stopped) from None
        rejected = [finding for finding in fleet.records.findings if finding.done == "rejected"]
        raise FleetError([*stopped, *rejected]) from None


def wear_of(fleet: Fleet, ageing: FleetAgeing, seed: int = 0) -> FleetWear:
    """Wear paths of every kind that was measured."""
    return fleet_wear(fleet.lives, ageing, fleet.readings, seed)


def season_of(fleet: Fleet, year: int | None) -> Season:
    """The season of a year, the coming one where none is given.

    Raises
    ------
    FleetError
        If that season was over on the last day watched.
    """
    coming = fleet.coming_season()
    if year is None:
        return coming
    if not coming.year <= year <= coming.year + 30:
        raise FleetError.because(
            SETTINGS_FILE,
            field="season",
            found=str(year),
            expected=f"a season from {coming.year} to {coming.year + 30}",
            remedy=f"The records end on {fleet.records.as_of}: choose one that ends later.",
        )
    return fleet.records.settings.seasons.season(year)


def own_lives_of(fleet: Fleet, ageing: FleetAgeing, seed: int = 0) -> FleetOwnLives:
    """Parts in service that their own readings move."""
    return fleet_own_lives(ageing, wear_of(fleet, ageing, seed), seed)


def boats_at_risk(
    fleet: Fleet,
    ageing: FleetAgeing,
    year: int | None = None,
    seed: int = 0,
    own: FleetOwnLives | None = None,
) -> SeasonRisk:
    """Risk and consequence of every part in service over a season, joined per boat.

    Parameters
    ----------
    own : mapping, optional
        From `own_lives_of`, where it has been asked for before.
    """
    own = own_lives_of(fleet, ageing, seed) if own is None else own
    risk = season_risk(fleet.lives, ageing, season_of(fleet, year), seed, own)
    return with_consequence(risk, fleet.lives, ageing, price_list(fleet.records))


def futures_of(
    fleet: Fleet,
    ageing: FleetAgeing,
    *,
    seasons: int = HORIZON,
    n_futures: int = N_FUTURES,
    seed: int = 0,
    progress: Progress | None = None,
    own: FleetOwnLives | None = None,
) -> Futures:
    """Simulated futures over the coming seasons; `own` as in `boats_at_risk`."""
    own = own_lives_of(fleet, ageing, seed) if own is None else own
    first, rule = fleet.coming_season().year, fleet.records.settings.seasons
    coming = [rule.season(first + i) for i in range(seasons)]
    return simulated_futures(
        fleet.lives, ageing, coming, n_futures=n_futures, seed=seed, progress=progress, own=own
    )


def budget_of(fleet: Fleet, futures: Futures) -> Budget:
    """Quantities and money of those futures."""
    return parts_budget(fleet.lives, futures, price_list(fleet.records))
