"""How the kinds of a fleet age, and which parts their own readings move."""

from __future__ import annotations

from analytics.ageing.fit import FleetAgeing, fleet_ageing
from analytics.ageing.wear.fleet_wear import FleetOwnLives, FleetWear, fleet_own_lives, fleet_wear
from analytics.job.fleet import Fleet, Progress
from analytics.records.findings import FleetError


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


def own_lives_of(fleet: Fleet, ageing: FleetAgeing, seed: int = 0) -> FleetOwnLives:
    """Parts in service that their own readings move."""
    return fleet_own_lives(ageing, wear_of(fleet, ageing, seed), seed)
