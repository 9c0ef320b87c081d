"""Hours run and to come with their spread.

Outside checks: a lognormal of mean 1 and a given standard deviation; the variance of a sum of
independent years (both from memory, any textbook).
"""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest

from analytics.ageing.hours_in_doubt import hours_in_doubt, spread_ahead
from analytics.ageing.hours_run import hours_run
from analytics.usage import DAYS_PER_YEAR, ShaftHours, day_number
from tests.analytics.ageing.folders import fleet_of

NOW = day_number(date(2024, 6, 30))


def usage_of(*boats: str, hours: tuple[str, ...] = ()) -> ShaftHours:
    names = [boat.split(",")[0] for boat in boats]
    parts = [
        f"{name},{side},face_seal,,,2014-06-30" for name in names for side in ("port", "starboard")
    ]
    columns = "boat,lay_up,hours_per_season"
    return fleet_of(parts, boats=list(boats), boat_columns=columns, hours=hours).lives.usage


def test_factors_have_mean_one_and_the_spread_stated() -> None:
    usage = usage_of("A,afloat,300")
    line = np.array([0])
    start = np.array([NOW - 10 * DAYS_PER_YEAR])
    found = hours_in_doubt(usage, line, start, NOW, NOW + 2 * DAYS_PER_YEAR, 20_000)
    run = hours_run(usage, line, start, np.array([NOW]))
    ahead = np.sqrt(usage.rate_spread[0] ** 2 + usage.year_spread[0] ** 2 / 2)
    for factor, share in ((found.run, run.sd[0] / run.mean[0]), (found.coming, ahead)):
        assert factor.mean() == pytest.approx(1.0, abs=0.01)
        assert factor.std() == pytest.approx(share, rel=0.05)


def test_hours_that_rest_on_one_rate_go_together() -> None:
    # 300 h a season as stated, and no meter: what is wrong of them is wrong before and after. Ten
    # years and two each have their busier ones, independently: by the sum of variances the
    # correlation is rate**2 / sqrt((rate**2 + year**2 / 10) * (rate**2 + year**2 / 2)).
    usage = usage_of("A,afloat,300")
    start = np.array([NOW - 10 * DAYS_PER_YEAR])
    found = hours_in_doubt(usage, np.array([0]), start, NOW, NOW + 2 * DAYS_PER_YEAR, 20_000)
    rate, year = usage.rate_spread[0], usage.year_spread[0]
    expected = rate**2 / np.sqrt((rate**2 + year**2 / 10) * (rate**2 + year**2 / 2))
    logs = np.log(found.run[:, 0]), np.log(found.coming[:, 0])
    assert np.corrcoef(*logs)[0, 1] == pytest.approx(expected, abs=0.02)
    assert expected > 0.7


def test_hours_that_were_read_say_nothing_of_those_to_come() -> None:
    # Read until two years ago: only those two years rest on the rate, which is well known.
    readings = tuple(f"A,,{year}-06-30,{300 * (year - 2008)}" for year in range(2008, 2023))
    stated = usage_of("A,afloat,500", hours=readings)
    start = np.array([NOW - 10 * DAYS_PER_YEAR])
    found = hours_in_doubt(stated, np.array([0]), start, NOW, NOW + 366, 20_000)
    # 500 h from now on is another rate than the 300 h that were read.
    assert stated.rate[0] != stated.past_rate[0]
    assert np.corrcoef(found.run[:, 0], found.coming[:, 0])[0, 1] == pytest.approx(0.0, abs=0.03)
    alike = usage_of("A,afloat,", hours=readings)
    found = hours_in_doubt(alike, np.array([0]), start, NOW, NOW + 366, 20_000)
    assert 0.0 < np.corrcoef(found.run[:, 0], found.coming[:, 0])[0, 1] < 0.5


def test_parts_of_one_boat_share_their_hours_and_boats_do_not() -> None:
    usage = usage_of("A,afloat,300", "B,afloat,300")
    line = usage.line_of(["A", "A", "B"], ["port", "starboard", "port"])
    start = np.full(3, NOW - 1000)
    found = hours_in_doubt(usage, line, start, NOW, NOW + 365, 500)
    np.testing.assert_array_equal(found.coming[:, 0], found.coming[:, 1])
    assert abs(np.corrcoef(found.coming[:, 0], found.coming[:, 2])[0, 1]) < 0.15
    alone = hours_in_doubt(usage_of("B,afloat,300"), np.array([0]), start[:1], NOW, NOW + 365, 500)
    np.testing.assert_array_equal(found.coming[:, 2], alone.coming[:, 0])


def test_many_years_are_surer_than_one_and_a_month_is_no_surer_than_a_year() -> None:
    usage = usage_of("A,afloat,300")
    line = np.array([0])
    month, year, ten = (spread_ahead(usage, line, NOW, NOW + days)[0] for days in (30, 366, 3653))
    assert month == pytest.approx(year, rel=1e-3)
    assert usage.rate_spread[0] < ten < year


def test_a_metered_boat_is_surer_than_one_without() -> None:
    readings = tuple(f"A,,{year}-06-30,{300 * (year - 2010)}" for year in range(2010, 2025))
    usage = usage_of("A,afloat,", "B,afloat,", hours=readings)
    line = usage.line_of(["A", "B"], ["port", "port"])
    metered, bare = spread_ahead(usage, line, NOW, NOW + 366)
    assert metered < 0.5 * bare


def test_the_factor_on_an_age_to_come() -> None:
    usage = usage_of("A,afloat,300")
    start = np.array([NOW - 3653.0])
    found = hours_in_doubt(usage, np.array([0]), start, NOW, NOW + 366, 50)
    now, then = np.array([3000.0]), np.array([3300.0])
    age = 3000.0 * found.run[:, 0] + 300.0 * found.coming[:, 0]
    np.testing.assert_allclose(np.exp(found.log_age(now, then))[:, 0] * 3300.0, age)
    np.testing.assert_allclose(found.log_age(now, now), np.log(found.run))
    np.testing.assert_array_equal(np.isfinite(found.log_age(np.zeros(1), np.zeros(1))), True)


def test_no_parts_are_no_columns() -> None:
    usage = usage_of("A,afloat,300")
    none = np.empty(0)
    found = hours_in_doubt(usage, none.astype(np.int64), none, NOW, NOW + 366, 7)
    assert found.run.shape == found.coming.shape == (7, 0)


def test_every_node_of_a_part_has_the_factors_of_the_part() -> None:
    usage = usage_of("A,afloat,300", "B,afloat,300")
    line = usage.line_of(["A", "B"], ["port", "port"])
    found = hours_in_doubt(usage, line, np.full(2, NOW - 1000), NOW, NOW + 366, 9)
    some = found.by_node(slice(2, 6), np.array([1, 3]))
    assert some.run.shape == some.coming.shape == (4, 4)
    np.testing.assert_array_equal(some.run[:, 1:], np.repeat(found.run[2:6, 1:], 3, axis=1))
    np.testing.assert_array_equal(some.coming[:, 0], found.coming[2:6, 0])


def test_a_part_that_was_read_counts_hours_by_how_much_faster_they_run() -> None:
    usage = usage_of("A,afloat,300", "B,afloat,300")
    line = usage.line_of(["A", "B"], ["port", "port"])
    found = hours_in_doubt(usage, line, np.full(2, NOW - 1000), NOW, NOW + 366, 9)
    some = found.by_node(slice(0, 9), np.array([2, 1]), np.array([2]))
    np.testing.assert_array_equal(some.run[:, 2], 1.0)
    np.testing.assert_allclose(some.coming[:, 2], found.coming[:, 1] / found.run[:, 1])
    np.testing.assert_array_equal(some.run[:, 0], found.run[:, 0])
    # The draws that were given stay as they were.
    again = hours_in_doubt(usage, line, np.full(2, NOW - 1000), NOW, NOW + 366, 9)
    np.testing.assert_array_equal(found.run, again.run)


def test_each_part_has_an_end_of_its_own() -> None:
    usage = usage_of("A,afloat,300")
    line, ends = np.zeros(3, dtype=np.int64), NOW + np.array([366.0, 731.0, 3653.0])
    together = spread_ahead(usage, line, NOW, ends)
    alone = [spread_ahead(usage, line[:1], NOW, float(end))[0] for end in ends]
    np.testing.assert_array_equal(together, alone)
    assert (np.diff(together) < 0).all()
