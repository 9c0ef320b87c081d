"""Readings of a whole fleet: laid on paths kind by kind, and the parts they move."""

from __future__ import annotations

from collections.abc import Mapping

from analytics.ageing.fit import FleetAgeing
from analytics.ageing.wear.hours_to_limit import Wear, kind_wear
from analytics.ageing.wear.own_lives import OwnLives, own_lives
from analytics.ageing.wear.wear_readings import WearReadings
from analytics.lives import Lives

FleetWear = Mapping[tuple[str, str], Wear]
"""Wear paths by kind and group, as `fit.FleetAgeing`; only those with readings."""

FleetOwnLives = Mapping[tuple[str, str], OwnLives]
"""Parts moved by their own readings, by kind and group; only those with any."""


def fleet_wear(
    lives: Lives, ageing: FleetAgeing, readings: WearReadings, seed: int = 0
) -> dict[tuple[str, str], Wear]:
    """Wear paths of every kind and group that ages by shaft hours and was read.

    Parameters
    ----------
    lives : Lives
    ageing : mapping
        From `fit.fleet_ageing`.
    readings : WearReadings
        Of the same records, from `wear_readings`.
    seed : int
    """
    found = {}
    for (name, group), fitted in ageing.items():
        if fitted.kind.clock != "hours":
            continue
        wear = kind_wear(
            lives,
            readings,
            lives.settings.wear,
            name,
            seed,
            group=group,
            of_fit=fitted.table,
        )
        if wear is not None:
            found[name, group] = wear
    return found


def fleet_own_lives(
    ageing: FleetAgeing, wear: FleetWear, seed: int = 0
) -> dict[tuple[str, str], OwnLives]:
    """Parts in service that their own readings move, and what is to be said where none is."""
    return {key: own_lives(ageing[key], wear[key], seed) for key in wear if key in ageing}
