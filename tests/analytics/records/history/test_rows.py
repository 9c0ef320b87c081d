"""Rows as they were accepted. Outside checks: gzip (RFC 1952) and csv of the standard library."""

import csv
import gzip
import io
import json

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from analytics.records.findings import FleetError
from analytics.records.history.rows import (
    ROW_COLUMNS,
    all_rows,
    cells_of,
    place_rows,
    read_rows_bytes,
    rows_bytes,
)

NASTY = st.text(max_size=8) | st.sampled_from(
    ["=1+1", "-3", "@x", '"', "'", "\r\n", "\x00", " x ", "NA", "nan", "a,b", "\ufeff", "["]
)
ROWS = st.lists(st.lists(NASTY, max_size=3), max_size=5)


def table(
    rows: list[list[str]],
    place: str = "jobs.csv",
    key: str = "",
    life: str = "",
    header: list[str] | None = None,
) -> pd.DataFrame:
    return place_rows(
        "jobs*.csv",
        place,
        1,
        header or ["Boat", "Note"],
        [(line, cells) for line, cells in enumerate(rows, 2)],
        keys=[key] * len(rows),
        lives=[life] * len(rows),
        fates=["merged"] * len(rows),
    )


@given(ROWS, NASTY, NASTY, NASTY)
def test_what_is_packed_is_unpacked(rows: list[list[str]], place: str, key: str, life: str) -> None:
    given_rows = all_rows([table(rows, place, key, life)])
    content = rows_bytes(given_rows)
    pd.testing.assert_frame_equal(read_rows_bytes(content), given_rows)
    assert rows_bytes(given_rows.iloc[::-1]) == content


def test_it_is_plain_packed_csv_that_no_spreadsheet_runs() -> None:
    content = rows_bytes(table([["=1+1", "x\ny"]], key="=2+2", life="L1"))
    lines = list(csv.reader(io.StringIO(gzip.decompress(content).decode(), newline="")))
    assert lines == [
        ROW_COLUMNS,
        ["jobs*.csv", "jobs.csv", "1", "header", "", "", '["Boat","Note"]'],
        ["jobs*.csv", "jobs.csv", "2", "merged", '"=2+2"', "L1", '["=1+1","x\\ny"]'],
    ]
    assert json.loads(lines[2][6]) == ["=1+1", "x\ny"]
    # RFC 1952: bytes 4 to 7 hold the time of packing, 3 says that no name follows, 9 the system.
    assert (content[3], content[4:8], content[9]) == (0, bytes(4), 255)


def test_header_and_rows_are_as_wide_as_the_widest() -> None:
    assert cells_of(table([["a"], ["b", "c", "d"]])) == [
        ["Boat", "Note", ""],
        ["a", "", ""],
        ["b", "c", "d"],
    ]


def test_half_a_surrogate_pair_does_no_harm() -> None:
    assert cells_of(read_rows_bytes(rows_bytes(table([["\ud800", ""]]))))[1] == ["?", ""]


WHOLE = rows_bytes(table([["Otter", "x"]] * 50))


@pytest.mark.parametrize("length", [0, 1, 10, 30, len(WHOLE) - 9, len(WHOLE) - 1])
def test_half_written_files_are_told(length: int) -> None:
    with pytest.raises(FleetError, match="accepted") as caught:
        read_rows_bytes(WHOLE[:length])
    assert caught.value.findings[0].file == "accepted/rows.csv.gz"


@pytest.mark.parametrize(
    "text",
    [
        b"",
        b"a,b\n1,2\n",
        b"\xff\xfe",
        ",".join(ROW_COLUMNS).encode() + b"\ns,p,x,used,,,[]\n",
        ",".join(ROW_COLUMNS).encode() + b"\ns,p,1,lost,,,[]\n",
        ",".join(ROW_COLUMNS).encode() + b"\ns,p,99999999999999999999999,used,,,[]\n",
        ",".join(ROW_COLUMNS).encode() + b'\ns,p,1,used,"""a",,[]\n',
        ",".join(ROW_COLUMNS).encode() + b"\ns,p,1,used,,,[],more,and more\n",
        ",".join(ROW_COLUMNS).encode() + b'\ns,p,1,used,"\n',
    ],
)
def test_other_tables_are_told(text: bytes) -> None:
    with pytest.raises(FleetError):
        read_rows_bytes(gzip.compress(text))


@given(st.binary(max_size=60))
def test_no_bytes_end_in_a_traceback(content: bytes) -> None:
    for packed in (content, gzip.compress(content)):
        with pytest.raises(FleetError):
            read_rows_bytes(packed)
