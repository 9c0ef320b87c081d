"""Spread of hours from year to year, from boat to boat, and of what is stated.

Outside check: the sample variance of independent hours, done by hand or recovered from many
draws of a known spread.
"""

from __future__ import annotations

import numpy as np
import pytest

from analytics.records.meters import Meter, joined_meter
from analytics.records.meters_spread import (
    BETWEEN_BOATS,
    STATED_SPREAD,
    YEAR_SPREAD,
    between_boats,
    spread_of_rate,
    spread_of_year,
    stated_spread,
    sure_steps,
)

NONE = np.empty(0)


def yearly(steps: list[float], start: float = 0.0) -> Meter:
    """A meter read once a year of use."""
    shown = start + np.concatenate([[0.0], np.cumsum(steps)])
    return joined_meter(np.arange(len(shown), dtype=float), shown, [])


def names(n: int) -> list[str]:
    """A boat for each line."""
    return [f"Boat {i}" for i in range(n)]


def test_a_known_spread_is_found_again() -> None:
    rng = np.random.default_rng(3)
    meters = [yearly((300 * rng.gamma(1 / 0.04, 0.04, 12)).tolist()) for _ in range(60)]
    found = spread_of_year(meters, np.full(60, 300.0), names(60))
    assert np.median(found) == pytest.approx(0.2, rel=0.1)


def test_the_spread_of_few_readings_is_drawn_to_the_fleet_and_its_to_the_default() -> None:
    alone = spread_of_year([yearly([100.0, 300.0])], np.array([200.0]), ["A"])
    # Squares ((100 / 200)**2 twice) over one step more than is used up, four of the default's.
    fleet = (0.5 + 4 * YEAR_SPREAD**2) / (1 + 4)
    assert alone[0] == pytest.approx(np.sqrt((0.5 + 4 * fleet) / 5))
    nothing = spread_of_year([joined_meter(NONE, NONE, [])], np.array([200.0]), ["A"])
    assert nothing[0] == pytest.approx(YEAR_SPREAD)


def test_even_boats_beside_uneven_ones_keep_their_own() -> None:
    even, uneven = yearly([200.0] * 12), yearly([50.0, 350.0] * 6)
    found = spread_of_year([even, uneven], np.array([200.0, 200.0]), ["A", "B"])
    assert found[0] < 0.6 * found[1]


def test_steps_of_a_new_meter_are_not_sure() -> None:
    shown = np.array([0.0, 200.0, 400.0, 100.0, 300.0])
    meter = joined_meter(np.arange(5.0), shown, [])
    assert sure_steps(meter).tolist() == [True, True, False, True]
    stuck = joined_meter(np.arange(5.0), np.array([0.0, 200.0, 200.0, 200.0, 400.0]), [(1, 3)])
    assert sure_steps(stuck).tolist() == [True, False, False, True]
    assert sure_steps(joined_meter(NONE, NONE, [])).tolist() == []


def test_what_is_stated_is_held_against_the_meters() -> None:
    given = np.array([100.0, 200.0, np.nan, 300.0])
    metered = np.array([120.0, 160.0, 150.0, np.nan])
    expected = np.sqrt((0.2**2 + 0.2**2 + 4 * STATED_SPREAD**2) / 6)
    assert stated_spread(given, metered, names(4)) == pytest.approx(expected)
    assert stated_spread(np.full(3, np.nan), metered[:3], names(3)) == pytest.approx(STATED_SPREAD)
    assert stated_spread(np.zeros(3), metered[:3], names(3)) == pytest.approx(STATED_SPREAD)


def test_boats_differ_as_their_rates_do() -> None:
    assert between_boats(np.full(2, np.nan), names(2)) == BETWEEN_BOATS
    assert between_boats(np.zeros(2), names(2)) == BETWEEN_BOATS
    rng = np.random.default_rng(5)
    assert between_boats(rng.normal(300, 60, 400), names(400)) == pytest.approx(0.2, rel=0.1)


def test_the_doubt_about_a_rate_shrinks_with_the_years_read() -> None:
    meters = [yearly([200.0] * 4), yearly([200.0] * 16), joined_meter(NONE, NONE, []), yearly([])]
    basis = ("meter", "meter", "hours_per_season", "fleet")
    found = spread_of_rate(meters, np.full(4, 0.2), basis, stated=0.25, between=0.4)
    assert found.tolist() == pytest.approx([0.1, 0.05, 0.25, 0.4])


def test_two_shafts_of_one_meter_count_once_in_what_the_fleet_teaches() -> None:
    # The uneven twin's one meter serves both her shafts: it must weigh no more than a single's.
    even, uneven = yearly([200.0] * 8), yearly([50.0, 350.0] * 4)
    bare = joined_meter(NONE, NONE, [])
    rate = np.full(4, 200.0)
    twin = spread_of_year([even, uneven, uneven, bare], rate, ["A", "B", "B", "C"])
    single = spread_of_year([even, uneven, bare], rate[:3], ["A", "B", "C"])
    assert twin == pytest.approx(single[[0, 1, 1, 2]])
    given, metered = np.full(4, 200.0), np.array([190.0, 300.0, 300.0, np.nan])
    assert stated_spread(given, metered, ["A", "B", "B", "C"]) == pytest.approx(
        stated_spread(given[1:], metered[[0, 1, 3]], ["A", "B", "C"])
    )
    assert between_boats(metered, ["A", "B", "B", "C"]) == pytest.approx(
        between_boats(metered[:2], ["A", "B"])
    )
    # A twin whose second shaft has no meter counts as her first.
    half = np.array([190.0, 300.0, np.nan])
    assert between_boats(half, ["A", "B", "B"]) == between_boats(half[:2], ["A", "B"])
