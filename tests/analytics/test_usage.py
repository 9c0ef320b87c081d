"""Shaft hours on any day.

Outside checks are the calendar's own (a Gregorian year has 365.25 days on the mean of a Julian
cycle; 400 years have 146,097 days) and straight-line interpolation, done by hand.
"""

from collections.abc import Iterable
from datetime import date

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from analytics.records.findings import Finding
from analytics.records.seasons import SeasonRule
from analytics.shaft_hours import shaft_hours
from analytics.usage import (
    DAYS_PER_YEAR,
    DEFAULT_HOURS_PER_YEAR,
    ShaftHours,
    active_years,
    day_number,
    day_numbers,
    days_of_use,
)
from tests.analytics.records.fleet_folder import SETTINGS, part, read

QUICK = settings(max_examples=60, deadline=None, derandomize=True)
MONTH_DAYS = st.dates(date(2001, 1, 1), date(2001, 12, 31)).map(lambda day: (day.month, day.day))
RULES = st.builds(SeasonRule, MONTH_DAYS, MONTH_DAYS)
DAYS = st.lists(st.floats(day_number(date(1950, 1, 1)), day_number(date(2100, 12, 31))), min_size=2)
FULL_SHARE = SETTINGS + "shaft_share = 1\n"
HEADERS = ("boat", "position", "read_on", "hours")


WREN = ({"boat": "Penny Wren"},)


def usage_of(
    *readings: str,
    parts: Iterable[dict[str, str]] = (),
    boats: Iterable[dict[str, str]] = WREN,
    fleet: str = FULL_SHARE,
) -> tuple[ShaftHours, list[Finding]]:
    rows = [dict(zip(HEADERS, line.split(","), strict=True)) for line in readings]
    others = {"hours": rows} if rows else {}
    return shaft_hours(read(*(parts or [part()]), boats=boats, settings=fleet, **others))


def hours(usage: ShaftHours, *days: str, line: int = 0) -> list[float]:
    at = np.array([day_number(date.fromisoformat(day)) for day in days])
    return (usage.hours_at(np.full(len(days), line), at)).tolist()


AFLOAT = ({"boat": "Penny Wren", "lay_up": "afloat"},)


@QUICK
@given(RULES, DAYS, st.booleans())
def test_years_of_use_rise_with_the_day_and_turn_back_into_it(
    rule: SeasonRule, days: list[float], afloat: bool
) -> None:
    day = np.sort(np.array(days))
    used = active_years(day, afloat, rule)
    assert (np.diff(used) >= 0).all()
    np.testing.assert_allclose(days_of_use(used, afloat, rule), day, atol=1e-6)


@QUICK
@given(RULES, st.integers(1950, 2050), st.booleans())
def test_a_year_holds_a_year_of_use(rule: SeasonRule, year: int, afloat: bool) -> None:
    # Four years from one 1 January to another have 1461 days and four years of use; only a
    # century without its leap day, and 29 February in or out of the season, shift that.
    ends = day_numbers([date(year, 1, 1), date(year + 4, 1, 1)])
    used = np.diff(active_years(ends, afloat, rule))[0]
    days_in_season = 365 if afloat else max(1, _days_in_season(rule))
    assert abs(used - 4) <= 1 / (days_in_season + 0.02 * (365 - days_in_season)) + 1e-9


def _days_in_season(rule: SeasonRule) -> int:
    season = rule.season(2002)
    return (season.end - season.start).days + 1


def test_the_calendar_repeats_after_400_years() -> None:
    # 1900-01-01 to 2300-01-01 are 146,097 days; the laid-up boat's clock keeps step with it.
    ends = day_numbers([date(1900, 1, 1), date(2300, 1, 1)])
    assert np.diff(ends)[0] == 146_097
    assert np.diff(active_years(ends, False, SeasonRule()))[0] == pytest.approx(400)


def test_most_of_a_laid_up_boats_use_lies_within_its_season() -> None:
    # 214 days from 1 April to 31 October, and 151 days at a fiftieth: 214 / 217.02 of the use.
    ends = day_numbers([date(2021, 4, 1), date(2021, 11, 1), date(2022, 4, 1)])
    season, winter = np.diff(active_years(ends, False, SeasonRule()))
    assert season / (season + winter) == pytest.approx(214 / 217.02)
    afloat = np.diff(active_years(ends, True, SeasonRule()))
    assert afloat[0] == pytest.approx(214 / DAYS_PER_YEAR)


@pytest.mark.parametrize("rule", [SeasonRule((1, 1), (12, 31)), SeasonRule((3, 1), (2, 28))])
def test_a_season_of_the_whole_year_is_the_calendar(rule: SeasonRule) -> None:
    day = day_numbers([date(2020, 2, 28), date(2020, 2, 29), date(2020, 3, 1)])
    np.testing.assert_array_equal(active_years(day, False, rule), day / DAYS_PER_YEAR)


def test_days() -> None:
    assert day_number(date(1970, 1, 2)) == 1.0
    numbers = day_numbers([date(1969, 12, 31), None])
    assert numbers[0] == -1.0
    assert np.isnan(numbers[1])


def test_hours_at_the_readings_and_between_them() -> None:
    usage, findings = usage_of(
        "Penny Wren,,2012-01-01,100",
        "Penny Wren,,2013-01-01,466",
        "Penny Wren,,2014-01-01,649",
        boats=AFLOAT,
    )
    assert findings == []
    days = ("2012-01-01", "2012-01-11", "2013-01-01", "2014-01-01")
    first, later, second, third = hours(usage, *days)
    assert later - first == pytest.approx(10)  # 366 hours in the 366 days of 2012
    assert second - first == pytest.approx(366)
    assert third - second == pytest.approx(183)
    # Before and after the readings the line's own rate holds: 549 hours in 731 days.
    before, after = hours(usage, "2011-12-31", "2014-01-02")
    assert first - before == pytest.approx(549 / 731)
    assert after - third == pytest.approx(549 / 731)


STUCK = [
    "Penny Wren,,2012-01-01,100",
    "Penny Wren,,2013-01-01,466",
    "Penny Wren,,2013-06-01,466",
    "Penny Wren,,2014-01-01,466",
]


def test_meter_replaced_is_the_sort_of_a_meter_that_has_stuck() -> None:
    usage, (finding,) = usage_of(*STUCK, boats=AFLOAT)
    assert (finding.sort, finding.rows, finding.found) == (
        "meter_replaced",
        (4, 5),
        "still 466 (Penny Wren, single)",
    )
    # 366 hours in 366 days is the line's own rate, and stands for the 365 days that followed.
    assert np.diff(hours(usage, "2013-01-01", "2014-01-01"))[0] == pytest.approx(365)
    assert usage.past_rate[0] == pytest.approx(DAYS_PER_YEAR)


@pytest.mark.parametrize(
    ("lay_up", "last"),
    [
        ("afloat", "2013-06-01"),  # less than a season
        ("ashore", "2013-05-01"),
    ],
)
def test_a_meter_may_stand_still_for_a_winter(lay_up: str, last: str) -> None:
    boats = ({"boat": "Penny Wren", "lay_up": lay_up},)
    usage, findings = usage_of(
        STUCK[0], "Penny Wren,,2012-11-01,466", f"Penny Wren,,{last},466", boats=boats
    )
    assert findings == []
    assert np.diff(hours(usage, "2012-11-01", last))[0] == 0


def test_a_boat_that_is_said_to_lie_idle_has_no_stuck_meter() -> None:
    boats = ({"boat": "Penny Wren", "hours_per_season": "0", "lay_up": "afloat"},)
    usage, findings = usage_of(*STUCK, boats=boats)
    assert findings == []
    assert np.diff(hours(usage, "2013-01-01", "2014-01-01"))[0] == 0


def test_a_reading_copied_from_the_year_before_is_no_stuck_meter() -> None:
    usage, findings = usage_of(*STUCK, "Penny Wren,,2015-01-01,1196", boats=AFLOAT)
    assert findings == []
    ran = hours(usage, "2012-01-01", "2014-01-01", "2015-01-01")
    assert np.diff(ran) == pytest.approx([366, 730])
    # A meter that goes on from where it stuck has lost those hours.
    usage, (finding,) = usage_of(*STUCK, "Penny Wren,,2015-01-01,831", boats=AFLOAT)
    assert finding.sort == "meter_replaced"
    ran = hours(usage, "2012-01-01", "2014-01-01", "2015-01-01")
    assert np.diff(ran) == pytest.approx([366 + 365, 365])


def test_a_meter_that_never_moves_tells_no_rate() -> None:
    readings = ["Penny Wren,,2015-01-01,7", "Penny Wren,,2019-01-01,7"]
    boats = ({"boat": "Penny Wren", "hours_per_season": "250", "lay_up": "afloat"},)
    usage, (finding,) = usage_of(*readings, boats=boats, parts=[part(kind="face_seal")])
    assert (usage.basis, usage.past_rate.tolist()) == (("hours_per_season",), [250.0])
    assert finding.sort == "meter_replaced"
    # 2015 to 2018 are 1461 days, four years of 365.25.
    assert np.diff(hours(usage, "2015-01-01", "2019-01-01"))[0] == pytest.approx(1000)


@QUICK
@given(
    st.dictionaries(
        st.dates(date(2011, 1, 1), date(2020, 12, 31)), st.integers(0, 5000), max_size=8
    ),
    st.booleans(),
)
def test_hours_never_fall(read_on: dict[date, int], afloat: bool) -> None:
    boats = ({"boat": "Penny Wren", "lay_up": "afloat" if afloat else "ashore"},)
    usage, _ = usage_of(
        *(f"Penny Wren,,{day},{hours}" for day, hours in read_on.items()), boats=boats
    )
    days = np.arange(day_number(date(2005, 1, 1)), day_number(date(2030, 1, 1)), 17.5)
    ran = usage.hours_at(np.zeros(len(days), dtype=np.int64), days)
    assert (np.diff(ran) >= 0).all()
    rising = sorted(read_on)
    if [read_on[day] for day in rising] == sorted(set(read_on.values())):
        at = usage.hours_at(np.zeros(len(rising), dtype=np.int64), day_numbers(rising))
        np.testing.assert_allclose(
            np.diff(at), np.diff([read_on[day] for day in rising]), atol=1e-6
        )


def test_a_new_meter_adds_what_it_shows_or_what_the_line_runs_at_least() -> None:
    usage, findings = usage_of(
        "Penny Wren,,2012-01-01,1000",
        "Penny Wren,,2013-01-01,1366",
        "Penny Wren,,2014-01-01,40",
        "Penny Wren,,2015-01-01,405",
        boats=AFLOAT,
    )
    assert [(one.file, one.row, one.found) for one in findings] == [
        ("hours.csv", 4, "40 after 1366 (Penny Wren, single)")
    ]
    assert "new meter" in findings[0].remedy
    # 366 hours in 366 days and 365 in 365: an hour a day, also in the year of the change.
    assert np.diff(hours(usage, "2013-01-01", "2014-01-01"))[0] == pytest.approx(365)
    assert usage.past_rate[0] == pytest.approx(DAYS_PER_YEAR)


@pytest.mark.parametrize("slip", [1364, 1000])
def test_a_small_fall_is_no_new_meter(slip: int) -> None:
    usage, findings = usage_of(
        "Penny Wren,,2012-01-01,1000",
        "Penny Wren,,2013-01-01,1366",
        f"Penny Wren,,2014-01-01,{slip}",
        "Penny Wren,,2015-01-01,2096",
        boats=AFLOAT,
    )
    assert [(one.row, one.done) for one in findings] == [(4, "assumed")]
    assert "no new meter" in findings[0].remedy
    ran = hours(usage, "2012-01-01", "2013-01-01", "2014-01-01", "2015-01-01")
    assert np.diff(ran) == pytest.approx([366, 0, 730])


def test_hours_beside_a_part_are_readings_too_and_say_their_row_when_they_fall() -> None:
    usage, findings = usage_of(
        "Penny Wren,,2012-05-01,100",
        "Penny Wren,,2016-05-01,1100",
        parts=[
            part(fitted_hours="90", removed_on="2014-05-01", removed_hours="700", reason="failed"),
            part(fitted_on="2014-05-01", fitted_hours="20"),  # the same day: hours read alike
            part(fitted_on="2017-05-01", fitted_hours="5", kind="lip_seal"),
        ],
    )
    # On 2012-05-01 hours.csv has the word; on 2014-05-01 the lower of the two parts' hours.
    assert [(one.file, one.row) for one in findings] == [("parts.csv", 3), ("parts.csv", 4)]
    assert usage.basis == ("meter",)


def test_one_meter_without_a_side_serves_both_shafts() -> None:
    usage, findings = usage_of(
        "Penny Wren,,2012-01-01,0",
        "Penny Wren,,2014-01-01,400",
        parts=[part(position="port"), part(position="starboard")],
    )
    assert findings == []
    assert usage.lines == {("Penny Wren", "port"): 0, ("Penny Wren", "starboard"): 1}
    for line in (0, 1):
        first, last = hours(usage, "2012-01-01", "2014-01-01", line=line)
        assert last - first == pytest.approx(400)


def test_readings_of_a_line_without_parts_are_told() -> None:
    _, findings = usage_of(
        "Penny Wren,port,2012-01-01,0", "Penny Wren,port,2013-01-01,300", "Penny Wren,single,2013,1"
    )
    (unused,) = [one for one in findings if one.field == "position"]
    assert (unused.done, unused.found) == ("noted", "Penny Wren, port")
    assert "2 reading(s)" in unused.remedy


@pytest.mark.parametrize(
    ("readings", "given_hours", "rate", "basis"),
    [
        ([], "", DEFAULT_HOURS_PER_YEAR, "fleet"),
        ([], "250", 250.0, "hours_per_season"),
        ([], "0", 0.0, "hours_per_season"),
        (["Penny Wren,,2015-01-01,700"], "250", 250.0, "hours_per_season"),
        # Less than half a year between two readings tells no rate.
        (
            ["Penny Wren,,2015-06-01,0", "Penny Wren,,2015-06-20,90"],
            "250",
            250.0,
            "hours_per_season",
        ),
        (["Penny Wren,,2015-01-01,0", "Penny Wren,,2019-01-01,0"], "0", 0.0, "meter"),
    ],
)
def test_where_the_rate_comes_from(
    readings: list[str], given_hours: str, rate: float, basis: str
) -> None:
    boats = ({"boat": "Penny Wren", "hours_per_season": given_hours},)
    usage, findings = usage_of(*readings, boats=boats, parts=[part(kind="face_seal")])
    assert usage.basis == (basis,)
    assert usage.past_rate.tolist() == usage.rate.tolist() == [rate]
    assert [one.field for one in findings] == (["hours"] if basis == "fleet" else [])
    year = np.diff(hours(usage, "2020-01-01", "2021-01-01"))[0]
    assert year == pytest.approx(rate, rel=0.01)


def test_a_boat_without_hours_runs_like_the_mean_of_the_others() -> None:
    boats = [
        {"boat": name, "hours_per_season": given}
        for name, given in (("Penny Wren", "200"), ("Otter", "400"), ("Lantern", ""))
    ]
    usage, (finding,) = usage_of(
        parts=[part(boat=str(one["boat"]), kind="face_seal") for one in boats],
        boats=boats,
        fleet=SETTINGS,
    )
    shared = 0.8  # shaft hours per meter hour, the planning default
    assert dict(zip((boat for boat, _ in usage.lines), usage.rate, strict=True)) == {
        "Lantern": pytest.approx(300 * shared),
        "Otter": pytest.approx(400 * shared),
        "Penny Wren": pytest.approx(200 * shared),
    }
    assert finding.found == "Lantern"


def test_hours_are_not_asked_of_parts_that_age_by_the_calendar() -> None:
    _, findings = usage_of(boats=({"boat": "Penny Wren"},), parts=[part(kind="bellows")])
    assert not findings


def test_expected_hours_hold_from_the_last_day_watched_on() -> None:
    boats = ({"boat": "Penny Wren", "lay_up": "afloat", "hours_per_season": "100"},)
    usage, _ = usage_of("Penny Wren,,2012-01-01,0", "Penny Wren,,2014-01-01,731", boats=boats)
    past, after = np.diff(hours(usage, "2020-12-30", "2020-12-31", "2021-01-01"))
    assert past == pytest.approx(1.0)
    assert after == pytest.approx(100 / DAYS_PER_YEAR)


def test_years_of_use_by_line() -> None:
    boats = [{"boat": "Penny Wren", "lay_up": "afloat"}, {"boat": "Otter", "lay_up": "ashore"}]
    usage, _ = usage_of(parts=[part(), part(boat="Otter")], boats=boats)
    lines = usage.line_of(["Penny Wren", "Otter"], ["single", "single"])
    start, end = (np.full(2, day_number(date(2021, month, 1))) for month in (4, 11))
    used = usage.years_of_use(lines, end) - usage.years_of_use(lines, start)
    assert used[0] == pytest.approx(214 / DAYS_PER_YEAR)
    assert used[1] == pytest.approx(214 / 217.02, rel=0.002)
