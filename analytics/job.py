"""The whole job, one call per question: what the command and the dashboard both use.

Each answer is made once, here, from the answer before it, so that a number on a
page, on the terminal and in a file is the same number.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import timedelta

import pandas as pd

from analytics.ageing.fit import FleetAgeing, fleet_ageing
from analytics.decisions.budget import Budget, parts_budget
from analytics.decisions.consequence import with_consequence
from analytics.decisions.prices import price_list
from analytics.lives import Lives, table_of_lives
from analytics.outlook.futures import N_FUTURES, Futures, simulated_futures
from analytics.outlook.season import SeasonRisk, season_risk
from analytics.records.findings import FleetError, findings_table, located
from analytics.records.reading import Records, read_fleet
from analytics.records.seasons import Season
from analytics.records.settings import FILE as SETTINGS_FILE

Progress = Callable[[str, int, int], None]

HORIZON = 5
"""Seasons in a parts budget unless asked otherwise."""


@dataclass(frozen=True)
class Fleet:
    """A fleet folder, read: the records and the lives made of them."""

    records: Records
    lives: Lives

    def findings(self) -> pd.DataFrame:
        """Every finding of reading and of making lives, in the order of file and row."""
        return findings_table([*self.records.findings, *self.lives.findings])

    def coming_season(self) -> Season:
        """The season to look at: the first with a month or more of it left."""
        return self.records.settings.seasons.next_after(self.records.as_of + timedelta(days=30))

    def reconciliation(self) -> str:
        """The sum that must come out: rows read = lives + merged + rejected + ignored."""
        parts = self.records.counts.set_index("file").loc["parts.csv"]
        return (
            f"{parts['rows_read']:,} rows of {self.records.places['parts.csv']} read = "
            f"{parts['used']:,} lives + {parts['merged']:,} merged + "
            f"{parts['rejected']:,} rejected + {parts['ignored']:,} ignored"
        )


def open_fleet(files: Mapping[str, bytes]) -> Fleet:
    """Read the files of a fleet and make lives of them.

    Raises
    ------
    FleetError
        If the files cannot be read; the findings say why and what to do.
    """
    records = read_fleet(files)
    return Fleet(records, table_of_lives(records))


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
        stopped = located(error.findings, fleet.records.places)
        if len(fleet.lives.table):
            raise FleetError(stopped) from None
        rejected = [finding for finding in fleet.records.findings if finding.done == "rejected"]
        raise FleetError([*stopped, *rejected]) from None


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


def boats_at_risk(
    fleet: Fleet, ageing: FleetAgeing, year: int | None = None, seed: int = 0
) -> SeasonRisk:
    """Risk and consequence of every part in service over a season, joined per boat."""
    risk = season_risk(fleet.lives, ageing, season_of(fleet, year), seed)
    return with_consequence(risk, fleet.lives, ageing, price_list(fleet.records))


def futures_of(
    fleet: Fleet,
    ageing: FleetAgeing,
    *,
    seasons: int = HORIZON,
    n_futures: int = N_FUTURES,
    seed: int = 0,
    progress: Progress | None = None,
) -> Futures:
    """Simulated futures over the coming seasons."""
    first, rule = fleet.coming_season().year, fleet.records.settings.seasons
    coming = [rule.season(first + i) for i in range(seasons)]
    return simulated_futures(
        fleet.lives, ageing, coming, n_futures=n_futures, seed=seed, progress=progress
    )


def budget_of(fleet: Fleet, futures: Futures) -> Budget:
    """Quantities and money of those futures."""
    return parts_budget(fleet.lives, futures, price_list(fleet.records))
