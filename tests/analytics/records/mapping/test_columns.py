"""Columns read text by text: nothing is guessed, and a window holds every reading."""

from __future__ import annotations

from datetime import date

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from analytics.records.dates import parse_window
from analytics.records.dating.styles import style_of
from analytics.records.files.grids import AS_DETECTED
from analytics.records.mapping.columns import Column, read_dates, read_numbers, read_words
from analytics.records.mapping.fields import EVENTS, LIVES
from analytics.records.numbers import Marks

ON = EVENTS.by_name["on"]


def column(*cells: str) -> Column:
    return Column.of("x.csv", "H", np.arange(2, len(cells) + 2), list(cells))


TWO = st.integers(0, 99).map("{:02}".format)
MARKS = st.sampled_from("/.- ")


@given(TWO, TWO, st.one_of(TWO, st.integers(1990, 2030).map(str)), MARKS, st.lists(TWO, max_size=3))
def test_a_window_holds_every_reading_of_its_date(
    one: str, two: str, year: str, mark: str, others: list[str]
) -> None:
    """Day first and month first, whatever else the file holds, unless the file decides."""
    earliest, latest = date(1985, 1, 1), date(2031, 12, 31)
    text = mark.join((one, two, year))
    style, _ = style_of([text], earliest=earliest, latest=latest)
    read = read_dates(ON, column(text, *others), style, earliest, latest)
    years = [int(year)] if len(year) == 4 else [1900 + int(year), 2000 + int(year)]
    readings = []
    for full in years:
        for day, month in ((one, two), (two, one)):
            try:
                readings.append(date(full, int(month), int(day)))
            except ValueError:
                continue
    inside = [day for day in readings if earliest <= day <= latest]
    lo, hi = (read.values[f"on_{end}"][0] for end in ("lo", "hi"))
    if np.isnat(lo) or style.order == "year":
        return
    if 2 in read.unread:
        return
    assert all(lo <= np.datetime64(day) <= hi for day in inside)
    window = parse_window(read.values["on"][0])
    assert window is not None
    assert (np.datetime64(window.lo), np.datetime64(window.hi)) == (lo, hi)


@given(st.lists(st.text(max_size=12), max_size=12))
def test_any_texts_give_a_value_a_row(texts: list[str]) -> None:
    held = column(*texts)
    style, _ = style_of(held.texts)
    for read in (
        read_dates(ON, held, style, None, None),
        read_numbers(EVENTS.by_name["hours"], held, AS_DETECTED, Marks()),
        *(read_words(EVENTS.by_name[name], held, {}, {}) for name in
          ("kind", "position", "reason", "action", "condition", "found")),
    ):  # fmt: skip
        assert {len(values) for values in read.values.values()} == {len(texts)}
        assert set(read.unread) <= set(held.rows.tolist())
        for finding in read.findings:
            assert set(finding.rows) <= set(held.rows.tolist())
            assert finding.remedy.endswith((".", "?"))


@pytest.mark.parametrize(
    ("cells", "numbers"),
    [
        (["1.200,5", "3"], [1200.5, 3]),
        (["1,200.5", ""], [1200.5, None]),
        (["1.200", "7"], [None, 7]),  # may be two numbers, and nothing decides
        (["-3", "1e400"], [None, None]),
        (["eleven", "12"], [None, 12]),
    ],
)
def test_numbers(cells: list[str], numbers: list[float | None]) -> None:
    read = read_numbers(EVENTS.by_name["hours"], column(*cells), AS_DETECTED, Marks())
    assert [None if pd.isna(one) else one for one in read.values["hours"]] == numbers


def test_a_part_in_place_has_no_date_of_removal() -> None:
    style, _ = style_of(["2019"])
    held = column("still in", "2019", "in betrieb", "?")
    read = read_dates(LIVES.by_name["removed_on"], held, style, None, None)
    assert read.values["removed_on"].tolist() == ["", "2019", "", ""]
    assert read.unread == {}


def test_words_by_decision_by_mapping_and_by_list() -> None:
    field = LIVES.by_name["reason"]
    held = column("Leak", "leak", "no leak", "zonked", "Zonked ")
    by_list = read_words(field, held, {}, {}).values["reason"].tolist()
    assert by_list == ["failed", "failed", "", "unknown", "unknown"]
    said = {"zonked": "accident", "?": "failed"}
    by_mapping = read_words(field, held, said, {}).values["reason"].tolist()
    assert by_mapping == ["failed", "failed", "", "accident", "accident"]
    decided = {"leak": "other_work", "zonked": "failed"}
    by_person = read_words(field, held, said, decided).values["reason"].tolist()
    assert by_person == ["failed", "other_work", "", "failed", "accident"]


def test_what_was_done_about_dates_is_one_finding_a_sort() -> None:
    style, _ = style_of(["03/04/2019"])
    held = column("03/04/2019", "05/04/2019", "2018", "spring 18", "01/01/1900", "whenever")
    read = read_dates(ON, held, style, None, None)
    told = {one.sort: (one.done, one.rows) for one in read.findings}
    assert told == {
        "day_month_order": ("assumed", (2, 3)),
        "year_only": ("assumed", (4,)),
        "month_or_season_only": ("assumed", (5,)),
        "short_year": ("noted", (5,)),
        "placeholder_date": ("noted", (6,)),
        "cell_unreadable": ("assumed", (7,)),
    }


def test_examples_are_the_same_whatever_the_order_of_the_rows() -> None:
    cells = ["spring 16", "2015-05", "25/05/15", "", "2017-08", "2017-09", "2014-01"]
    earliest, latest = date(2005, 1, 1), date(2024, 12, 31)
    style, _ = style_of(cells, earliest=earliest, latest=latest)

    def told(*of_rows: str) -> dict[str, str]:
        read = read_dates(ON, column(*of_rows), style, earliest, latest)
        return {one.sort: one.found for one in read.findings}

    assert told(*cells) == told(*reversed(cells))
    assert told(*cells) == {
        "month_or_season_only": "2014-01, 2015-05, 2017-08 and 2 more",
        "short_year": "25/05/15, spring 16",
    }
