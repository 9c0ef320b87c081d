"""Which row holds the headers, and what the columns are called."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from analytics.records.files.grids import FileSettings
from analytics.records.findings import FleetError
from analytics.records.mapping.header_rows import header_of, headers_named
from tests.analytics.records.mapping.invented_exports import EXPORTS, grid_of, rows_grid


@pytest.mark.parametrize("export", EXPORTS, ids=lambda one: one.name)
def test_the_header_of_every_export_is_found(export):
    wanted = set(export.columns.values())
    assert wanted <= set(header_of(export.grid).headers)


def test_titles_stand_above_the_header():
    grid = grid_of(
        "Bay Fleet, all jobs ;;\nprinted 31/10/2020;;\n;;\nBoat;Part;Date\nWren;bellows;2019"
    )
    header = header_of(grid)
    assert header.line == 4
    assert header.titles == ((1, "Bay Fleet, all jobs"), (2, "printed 31/10/2020"))


def test_headers_in_no_known_language_are_taken_by_their_place():
    header = header_of(grid_of("Laiva;Osa;Pvm\nWren;tiiviste;2019-04-03\nTern;tiiviste;2020-04-03"))
    assert (header.line, header.known) == (1, 0)


def test_a_row_that_is_set_is_taken():
    text = "Boat;Part;Date\nalpha;beta;gamma\nWren;bellows;2019"
    assert header_of(grid_of(text, chosen=FileSettings(header_row=2))).line == 2
    with pytest.raises(FleetError, match="header_row"):
        header_of(grid_of(text, chosen=FileSettings(header_row=9)))


def test_an_empty_sheet_is_told():
    with pytest.raises(FleetError, match="an empty file"):
        header_of(rows_grid([[], ["", " "]]))
    with pytest.raises(FleetError, match="an empty sheet"):
        header_of(rows_grid([], sheet="2019"))


def test_blank_headers_at_the_end_count_only_over_cells():
    grid = rows_grid([["Boat", "Part", "", ""], ["Wren", "bellows", "torn", ""]])
    assert header_of(grid).headers == ["Boat", "Part", "column 3"]


def test_blank_and_doubled_headers_get_names():
    assert headers_named(["Date", "", "Date", " Eng \n hrs ", "DATE", ""]) == [
        "Date",
        "column 2",
        "Date (2)",
        "Eng hrs",
        "DATE (3)",
        "column 6",
    ]


def test_a_name_that_is_taken_is_passed_over():
    assert headers_named(["A", "A (2)", "A"]) == ["A", "A (2)", "A (3)"]


@given(
    st.lists(st.one_of(st.text(max_size=6), st.sampled_from(["A", "a", "A (2)", "column 3", ""])))
)
def test_names_are_all_different_whatever_their_capitals(cells):
    names = headers_named(cells)
    assert len({name.casefold() for name in names}) == len(cells)
    assert all(names)
