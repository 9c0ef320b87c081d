"""Written dates as windows. Calendar facts: ISO 8601 and the Gregorian calendar (29 February)."""

from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from analytics.records.dates import Window, parse_window

DAYS = st.dates(date(1971, 1, 1), date(2100, 12, 31))


@pytest.mark.parametrize(
    ("text", "lo", "hi"),
    [
        ("2014-06-03", "2014-06-03", "2014-06-03"),
        ("2014-06-03T00:00:00", "2014-06-03", "2014-06-03"),
        ("2014-06", "2014-06-01", "2014-06-30"),
        ("2016-02", "2016-02-01", "2016-02-29"),
        ("2014", "2014-01-01", "2014-12-31"),
        ("2011..2014", "2011-01-01", "2014-12-31"),
        (" 2011-11-01 .. 2014-06 ", "2011-11-01", "2014-06-30"),
    ],
)
def test_windows(text: str, lo: str, hi: str) -> None:
    assert parse_window(text) == Window(date.fromisoformat(lo), date.fromisoformat(hi))


@pytest.mark.parametrize("text", ["", "  ", "1900-01-01", "9999-12-31", "1970-01-01..1970-01-01"])
def test_unknown(text: str) -> None:
    assert parse_window(text) is None


@pytest.mark.parametrize(
    "text",
    [
        "2013-02-29",
        "2014-13",
        "2014-00",
        "0000",
        "0000-01-01",
        "2014..2011",
        "2011..",
        "..2011",
        "03/04/19",
        "14-06-03",
        "2014-6-3",
        "43831",
        "spring-18",
        "2014-06-03T14:00",
    ],
)
def test_no_date(text: str) -> None:
    with pytest.raises(ValueError, match=r"."):
        parse_window(text)


@settings(max_examples=50, deadline=None, derandomize=True)
@given(DAYS, DAYS)
def test_a_day_lies_in_its_month_its_year_and_every_range_that_begins_with_it(
    day: date, other: date
) -> None:
    first, last = sorted((day, other))
    texts = [f"{day}", f"{day:%Y-%m}", f"{day:%Y}", f"{first}..{last}", f"{first:%Y}..{last:%Y-%m}"]
    for text in texts:
        window = parse_window(text)
        assert window is not None
        assert window.lo <= day <= window.hi
    assert Window(day, day).known
