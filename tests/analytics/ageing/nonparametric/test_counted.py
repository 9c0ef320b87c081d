"""The four counts of one kind, and folders in which there is little to count."""

from __future__ import annotations

import numpy as np
import pytest

from analytics import job
from analytics.ageing.clocks import nodes_of
from analytics.ageing.nonparametric.counted import Counted, counted, last_watched
from tests.analytics.ageing.folders import fleet_of

GOING = [f"A{n},single,bellows,,,2012-01-01" for n in range(9)]


def count(rows: list[str]) -> Counted:
    fleet: job.Fleet = fleet_of(rows)
    table = fleet.lives.table.reset_index(drop=True)
    return counted(fleet.lives, table, nodes_of(fleet.lives, table))


def test_the_four_agree_on_the_lives() -> None:
    found = count([*GOING, "F,single,bellows,,,2012-01-01,2016-06-01,failed"])
    assert found.kaplan_meier["survival"].to_numpy() == pytest.approx([0.9, 0.9])
    assert found.windows is not None
    assert found.windows.left_over == pytest.approx(0.9)
    assert found.rate.cumulative.tolist() == [pytest.approx(0.1)]
    assert found.replacements.mean.tolist() == [pytest.approx(0.1)]
    assert found.band is not None
    assert found.band.low[-1] < 0.9 < found.band.high[-1]
    assert found.windowed == 0
    assert found.furthest == pytest.approx(12.5, abs=0.01)


def test_windows_are_counted() -> None:
    rows = [f"F{n},single,bellows,,,2012-01-01,201{5 + n},failed" for n in range(3)]
    assert count([*GOING, *rows]).windowed == 3


def test_without_failures_there_is_no_band() -> None:
    found = count(GOING)
    assert found.band is None
    assert found.kaplan_meier["survival"].tolist() == [1.0]
    assert not len(found.rate.cumulative)
    assert not len(found.replacements.times)


def test_without_known_starts_there_is_no_curve() -> None:
    found = count([f"A{n},single,bellows,,,,{'2018-05-01,failed' if n < 6 else ','}"
                   for n in range(12)])  # fmt: skip
    assert found.kaplan_meier.empty
    assert found.furthest == 0
    assert found.replacements.mean[-1] == pytest.approx(0.5)


def test_one_life_and_one_day_of_failure_give_no_limits_out_of_nothing() -> None:
    one = count(["A,single,bellows,,,2012-01-01,2016-02-01,failed"])
    assert one.kaplan_meier["survival"].tolist() == [0.0]
    assert one.kaplan_meier["low"].isna().all()
    assert np.isnan(one.replacements.low).all()
    rows = [f"F{n},single,bellows,,,2012-01-01,2018-05-01,failed" for n in range(8)]
    day = count([*GOING, *rows])
    assert day.kaplan_meier["survival"].iloc[0] == pytest.approx(9 / 17)
    assert day.band is not None
    assert np.isfinite(day.band.low).all()


def test_the_age_to_which_enough_were_watched() -> None:
    entry, exit = np.array([0.0, 0.0, 2.0, 6.0]), np.array([3.0, 4.0, 5.0, 9.0])
    assert last_watched(entry, exit, few=3) == 3.0
    assert last_watched(entry, exit, few=1) == 9.0
    assert last_watched(entry, exit, few=4) == 0.0
