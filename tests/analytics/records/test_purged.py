"""Records that begin later than they are said to.

Outside check: with three removals expected, none comes with chance exp(-3), about one in twenty
(Poisson's law).
"""

import math

import pytest

from analytics.job import Fleet
from analytics.lives import table_of_lives
from analytics.records.findings import Finding
from analytics.records.purged import MISSED
from tests.analytics.records.fleet_folder import part, read

SETTINGS = "as_of = 2020-12-31\nrecords_from = 2005-01-01\n"
BOATS = [{"boat": f"Boat {i}", "base": "North", "joined_on": "2004"} for i in range(6)]


def removals(years: range, boats: list[dict[str, str]]) -> list[dict[str, str]]:
    """A part renewed every third year on every boat, from the first of the years."""
    return [
        part(
            boat=boat["boat"],
            fitted_on="2000" if year == years.start else f"{year - 3}-03-01",
            removed_on=f"{year}-03-01",
            reason="replaced_sound",
        )
        for boat in boats
        for year in years
    ]


def purged(parts: list[dict[str, str]], boats: list[dict[str, str]] = BOATS) -> list[Finding]:
    lives = table_of_lives(read(*parts, boats=boats, settings=SETTINGS))
    return [one for one in lives.findings if one.sort == "records_purged"]


def test_records_purged() -> None:
    (one,) = purged(removals(range(2014, 2021, 3), BOATS))
    assert (one.file, one.done) == ("parts.csv", "noted")
    assert "North" in one.found
    assert "2014-03-01" in one.remedy
    assert "joined_on" in one.remedy
    assert "records_from" in one.remedy


@pytest.mark.parametrize("first", [2005, 2007])
def test_records_that_begin_when_they_are_said_to(first: int) -> None:
    assert purged(removals(range(first, 2021, 3), BOATS)) == []


def test_a_base_is_judged_on_its_own() -> None:
    south = [one | {"boat": f"S{i}", "base": "South"} for i, one in enumerate(BOATS)]
    parts = removals(range(2014, 2021, 3), BOATS) + removals(range(2005, 2021, 3), south)
    (one,) = purged(parts, BOATS + south)
    assert "North" in one.found


def test_boats_that_joined_late_leave_no_gap() -> None:
    late = [one | {"joined_on": "2012-06"} for one in BOATS]
    assert purged(removals(range(2014, 2021, 3), late), late) == []


def test_three_quiet_years_of_a_few_parts_say_nothing() -> None:
    assert math.exp(-MISSED) == pytest.approx(0.05, abs=0.001)
    few = [part(boat="Boat 0", fitted_on="2003", removed_on="2014", reason="failed")]
    assert purged([*few, part(boat="Boat 0", fitted_on="2014")], BOATS[:1]) == []


def test_the_clean_sample_is_not_suspected(sample: Fleet) -> None:
    assert not any(one.sort == "records_purged" for one in sample.lives.findings)
