"""Readings of a whole fleet: by kind and group, and only what ages by shaft hours."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np

from analytics.ageing.fit import fleet_ageing
from analytics.ageing.wear.fleet_wear import fleet_own_lives, fleet_wear
from analytics.ageing.wear.wear_readings import wear_readings
from analytics.job import Fleet, open_fleet
from tests.analytics.ageing.wear.worn_fleet import AS_OF, KIND, folder, wearing_fleet


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


def with_a_bad_lot() -> dict[str, bytes]:
    """Bearings of one lot wear five times as fast; both sorts are read, and renewed at 0.75 mm."""
    rng = np.random.default_rng(1)
    parts, lots, rows = [], [], []
    for number in range(45):
        boat, fitted = f"Boat {number:02d}", date(2009, 1, 1) + timedelta(days=40 * number)
        while True:
            lot = "BAD" if rng.random() < 0.3 else f"L{rng.integers(4)}"
            rate = (1.0 if lot == "BAD" else 0.2) * np.exp(0.3 * rng.standard_normal())
            lots.append(lot)
            for year in range(fitted.year + 1, AS_OF.year + 1):
                lift = date(year, 2, 15)
                mm = 0.145 + rate * (lift - fitted).days / 365.25 * 0.3
                rows.append(f"{boat},single,{lift},clearance_mm,{mm:.2f}")
                if mm > 0.75:
                    parts.append(f"{boat},single,30 mm,{fitted},{lift},failed,ashore")
                    fitted = lift
                    break
            else:
                parts.append(f"{boat},single,30 mm,{fitted}")
                break
    lifts = [
        f"Boat {number:02d},{year}-02-15,{year}-02-25"
        for number in range(45)
        for year in range(2009, AS_OF.year + 1)
    ]
    files = folder(
        parts, rows, lifts=lifts, settings='[kinds.cutless_bearing]\ncauses = ["wear_out"]\n'
    )
    header, *lines = files["parts.csv"].decode().splitlines()
    marked = [f"{line},{lot}" for line, lot in zip(lines, lots, strict=True)]
    files["parts.csv"] = "\n".join([f"{header},lot", *marked, ""]).encode()
    return files


def test_a_lot_that_the_program_sets_apart_wears_on_paths_of_its_own() -> None:
    fleet = open_fleet(with_a_bad_lot())
    ageing = fleet_ageing(fleet.lives)
    assert (KIND, "lot BAD") in ageing
    # The table of lives still counts the lot among all: only the fits know of it.
    assert set(fleet.lives.table["group"]) == {"all"}
    readings = wear_readings(fleet.records, fleet.lives, fleet.lives.settings.wear)
    laid = readings.used(KIND)
    wear = fleet_wear(fleet.lives, ageing, readings)
    assert list(wear) == list(ageing)
    rates = {}
    for key, one in wear.items():
        assert one.table["life"].isin(ageing[key].table["life"]).all()
        assert set(one.table["lot"] == "BAD") == {key[1] == "lot BAD"}
        assert len(one.table) == ageing[key].table["life"].isin(laid["life"]).sum()
        rates[key[1]] = float(np.median(np.exp(one.shared.log_rate)))
    assert rates["lot BAD"] > 3 * rates["all"]
    both = sum(len(one.table) for one in wear.values())
    assert both == laid["life"].nunique()
    own = fleet_own_lives(ageing, wear)
    for key, one in own.items():
        serving = wear[key].parts["life"]
        assert sorted(one.life) == sorted(serving)
        assert len(serving) > 0
