"""A fleet folder read as a whole: what must be there, what is assumed, what is kept."""

import csv
import io
from datetime import date
from pathlib import Path

import pytest

from analytics.records.boats import check_boats
from analytics.records.cells import check_rows
from analytics.records.files.delimited import text_grid
from analytics.records.findings import FleetError
from analytics.records.reading import fingerprint, folder_files, read_fleet
from analytics.records.table_rows import read_rows
from analytics.records.tables import BOATS
from tests.analytics.records.fleet_folder import (
    WREN,
    counts,
    csv_bytes,
    files,
    part,
    read,
    reconciled,
    said,
)


def stopped(content: dict[str, bytes]) -> list[str]:
    with pytest.raises(FleetError) as caught:
        read_fleet(content)
    return [one.sentence() for one in caught.value.findings]


def test_every_file_that_is_wrong_is_named_at_once() -> None:
    told = stopped({"hours.csv": b"boat,hours\n", "lifts.csv": b"\x00"})
    assert [one.split(":")[0] for one in told] == [
        "boats.csv",
        "parts.csv",
        "hours.csv row 1, read_on",
        "lifts.csv",
    ]


def test_the_two_files_are_enough() -> None:
    content = files(part(removed_on="2015-06-03", reason="failed"), part(fitted_on="2015-06-03"))
    del content["fleet.toml"]
    records = read_fleet(content)
    assert counts(records) == {"rows_read": 2, "used": 2}
    assert records.as_of == date(2015, 6, 3)
    # The day before the earliest removal, which was itself written down.
    assert records.settings.records_from == date(2015, 6, 2)
    assert said(records, "assumed", "fleet.toml") == [
        (None, ""),
        (None, "as_of"),
        (None, "records_from"),
    ]
    noted = {one.file for one in records.findings if one.done == "noted"}
    assert noted >= {"hours.csv", "lifts.csv", "prices.csv"}
    assert list(records.tables["hours.csv"]) == [
        "row",
        "boat",
        "position",
        "read_on_lo",
        "read_on_hi",
        "hours",
    ]


@pytest.mark.parametrize("rows", [[], [part(fitted_on="")]])
def test_no_date_at_all(rows: list[dict[str, str]]) -> None:
    content = files(*rows, settings="")
    content["parts.csv"] = content["parts.csv"].strip() or b"boat,kind\n"
    (told,) = stopped(content)
    assert "headers alone tell nothing" in told


def test_the_last_day_watched_is_the_last_of_a_year_but_not_of_a_range() -> None:
    # A removal in 2016 must not be pinned to the first of January.
    records = read(part(removed_on="2016", reason="failed"), settings="")
    assert records.as_of == date(2016, 12, 31)
    assert records.tables["parts.csv"]["removed_on_hi"].iloc[0].date() == date(2016, 12, 31)
    assert read(part(fitted_on="2014..2030"), settings="").as_of == date(2014, 1, 1)


def test_records_cannot_begin_after_they_end() -> None:
    records = read(part(), settings="as_of = 2016-01-01\nrecords_from = 2017-01-01")
    assert said(records, "ignored", "fleet.toml") == [(None, "records_from")]
    assert records.settings.records_from is None


def boats(*rows: dict[str, str]) -> tuple[list[str], list[tuple[int | None, str]]]:
    checked = check_rows(BOATS, read_rows(BOATS, text_grid(BOATS.file, csv_bytes(rows))))
    kept = check_boats(checked, date(2020, 12, 31))
    return list(kept.rows), [(one.row, one.field) for one in checked.findings]


def test_dates_of_boats_must_agree() -> None:
    kept, told = boats(
        {"boat": "A", "joined_on": "2021", "left_on": ""},
        {"boat": "B", "joined_on": "2015", "left_on": "2014"},
        {"boat": "C", "joined_on": "2015", "left_on": "2015"},
        {"boat": "D", "joined_on": "2020", "left_on": "2022"},
        {"boat": "E", "joined_on": "x", "left_on": ""},
    )
    assert kept == ["C", "D"]
    assert told == [(6, "joined_on"), (2, ""), (3, "left_on")]


def test_which_of_two_boats_of_one_name_is_kept_does_not_depend_on_their_order() -> None:
    rows = [{"boat": "Wren", "base": "", "water": water} for water in ("salt", "fresh")]
    for order in (rows, rows[::-1]):
        checked = check_rows(BOATS, read_rows(BOATS, text_grid(BOATS.file, csv_bytes(order))))
        assert check_boats(checked, date(2020, 12, 31)).rows["Wren"]["water"] == "fresh"
        assert len(checked.rejected) == 1


def test_parts_of_a_rejected_boat_point_to_its_row() -> None:
    records = read(part(), boats=[{"boat": "Penny Wren", "joined_on": "x"}])
    (one,) = [one for one in records.findings if one.file == "parts.csv"]
    assert "The list of boats names it in row 2, which was rejected" in one.remedy


def test_rows_of_other_files() -> None:
    records = read(
        part(),
        hours=[
            {"boat": "Penny Wren", "read_on": "2013", "hours": "12"},
            {"boat": "Peny Wren", "read_on": "2013", "hours": "12"},
            {"boat": "Penny Wren", "read_on": "2062-01-01", "hours": "12"},
            {"boat": "Penny Wren", "read_on": "2020", "hours": ""},
        ],
        lifts=[
            {"boat": "Penny Wren", "lifted_on": "2013-11-01", "launched_on": "2013-04-01"},
            {"boat": "Penny Wren", "lifted_on": "", "launched_on": ""},
        ],
        bookings=[{"boat": "Penny Wren", "from": "2021-06-12", "to": "2021-06-05"}],
        prices=[{"kind": "Lip Seal", "part_no": "", "part_price": "95"}],
        slots=[{"week": "2021-01-04", "slots": "3"}],
        readings=[
            dict(WREN, kind="Bellows", read_on="2013", measure="clearance_mm", value="0.4"),
            dict(WREN, kind="Bellows", read_on="2022", measure="clearance_mm", value="0.4"),
        ],
    )
    reconciled(records)
    used = records.counts.set_index("file")["used"].to_dict()
    assert used == {
        "boats.csv": 1,
        "parts.csv": 1,
        "hours.csv": 1,
        "lifts.csv": 1,
        "bookings.csv": 0,
        "prices.csv": 1,
        "slots.csv": 1,
        "readings.csv": 1,
    }
    assert records.tables["lifts.csv"]["launched_on_lo"].isna().all()
    assert records.tables["prices.csv"]["kind"].tolist() == ["lip_seal"]


def test_rejected_rows_stand_as_they_stood() -> None:
    name = 'The "Wren", a\nboat'
    records = read(part(boat=name, note="=1+1", lot="a\rb"))
    (line,) = records.rejected["cells"]
    (cells,) = csv.reader(io.StringIO(line, newline=""))
    assert cells[0] == name
    assert "=1+1" in cells
    assert "a\rb" in cells


def test_the_fingerprint_knows_the_files_that_are_read_and_no_others() -> None:
    content = files(part())
    assert fingerprint(content) == fingerprint(dict(reversed(content.items())))
    assert fingerprint(content) == fingerprint(content | {"truth.json": b"{}"})
    assert fingerprint(content) != fingerprint(content | {"boats.csv": b"boat\nOtter\n"})
    assert fingerprint({"boats.csv": b"ab"}) != fingerprint({"boats.csv": b"a", "parts.csv": b"b"})


def test_a_folder(tmp_path: Path) -> None:
    content = files(part())
    for name, bytes_ in content.items():
        (tmp_path / name).write_bytes(bytes_)
    (tmp_path / "truth.json").write_text("{}")
    assert folder_files(tmp_path) == content


def test_a_folder_that_is_none(tmp_path: Path) -> None:
    (tmp_path / "notes.txt").write_text("x")
    (tmp_path / "fleet.toml").write_text("")
    for folder, words in (
        (tmp_path / "nowhere", "no such folder"),
        (tmp_path / "notes.txt", "a file"),
        (tmp_path, "found 'fleet.toml, notes.txt'"),
    ):
        with pytest.raises(FleetError, match=words):
            folder_files(folder)
    (tmp_path / "boats.csv").mkdir()
    with pytest.raises(FleetError):
        folder_files(tmp_path)
