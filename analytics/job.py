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
from analytics.decisions.haul_out.model import SECONDS
from analytics.decisions.haul_outs import HaulOuts, haul_outs
from analytics.decisions.policies import Compared, compared
from analytics.decisions.policy_limits import THRESHOLD, rules
from analytics.decisions.prices import price_list
from analytics.decisions.renewed_risk import renewed_risk
from analytics.decisions.replacement_groups import GroupAge, replacement_ages
from analytics.decisions.stock import StockPlan, seasons_followed, stock_plan
from analytics.decisions.stock_holding import CHANCE
from analytics.decisions.value_to_go import value_to_go
from analytics.decisions.what_changes import Case, cases_of, cases_table
from analytics.decisions.yard_compared import Compared as YardCompared
from analytics.decisions.yard_compared import yard_compared
from analytics.lives import Lives, table_of_lives
from analytics.outlook.futures import N_FUTURES, Futures, simulated_futures
from analytics.outlook.season import SeasonRisk, season_risk
from analytics.outlook.with_this import BoatAhead, boat_ahead
from analytics.papers.people import Mask, mask_of, people_told
from analytics.records.findings import Finding, FleetError, findings_table
from analytics.records.reading import Records, read_fleet
from analytics.records.seasons import Season
from analytics.records.settings import FILE as SETTINGS_FILE
from analytics.records.tables import PARTS, STOCK
from analytics.records.wishes import Wish

Progress = Callable[[str, int, int], None]

LIFTS_AHEAD = 8
"""Coming lifts at which a part in service may be renewed, when its worth is worked out."""

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
    return with_consequence(risk, fleet.lives, ageing, price_list(fleet.records), seed)


def boat_ahead_of(
    fleet: Fleet,
    ageing: FleetAgeing,
    boat: str,
    year: int | None = None,
    seed: int = 0,
    own: FleetOwnLives | None = None,
    risk: SeasonRisk | None = None,
) -> BoatAhead:
    """One boat's season, ready to be asked what would change it; arguments as `boats_at_risk`.

    Parameters
    ----------
    risk : SeasonRisk, optional
        Of the same season, where it has been asked for before.
    """
    own = own_lives_of(fleet, ageing, seed) if own is None else own
    read = None if risk is None else risk.read
    return boat_ahead(fleet.lives, ageing, season_of(fleet, year), boat, seed, own, read)


def what_would_change(
    fleet: Fleet, ahead: BoatAhead, life: int, besides: tuple[Case, ...] = ()
) -> pd.DataFrame:
    """The season of a part and its boat if a date is found, an inspection passed, a part renewed.

    Parameters
    ----------
    ahead : BoatAhead
        From `boat_ahead_of`.
    life : int
        The part, as in the column `life` of `SeasonRisk.parts`.
    besides : tuple of Case
        Cases of the asker's own, after those that are always looked at.
    """
    prices = price_list(fleet.records)
    parts = with_consequence(ahead.risk, fleet.lives, ahead.whole, prices).parts
    cases = cases_of(ahead, life, parts)
    own = [case for case in besides if case.changes not in [one.changes for one in cases]]
    return cases_table(ahead, life, [*cases, *own], prices)


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


def replacement_ages_of(fleet: Fleet, ageing: FleetAgeing, seed: int = 0) -> tuple[GroupAge, ...]:
    """Cost by age of replacement of every kind and base, and which age stands."""
    return replacement_ages(fleet.lives, ageing, price_list(fleet.records), seed)


def policies_of(
    fleet: Fleet,
    ageing: FleetAgeing,
    ages: tuple[GroupAge, ...],
    *,
    threshold: float = THRESHOLD,
    seasons: int = HORIZON,
    n_futures: int = N_FUTURES,
    seed: int = 0,
    progress: Progress | None = None,
    own: FleetOwnLives | None = None,
) -> Compared:
    """Rules of renewing while sound, compared on the futures of the parts budget.

    Parameters
    ----------
    ages : tuple of GroupAge
        From `replacement_ages_of`.
    threshold : float
        Chance of wearing out before the season ends above which the rule by risk renews.
    """
    own = own_lives_of(fleet, ageing, seed) if own is None else own
    first, rule = fleet.coming_season().year, fleet.records.settings.seasons
    coming = [rule.season(first + i) for i in range(seasons)]
    tried = rules(fleet.lives, ageing, ages, coming[0], threshold=threshold, seed=seed)
    return compared(
        fleet.lives,
        ageing,
        price_list(fleet.records),
        coming,
        tried,
        threshold=threshold,
        n_futures=n_futures,
        seed=seed,
        own=own,
        progress=progress,
    )


def spares_futures_of(
    fleet: Fleet,
    ageing: FleetAgeing,
    *,
    seed: int = 0,
    progress: Progress | None = None,
    own: FleetOwnLives | None = None,
) -> Futures:
    """Futures over so many seasons that what is bought now is followed until it expires."""
    seasons = seasons_followed(fleet.lives, price_list(fleet.records))
    return futures_of(fleet, ageing, seasons=seasons, seed=seed, progress=progress, own=own)


def spares_of(
    fleet: Fleet, futures: Futures, chance: float = CHANCE, *, one_where_it_pays: bool = True
) -> StockPlan:
    """What to hold, what to buy and by when; `futures` from `spares_futures_of`.

    Raises
    ------
    ValueError
        If the chance is not above 0 and below 1.
    """
    return stock_plan(
        fleet.lives,
        futures,
        price_list(fleet.records),
        fleet.records.tables[STOCK.file],
        chance,
        one_where_it_pays=one_where_it_pays,
    )


@dataclass(frozen=True)
class YardGround:
    """What a haul-out plan rests on, whatever people decide: the same for every set of wishes.

    Attributes
    ----------
    risk : SeasonRisk
        Of the coming season.
    values : DataFrame
        From `value_to_go`.
    renewed : DataFrame
        From `renewed_risk`.
    """

    risk: SeasonRisk
    values: pd.DataFrame
    renewed: pd.DataFrame


def yard_ground_of(
    fleet: Fleet,
    ageing: FleetAgeing,
    seed: int = 0,
    own: FleetOwnLives | None = None,
    risk: SeasonRisk | None = None,
) -> YardGround:
    """What the haul-out plan of the coming lay-up rests on.

    Parameters
    ----------
    risk : SeasonRisk, optional
        Of the coming season, where it has been asked for before.
    """
    own = own_lives_of(fleet, ageing, seed) if own is None else own
    season, rule = fleet.coming_season(), fleet.records.settings.seasons
    coming = [rule.season(season.year + i) for i in range(LIFTS_AHEAD)]
    prices = price_list(fleet.records)
    return YardGround(
        boats_at_risk(fleet, ageing, None, seed, own) if risk is None else risk,
        value_to_go(fleet.lives, ageing, prices, coming, seed=seed, own=own),
        renewed_risk(fleet.lives, ageing, season, seed),
    )


def haul_outs_of(
    fleet: Fleet,
    ageing: FleetAgeing,
    seed: int = 0,
    own: FleetOwnLives | None = None,
    wishes: tuple[Wish, ...] | None = None,
    progress: Progress | None = None,
    *,
    seconds: float = SECONDS,
    ground: YardGround | None = None,
) -> HaulOuts:
    """The haul-out plan of the lay-up before the coming season.

    Parameters
    ----------
    wishes : tuple of Wish, optional
        In place of those of `plan.toml`.
    seconds : float
        Of search at most, for each of both plans: without wishes and with them.
    ground : YardGround, optional
        From `yard_ground_of`, where it has been asked for before.
    """
    if progress is not None:
        progress("what each part is worth renewing", 0, 2)
    ground = yard_ground_of(fleet, ageing, seed, own) if ground is None else ground
    if progress is not None:
        progress("weeks and jobs", 1, 2)
    return haul_outs(
        fleet.lives,
        fleet.records,
        ground.risk,
        ground.values,
        ground.renewed,
        price_list(fleet.records),
        fleet.records.wishes if wishes is None else wishes,
        seconds=seconds,
        seed=seed,
    )


def yard_compared_of(
    fleet: Fleet, found: HaulOuts, seed: int = 0, *, seconds: float = SECONDS
) -> YardCompared:
    """That plan beside the rules people use, and what one more slot would be worth."""
    return yard_compared(found, fleet.records, seconds=seconds, seed=seed)
