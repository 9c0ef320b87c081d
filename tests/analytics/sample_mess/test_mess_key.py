"""The key: every defect of the catalogue, and that it stands where the key says.

The catalogue of defects is common practice, no source.
"""

from __future__ import annotations

import re
from datetime import date
from typing import Any

import pytest

from analytics.records.sorts import SORTS
from tests.analytics.sample_mess.reading_back import (
    SEEDS,
    Grid,
    cell,
    clean_rows,
    grids,
    key,
    mess,
    plain_date,
    records,
)


@pytest.mark.parametrize("seed", SEEDS)
def test_every_defect_of_the_catalogue_is_there(seed: int) -> None:
    defects = key(mess(seed))["defects"]
    assert {one["defect"] for one in defects} == set(range(1, 53))
    names = list(SORTS)
    assert all(names[one["defect"] - 1] == one["sort"] for one in defects)


@pytest.mark.parametrize("seed", SEEDS)
def test_the_text_stands_where_the_key_says(seed: int) -> None:
    made = mess(seed)
    read = grids(made)
    for one in key(made)["defects"]:
        grid = read[one["file"], one["sheet"]]
        assert cell(grid, one["row"], one["column"]) == one["written"], one


@pytest.mark.parametrize("seed", SEEDS)
def test_the_row_is_of_the_boat_that_the_key_names(seed: int) -> None:
    made = mess(seed)
    read = grids(made)
    hulls = {one["boat"]: one["hull_no"] for one in key(made)["boats"]}
    elsewhere = {"quillhaven parts issued.csv"}
    told = 0
    for one in key(made)["defects"]:
        row = records(read[one["file"], one["sheet"]]).get(one["row"], {})
        hull = next((row[name] for name in row if name.startswith(("Hull", "Rumpf"))), "")
        if one["boat"] and hull and one["file"] not in elsewhere:
            assert hull == hulls[one["boat"]], one
            told += 1
    assert told > 30


@pytest.mark.parametrize("seed", SEEDS)
def test_true_dates_and_words_are_those_of_the_clean_folder(seed: int) -> None:
    made = mess(seed)
    lives = clean_rows(made).values()
    columns = {
        "short_year": "fitted_on",
        "serial_date": "fitted_on",
        "year_only": "fitted_on",
        "month_or_season_only": "fitted_on",
        "removed_before_fitted": "removed_on",
        "lives_overlap": "removed_on",
        "removal_missing": "removed_on",
        "removal_entered_twice": "removed_on",
        "side_missing": "position",
        "size_not_of_boat": "size",
        "boat_name_unknown": "boat",
        "renewed_by_age": "reason",
        "cause_in_free_text": "reason",
    }
    seen = set()
    for one in key(made)["defects"]:
        if column := columns.get(one["sort"]):
            seen.add(one["sort"])
            assert any(
                life[column] == one["true"]
                and (life["boat"], life["position"], life["kind"])
                == (one["boat"], one["position"], one["kind"])
                for life in lives
            ), one
    assert seen == set(columns)


def test_what_is_written_is_such_a_defect() -> None:
    """One look at each text, without the reader whose work it is to know them."""
    by_sort: dict[str, list[dict[str, Any]]] = {}
    for one in key(mess())["defects"]:
        by_sort.setdefault(one["sort"], []).append(one)

    def first(sort: str) -> dict[str, Any]:
        return by_sort[sort][0]

    assert re.fullmatch(r"\d\d/\d\d/\d\d", first("short_year")["written"])
    day, month, year = first("day_month_order")["written"].split("/")
    assert f"{year}-{month}-{day}" == first("day_month_order")["true"]
    assert date(int(year), int(day), int(month)) != date(int(year), int(month), int(day))
    assert first("serial_date")["written"].isdecimal()
    assert plain_date(float(first("serial_date")["written"])) == first("serial_date")["true"]
    assert {one["written"] for one in by_sort["placeholder_date"]} == {"31.12.9999", "01.01.1900"}
    assert (
        first("number_two_readings")["written"].replace(".", "")
        == first("number_two_readings")["true"]
    )
    assert sorted(first("boat_name_unknown")["written"]) == sorted(
        first("boat_name_unknown")["true"]
    )
    assert first("formula_text")["written"].startswith("=")
    assert first("side_by_number")["written"] in ("1", "2")
    assert first("inch_size")["written"] == "1 in"
    assert float(first("warranty_swap")["written"]) == 0
    assert first("future_date")["written"].endswith(("2026", "2027"))
    assert plain_date(first("future_date")["written"]) > "2026-10-31"


@pytest.mark.parametrize("seed", SEEDS)
def test_neither_reading_of_the_two_way_date_contradicts_the_lives(seed: int) -> None:
    made = mess(seed)
    one = next(d for d in key(made)["defects"] if d["sort"] == "day_month_order")
    day, month, year = one["written"].split("/")
    other = f"{year}-{day}-{month}"
    chain = [
        life
        for life in clean_rows(made).values()
        if (life["boat"], life["position"], life["kind"])
        == (one["boat"], one["position"], one["kind"])
    ]
    new = next(life for life in chain if life["fitted_on"] == one["true"])
    old = next((life for life in chain if life["removed_on"] == one["true"]), None)
    assert other < (new["removed_on"] or "2026-10-31")
    assert old is None or old["fitted_on"] < other


@pytest.mark.parametrize("seed", SEEDS)
def test_moved_part_bears_one_serial_in_two_boats(seed: int) -> None:
    made = mess(seed)
    read = grids(made)
    jobs = records(read["quillhaven jobs.csv", ""])
    moved = [one for one in key(made)["defects"] if one["sort"] == "part_moved"]
    rows = [jobs[one["row"]] for one in moved]
    assert len(rows) == 2
    assert len({row["Serial"] for row in rows}) == 1
    assert rows[0]["Moved to boat"] == rows[1]["Yacht"] != rows[0]["Yacht"]
    assert rows[0]["Work done"] == f"Moved to {rows[1]['Yacht']}"
    assert plain_date(rows[0]["Date in"]) <= plain_date(rows[1]["Date in"])
    changed = {one["row"]: one for one in key(made)["changed"] if one["sort"] == "part_moved"}
    clean = clean_rows(made)
    goes_on = next(one["goes_on_as_row"] for one in changed.values() if "goes_on_as_row" in one)
    origin = next(row for row in changed if row != goes_on)
    assert changed[goes_on]["fitted_on"] == clean[origin]["fitted_on"]
    assert changed[goes_on]["in_place_from"] == clean[goes_on]["fitted_on"]


def test_overlapping_lives_overlap_and_the_twice_entered_row_is_there_twice() -> None:
    made = mess()
    gear: Grid = grids(made)["sandrick.xlsx", "Anlage"]
    rows = records(gear)
    by_sort = {one["sort"]: one for one in key(made)["defects"] if one["sheet"] == "Anlage"}
    late = by_sort["lives_overlap"]
    follower = next(
        life
        for life in clean_rows(made).values()
        if life["fitted_on"] == late["true"]
        and (life["boat"], life["position"], life["kind"])
        == (late["boat"], late["position"], late["kind"])
    )
    assert follower["fitted_on"] < plain_date(late["written"])
    twice = by_sort["removal_entered_twice"]["row"]
    differing = {name for name, value in rows[twice].items() if value != rows[twice - 1][name]}
    assert differing == {"Ausgebaut"}
