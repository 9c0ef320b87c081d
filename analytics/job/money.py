"""What the simulated seasons ask for in parts and money, and when to renew."""

from __future__ import annotations

from analytics.ageing.fit import FleetAgeing
from analytics.ageing.wear.fleet_wear import FleetOwnLives
from analytics.decisions.budget import Budget, parts_budget
from analytics.decisions.policies import Compared, compared
from analytics.decisions.policy_limits import THRESHOLD, rules
from analytics.decisions.prices import price_list
from analytics.decisions.replacement_groups import GroupAge, replacement_ages
from analytics.job.ageing import own_lives_of
from analytics.job.fleet import Fleet, Progress
from analytics.outlook.futures import N_FUTURES, Futures, simulated_futures

HORIZON = 5
"""Seasons in a parts budget unless asked otherwise."""


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
