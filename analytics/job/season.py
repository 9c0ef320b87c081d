"""The risk of a season, and what would change it."""

from __future__ import annotations

import pandas as pd

from analytics.ageing.fit import FleetAgeing
from analytics.ageing.wear.fleet_wear import FleetOwnLives
from analytics.decisions.consequence import with_consequence
from analytics.decisions.prices import price_list
from analytics.decisions.what_changes import Case, cases_of, cases_table
from analytics.job.ageing import own_lives_of
from analytics.job.fleet import Fleet
from analytics.outlook.season import SeasonRisk, season_risk
from analytics.outlook.with_this import BoatAhead, boat_ahead
from analytics.records.findings import FleetError
from analytics.records.seasons import Season
from analytics.records.settings import FILE as SETTINGS_FILE


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
