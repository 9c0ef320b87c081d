"""A text file that breaks off in its last row is told of; one without its last line end is not."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from analytics.records.files.delimited import text_grid
from analytics.records.findings import Finding, FleetError
from analytics.records.reading import read_fleet
from tests.analytics.records.exports import delimited
from tests.analytics.records.mapped_folder import export, opened, plain, told

TABLE = 'boat,kind,note\nWren,bellows,"two, or\nthree"\nOtter,bellows,dry\n'


def read(text: str) -> tuple[list[Finding], list[tuple[int, list[str]]]]:
    grid = text_grid("parts.csv", text.encode())
    return grid.findings, list(grid.rows())


@pytest.mark.parametrize(
    ("last", "cells"),
    [
        ("Penny", ["Penny"]),
        ("Penny,bel", ["Penny", "bel"]),
        ("Penny,", ["Penny", ""]),
        ('Penny,bellows,"a remark that', ["Penny", "bellows", "a remark that"]),
        ('Penny,bellows,"two\nlines that', ["Penny", "bellows", "two\nlines that"]),
        ('Penny,"a', ["Penny", "a"]),
        ('Penny,bellows,"closed by nobody\n', ["Penny", "bellows", "closed by nobody\n"]),
    ],
)  # fmt: skip
@pytest.mark.parametrize("said", ["", "sep=,\n"])
def test_a_row_that_breaks_off(last: str, cells: list[str], said: str) -> None:
    findings, rows = read(said + TABLE + last)
    (one,) = findings
    at = 6 if said else 5
    assert (one.row, one.done, one.sort) == (at, "noted", "file_cut_off")
    assert one.found == " | ".join(cells)
    assert "half written" in one.remedy
    assert rows[-1] == (at, cells)
    assert len(rows) == 4


@pytest.mark.parametrize(
    "text",
    [
        TABLE,
        TABLE.removesuffix("\n"),
        TABLE + 'Penny,bellows,"whole"',
        TABLE + "Penny,bellows,",
        TABLE + "Penny\n",  # short, and its line was ended: the row's own fault
        TABLE + "\nwritten by the office",  # a line below the table
        TABLE + "  ",
        "boat,kind,note",
        "boat\nWren\nOt",
        "",
        # An export that never writes blank cells at the end of a row.
        "boat,kind,note\nWren,bellows,dry\n" + "Otter,bellows,a\nWren,bellows\n" * 9 + "Otter,x",
    ],
)  # fmt: skip
def test_a_file_that_is_whole(text: str) -> None:
    findings, _ = read(text)
    assert not findings


def test_a_stray_quote_far_above_the_end_still_stops() -> None:
    text = TABLE + 'Penny,bellows,"3\n' + "Otter,bellows,dry\n" * 20
    grid = text_grid("parts.csv", text.encode())
    assert not grid.findings
    with pytest.raises(FleetError) as caught:
        list(grid.rows())
    (one,) = caught.value.findings
    assert one.row == 5
    assert "unclosed quote" in one.remedy


# Without quotes: a doubled one that is cut in two closes its cell, and nothing tells.
CELLS = st.one_of(st.text("ab,", min_size=1, max_size=5), st.just("a\n\nb"))


@given(st.lists(st.lists(CELLS, min_size=3, max_size=3), min_size=1, max_size=5), st.data())
def test_wherever_it_is_cut_the_rows_before_are_read(
    rows: list[list[str]], data: st.DataObject
) -> None:
    header = ["boat", "kind", "note"]
    whole = delimited([header, *rows], line_end="\n", quote_all=True).decode()
    before = len(delimited([header, *rows[:-1]], line_end="\n", quote_all=True).decode())
    cut = data.draw(st.integers(before + 1, len(whole) - 2))
    assume(not whole[:cut].endswith('",'))  # a blank last cell may be all that is meant
    grid = text_grid("parts.csv", whole[:cut].encode())
    assert [one.sort for one in grid.findings] == ["file_cut_off"]
    read = [cells for _, cells in grid.rows()]
    assert read[:-1] == [header, *rows[:-1]]
    assert "".join(rows[-1]).startswith("".join(read[-1]))


def test_plain_and_mapped_files_tell_of_it() -> None:
    boats = b"boat\nWren\nOtter\n"
    parts = b"boat,kind,fitted_on\nWren,bellows,2014-06-03\nOtter,bell"
    records = read_fleet({"boats.csv": boats, "parts.csv": parts})
    (one,) = [one for one in records.findings if one.sort == "file_cut_off"]
    assert (one.file, one.row) == ("parts.csv", 3)
    assert records.counts.set_index("file").loc["parts.csv", "rows_read"] == 2
    lives = export("lives.csv", "lives", {"boat": "Boat", "kind": "Part", "fitted_on": "In"},
                   "Boat|Part|In\nWren|lip seal|2016-05-13\nOtter|lip seal")  # fmt: skip
    half = type(lives)(
        lives.file, lives.content.removesuffix(b"\n").removesuffix(b","), lives.source
    )
    fleet = opened(half, plain("boats.csv", "boat\nWren\nOtter"))
    (one,) = told(fleet.records, "file_cut_off")
    assert (one.file, one.row) == ("lives.csv", 3)
