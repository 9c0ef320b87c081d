"""No life is lost: what the exports tell, read by hand, is the clean folder."""

from __future__ import annotations

from collections import Counter
from typing import Any

import pytest

from analytics.sample import InventedMess
from tests.analytics.sample_mess.reading_back import (
    SEEDS,
    clean_rows,
    grids,
    key,
    mess,
    plain_date,
    records,
)

_SHEETS = {
    ("sandrick.xlsx", "Anlage"): {
        "hull": "Rumpf-Nr.",
        "side": "Seite",
        "part_no": "Teilenummer",
        "size": "Größe",
        "lot": "Charge",
        "fitted_on": "Eingebaut",
        "removed_on": "Ausgebaut",
        "last_sound_on": "Letzte Prüfung",
        "fitted_hours": "Stunden Einbau",
        "removed_hours": "Stunden Ausbau",
        "reason": "Grund",
        "note": "Bemerkung",
    },
    ("ellorn gear.csv", ""): {
        "hull": "Hull",
        "side": "Shaft",
        "part_no": "Part no",
        "size": "Size",
        "lot": "Batch",
        "fitted_on": "Fitted",
        "removed_on": "Removed",
        "last_sound_on": "Last seen sound",
        "fitted_hours": "Hours fitted",
        "removed_hours": "Hours removed",
        "reason": "Why removed",
        "note": "Remarks",
    },
}
_SIDES = {"Bb": "port", "Stb": "starboard", "1": "port", "2": "starboard", "": "single"}
_DATES = ("fitted_on", "removed_on", "last_sound_on")
_HOURS = ("fitted_hours", "removed_hours")


def _plain(column: str, value: Any) -> str:
    if column in _DATES:
        return plain_date(value)
    if column in _HOURS:
        return str(value).removesuffix(",0").removesuffix(".0")
    return str(value)


@pytest.mark.parametrize("seed", SEEDS)
def test_every_clean_life_is_told_and_few_can_not_be_got_back(seed: int) -> None:
    made = mess(seed)
    lives = key(made)["lives"]
    assert [row for row, *_ in lives] == list(clean_rows(made))
    assert all(rows for _, _, _, rows, _ in lives)
    fates = Counter(fate for *_, fate in lives)
    assert set(fates) <= {"exact", "window", "changed", "lost"}
    assert fates["lost"] < 0.02 * len(lives)
    assert fates["exact"] > 0.95 * len(lives)
    # By the catalogue: a misspelt boat, a shared name, a wrong size, no side, backwards: one each;
    # two that overlap.
    assert fates["lost"] == 7
    assert {one["row"] for one in key(made)["changed"]} == {
        row for row, *_, fate in lives if fate == "changed"
    }


@pytest.mark.parametrize("seed", SEEDS)
def test_rows_of_lives_are_the_clean_ones_the_extra_one_and_the_one_told_twice(seed: int) -> None:
    made = mess(seed)
    read = grids(made)
    for place in _SHEETS:
        mine = [row for row, file, sheet, *_ in key(made)["lives"] if (file, sheet) == place]
        extras = [one for one in key(made)["extras"] if (one["file"], one["sheet"]) == place]
        twice = [
            one
            for one in key(made)["defects"]
            if one["sort"] == "removal_entered_twice" and (one["file"], one["sheet"]) == place
        ]
        filled = [row for row in records(read[place]).values() if row[_SHEETS[place]["part_no"]]]
        assert len(filled) == len(mine) + len(extras) + len(twice)


@pytest.mark.parametrize("seed", SEEDS)
def test_exact_lives_of_two_offices_read_by_hand_are_the_clean_rows(seed: int) -> None:
    made = mess(seed)
    read = grids(made)
    clean = clean_rows(made)
    hulls = {one["hull_no"]: one["boat"] for one in key(made)["boats"]}
    placeholders = {"9999-12-31": "", "1900-01-01": ""}
    compared = 0
    for row, file, sheet, rows, fate in key(made)["lives"]:
        headers = _SHEETS.get((file, sheet))
        if headers is None or fate != "exact":
            continue
        written = records(read[file, sheet])[rows[0]]
        true = clean[row]
        assert hulls[written[headers["hull"]]] == true["boat"]
        assert _SIDES[written[headers["side"]]] == true["position"]
        for column in ("part_no", "size", "lot", "note", *_DATES, *_HOURS):
            said = _plain(column, written[headers[column]])
            assert placeholders.get(said, said) == true[column], (row, column)
        assert bool(written[headers["reason"]]) == bool(true["reason"])
        compared += 1
    assert compared > 300


@pytest.mark.parametrize("seed", SEEDS)
def test_a_word_of_an_office_has_one_meaning(seed: int) -> None:
    made = mess(seed)
    read = grids(made)
    clean = clean_rows(made)
    kinds = {("sandrick.xlsx", "Anlage"): "Teil", ("ellorn gear.csv", ""): "Gear"}
    meant: dict[tuple[str, str], set[str]] = {}
    for row, file, sheet, rows, fate in key(made)["lives"]:
        if (file, sheet) in kinds and fate == "exact":
            written = records(read[file, sheet])[rows[0]]
            for column, header in (
                ("kind", kinds[file, sheet]),
                ("reason", _SHEETS[file, sheet]["reason"]),
            ):
                meant.setdefault((file + column, written[header]), set()).add(clean[row][column])
    assert all(len(meanings) == 1 for meanings in meant.values()), meant
    assert len(meant) > 40


@pytest.mark.parametrize("seed", SEEDS)
def test_jobs_tell_the_fitting_and_the_removal_of_every_exact_life(seed: int) -> None:
    made = mess(seed)
    jobs = records(grids(made)["quillhaven jobs.csv", ""])
    clean = clean_rows(made)
    compared = 0
    for row, file, _, rows, fate in key(made)["lives"]:
        if file != "quillhaven jobs.csv" or fate != "exact":
            continue
        true, told = clean[row], [jobs[number] for number in rows]
        days = [plain_date(job["Date in"]) for job in told]
        for day in (true["fitted_on"], true["removed_on"]):
            assert not day or day in days, (row, day)
        if true["lot"]:
            fittings = [
                job["Lot"]
                for job, day in zip(told, days, strict=True)
                if day == true["fitted_on"] and job["Lot"]
            ]
            assert fittings == [true["lot"]]
        if true["removed_on"]:
            ends = [
                job
                for job in told
                if plain_date(job["Date in"]) == true["removed_on"] and job["Reason"]
            ]
            assert len(ends) == 1
            assert ends[0]["Engine hours"] == true["removed_hours"]
            assert plain_date(ends[0]["Last seen sound"]) == true["last_sound_on"]
        compared += 1
    assert compared > 200


@pytest.mark.parametrize("seed", SEEDS)
def test_jobs_hold_no_row_that_nobody_knows_of(seed: int) -> None:
    """Rows that tell of lives, and the rows of the key that add none: nothing else."""
    made = mess(seed)
    jobs = set(records(grids(made)["quillhaven jobs.csv", ""]))
    told = {
        number
        for _, file, _, rows, _ in key(made)["lives"]
        if file == "quillhaven jobs.csv"
        for number in rows
    }
    add_none = {
        "meter_replaced",
        "engine_replaced",
        "upkeep_not_renewal",
        "negated_words",
        "other_kind_of_part",
        "future_date",
    }
    planted = {
        one["row"]
        for one in key(made)["defects"]
        if one["file"] == "quillhaven jobs.csv" and one["sort"] in add_none
    }
    assert len(planted) == len(add_none)
    assert told | planted == jobs
    assert not told & planted


@pytest.mark.parametrize("seed", SEEDS)
def test_every_issue_but_the_purchase_is_for_a_job_of_that_part(seed: int) -> None:
    made = mess(seed)
    read = grids(made)
    jobs = records(read["quillhaven jobs.csv", ""]).values()
    parts = {(job["Job no."], job["Part no."]) for job in jobs if job["Job no."]}
    issues = records(read["quillhaven parts issued.csv", ""])
    without = {
        row for row, one in issues.items() if (one["Job no."], one["Stock no."]) not in parts
    }
    assert without == {
        one["row"] for one in key(made)["defects"] if one["sort"] == "bought_not_fitted"
    }


def test_the_same_job_number_is_given_once_but_to_the_two_rows_of_one_job() -> None:
    made: InventedMess = mess()
    rows = records(grids(made)["quillhaven jobs.csv", ""]).values()
    numbers: dict[str, list[dict[str, str]]] = {}
    for row in rows:
        if row["Job no."]:
            numbers.setdefault(row["Job no."], []).append(row)
    for number, together in numbers.items():
        assert len(together) <= 2, number
        if len(together) == 2:
            assert together[0]["Date in"] == together[1]["Date in"]
            assert together[0]["Hull no."] == together[1]["Hull no."]
