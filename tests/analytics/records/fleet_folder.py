"""Small fleet folders for the tests: files from rows, and rows that are nearly right."""

import csv
import io
from collections.abc import Iterable, Mapping
from typing import Any

import pandas as pd
from hypothesis import strategies as st

from analytics.records.reading import Records, read_fleet
from analytics.records.tables import PARTS, REASONS, SLOTS, TABLES, Table

SETTINGS = "as_of = 2020-12-31\nrecords_from = 2010-01-01\n"
WREN = {"boat": "Penny Wren"}


def csv_bytes(rows: Iterable[Mapping[str, str]]) -> bytes:
    """Rows as a file; its columns are those that the rows name."""
    rows = list(rows)
    names = list(dict.fromkeys(name for row in rows for name in row))
    text = io.StringIO()
    writer = csv.DictWriter(text, names, restval="")
    writer.writeheader()
    writer.writerows(rows)
    return text.getvalue().encode()


def part(**cells: str) -> dict[str, str]:
    """A bellows of the Penny Wren, fitted in May 2012 and still there, but for the cells given."""
    return {
        "boat": "Penny Wren",
        "position": "",
        "kind": "bellows",
        "fitted_on": "2012-05-01",
        "removed_on": "",
        "reason": "",
        **cells,
    }


def files(
    *parts: Mapping[str, str],
    boats: Iterable[Mapping[str, str]] = (WREN,),
    settings: str = SETTINGS,
    **others: Iterable[Mapping[str, str]],
) -> dict[str, bytes]:
    """A fleet folder; `others` are further files by the first word of their names."""
    tables = {"boats": boats, "parts": parts, **others}
    return {
        "fleet.toml": settings.encode(),
        **{f"{name}.csv": csv_bytes(rows) for name, rows in tables.items()},
    }


def read(*parts: Mapping[str, str], **others: Any) -> Records:
    return read_fleet(files(*parts, **others))


def counts(records: Records, file: str = "parts.csv") -> dict[str, int]:
    """What became of the rows of a file, without what is zero."""
    row = records.counts.set_index("file").loc[file]
    return {name: int(number) for name, number in row.items() if number}


def said(records: Records, done: str, file: str = "parts.csv") -> list[tuple[int | None, str]]:
    """Row and field of the findings of one sort."""
    return [
        (one.row, one.field) for one in records.findings if (one.file, one.done) == (file, done)
    ]


def reconciled(records: Records) -> None:
    table = records.counts.drop(columns="file")
    added = table[["used", "merged", "rejected", "ignored"]].sum(axis=1)
    pd.testing.assert_series_equal(added, table["rows_read"], check_names=False)
    assert len(records.rejected) == table["rejected"].sum()
    for name, rows in records.tables.items():
        if name in set(records.counts["file"]):
            assert len(rows) == counts(records, name).get("used", 0)
            assert rows["row"].is_unique


# What slips into cells of each sort.
_SLIPS = {
    "text": ["a,b", 'the "Wren"', "=1+1", "two\nlines", "\x1b[31m", "é" * 50, " Penny Wren ", ""],
    "word": ["Bellows", "belows", "cutless bearing", "mast", ""],
    "choice": ["", "prot", "PORT", "starboard", "replaced sound", "boat_left", "12"],
    "window": [
        *("2013-02-29", "2014..2011", "2021-05", "2099", "0000", "9999-12-31", "1900-01-01"),
        *("1970-01-01..1970-01-01", "03/04/19", "spring 18", "2012-02-29", "2020", ""),
    ],
    "number": ["", "-1", "1e400", "nan", "inf", "9" * 400, "1,200", "12 h", "0"],
}
_BOATS = ["Penny Wren", "Penny Wren", "Quiet Otter", "Tin Lantern", "Penny Wren (12)", "Otter"]
_EARLY = ["", "2012", "2012-06", "2012-06-03", "2012-06-05", "2011..2014", "2015-06-03", "2015"]
_LATE = ["2015-06-03", "2015-06-05", "2015-06", "2015", "2014..2016", "2018", "2019-12-01", "2020"]
_USUAL = {
    "boat": _BOATS,
    "kind": ["bellows", "bellows", "cutless_bearing"],
    "fitted_on": _EARLY,
    "last_sound_on": ["", "", "2014", "2015-06-01"],
    "joined_on": ["", "", "2011", "2013-03-01"],
    "hull_no": ["", "", "", "12", "15"],
    "was_named": ["", "", "", "Tin Lantern", "Otter; Wren"],
    "renamed_on": ["", "2014", "2016-02-01"],
    "shaft_size": ["", "30 mm", "1 in"],
    "size": ["", "30 mm", "1 in", "25 mm"],
    "serial": ["", "", "S1"],
    "here_since": ["", "", "", "", "2013", "2015-06-03"],
    "left_on": ["", "", "2016", "2019-12-01", "2018-06"],
    "launched_on": ["", "2016-04-01", "2019"],
    "lifted_on": ["2012-11", "2014-11-03", "2015", "2018-12-01"],
    "read_on": ["2012-06-03", "2013", "2015-06-03", "2015-06", "2020-12-31"],
    "from": ["2020-06-06"],
    "to": ["2020-06-13"],
}


@st.composite
def _rows(draw: st.DrawFn, table: Table) -> dict[str, str]:
    row = {}
    for column in table.columns:
        name = column.name
        if name in _USUAL:
            row[name] = draw(st.sampled_from(_USUAL[name]))
        elif column.holds == "number":
            numbers = ["10", "100", "250.5", "3000"]
            row[name] = draw(st.sampled_from(numbers if column.required else ["", *numbers]))
        elif column.holds == "choice" and name not in ("position", "reason"):
            row[name] = draw(st.sampled_from([*column.choices, ""]))
        elif column.holds == "text":
            row[name] = draw(st.sampled_from(["", "x"]))
    if table is PARTS:
        row["removed_on"] = draw(st.sampled_from([*_LATE, "", "", ""]))
        row["reason"] = draw(st.sampled_from(["failed", *REASONS])) if row["removed_on"] else ""
    if draw(st.integers(0, 2)) == 2:
        column = draw(st.sampled_from(table.columns))
        row[column.name] = draw(st.sampled_from(_SLIPS[column.holds]))
    return row


NEARLY_RIGHT = st.fixed_dictionaries(
    {
        table.file.removesuffix(".csv"): st.lists(
            _rows(table), min_size=1, max_size=12 if table is PARTS else 4
        )
        for table in TABLES
        if table is not SLOTS
    }
)
"""Rows by file; every third of them holds a slip."""

SETTINGS_TEXTS = st.sampled_from(
    [
        SETTINGS,
        "",
        "as_of = 2016-06-30\nrecords_from = 2018-01-01",
        "records_from = 2012-06-03\n[kinds.Bellows]\nfound_ashore_only = true",
        'season_start = "11-01"\nseason_end = "03-31"\nas_of = 2020-02-29',
        'season_start = "03-01"\nseason_end = "02-28"\nas_of = 2019-01-01',
        "as_of = 9999-12-31",
        "as_of = [",
    ]
)
