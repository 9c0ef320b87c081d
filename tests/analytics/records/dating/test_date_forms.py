"""Dates in every form that people write, against windows worked out by hand.

Calendar facts: ISO 8601 (from memory) and the Gregorian calendar. Words of
months are general knowledge; what seasons, thirds and 'about' mean is common
practice or this project's assumption, no source.
"""

from __future__ import annotations

from datetime import date

import pytest

from analytics.records.dates import Window
from analytics.records.dating.problems import DateProblem
from analytics.records.dating.reading import DateRead, read_date
from analytics.records.dating.styles import DateStyle, Order
from analytics.records.sorts import SORTS

EARLIEST, LATEST = date(2005, 1, 1), date(2024, 6, 30)


def read(text: str, order: Order = "") -> DateRead:
    return read_date(text, DateStyle(order), EARLIEST, LATEST)


APRIL_3 = "2019-04-03"


@pytest.mark.parametrize(
    "text",
    [
        # ISO 8601: calendar, week and ordinal dates, extended and basic (from memory).
        "2019-04-03",
        "20190403",
        "2019-W14-3",
        "2019-093",
        "2019-04-03T14:22:05Z",
        "2019-04-03T23:22:05.123+02:00",
        "20190403T1422",
        "2019-04-03 00:00:00",
        "2019/4/3",
        "2019.04.03",
        "3 Apr 2019",
        "03-Apr-2019",
        "Apr 3, 2019",
        "April 3rd 2019",
        "2019 Apr 3",
        "3rd of April, 2019",
        "Wed 3 Apr 2019",
        "Mittwoch, 3. April 2019",
        "mer. 3 avril 2019",
        "mar 3 avr 2019",
        "3 de abril de 2019",
        "il 3 aprile 2019",
        "op 3 april 2019",
        "3\u00a0Apr\u00a02019",
        "３ Apr ２０１９",
        "3 April 2019 at 14:00",
        "3. April 2019, 14:30 Uhr",
        "Wed Apr 03 2019 14:00:00 GMT+0200 (CEST)",
        "Wed Apr 03 14:00:00 CEST 2019",
        "14:00 3 Apr 2019",
    ],
)
def test_one_day(text: str) -> None:
    assert read(text) == DateRead(
        Window(date(2019, 4, 3), date(2019, 4, 3)), frozenset(), "2019-04-03"
    )


@pytest.mark.parametrize(
    "text", ["03/04/2019", "3.4.2019", "3-4-2019", "3 4 2019", "3. 4. 2019", "3.4.2019 14:30"]
)
def test_an_order_decides_and_no_order_holds_both(text: str) -> None:
    assert read(text, "day").as_text == "2019-04-03"
    assert read(text, "month").as_text == "2019-03-04"
    for order in ("", "year"):
        both = read(text, order)
        assert both.as_text == "2019-03-04..2019-04-03"
        assert both.notes == {"day_month_order"}


def test_a_reading_outside_the_span_is_dropped_only_beside_one_inside() -> None:
    assert read("08/05/2024").as_text == "2024-05-08"
    assert read("08/05/2024").notes == {"day_month_order"}
    assert read("08/09/2024").as_text == "2024-08-09..2024-09-08"
    assert read("08/05/2024", "month").as_text == "2024-08-05"
    assert read("2031-01-01").as_text == "2031-01-01"


def test_what_can_be_read_one_way_is_read_that_way() -> None:
    assert read("25/04/2019").as_text == read("04/25/2019").as_text == "2019-04-25"
    assert not read("25/04/2019").notes
    assert read("04/25/2019", "day") == DateRead(
        Window(date(2019, 4, 25), date(2019, 4, 25)), frozenset({"day_month_order"}), "2019-04-25"
    )
    assert read("19/04/03", "year").as_text == "2019-04-03"


SHORT, ORDER = "short_year", "day_month_order"
YEAR, MONTH = "year_only", "month_or_season_only"


@pytest.mark.parametrize(
    ("text", "window", "notes"),
    [
        ("25/04/19", "2019-04-25", {SHORT}),
        ("3/4/19", "2019-03-04..2019-04-03", {SHORT, ORDER}),
        ("03-Apr-19", "2019-04-03", {SHORT}),
        ("3 Apr '19", "2019-04-03", {SHORT}),
        ("März 2018", "2018-03", {MONTH}),
        ("avril 2018", "2018-04", {MONTH}),
        ("août 2018", "2018-08", {MONTH}),
        ("enero 2018", "2018-01", {MONTH}),
        ("gennaio 2018", "2018-01", {MONTH}),
        ("mei 2018", "2018-05", {MONTH}),
        ("Sept '18", "2018-09", {MONTH, SHORT}),
        ("Apr-19", "2019-04", {MONTH, SHORT}),
        ("2019-04", "2019-04", {MONTH}),
        ("04.2019", "2019-04", {MONTH}),
        ("04/2019", "2019-04", {MONTH}),
        ("4.19", "2019-04", {MONTH, SHORT}),
        ("00/04/2019", "2019-04", {MONTH}),
        ("??/04/2019", "2019-04", {MONTH}),
        ("2018", "2018", {YEAR}),
        ("'18", "2018", {YEAR, SHORT}),
        ("00/00/2018", "2018", {YEAR}),
        ("c. 2018", "2017..2019", {YEAR}),
        ("ca 2018", "2017..2019", {YEAR}),
        ("about 2018", "2017..2019", {YEAR}),
        ("2018 approx", "2017..2019", {YEAR}),
        ("2018?", "2017..2019", {YEAR}),
        ("~June 2018", "2018-05..2018-07", {MONTH}),
        ("before 2015", "2005..2014", {YEAR}),
        ("vor 2015", "2005..2014", {YEAR}),
        ("pre-2015", "2005..2014", {YEAR}),
        ("avant mars 2015", "2005-01..2015-02", {MONTH}),
        ("until 2015", "2005..2015", {YEAR}),
        ("seit 2015", "2015-01..2024-06", {YEAR}),
        ("after 2015", "2016-01..2024-06", {YEAR}),
        # Before the later of two readings, after the earlier of them.
        ("before 03/04/2018", "2005-01-01..2018-04-02", {ORDER}),
        ("after 03/04/2018", "2018-03-05..2024-06-30", {ORDER}),
        ("2011-2014", "2011..2014", {YEAR}),
        ("2011..2014-06", "2011-01..2014-06", {YEAR, MONTH}),
        ("2011 to 2014", "2011..2014", {YEAR}),
        ("between 2011 and 2014", "2011..2014", {YEAR}),
        ("zwischen 2011 und 2014", "2011..2014", {YEAR}),
        ("2011-14", "2011..2014", {YEAR}),
        ("2011/12", "2011..2012", {YEAR}),
        ("12-14", "2012..2014", {YEAR, SHORT}),
        ("late 18", "2018-09..2018-12", {MONTH, SHORT}),
        ("2018/19", "2018..2019", {YEAR}),
        ("2018 or 2019", "2018..2019", {YEAR}),
        ("Mar-May 2018", "2018-03..2018-05", {MONTH}),
        ("March to May 2018", "2018-03..2018-05", {MONTH}),
        ("Dec/Jan 2018", "2017-12..2019-01", {MONTH}),
        ("3-5 April 2019", "2019-04-03..2019-04-05", set()),
        ("between 3 and 5 April 2019", "2019-04-03..2019-04-05", set()),
        ("28 Apr - 3 May 2019", "2019-04-28..2019-05-03", set()),
        ("2018-04-03/2018-04-10", "2018-04-03..2018-04-10", set()),
        ("03/04/2018 - 25/04/2018", "2018-03-04..2018-04-25", {ORDER}),
        ("spring 18", "2018-03..2018-05", {MONTH, SHORT}),
        ("Frühjahr 2018", "2018-03..2018-05", {MONTH}),
        ("summer 2019", "2019-06..2019-08", {MONTH}),
        ("fall 2018", "2018-09..2018-11", {MONTH}),
        ("autumn 2018", "2018-09..2018-11", {MONTH}),
        ("winter 18/19", "2018-12..2019-02", {MONTH, SHORT}),
        ("winter 2018/19", "2018-12..2019-02", {MONTH}),
        ("winter 2018", "2017-12..2019-02", {MONTH}),
        ("Q2 2018", "2018-04..2018-06", {MONTH}),
        ("2018-Q2", "2018-04..2018-06", {MONTH}),
        ("second half of 2018", "2018-07..2018-12", {MONTH}),
        ("KW 14/2019", "2019-04-01..2019-04-07", {MONTH}),
        ("early 2018", "2018-01..2018-04", {MONTH}),
        ("mid-2018", "2018-05..2018-08", {MONTH}),
        ("late 2018", "2018-09..2018-12", {MONTH}),
        ("mid June 2018", "2018-06-11..2018-06-20", {MONTH}),
        ("end of May 2019", "2019-05-21..2019-05-31", {MONTH}),
        ("Ende Feb 2020", "2020-02-21..2020-02-29", {MONTH}),
        ("season 2018", "2018", {MONTH}),
        ("original 2008", "2008", {YEAR}),
        ("43558", "2019-04-03", {"serial_date"}),
        ("43558.75", "2019-04-03", {"serial_date"}),
        ("43558,0", "2019-04-03", {"serial_date"}),
    ],
)
def test_windows(text: str, window: str, notes: set[str]) -> None:
    found = read(text)
    assert (found.as_text, found.notes) == (window, notes)
    assert found.notes <= SORTS.keys()


@pytest.mark.parametrize(
    "text", ["", "  ", "-", "?", "n/a", "N/A", "Unknown", "unbekannt", "not known", "dd/mm/yyyy"]
)
def test_not_known(text: str) -> None:
    assert read(text) == DateRead(None, frozenset(), "")


@pytest.mark.parametrize(
    "text",
    [
        "01/01/1900",
        "1900-01-01",
        "1970-01-01",
        "30.12.1899",
        "31/12/9999",
        "9999-12-31T23:59:59",
        "00/00/0000",
        "0000-00-00",
        "01/01/01",
        "1.1.1",
        "01/01/70",
        "0",
        "1900",
    ],
)
def test_placeholders(text: str) -> None:
    assert read(text) == DateRead(None, frozenset({"placeholder_date"}), "")


@pytest.mark.parametrize("text", ["original", "As built", "as-built", "new boat", "from new"])
def test_as_built(text: str) -> None:
    assert read(text) == DateRead(None, frozenset({"fit_assumed_as_built"}), "")


@pytest.mark.parametrize(
    "text",
    [
        "31/02/2019",
        "2019-02-29",
        "2019-13-01",
        "13/13/2019",
        "3/4/9",
        "25/04/45",
        "3 Apr",
        "19-Apr",
        "03/04",
        "18",
        "Easter 2018",
        "pre-season 2018",
        "about 3 April 2019",
        "2018.50",
        "2018 '3 May",
        "'18 Apr '19",
        "1.5",
        "2014..2011",
        "1949",
        "3 Apr 2101",
        "99999",
        "14:00",
        "5 weeks ago",
        "before 2004",
        "2019-W54",
        "April",
        "x" * 500,
        "9" * 5000,
    ],
)
def test_no_date_and_what_to_do_about_it(text: str) -> None:
    with pytest.raises(DateProblem) as raised:
        read(text)
    assert raised.value.expected
    assert raised.value.remedy


def test_before_needs_a_beginning_and_since_an_end() -> None:
    for text in ("before 2015", "since 2015"):
        with pytest.raises(DateProblem, match="range"):
            read_date(text, DateStyle())


def test_a_short_year_with_two_centuries_to_choose_from_is_both() -> None:
    found = read_date("25/04/65", DateStyle("day"), date(1960, 1, 1), None)
    assert found.window == Window(date(1965, 4, 25), date(2065, 4, 25))
    # A year before the span and one after it are in reach, two are not.
    assert read("25/04/04").as_text == "2004-04-25"
    assert read("25/04/25").as_text == "2025-04-25"
    with pytest.raises(DateProblem, match="four figures"):
        read("25/04/26", "day")


def test_an_undecided_short_date_may_also_begin_with_its_year() -> None:
    style = DateStyle("", short_year_first=True)
    found = read_date("11/12/13", style, EARLIEST, LATEST)
    assert found.window == Window(date(2011, 12, 13), date(2013, 12, 11))
    assert found.notes == {"short_year", "day_month_order"}


def test_numbers_of_days() -> None:
    later = read_date("43558", DateStyle(epoch=1904))
    assert later.window == Window(date(2023, 4, 4), date(2023, 4, 4))
    style = DateStyle(origin=date(2019, 4, 3))
    days = {"+0.5": 3, "1": 4, "2.25": 5, "1.9": 4, "-1": 2, "-0.5": 2}
    for text, day in days.items():
        assert read_date(text, style).as_text == f"2019-04-{day:02d}"
    with pytest.raises(DateProblem):
        read_date("43558", DateStyle(serials=False))
