"""CSV files that a spreadsheet opens without harm.

What a spreadsheet takes for a formula follows OWASP's page "CSV Injection" (from memory):
a cell that begins with = + - @, a tab, a carriage return or a line feed.
"""

import csv
import io
from pathlib import Path

import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from analytics.papers.files import csv_text, write_csv
from analytics.records.settings import Settings

REAL = Settings()


def cells(table: pd.DataFrame, fleet: Settings = REAL) -> list[list[str]]:
    return list(csv.reader(io.StringIO(csv_text(table, fleet), newline="")))


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\n", "\r", "＝", "＋", "－", "＠"])
def test_what_begins_like_a_formula_gets_an_apostrophe(start: str) -> None:
    text = f'{start}HYPERLINK("x")'
    read = cells(pd.DataFrame({"boat": [text, "Penny Wren"]}))
    assert read[1:] == [["'" + text.replace("\r", "\n")], ["Penny Wren"]]
    assert cells(pd.DataFrame({"boat": pd.Categorical([text])}))[1][0].startswith("'")
    assert cells(pd.DataFrame({"n": [1]}), Settings(demo=True, note=text))[1][1].startswith("'")


@settings(max_examples=100, deadline=None, derandomize=True)
@given(st.lists(st.text(st.sampled_from("=+-@a ,;\"'\r\n\té")), min_size=1))
def test_no_text_breaks_a_row_or_begins_a_formula(texts: list[str]) -> None:
    table = pd.DataFrame({"boat": texts, "next": "x"}, dtype=object)
    read = cells(table)
    assert len(read) == len(texts) + 1
    for (boat, beside), text in zip(read[1:], texts, strict=True):
        assert beside == "x"
        assert not boat.startswith(tuple("=+-@\t\r\n"))
        assert boat.removeprefix("'") == text.replace("\r\n", "\n").replace(
            "\r", "\n"
        ).removeprefix("'")


def test_numbers_days_and_blanks() -> None:
    table = pd.DataFrame(
        {
            "risk": [-0.1234567890123, float("nan")],
            "count": pd.array([3, None], dtype="Int64"),
            "day": pd.to_datetime(["2026-10-31", None]),
            "boat": ["Zoë", None],
            "known": [True, False],
        }
    )
    assert csv_text(table, REAL) == (
        "risk,count,day,boat,known\n-0.123456789,3,2026-10-31,Zoë,True\n,,,,False\n"
    )
    assert table["day"].dtype == "datetime64[ns]"  # the table given is left as it was


def test_an_invented_fleet_says_so_on_every_row() -> None:
    table = pd.DataFrame({"boat": ["Penny Wren", "Quiet Otter"]})
    assert [row[-1] for row in cells(table, Settings(demo=True))] == [
        "notice",
        *["demo data, invented"] * 2,
    ]
    assert cells(table, Settings(demo=True, note="made up"))[2][-1] == "made up"


def test_a_file_is_written_as_the_text_stands(tmp_path: Path) -> None:
    table = pd.DataFrame({"boat": ["Zoë"]})
    path = write_csv(table, REAL, tmp_path / "out" / "deep" / "boats.csv")
    assert path.read_bytes() == csv_text(table, REAL).encode() == "boat\nZoë\n".encode()
