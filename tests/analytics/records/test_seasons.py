"""Seasons by the calendar alone: lengths and order of days in the Gregorian year."""

from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from analytics.records.seasons import SeasonRule

MONTH_DAYS = st.dates(date(2001, 1, 1), date(2001, 12, 31)).map(lambda day: (day.month, day.day))


def test_the_usual_season() -> None:
    season = SeasonRule().season(2027)
    assert (season.start, season.end) == (date(2027, 4, 1), date(2027, 10, 31))
    assert season.previous_end == date(2026, 10, 31)
    assert season.lift_on == date(2027, 1, 15)


def test_a_season_over_new_year_is_named_by_the_year_it_ends_in() -> None:
    season = SeasonRule(start=(11, 1), end=(3, 31), lift_on=(6, 1)).season(2027)
    assert (season.start, season.end) == (date(2026, 11, 1), date(2027, 3, 31))
    assert (season.previous_end, season.lift_on) == (date(2026, 3, 31), date(2026, 6, 1))


@pytest.mark.parametrize(
    ("start", "end", "whole"),
    [
        ((1, 1), (12, 31), True),
        ((11, 1), (10, 31), True),
        ((3, 1), (2, 28), True),
        ((12, 31), (12, 30), True),
        ((1, 2), (12, 31), False),
        ((4, 1), (10, 31), False),
        ((5, 5), (5, 5), False),
    ],
)
def test_whole_year(start: tuple[int, int], end: tuple[int, int], whole: bool) -> None:
    assert SeasonRule(start, end).whole_year() is whole


@settings(max_examples=60, deadline=None, derandomize=True)
@given(MONTH_DAYS, MONTH_DAYS, MONTH_DAYS, st.dates(date(1990, 1, 1), date(2090, 12, 31)))
def test_seasons_follow_one_another_without_a_gap(
    start: tuple[int, int], end: tuple[int, int], lift: tuple[int, int], day: date
) -> None:
    rule = SeasonRule(start, end, lift)
    season = rule.next_after(day)
    assert season.previous_end <= day < season.end
    assert season.previous_end == rule.season(season.year - 1).end
    assert season.previous_end < season.start <= season.end
    assert season.previous_end < season.lift_on <= season.start
    assert season.end - season.previous_end in (timedelta(365), timedelta(366))
