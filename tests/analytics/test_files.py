"""CSV files that a spreadsheet opens without harm.

What a spreadsheet takes for a formula follows OWASP's page "CSV Injection" (from memory):
a cell that begins with = + - @, a tab, a carriage return or a line feed.
"""

import csv
import io
from pathlib import Path

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from analytics.papers.files import csv_text, harmless, write_csv
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


def without_inserted(shown: str, text: str) -> str:
    """A cell with the apostrophes taken out that stand where the text has another letter.

    Each must stand at the begin, or behind a mark at which a spreadsheet may cut.
    """
    kept = ""
    for at, letter in enumerate(shown):
        if letter == "'" and text[len(kept) : len(kept) + 1] != "'":
            assert at == 0 or shown[at - 1] in ";\t\n"
        else:
            kept += letter
    return kept


MARKS = tuple("=+-@＝＋－＠")


@given(st.lists(st.text(st.sampled_from("=+-@a ,;\"'\r\n\té")), min_size=1))
def test_no_text_breaks_a_row_or_begins_a_formula(texts: list[str]) -> None:
    read = cells(pd.DataFrame({"boat": texts, "next": "x"}, dtype=object))
    assert len(read) == len(texts) + 1
    for (boat, beside), text in zip(read[1:], texts, strict=True):
        assert beside == "x"
        assert not boat.startswith(tuple("=+-@\t\r\n"))
        plain = text.replace("\r\n", "\n").replace("\r", "\n")
        assert without_inserted(boat, plain) == plain


@given(
    st.lists(
        st.tuples(*[st.text(st.sampled_from("=+-@＝a1 \u00a0\ufeff\u200b,;\"'|\r\n\t!"))] * 2),
        min_size=1,
    ),
    st.sampled_from(",;\t"),
)
def test_no_cell_begins_a_formula_whatever_is_taken_to_part_them(
    rows: list[tuple[str, str]], delimiter: str
) -> None:
    table = pd.DataFrame(rows, columns=[rows[0][0], "=next"], dtype=object)
    text = csv_text(table, REAL)
    for row in csv.reader(io.StringIO(text, newline=""), delimiter=delimiter):
        for cell in row:
            assert not cell.strip(" \t\n\u00a0\ufeff\u200b").startswith(MARKS), text


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("  =1+1", "'  =1+1"),
        ("\u00a0\u200b=1+1", "'\u00a0\u200b=1+1"),
        ("\ufeff=1+1", "'\ufeff=1+1"),
        ("\x00@SUM(A1)", "'\x00@SUM(A1)"),
        ("=cmd|' /C calc'!A0", "'=cmd|' /C calc'!A0"),
        ("-2+3+cmd|' /C calc'!A0", "'-2+3+cmd|' /C calc'!A0"),
        ("-5", "'-5"),
        ("dry; =1+1", "dry;' =1+1"),
        ("dry\n- bled", "dry\n'- bled"),
        # Common writing that begins no formula.
        ("25-30 mm", "25-30 mm"),
        ("dry, - bled", "dry, - bled"),
        ("'=1+1", "'=1+1"),
        ("jobs.csv:12; jobs.csv:40", "jobs.csv:12; jobs.csv:40"),
        ("", ""),
    ],
)
def test_a_harmless_text_stays_so(text: str, shown: str) -> None:
    assert harmless(text) == shown
    assert harmless(shown) == shown


def test_headers_too_and_the_table_given_is_left_as_it_was() -> None:
    table = pd.DataFrame([["x", -5, "=1"]], columns=["=boat", "-n", "=boat"])
    assert csv_text(table, REAL) == "'=boat,'-n,'=boat\nx,-5,'=1\n"
    assert list(table.columns) == ["=boat", "-n", "=boat"]
    assert table.iloc[0, 2] == "=1"


def test_numbers_stay_numbers_and_numbers_among_texts_are_texts() -> None:
    table = pd.DataFrame(
        {
            "number": [-5, 3],
            "text": ["-5", "+3"],
            "mixed": [-5, "-5"],
            "days": pd.to_timedelta([-1, 2], unit="D"),
        }
    )
    assert cells(table)[1:] == [
        ["-5", "'-5", "-5", "'-1 days +00:00:00"],
        ["3", "'+3", "'-5", "2 days 00:00:00"],
    ]


def test_a_text_of_line_ends_alone_is_looked_at_once() -> None:
    """Looking back at each of them would take minutes."""
    assert harmless("\n" * 200_000 + "=1").endswith("'=1")
    assert harmless(";" + " " * 200_000) == ";" + " " * 200_000


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
