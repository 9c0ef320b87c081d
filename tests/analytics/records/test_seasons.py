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


@settings(max_examples=300, deadline=None, derandomize=True)
@given(*[MONTH_DAYS] * 6, st.dates(date(2020, 1, 1), date(2030, 12, 31)))
def test_no_lift_ahead_is_lost_where_the_rule_changes(
    start: tuple[int, int],
    end: tuple[int, int],
    lift: tuple[int, int],
    new_start: tuple[int, int],
    new_end: tuple[int, int],
    new_lift: tuple[int, int],
    until: date,
) -> None:
    old = SeasonRule(start, end, lift)
    if old.next_after(until - timedelta(days=1)).start <= until:
        return  # a running season runs its course before the rule changes
    new = SeasonRule(new_start, new_end, new_lift, earlier=(old, until))
    season = new.next_after(until)
    found = season.lift_after(until)
    assert found is not None
    assert until < found <= season.end


def test_boats_still_laid_up_get_their_lift_in_a_season_that_would_have_begun() -> None:
    old, until = SeasonRule(), date(2027, 1, 5)
    new = SeasonRule((12, 1), (10, 31), (11, 15), earlier=(old, until))
    assert new.season(2027).lift_after(until) == old.season(2027).lift_on == date(2027, 1, 15)
    assert new.season(2028).lift_on == date(2027, 11, 15)


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


def test_a_lift_can_take_place_until_the_season_begins() -> None:
    rule = SeasonRule()
    season = rule.season(2024)
    assert season.lift_after(date(2023, 12, 1)) == date(2024, 1, 15)
    # Past the lay-up day, and up to the eve of the season, a boat can still be lifted.
    assert season.lift_after(date(2024, 1, 15)) == date(2024, 1, 16)
    assert season.lift_after(date(2024, 2, 15)) == date(2024, 2, 16)
    assert season.lift_after(date(2024, 3, 31)) == date(2024, 4, 1)
    assert season.lift_after(date(2024, 4, 1)) is None
    assert rule.next_lift(date(2024, 2, 15)) == date(2024, 2, 16)
    assert rule.next_lift(date(2024, 6, 30)) == rule.next_lift(date(2024, 11, 5))
    assert rule.next_lift(date(2024, 11, 5)) == date(2025, 1, 15)
    assert rule.season_of_next_lift(date(2024, 6, 30)).year == 2025
