"""Readings of a whole fleet: by kind and group, and only what ages by shaft hours."""

from __future__ import annotations

import numpy as np

from analytics.ageing.fit import fleet_ageing
from analytics.ageing.wear.fleet_wear import fleet_own_lives, fleet_wear
from analytics.ageing.wear.wear_readings import wear_readings
from analytics.job import Fleet, open_fleet
from tests.analytics.ageing.wear.worn_fleet import KIND, wearing_fleet


def opened(settings: str = "", kind: str = KIND) -> Fleet:
    files, _ = wearing_fleet(10, seed=3, settings=settings)
    return open_fleet({name: text.replace(KIND.encode(), kind.encode()) if name != "fleet.toml"
                       else text for name, text in files.items()})  # fmt: skip


def test_a_kind_that_was_read_is_found_with_the_parts_it_moves() -> None:
    fleet = opened()
    ageing = fleet_ageing(fleet.lives)
    readings = wear_readings(fleet.records, fleet.lives, fleet.lives.settings.wear)
    wear = fleet_wear(fleet.lives, ageing, readings)
    assert list(wear) == [(KIND, "all")]
    own = fleet_own_lives(ageing, wear)[KIND, "all"]
    in_service = fleet.lives.in_service()["life"]
    assert np.isin(own.life, in_service).all()
    assert len(own) == len(wear[KIND, "all"].parts)


def test_the_limits_of_the_settings_are_used() -> None:
    fleet = opened('[wear.limits."30 mm"]\nrenew_mm = 0.9\nwhose = "the yard"\n')
    readings = wear_readings(fleet.records, fleet.lives, fleet.lives.settings.wear)
    wear = fleet_wear(fleet.lives, fleet_ageing(fleet.lives), readings)[KIND, "all"]
    assert set(wear.parts["limit_mm"]) == {0.9}
    assert set(wear.parts["limit_from"]) == {"the yard"}


def test_what_ages_by_years_is_left_out() -> None:
    fleet = opened('[kinds.cutless_bearing]\nclock = "years"\n')
    readings = wear_readings(fleet.records, fleet.lives, fleet.lives.settings.wear)
    assert readings.table["used"].any()
    assert not fleet_wear(fleet.lives, fleet_ageing(fleet.lives), readings)
