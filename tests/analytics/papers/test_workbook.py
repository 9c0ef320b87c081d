"""Workbooks that run nothing, read back by another library than the one that writes them.

Limits of a sheet (1,048,576 rows, 16,384 columns, 32,767 letters of a cell, 31 of a sheet's name,
and : \\ / ? * [ ] in none) are those that spreadsheet programs publish (from memory).
"""

import io
import re
import zipfile
from datetime import date, datetime

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st
from python_calamine import CalamineWorkbook

from analytics.papers import workbook
from analytics.papers.workbook import sheet_names, workbook_bytes
from analytics.records.findings import FleetError
from analytics.records.settings import Settings

REAL = Settings()


def read(made: bytes, sheet: int = 0) -> list[list[object]]:
    book = CalamineWorkbook.from_filelike(io.BytesIO(made))
    return book.get_sheet_by_index(sheet).to_python()


def documents(made: bytes) -> dict[str, str]:
    with zipfile.ZipFile(io.BytesIO(made)) as packed:
        return {name: packed.read(name).decode() for name in packed.namelist()}


def test_cells_are_what_they_are() -> None:
    table = pd.DataFrame(
        {
            "boat": ["Zoë", None, "12"],
            "risk": [0.25, float("nan"), -1.5],
            "count": pd.array([3, None, -4], dtype="Int64"),
            "day": pd.to_datetime(["2026-10-31", None, "1900-03-01"]),
            "late": [True, False, True],
            "kind": pd.Categorical(["bellows", None, "lip_seal"]),
            "any": [date(2026, 1, 2), -7, datetime(2026, 1, 2, 13, 30)],
        }
    )
    assert read(workbook_bytes({"lives": table}, REAL)) == [
        ["boat", "risk", "count", "day", "late", "kind", "any"],
        ["Zoë", 0.25, 3.0, date(2026, 10, 31), True, "bellows", date(2026, 1, 2)],
        ["", "", "", "", False, "", -7.0],
        ["12", -1.5, -4.0, date(1900, 3, 1), True, "lip_seal", datetime(2026, 1, 2, 13, 30)],
    ]
    assert table["day"].dtype == "datetime64[ns]"  # the table given is left as it was


def test_what_a_number_or_a_date_of_a_sheet_cannot_hold_is_a_text() -> None:
    table = pd.DataFrame(
        {"any": [date(1899, 12, 31), 1234567890123456789, float("inf"), -float("inf"), (1, 2)]},
        dtype=object,
    )
    assert [row[0] for row in read(workbook_bytes({"t": table}, REAL))[1:]] == [
        "1899-12-31",
        "1234567890123456789",
        "inf",
        "'-inf",
        "(1, 2)",
    ]


@given(
    st.lists(
        st.one_of(
            st.text(st.sampled_from("=+-@＝a1 \t\n\r\ufeff\x00\x1b'{}\"<&|!_x")),
            st.text(),
            st.sampled_from(
                ["{=1+1}", "http://x.invalid", "mailto:x@y.invalid", "_x0041_", "\ud800=1"]
            ),
        ),
        min_size=1,
        max_size=8,
    )
)
def test_nothing_runs_and_no_text_is_lost(texts: list[str]) -> None:
    made = workbook_bytes({"=1+1": pd.DataFrame({"n": "x", "=boat": texts}, dtype=object)}, REAL)
    inside = documents(made)
    assert not any(re.search(r"<f[ >/]|<hyperlink", text) for text in inside.values())
    assert not any("externalLink" in name for name in inside)
    rows = read(made)
    assert rows[0] == ["n", "'=boat"]
    kept = [str([*row, ""][1]) for row in rows[1:]]
    for cell, text in zip(kept, texts, strict=True):
        assert not cell.strip(" \t\n\ufeff").startswith(tuple("=+-@＝"))
        letters = [mark for mark in text if mark.isalnum()]
        assert [mark for mark in cell if mark.isalnum()] == letters


def test_header_stays_in_view_and_columns_are_as_wide_as_what_they_hold() -> None:
    table = pd.DataFrame({"n": [1], "remedy": ["x" * 500], "boat": ["Quiet Otter II"]})
    sheet = documents(workbook_bytes({"a": table}, REAL))["xl/worksheets/sheet1.xml"]
    assert re.search(r'<pane ySplit="1" topLeftCell="A2" .*state="frozen"/>', sheet)
    widths = [float(width) for width in re.findall(r'<col [^>]*width="([\d.]+)"', sheet)]
    # The library adds 0.71 for the cell's margins.
    assert [round(width - 0.71) for width in widths] == [8, 60, 16]


def test_an_invented_fleet_says_so_first_and_on_every_row() -> None:
    made = workbook_bytes(
        {"boats": pd.DataFrame({"boat": ["Penny Wren"]})}, Settings(demo=True, note="=made up")
    )
    assert CalamineWorkbook.from_filelike(io.BytesIO(made)).sheet_names == ["Notice", "boats"]
    assert read(made) == [["Notice"], ["'=made up"]]
    assert read(made, 1) == [["boat", "notice"], ["Penny Wren", "'=made up"]]
    made = workbook_bytes({"notice": pd.DataFrame({"n": [1]})}, Settings(demo=True))
    assert CalamineWorkbook.from_filelike(io.BytesIO(made)).sheet_names == ["Notice", "notice (2)"]
    assert read(made)[1] == ["demo data, invented"]


def test_a_notice_on_top_leaves_the_tables_first_and_their_columns_alone() -> None:
    made = workbook_bytes(
        {"boats": pd.DataFrame({"boat": ["Penny Wren"]})},
        Settings(demo=True, note="=made up"),
        notice_on_top=True,
    )
    assert CalamineWorkbook.from_filelike(io.BytesIO(made)).sheet_names == ["boats"]
    assert [row[0] for row in read(made)] == ["'=made up", "boat", "Penny Wren"]
    pane = documents(made)["xl/worksheets/sheet1.xml"]
    assert re.search(r'<pane ySplit="2" topLeftCell="A3" .*state="frozen"/>', pane)
    real = workbook_bytes({"n": pd.DataFrame({"n": [1]})}, REAL, notice_on_top=True)
    assert read(real) == [["n"], [1.0]]


def test_names_of_sheets() -> None:
    assert sheet_names(["lives", "Lives", "a/b:c*[d]?\\e", "", "'=x'", "History", "\x00"]) == [
        "lives",
        "Lives (2)",
        "a b c d e",
        "table",
        "=x",
        "History (2)",
        "table (2)",
    ]
    assert sheet_names(["x" * 40, "x" * 40, "x" * 31]) == [
        "x" * 31,
        "x" * 27 + " (2)",
        "x" * 27 + " (3)",
    ]
    assert sheet_names(["⛵" * 3 + "🚤" * 20]) == ["⛵" * 3 + "🚤" * 14]  # two units each


@given(st.lists(st.text(st.sampled_from("ab'[]:*?/\\ 🚤\x00Aß"), max_size=40), max_size=8))
def test_sheets_can_have_the_names_they_are_given(names: list[str]) -> None:
    given_names = sheet_names(names)
    assert len({name.casefold() for name in given_names}) == len(names)
    for name in given_names:
        assert 1 <= len(name.encode("utf-16-le")) // 2 <= 31
        assert not set(name) & set("[]:*?/\\")
        assert name == name.strip("' ")


def test_a_text_too_long_for_a_cell_is_cut_with_a_mark() -> None:
    table = pd.DataFrame({"note": ["x" * 32_767, "x" * 32_768, "🚤" * 20_000]})
    kept = [str(row[0]) for row in read(workbook_bytes({"t": table}, REAL))[1:]]
    assert kept[0] == "x" * 32_767
    assert kept[1].endswith("x … (shortened)")
    assert len(kept[1]) == 32_767
    assert kept[2].strip("🚤") == " … (shortened)"
    assert len(kept[2].encode("utf-16-le")) // 2 <= 32_767


def test_a_table_larger_than_a_sheet_is_refused_in_words() -> None:
    index = pd.RangeIndex(1_048_576)
    with pytest.raises(FleetError) as caught:
        workbook_bytes({"lives": pd.DataFrame(index=index)}, REAL)
    (finding,) = caught.value.findings
    assert finding.file == "lives"
    assert "1,048,576 rows" in finding.found
    assert "1,048,575 rows" in finding.expected
    with pytest.raises(FleetError, match="16,385 columns"):
        workbook_bytes({"lives": pd.DataFrame(columns=range(16_385))}, REAL)


def test_the_largest_table_has_room(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(workbook, "MOST_ROWS", 2)
    workbook_bytes({"t": pd.DataFrame({"n": [1, 2]})}, REAL)
    with pytest.raises(FleetError):
        workbook_bytes({"t": pd.DataFrame({"n": [1, 2, 3]})}, REAL)


def test_the_same_tables_give_the_same_bytes() -> None:
    table = pd.DataFrame({"boat": ["Penny Wren"], "day": pd.to_datetime(["2026-10-31"])})
    fleet = Settings(as_of=date(2026, 10, 31), name="Harbour")
    made = workbook_bytes({"a": table}, fleet)
    assert made == workbook_bytes({"a": table.copy()}, fleet)
    # No day of writing: only the last day of the records.
    assert (
        re.findall(r"\d{4}-\d\d-\d\dT[\d:]+", documents(made)["docProps/core.xml"])
        == ["2026-10-31T00:00:00"] * 2
    )
    with zipfile.ZipFile(io.BytesIO(made)) as packed:
        assert {one.date_time for one in packed.infolist()} == {(1980, 1, 1, 0, 0, 0)}


def test_tables_without_rows_or_with_two_columns_of_one_name() -> None:
    twice = pd.DataFrame([[1, "x"]], columns=["a", "a"])
    made = workbook_bytes({"none": pd.DataFrame({"boat": []}), "twice": twice}, REAL)
    assert read(made) == [["boat"]]
    assert read(made, 1) == [["a", "a"], [1.0, "x"]]
