"""The order of day and month, decided by a whole file."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from analytics.records.dating.serials import serial_day
from analytics.records.dating.styles import DateStyle, style_of

OPEN = "03/04/2019"
DAY_FIRST = "25/04/2019"
MONTH_FIRST = "04/25/2019"
ISO = "2019-04-25"

DAYS = st.dates(date(1990, 1, 1), date(2030, 12, 31))


@pytest.mark.parametrize(
    ("texts", "order", "mixed"),
    [
        ({OPEN, DAY_FIRST}, "day", False),
        ({OPEN, MONTH_FIRST}, "month", False),
        ({ISO, "2018-01-02"}, "year", False),
        ({ISO, OPEN}, "", False),
        ({ISO, DAY_FIRST}, "day", False),
        ({OPEN}, "", False),
        (set(), "", False),
        ({OPEN, DAY_FIRST, MONTH_FIRST}, "", True),
        ({"3.4.19", "25.4.19 14:30", "unknown"}, "day", False),
        ({"Mon 04-25-19", "04-05-19"}, "month", False),
        ({"3 Apr 2019", "spring 18"}, "", False),
        ({"04/04/2019"}, "", False),
        ({"31/02/2019"}, "day", False),
        ({"03/04/2018 - 25/04/2018"}, "day", False),
        # 99 can only be a year; with that proof 19/04/03 is no day-first date.
        ({"99/04/03", "19/04/03"}, "year", False),
        ({"99/04/03", "25/04/2019"}, "", True),
    ],
)
def test_evidence_decides_and_contradictions_do_not(
    texts: set[str], order: str, mixed: bool
) -> None:
    style, evidence = style_of(texts)
    assert (style.order, evidence.mixed) == (order, mixed)


def test_the_evidence_is_counted_with_an_example_of_each() -> None:
    _, evidence = style_of([OPEN, DAY_FIRST, "26/04/2019", MONTH_FIRST, ISO, "43558", ""])
    counted = [evidence.day_first, evidence.month_first, evidence.year_first, evidence.open]
    assert [seen.count for seen in counted] == [2, 1, 1, 1]
    assert [seen.example for seen in counted] == [DAY_FIRST, MONTH_FIRST, ISO, OPEN]
    assert (evidence.serials.count, evidence.serials.example) == (1, "43558")


def test_a_person_decides_over_the_evidence() -> None:
    style, evidence = style_of([OPEN, DAY_FIRST], order="month")
    assert style.order == "month"
    assert evidence.by_person
    assert evidence.day_first.count == 1


def test_the_span_shows_that_a_short_year_stands_first() -> None:
    # Read from the day on, this were 2003: before any boat of the fleet.
    span = {"earliest": date(2010, 1, 1), "latest": date(2024, 12, 31)}
    assert style_of(["19/04/03", "13/05/14"], **span)[0].order == "year"
    assert style_of(["19/04/03"])[0].order == "day"


@given(st.lists(DAYS, min_size=1, max_size=8), st.randoms(use_true_random=False))
def test_the_order_of_the_texts_changes_nothing(days: list[date], random: object) -> None:
    forms = ("%d/%m/%Y", "%m/%d/%y", "%Y-%m-%d", "%d.%m.%y")
    texts = [day.strftime(forms[place % 4]) for place, day in enumerate(days)]
    shuffled = list(texts)
    random.shuffle(shuffled)  # type: ignore[attr-defined]
    assert style_of(texts) == style_of(shuffled) == style_of(texts + texts)


@given(st.lists(DAYS, min_size=1, max_size=20))
def test_a_file_written_in_one_order_is_never_taken_for_the_other(days: list[date]) -> None:
    assert style_of([f"{day:%d/%m/%Y}" for day in days])[0].order in ("day", "")
    assert style_of([f"{day:%m/%d/%Y}" for day in days])[0].order in ("month", "")
    if any(day.day > 12 for day in days):
        assert style_of([f"{day:%d/%m/%Y}" for day in days])[0].order == "day"


# From memory of the spreadsheet's own documentation: 1 is 1 January 1900, 39448 is 1 January
# 2008, and the same date is 1,462 days more in the 1900 system than in the 1904 system.
@pytest.mark.parametrize(("number", "day"), [(1, date(1900, 1, 1)), (39448, date(2008, 1, 1))])
def test_published_serial_numbers(number: int, day: date) -> None:
    assert serial_day(number) == day


@given(st.integers(20_000, 80_000))
def test_the_systems_are_1462_days_apart(number: int) -> None:
    assert serial_day(number, 1904) == serial_day(number + 1462)
    assert serial_day(number, 1904) - serial_day(number) == timedelta(days=1462)


def test_the_day_that_never_was_shifts_the_days_before_it() -> None:
    # The 1900 system holds a 29 February 1900, number 60 (from memory).
    assert serial_day(59) == date(1900, 2, 28)
    assert serial_day(61) == date(1900, 3, 1)
    with pytest.raises(ValueError, match="date itself"):
        serial_day(60)


def test_the_system_is_the_one_that_puts_more_dates_into_the_span() -> None:
    span = {"earliest": date(2015, 1, 1), "latest": date(2024, 12, 31)}
    late = [str((date(2016 + year, 5, 1) - date(1904, 1, 1)).days) for year in range(3)]
    style, evidence = style_of(late, **span)
    assert style.epoch == 1904
    assert (evidence.serials_1900, evidence.serials_1904) == (0, 3)
    assert not evidence.epoch_open
    style, evidence = style_of(["43558"], **span)
    assert (style.epoch, evidence.epoch_open) == (1900, True)


def test_numbers_that_count_from_an_origin_are_no_spreadsheet_days() -> None:
    origin = date(2000, 1, 1)
    style, evidence = style_of(["43558", "120"], origin=origin)
    assert style == DateStyle(origin=origin)
    assert evidence.serials.count == 0
