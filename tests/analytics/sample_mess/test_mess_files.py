"""The exports as files: what they are written in, and that they are the same on every run."""

from __future__ import annotations

import csv
import io
import tomllib
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from analytics.cli import main
from analytics.sample import TARNWICK, InventedMess, invent_fleet, mess_of, write_mess
from tests.analytics.sample_mess.reading_back import (
    ENCODED,
    SHEETS,
    as_text,
    cell,
    clean_rows,
    grids,
    header_row,
    key,
    mess,
    records,
)


def test_files_and_sheets() -> None:
    made = mess()
    assert set(made.files) == {*ENCODED, "sandrick.xlsx", "fleet.toml", "key.json"}
    assert {sheet for file, sheet in grids(made) if file == "sandrick.xlsx"} == set(SHEETS)


def test_the_same_seed_gives_the_same_bytes_and_another_does_not() -> None:
    again = mess_of(invent_fleet(TARNWICK, boats=60, seed=0))
    assert again.files == mess().files
    assert mess(1).files["quillhaven jobs.csv"] != again.files["quillhaven jobs.csv"]


def test_the_defects_of_the_plain_sample_are_not_among_them() -> None:
    tidy = invent_fleet(replace(TARNWICK, defects=()), boats=60, seed=0)
    assert mess().clean == tidy.files
    assert mess_of(tidy).files == mess().files


def test_bytes_are_what_each_office_writes() -> None:
    files = mess().files
    for name in ENCODED:
        assert files[name].count(b"\n") == files[name].count(b"\r\n")
    assert files["quillhaven jobs.csv"].startswith(b"\xef\xbb\xbf")
    # Windows-1252 (the Unicode consortium's table of it): 0x96 is an en dash, 0xEB an e with dots.
    assert b"\x96" in files["ellorn gear.csv"]
    assert b"\xeb" in files["ellorn gear.csv"]
    with pytest.raises(UnicodeDecodeError):
        files["ellorn gear.csv"].decode("utf-8")


def test_every_file_and_sheet_says_that_it_is_invented() -> None:
    made = mess()
    for place, grid in grids(made).items():
        assert "Demo data, invented" in as_text(grid[0][0]), place
    assert tomllib.loads(made.files["fleet.toml"].decode())["demo"] is True
    assert key(made)["invented"] is True


def test_every_row_is_as_wide_as_the_headers() -> None:
    for place, grid in grids(mess()).items():
        headers = grid[header_row(grid)]
        assert len(set(headers)) == len(headers), place
        assert all(len(row) == len(headers) for row in grid), place


def test_settings_are_the_clean_ones() -> None:
    made = mess()
    assert made.files["fleet.toml"].decode() == made.clean["fleet.toml"]


def test_all_boats_are_listed_with_hull_numbers_of_their_own() -> None:
    made, read = mess(), grids(mess())
    listed = [row["Hull number"] for row in records(read["fleet list.csv", ""]).values()]
    sheet = [row["Rumpf-Nr."] for row in records(read["sandrick.xlsx", "Boote"]).values()]
    hulls = [*listed, *(one for one in sheet if one)]
    assert len(hulls) == len(set(hulls)) == 60
    assert {one["hull_no"] for one in key(made)["boats"]} == set(hulls)


@pytest.mark.parametrize(
    ("places", "name"),
    [
        (
            [("quillhaven hours.csv", ""), ("sandrick.xlsx", "Stunden"), ("ellorn hours.csv", "")],
            "hours.csv",
        ),
        (
            [
                ("quillhaven haul-outs.csv", ""),
                ("sandrick.xlsx", "Kranen"),
                ("ellorn haul-outs.csv", ""),
            ],
            "lifts.csv",
        ),
        ([("sandrick.xlsx", "Preise")], "prices.csv"),
    ],
)
def test_logs_have_a_row_for_each_row_of_the_clean_folder(
    places: list[tuple[str, str]], name: str
) -> None:
    made = mess()
    read = grids(made)
    rows = sum(len(records(read[place])) for place in places)
    assert rows == len(list(csv.DictReader(io.StringIO(made.clean[name]))))


def test_meters_fall_twice_and_otherwise_say_what_the_clean_log_says() -> None:
    made = mess()
    found = [int(row["Engine hours"].replace(".", "")) for row in _quillhaven_hours(made)]
    clean = [
        int(row["hours"])
        for row in clean_rows(made, "hours.csv").values()
        if row["boat"] in _boats_at(made, "Quillhaven")
    ]
    lines = [(row["Hull no."], row["Engine"]) for row in _quillhaven_hours(made)]
    falls = [
        n for n in range(1, len(found)) if lines[n] == lines[n - 1] and found[n] < found[n - 1]
    ]
    assert len(falls) == 2
    reset = {lines[n] for n in falls}
    for line, said, true in zip(lines, found, clean, strict=True):
        assert said == true or line in reset


def test_renamed_boat_bears_its_former_name_before_the_renaming_alone() -> None:
    made = mess()
    read = grids(made)
    boat = next(one for one in key(made)["boats"] if one["former_name"])
    listed = next(
        row
        for row in records(read["fleet list.csv", ""]).values()
        if row["Hull number"] == boat["hull_no"]
    )
    assert (listed["Name"], listed["Former name"]) == (boat["boat"], boat["former_name"])
    renamed = date.fromisoformat(listed["Renamed"])
    assert boat["former_name"] not in clean_rows(made)
    rows = [
        row
        for row in records(read["quillhaven hours.csv", ""]).values()
        if row["Hull no."] == boat["hull_no"]
    ]
    assert {row["Yacht"] for row in rows} == {boat["boat"], boat["former_name"]}
    for row in rows:
        old = date.fromisoformat(row["Date"]) < renamed
        assert (row["Yacht"] == boat["former_name"]) == old


def test_failures_are_listed_without_a_single_survivor() -> None:
    grid = grids(mess())["sandrick.xlsx", "Failures"]
    assert len(records(grid)) > 10
    assert all(cell(grid, row, "Ausgefallen am") for row in records(grid))


@pytest.mark.parametrize(("boats", "seed"), [(20, 0), (20, 1), (20, 2), (33, 9)])
def test_smaller_fleets(boats: int, seed: int) -> None:
    made = mess(seed, boats)
    assert len(key(made)["defects"]) > 40
    assert len(key(made)["lives"]) == len(clean_rows(made))


def test_a_fleet_of_a_single_boat_has_exports_too() -> None:
    made = mess_of(invent_fleet(TARNWICK, boats=1, seed=5))
    assert len(key(made)["lives"]) == len(clean_rows(made))


def test_other_bases_are_refused() -> None:
    scenario = replace(TARNWICK, bases=TARNWICK.bases[:2])
    with pytest.raises(ValueError, match="the bases are"):
        mess_of(invent_fleet(scenario, boats=4))


def test_command_writes_the_folder_and_writes_it_over(tmp_path: Path) -> None:
    folder = tmp_path / "exports"
    arguments = ["sample", str(folder), "--mess", "--boats", "20"]
    assert main(arguments) == 0
    assert main(arguments) == 0
    made = mess_of(invent_fleet(TARNWICK, boats=20, seed=0))
    assert {path.name: path.read_bytes() for path in folder.iterdir()} == made.files


def test_a_folder_that_may_hold_real_exports_is_left_alone(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "fleet list.csv").write_text("Name\nPenny Wren\n")
    with pytest.raises(ValueError, match="may be real"):
        write_mess(mess(), tmp_path)
    (tmp_path / "diary.txt").write_text("mine")
    assert main(["sample", str(tmp_path), "--mess", "--boats", "20"]) == 1
    assert "other files" in capsys.readouterr().err
    with pytest.raises(ValueError, match="is a file"):
        write_mess(mess(), tmp_path / "diary.txt")
    assert (tmp_path / "fleet list.csv").read_text() == "Name\nPenny Wren\n"


def _quillhaven_hours(made: InventedMess) -> list[dict[str, str]]:
    return list(records(grids(made)["quillhaven hours.csv", ""]).values())


def _boats_at(made: InventedMess, base: str) -> set[str]:
    rows = clean_rows(made, "boats.csv").values()
    return {row["boat"] for row in rows if row["base"] == base}
