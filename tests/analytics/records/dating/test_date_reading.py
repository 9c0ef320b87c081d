"""What holds of every date and every text: `strftime` writes, the reading has to find it again."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from analytics.records.dates import PLACEHOLDERS, Window, parse_window
from analytics.records.dating.problems import DateProblem
from analytics.records.dating.reading import plain_text, read_date
from analytics.records.dating.stretches import STAND_INS
from analytics.records.dating.styles import DateStyle, Order, style_of
from analytics.records.dating.words import ABOUT, BEFORE, FILLERS, MONTHS, SEASONS, THIRDS

# 1 January 2001 written with short years is 01/01/01, which stands for not known.
DAYS = st.dates(date(1970, 1, 2), date(2069, 12, 31)).filter(
    lambda day: day not in STAND_INS and day != date(2001, 1, 1)
)
DAY_FIRST = ["%d/%m/%Y", "%d.%m.%y", "%d-%m-%Y %H:%M", "%d %m %y", "%d/%m/'%y"]
MONTH_FIRST = ["%m/%d/%Y", "%m.%d.%y", "%m-%d-%Y %I:%M %p", "%m %d %y"]
YEAR_FIRST = ["%Y/%m/%d", "%Y.%m.%d"]
ANY_ORDER = [
    "%Y-%m-%d",
    "%Y%m%d",
    "%Y-%m-%dT%H:%M:%SZ",
    "%G-W%V-%u",
    "%Y-%j",
    "%d %b %Y",
    "%d %B %Y",
    "%a %d %b %Y",
    "%A, %B %d, %Y",
    "%d %b '%y",
    "%c",
]
COARSE = ["%Y", "%b %Y", "%B '%y", "%Y-%m", "%m/%Y", "c. %Y", "~%b %Y", "season %Y", "W%V %G"]
ORDERS: list[Order] = ["day", "month", "year", ""]


def written(day: date, form: str) -> Window:
    found = read_date(day.strftime(form), DateStyle()).window
    assert found is not None
    return found


@settings(max_examples=60)
@given(DAYS)
def test_a_day_written_with_its_month_by_name_or_its_year_first_is_that_day(day: date) -> None:
    for order in ORDERS:
        for form in ANY_ORDER + YEAR_FIRST:
            found = read_date(day.strftime(form), DateStyle(order))
            assert found.window == Window(day, day), form


@settings(max_examples=60)
@given(DAYS)
def test_a_day_in_the_order_of_its_file_is_that_day(day: date) -> None:
    for order, forms in (("day", DAY_FIRST), ("month", MONTH_FIRST)):
        for form in forms:
            found = read_date(day.strftime(form), DateStyle(order))  # type: ignore[arg-type]
            assert found.window == Window(day, day), form


@settings(max_examples=60)
@given(DAYS)
def test_without_an_order_the_window_holds_every_reading(day: date) -> None:
    for form in DAY_FIRST + MONTH_FIRST + COARSE:
        window = written(day, form)
        assert window.lo <= day <= window.hi, form
    if day.day <= 12:
        turned = date(day.year, day.day, day.month)
        for form in DAY_FIRST + MONTH_FIRST:
            window = written(day, form)
            assert window.lo <= turned <= window.hi, form


@settings(max_examples=60)
@given(DAYS, DAYS)
def test_a_range_holds_its_ends(one: date, other: date) -> None:
    first, last = sorted((one, other))
    for joint in ("..", " to ", " - ", " bis ", "/"):
        for form in ("%Y-%m-%d", "%d %b %Y", "%b %Y", "%Y"):
            found = read_date(first.strftime(form) + joint + last.strftime(form), DateStyle())
            assert found.window is not None
            assert found.window.lo <= first
            assert last <= found.window.hi


@given(st.lists(DAYS, min_size=1, max_size=12), st.sampled_from(DAY_FIRST + MONTH_FIRST))
def test_the_style_of_a_file_reads_every_date_of_it(days: list[date], form: str) -> None:
    texts = [day.strftime(form) for day in days]
    style, _ = style_of(texts)
    for day, text in zip(days, texts, strict=True):
        window = read_date(text, style).window
        assert window is not None
        assert window.lo <= day <= window.hi


@settings(max_examples=300)
@given(
    st.dates(date(1950, 1, 1), date(2100, 12, 31)), st.dates(date(1950, 1, 1), date(2100, 12, 31))
)
def test_the_plain_layout_reads_back_what_was_written(one: date, other: date) -> None:
    lo, hi = sorted((one, other))
    month, year = lo.replace(day=1), lo.replace(month=1, day=1)
    for window in (
        Window(lo, hi),
        Window(lo, lo),
        Window(month, hi),
        Window(year, hi.replace(month=12, day=31)),
        Window(year, lo.replace(month=12, day=31)),
    ):
        if window.lo == window.hi and window.lo in PLACEHOLDERS:
            continue
        assert parse_window(plain_text(window)) == window
    assert plain_text(None) == ""


@pytest.mark.parametrize(
    ("lo", "hi", "text"),
    [
        ((2014, 6, 3), (2014, 6, 3), "2014-06-03"),
        ((2016, 2, 1), (2016, 2, 29), "2016-02"),
        ((2014, 1, 1), (2014, 12, 31), "2014"),
        ((2011, 1, 1), (2014, 12, 31), "2011..2014"),
        ((2011, 3, 1), (2014, 12, 31), "2011-03..2014-12"),
        ((2015, 2, 1), (2015, 2, 27), "2015-02-01..2015-02-27"),
    ],
)
def test_the_shortest_writing(
    lo: tuple[int, int, int], hi: tuple[int, int, int], text: str
) -> None:
    assert plain_text(Window(date(*lo), date(*hi))) == text


MORE = ["to", "and", "between", "q2", "h1", "week", "kw", "'18", "14:00", "mon", "original", ".."]
WORDS = st.sampled_from(
    sorted({*MONTHS, *SEASONS, *THIRDS, *FILLERS, *ABOUT.split("|"), *BEFORE.split("|"), *MORE})
)
NUMBERS = st.one_of(
    st.integers(-5, 120).map(str), st.integers(0, 99_999_999).map(str), st.just("00")
)
PIECES = st.lists(st.one_of(WORDS, NUMBERS, st.sampled_from("/.- ,':+()?~<>")), max_size=9)


@settings(max_examples=600)
@given(
    st.one_of(st.text(max_size=90), PIECES.map("".join), PIECES.map(" ".join)),
    st.sampled_from(ORDERS),
    st.sampled_from([1900, 1904]),
    st.none() | DAYS,
    st.none() | DAYS,
)
def test_no_text_does_anything_but_be_read_or_be_a_problem(
    text: str, order: Order, epoch: int, earliest: date | None, latest: date | None
) -> None:
    style, _ = style_of([text], order=order, earliest=earliest, latest=latest)
    for one in (style, DateStyle(order, origin=earliest, short_year_first=True)):
        try:
            found = read_date(text, one, earliest, latest)
        except DateProblem:
            continue
        assert parse_window(found.as_text) == found.window
