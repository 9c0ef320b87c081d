"""Hours between two days and their bounds.

Outside checks: hours rise, so that between two readings they lie between them; the beta
distribution's mean, variance and skewness (Johnson, Kotz and Balakrishnan, Continuous Univariate
Distributions; from memory), here by scipy; Gauss's rule of two points is exact up to cubes.
"""

from __future__ import annotations

from datetime import date, timedelta
from functools import lru_cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import beta

from analytics.ageing.hours_run import ASSUMED, BETWEEN, READ, HoursRun, hours_run
from analytics.usage import ShaftHours, day_number
from tests.analytics.ageing.folders import fleet_of

QUICK = settings(max_examples=25)
FIRST = date(2012, 1, 1)
ORIGIN = day_number(FIRST)


def usage_of(readings: dict[int, float], boat: str = "A,afloat") -> ShaftHours:
    """Shaft hours of one boat from readings by day since 2012-01-01."""
    hours = [
        f"A,single,{FIRST + timedelta(days=day)},{shown:.6f}" for day, shown in readings.items()
    ]
    columns = "boat,lay_up,hours_per_season" if boat.count(",") > 1 else "boat,lay_up"
    parts = ["A,single,face_seal,,,2012-01-01"]
    return fleet_of(parts, boats=[boat], boat_columns=columns, hours=hours).lives.usage


def run_of(usage: ShaftHours, *spans: tuple[float, float]) -> HoursRun:
    start, day = (ORIGIN + np.array(one, dtype=float) for one in zip(*spans, strict=True))
    return hours_run(usage, np.zeros(len(spans), dtype=np.int64), start, day)


@QUICK
@given(st.data())
def test_bounds_hold_the_true_hours_of_any_meter_that_rises(data: st.DataObject) -> None:
    days = sorted(data.draw(st.sets(st.integers(0, 4000), min_size=2, max_size=12), label="read"))
    # Each month runs as it likes, and every day a little, so that no meter seems to have stuck.
    pace = data.draw(
        st.lists(st.floats(0.01, 24.0), min_size=140, max_size=140), label="hours a day"
    )
    true = np.concatenate([[0.0], np.cumsum(np.repeat(pace, 30))])
    usage = usage_of({day: float(true[day]) for day in days})
    begin, end = sorted(data.draw(st.tuples(*[st.integers(days[0], days[-1])] * 2), label="span"))
    run = run_of(usage, (begin, end))
    ran = float(true[end] - true[begin])
    assert run.low[0] - 1e-5 <= ran <= run.high[0] + 1e-5
    assert run.low[0] - 1e-6 <= run.mean[0] <= run.high[0] + 1e-6
    assert run.assumed[0] == pytest.approx(0.0, abs=1e-6)


def test_hours_between_two_readings_are_known() -> None:
    usage = usage_of({0: 0.0, 1000: 800.0, 2000: 1000.0})
    run = run_of(usage, (0, 2000), (0, 1000), (1000, 2000), (500, 500))
    for bound in (run.mean, run.low, run.high):
        np.testing.assert_allclose(bound, [1000.0, 800.0, 200.0, 0.0], atol=1e-6)
    np.testing.assert_allclose(run.sd, 0.0, atol=1e-6)
    assert run.known() == [READ] * 4


def test_a_day_inside_a_step_has_the_spread_of_a_beta() -> None:
    usage = usage_of({0: 0.0, 1000: 800.0, 2000: 1000.0})
    run = run_of(usage, (0, 300), (300, 1000), (1200, 1700), (700, 1100))
    m = 1000 / 365.25 / usage.year_spread[0] ** 2
    first, inside, second = (beta(q * m, (1 - q) * m) for q in (0.3, 0.5, 0.1))
    np.testing.assert_allclose(run.mean, [240.0, 560.0, 100.0, 260.0], rtol=1e-3)
    np.testing.assert_allclose(
        run.sd[:3], [800 * first.std(), 800 * first.std(), 200 * inside.std()], rtol=1e-6
    )
    cube = 800**3 * float(first.stats("s")) * first.std() ** 3
    np.testing.assert_allclose(run.third[:3], [cube, -cube, 0.0], rtol=1e-6, atol=1e-6)
    # Part of two steps: both spreads.
    assert run.sd[3] == pytest.approx(np.hypot(800 * first.std(), 200 * second.std()), rel=1e-6)
    np.testing.assert_allclose(run.low, 0.0, atol=1e-9)
    np.testing.assert_allclose(run.high, [800.0, 800.0, 200.0, 1000.0])
    assert set(run.known()) == {BETWEEN}


def test_outside_the_readings_the_rate_stands_in_and_is_in_doubt() -> None:
    usage = usage_of({1000: 0.0, 2000: 1000.0})
    run = run_of(usage, (1000, 2000), (0, 1000), (2000, 3000), (500, 2500))
    np.testing.assert_allclose(run.assumed, [0.0, 1000.0, 1000.0, 1000.0], rtol=1e-3, atol=1e-6)
    years = 1000 / 365.25
    share = np.sqrt(usage.past_spread[0] ** 2 + usage.year_spread[0] ** 2 / years)
    np.testing.assert_allclose(run.sd, np.array([0.0, 1000, 1000, 1000]) * share, rtol=1e-3)
    assert (run.low[1:] < run.mean[1:] - run.sd[1:]).all()
    assert (run.high[1:] > run.mean[1:] + run.sd[1:]).all()
    assert run.end_assumed.tolist() == [False, False, True, True]
    assert run.known() == [READ, ASSUMED, ASSUMED, ASSUMED]


def test_a_boat_without_readings_is_all_assumed() -> None:
    usage = usage_of({}, "A,afloat,250")
    run = run_of(usage, (0, 3653))
    assert run.mean[0] == pytest.approx(250 * 3653 / 365.25)
    assert run.assumed[0] == run.mean[0]
    assert run.end_assumed.all()
    share = np.sqrt(0.25**2 + 0.3**2 / 10.0)  # both are planning defaults
    assert run.sd[0] / run.mean[0] == pytest.approx(share, rel=1e-3)


def test_a_new_meter_leaves_its_step_in_doubt() -> None:
    usage = usage_of({0: 0.0, 1000: 1000.0, 2000: 100.0, 3000: 1100.0})
    run = run_of(usage, (0, 1000), (0, 3000), (1000, 2000))
    assert run.sd[0] == pytest.approx(0.0, abs=1e-6)
    assert run.sd[1] == pytest.approx(run.sd[2])
    assert run.sd[1] > 50
    assert run.assumed[1] == pytest.approx(run.mean[2])
    assert run.high[1] > run.mean[1] > run.low[1] > 2000.0


@QUICK
@given(
    st.lists(st.integers(0, 4000), min_size=0, max_size=6, unique=True),
    st.floats(0, 4000),
    st.floats(0, 4000),
    st.floats(50, 1000),
)
def test_two_points_keep_mean_spread_and_skewness(
    days: list[int], begin: float, length: float, pace: float
) -> None:
    usage = usage_of({day: day * pace / 365.25 for day in sorted(days)})
    run = run_of(usage, (begin, begin + length))
    point, weight = run.two_points()
    assert weight.sum() == pytest.approx(1.0)
    assert (weight > 0).all()
    assert float((weight * point).sum()) == pytest.approx(0.0, abs=1e-9)
    assert float((weight * point**2).sum()) == pytest.approx(1.0)
    if run.sd[0] > 1e-6:
        skew = float(run.third[0] / run.sd[0] ** 3)
        assert float((weight * point**3).sum()) == pytest.approx(skew, abs=1e-6)
    at = run.at(point)
    assert (at >= 0).all()
    assert (at >= run.low[0] - 1e-9).all()
    assert (at <= run.high[0] + 1e-9).all()


MENDED = lru_cache(lambda: usage_of({100: 5.0, 800: 400.0, 900: 20.0, 2500: 1200.0}))


@given(st.lists(st.tuples(st.integers(0, 4000), st.integers(0, 4000)), min_size=1, max_size=5))
def test_the_mean_is_that_of_the_shaft_hours(spans: list[tuple[int, int]]) -> None:
    usage = MENDED()
    run = run_of(usage, *spans)
    start, day = (ORIGIN + np.array(one, dtype=float) for one in zip(*spans, strict=True))
    line = np.zeros(len(spans), dtype=np.int64)
    expected = usage.hours_at(line, np.maximum(day, start)) - usage.hours_at(line, start)
    np.testing.assert_allclose(run.mean, expected)
    assert (run.low <= run.mean + 1e-9).all()
    assert (run.mean <= run.high + 1e-9).all()
    assert np.isfinite([run.sd, run.third, run.high]).all()
