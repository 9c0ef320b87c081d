"""Cells of every sort, right and wrong, and what is done about them."""

import math
from datetime import date

import pytest

from analytics.records.cells import check_rows
from analytics.records.files.delimited import text_grid
from analytics.records.findings import Finding
from analytics.records.table_rows import read_rows
from analytics.records.tables import HOURS, PARTS, PRICES
from tests.analytics.records.fleet_folder import csv_bytes, part


def checked(**cells: str):
    return check_rows(PARTS, read_rows(PARTS, text_grid(PARTS.file, csv_bytes([part(**cells)]))))


def finding(**cells: str) -> Finding:
    (one,) = checked(**cells).findings
    assert one.row == 2
    return one


def test_right_cells() -> None:
    (row,) = checked(
        position="Port",
        kind="Cutless Bearing",
        removed_on="2014",
        reason="replaced-sound",
        fitted_hours="+12.5",
        note="=x",
    ).rows
    assert row["row"] == 2
    assert (row["position"], row["kind"], row["reason"]) == (
        "port",
        "cutless_bearing",
        "replaced_sound",
    )
    assert (row["removed_on_lo"], row["removed_on_hi"]) == (date(2014, 1, 1), date(2014, 12, 31))
    assert row["fitted_hours"] == 12.5
    assert math.isnan(row["removed_hours"])
    assert row["note"] == "=x"


@pytest.mark.parametrize("text", ["-1", "nan", "inf", "1e400", "9" * 400, "1,200", "12 h", "0x1F"])
def test_numbers_that_are_none_are_read_as_blank(text: str) -> None:
    one = finding(fitted_hours=text)
    assert (one.field, one.found, one.done) == ("fitted_hours", text, "ignored")
    assert math.isnan(checked(fitted_hours=text).rows[0]["fitted_hours"])


@pytest.mark.parametrize(
    ("cells", "words"),
    [
        ({"fitted_on": "2013-02-29"}, "day is out of range"),
        ({"fitted_on": "2014..2011"}, "ends before it begins"),
        ({"fitted_on": "0000"}, "year-month-day"),
        ({"fitted_on": "1066"}, "Correct the year"),
        ({"fitted_on": "2012..9999"}, "Correct the year"),
        ({"removed_on": "03/04/19"}, "year-month-day"),
        ({"position": "prot"}, "Did you mean 'port'?"),
        ({"reason": "brown"}, "Use one of these words."),
        ({"kind": ""}, "Fill it in."),
        ({"boat": " "}, "Fill it in."),
    ],
)
def test_a_wrong_vital_cell_rejects_the_row(cells: dict[str, str], words: str) -> None:
    one = finding(**cells)
    assert one.done == "rejected"
    assert words in one.remedy
    assert checked(**cells).rows == []
    assert checked(**cells).rejected == {2: one}


def test_two_wrong_cells_are_two_findings_and_one_rejected_row() -> None:
    both = checked(fitted_on="x", removed_on="y")
    assert [one.field for one in both.findings] == ["fitted_on", "removed_on"]
    assert both.rejected == {2: both.findings[0]}


@pytest.mark.parametrize("text", ["1900-01-01", "9999-12-31", "1970-01-01..1970-01-01"])
def test_placeholders_are_blank_where_a_date_may_be_blank(text: str) -> None:
    one = finding(fitted_on=text)
    assert (one.done, one.found) == ("assumed", text)
    assert checked(fitted_on=text).rows[0]["fitted_on_lo"] is None


def test_a_placeholder_is_no_day_of_reading() -> None:
    rows = [{"boat": "Wren", "read_on": "1900-01-01", "hours": "12"}]
    read = check_rows(HOURS, read_rows(HOURS, text_grid(HOURS.file, csv_bytes(rows))))
    assert read.rows == []
    assert read.rejected[2].field == "read_on"


def test_blank_rows_are_ignored_and_counted() -> None:
    read = check_rows(
        PRICES, read_rows(PRICES, text_grid(PRICES.file, b"kind,part_price\n,\nBellows,12\n\n"))
    )
    assert list(read.ignored) == [2, 4]
    assert [row["kind"] for row in read.rows] == ["bellows"]
    assert read.findings == []
