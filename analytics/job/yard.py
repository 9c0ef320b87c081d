"""The haul-out plan of the coming lay-up, and what it rests on."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from analytics.ageing.fit import FleetAgeing
from analytics.ageing.wear.fleet_wear import FleetOwnLives
from analytics.decisions.haul_out.model import SECONDS
from analytics.decisions.haul_outs import HaulOuts, haul_outs
from analytics.decisions.prices import price_list
from analytics.decisions.renewed_risk import renewed_risk
from analytics.decisions.value_to_go import value_to_go
from analytics.decisions.yard_compared import Compared as YardCompared
from analytics.decisions.yard_compared import yard_compared
from analytics.job.ageing import own_lives_of
from analytics.job.fleet import Fleet, Progress
from analytics.job.season import boats_at_risk
from analytics.outlook.season import SeasonRisk
from analytics.records.seasons import Season
from analytics.records.wishes import Wish

LIFTS_AHEAD = 8
"""Coming lifts at which a part in service may be renewed, when its worth is worked out."""


def lay_up_season(fleet: Fleet) -> Season:
    """The season after the coming lay-up: the first that has not begun on the last day watched."""
    coming = fleet.coming_season()
    if coming.start > fleet.records.as_of:
        return coming
    return fleet.records.settings.seasons.season(coming.year + 1)


@dataclass(frozen=True)
class YardGround:
    """What a haul-out plan rests on, whatever people decide: the same for every set of wishes.

    Attributes
    ----------
    risk : SeasonRisk
        Of the season after the coming lay-up.
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
        Of `lay_up_season`, where it has been asked for before.
    """
    own = own_lives_of(fleet, ageing, seed) if own is None else own
    season, rule = lay_up_season(fleet), fleet.records.settings.seasons
    coming = [rule.season(season.year + i) for i in range(LIFTS_AHEAD)]
    prices = price_list(fleet.records)
    return YardGround(
        boats_at_risk(fleet, ageing, season.year, seed, own) if risk is None else risk,
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
    """The haul-out plan of the coming lay-up.

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
