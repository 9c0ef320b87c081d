"""One grid in our fields: which row is the header, what is left out, what stands for every row."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

import pytest

from analytics.records.decided.decision import Decisions
from analytics.records.files.grids import FileSettings, Grid, SheetNumber
from analytics.records.findings import FleetError
from analytics.records.mapping.model import SourceMapping
from analytics.records.mapping.translate import Translated, translate
from tests.analytics.records.mapped_folder import cells

LIVES = SourceMapping(
    "x.csv",
    "lives",
    headers=("Boat", "Part", "In"),
    columns={"boat": "Boat", "kind": "Part", "fitted_on": "In"},
)


def grid(text: str, sheet: str = "", **chosen: int) -> Grid:
    table = cells(text)

    def rows() -> Iterator[tuple[int, list[str]]]:
        return ((number, list(row)) for number, row in enumerate(table, 1))

    return Grid("x.csv", rows, sheet, chosen=FileSettings(**chosen))  # type: ignore[arg-type]


def translated(text: str, source: SourceMapping = LIVES, **chosen: int) -> Translated:
    return translate(grid(text, **chosen), source, Decisions())


def test_a_row_has_its_number_its_words_and_its_window() -> None:
    one = translated("Boat|Part|In\nPenny Wren|shaft bellows|05/2017")
    (row,) = one.frame.to_dict("records")
    assert (row["row"], row["boat"], row["kind"]) == (2, "Penny Wren", "bellows")
    assert row["kind_text"] == "shaft bellows"
    assert (row["fitted_on"], f"{row['fitted_on_hi']:%Y-%m-%d}") == ("2017-05", "2017-05-31")


def test_the_header_is_the_row_with_most_of_the_mapping() -> None:
    text = "Printed 1 May||\n|Boat|\nBoat|Part|In\nPenny Wren|bellows|2017"
    one = translated(text)
    assert (one.header_row, one.frame["row"].tolist()) == (3, [4])
    assert [found.row for found in one.findings if found.sort == "totals_and_titles"] == [1, 2]
    with pytest.raises(FleetError):
        translated(text, header_row=2)


def test_capitals_and_blanks_of_a_header_are_no_change() -> None:
    one = translated("BOAT|part|In \nPenny Wren|bellows|2017")
    assert one.frame["boat"].tolist() == ["Penny Wren"]
    assert one.source.columns == {"boat": "BOAT", "kind": "part", "fitted_on": "In"}
    assert not [found for found in one.findings if found.sort == "header_changed"]


def test_every_header_that_is_gone_is_told_at_once() -> None:
    with pytest.raises(FleetError) as stopped:
        translated("Boat|Items|Fitted\nPenny Wren|bellows|2017")
    assert [found.field for found in stopped.value.findings] == ["Part", "In"]


def test_an_empty_file_is_told() -> None:
    empty = Grid("x.csv", lambda: iter(()))
    with pytest.raises(FleetError):
        translate(empty, LIVES, Decisions())


def test_short_rows_are_filled_and_long_ones_told_of() -> None:
    one = translated("Boat|Part|In\nPenny Wren\nPenny Wren|bellows|2017|more")
    assert one.frame["fitted_on"].tolist() == ["", "2017"]
    (beyond,) = [found for found in one.findings if found.expected == "3 cells"]
    assert (beyond.row, beyond.found) == (3, "more")


def test_what_cannot_be_read_is_one_finding_a_text_with_all_its_rows() -> None:
    one = translated("Boat|Part|In\nA|seal|xx1\nB|seal|yy1\nC|bellows|xx1")
    found = {(each.field, each.found): each for each in one.findings}
    assert found["Part", "seal"].rows == (2, 3)
    assert found["In", "xx1"].rows == (2, 4)
    assert {each.done for each in found.values()} == {"rejected"}
    assert set(one.unread["kind"]) == {2, 3}
    assert set(one.unread["fitted_on"]) == {2, 3, 4}


def test_the_years_of_the_fleet_place_years_of_two_figures() -> None:
    read = translate(
        grid("Boat|Part|In\nA|bellows|25/04/19"), LIVES, Decisions(), date(1990, 1, 1),
        date(2025, 1, 1),
    )  # fmt: skip
    assert read.frame["fitted_on"].tolist() == ["2019-04-25"]
    assert [found.sort for found in read.findings] == ["short_year"]


def test_days_from_an_origin() -> None:
    source = SourceMapping("x.csv", "lives", columns=LIVES.columns, origin=date(2010, 1, 1))
    one = translated("Boat|Part|In\nA|bellows|31", source)
    assert one.frame["fitted_on"].tolist() == ["2010-02-01"]


def test_numbers_of_a_spreadsheet_are_read_as_such_and_texts_are_stripped() -> None:
    rows = [["Boat", "Part", "In", "H"], ["A", "bellows", "2017", SheetNumber("1.234")],
            ["A", " bellows ", "2017", "1.234,5"]]  # fmt: skip
    source = SourceMapping(
        "x.csv", "lives", sheet="S", columns={**LIVES.columns, "fitted_hours": "H"}
    )
    sheet = Grid("x.csv", lambda: iter(list(enumerate(map(list, rows), 1))), "S")
    one = translate(sheet, source, Decisions())
    assert one.frame["fitted_hours"].tolist() == [1.234, 1234.5]
    assert one.frame["kind"].tolist() == ["bellows", "bellows"]


def test_fixed_texts_are_read_like_cells() -> None:
    source = SourceMapping(
        "x.csv", "lives", columns={"boat": "Boat"}, fixed={"kind": "lip seals", "fitted_on": "2017"}
    )
    one = translated("Boat\nA\nB", source)
    assert one.frame["kind"].tolist() == ["lip_seal", "lip_seal"]
    assert one.frame["fitted_on"].tolist() == ["2017", "2017"]
    assert [(found.file, found.row, found.field) for found in one.findings] == [
        ("mapping.toml", None, "fixed.fitted_on")
    ]
    assert translated("Boat", source).frame.empty
