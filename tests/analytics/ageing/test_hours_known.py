"""What is known of the hours of each life, on small fleets worked by hand."""

from __future__ import annotations

import pytest

from analytics import job
from analytics.ageing.hours_known import COLUMNS, UNDATED, hours_known_table
from analytics.ageing.hours_run import ASSUMED, BETWEEN, READ
from tests.analytics.ageing.folders import fleet_of

HOURS = ["A,single,2010-01-01,0", "A,single,2014-01-01,1000", "A,single,2018-01-01,2600"]


@pytest.mark.parametrize(
    ("row", "known", "low", "high"),
    [
        ("2010-01-01,2014-01-01,failed,afloat", READ, 1000, 1000),
        ("2010-01-01,2018-01-01,replaced_sound", READ, 2600, 2600),
        ("2010-01-01,2016-01-01,failed,afloat", BETWEEN, 1000, 2600),
        ("2012-01-01,2013-01-01,failed,afloat", BETWEEN, 0, 1000),
        # Fitted on some day of four years: nothing, or all of the first step.
        ("2010..2013,2018-01-01,failed,afloat", UNDATED, 1600, 2600),
        ("2010-01-01,2018-01-01,failed,ashore,2014-01-01", READ, 1000, 2600),
    ],
)
def test_bounds_by_hand(row: str, known: str, low: float, high: float) -> None:
    lives = fleet_of([f"A,single,face_seal,,,{row}"], hours=HOURS).lives
    table = hours_known_table(lives, lives.table)
    assert list(table.columns) == COLUMNS
    (one,) = table.to_dict("records")
    assert (one["hours_low"], one["hours_high"]) == pytest.approx((low, high), abs=2.0)
    if "ashore" not in row:
        assert one["known"] == known
    assert one["hours_low"] <= one["hours"] <= one["hours_high"]


def test_a_boat_without_readings_says_so_whatever_ages_the_kind() -> None:
    lives = fleet_of(["A,single,bellows,,,2012-01-01"]).lives
    (one,) = hours_known_table(lives, lives.table).to_dict("records")
    assert one["known"] == ASSUMED
    assert one["hours"] == pytest.approx(300 * 4564 / 365.25)
    assert one["hours_low"] < 0.7 * one["hours"]
    assert one["hours_high"] > 1.3 * one["hours"]


def test_every_life_of_the_sample_is_in_it(sample: job.Fleet) -> None:
    table = hours_known_table(sample.lives, sample.lives.table)
    assert table["life"].tolist() == sample.lives.table["life"].tolist()
    assert (table["hours_low"] <= table["hours"]).all()
    assert (table["hours"] <= table["hours_high"]).all()
    assert set(table["known"]) == {READ, BETWEEN, ASSUMED, UNDATED}


def test_no_lives_are_no_rows(sample: job.Fleet) -> None:
    nothing = hours_known_table(sample.lives, sample.lives.table.iloc[:0])
    assert nothing.empty
    assert list(nothing.columns) == COLUMNS
