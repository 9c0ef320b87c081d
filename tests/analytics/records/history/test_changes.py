"""What has changed from one export to the next. Expected rows are worked out by hand; the counts
beside them are those of a multiset, for which `collections.Counter` stands."""

import random
from collections import Counter

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from analytics.records.findings import FleetError
from analytics.records.history.changes import Changes, changes
from analytics.records.history.headers import HeaderChange
from analytics.records.history.rows import all_rows, cells_of, place_rows

HEADER = ["Job", "Boat", "Fitted", "Note"]
OCTOBER = [
    ["1", "Otter", "2019", ""],
    ["2", "Zoë", "2018", "seal"],
    ["3", "Otter", "2020", ""],
    ["4", "Wren", "2021", "bellows"],
]


def export(
    rows: list[list[str]],
    header: list[str] = HEADER,
    file: str = "jobs-2026-10.csv",
    source: str = "jobs-*.csv",
    key: int | None = 0,
) -> pd.DataFrame:
    numbered = [(line, cells) for line, cells in enumerate(rows, 2)]
    keys = None if key is None else [cells[key] for cells in rows]
    return place_rows(source, file, 1, header, numbered, keys=keys)


def november(rows: list[list[str]], header: list[str] = HEADER) -> pd.DataFrame:
    return export(rows, header, "jobs-2026-11.csv")


def checked(before: pd.DataFrame, now: pd.DataFrame) -> Changes:
    found = changes(before, now)
    counts = found.counts
    assert (counts["same"] + counts["changed"] + counts["vanished"] == counts["before"]).all()
    assert (counts["same"] + counts["changed"] + counts["new"] == counts["now"]).all()
    assert counts["before"].sum() == (before["fate"] != "header").sum()
    assert counts["now"].sum() == (now["fate"] != "header").sum()
    assert [len(found.new), len(found.changed), len(found.vanished), found.same] == [
        counts[name].sum() for name in ("new", "changed", "vanished", "same")
    ]
    return found


def rows_of(table: pd.DataFrame) -> list[tuple[int, list[str]]]:
    return list(zip(table["row"], cells_of(table), strict=True))


def test_next_month() -> None:
    now = [
        ["5", "Penny", "2026", ""],
        ["4", "Wren", "2021", "bellows"],
        ["3", "Otter", "2020", "removed 2026"],
        ["1", "Otter", "2019", ""],
    ]
    found = checked(export(OCTOBER), november(now))
    assert found.same == 2
    assert rows_of(found.new) == [(2, now[0])]
    assert rows_of(found.vanished) == [(3, OCTOBER[1])]
    (changed,) = found.changed.itertuples(index=False)
    assert tuple(changed) == (
        "jobs-*.csv",
        "3",
        "jobs-2026-10.csv",
        4,
        "jobs-2026-11.csv",
        4,
        (("Note", "", "removed 2026"),),
    )
    assert found.headers == ()
    assert not found.none


def test_reading_twice_changes_nothing() -> None:
    assert checked(export(OCTOBER), export(OCTOBER)).none
    assert checked(export(OCTOBER), november(OCTOBER)).none
    assert checked(export([]), export([])).none
    assert checked(all_rows([]), all_rows([])).none


def test_the_same_row_twice() -> None:
    found = checked(export(OCTOBER), november([*OCTOBER, OCTOBER[1]]))
    assert (found.same, rows_of(found.new)) == (4, [(6, OCTOBER[1])])
    found = checked(export([*OCTOBER, OCTOBER[1]]), november(OCTOBER))
    assert (found.same, rows_of(found.vanished)) == (4, [(6, OCTOBER[1])])


def test_several_rows_of_one_key_are_paired_by_likeness() -> None:
    before = [["7", "Otter", "2019", "port"], ["7", "Otter", "2020", "starboard"]]
    now = [["7", "Otter", "2021", "starboard"], ["7", "Otter", "2018", "port"]]
    found = checked(export(before), november(now))
    pairs = found.changed[["row_before", "row"]].itertuples(index=False)
    assert sorted(map(tuple, pairs)) == [(2, 3), (3, 2)]


def test_many_rows_of_one_key() -> None:
    before = [["7", str(number), "2019", ""] for number in range(150)]
    now = [["7", str(number), "2020", ""] for number in range(149)]
    found = checked(export(before), november(now))
    assert (len(found.changed), len(found.vanished)) == (149, 1)


def test_without_a_key_a_changed_row_is_gone_and_come() -> None:
    now = [["1", "Otter", "2020", ""], *OCTOBER[1:]]
    found = checked(export(OCTOBER, key=None), export(now, key=None))
    assert (len(found.new), len(found.changed), len(found.vanished)) == (1, 0, 1)


def test_spelling_that_means_nothing() -> None:
    now = [[f" {cell}\u00a0" for cell in cells] for cells in OCTOBER]
    now[1][1] = "Zoe\u0308"
    assert checked(export(OCTOBER), november(now, ["job ", "BOAT", "fitted", "note"])).none
    assert checked(export(OCTOBER), november(now)).none


def test_a_source_that_came_and_one_that_went() -> None:
    hours = export([["x", "y", "", ""]], source="hours-*.csv", file="hours-10.csv")
    found = checked(export(OCTOBER), hours)
    assert (found.same, len(found.new), len(found.vanished)) == (0, 1, 4)
    assert found.headers == ()
    (finding,) = found.findings()
    assert (finding.file, finding.sort) == ("jobs-*.csv", "file_missing")


def test_two_files_of_one_source() -> None:
    halves = all_rows([export(OCTOBER[:2]), november(OCTOBER[2:])])
    assert checked(export(OCTOBER), halves).none
    assert checked(halves, export(OCTOBER)).none


LONGER = [[str(number), f"boat {number % 7}", "2019", f"note {number}"] for number in range(20)]


@pytest.mark.parametrize(
    ("header", "change"),
    [
        (["Job", "Boat", "Fitted on", "Note"], ("renamed", "Fitted", "Fitted on")),
        (["Job", "Vessel", "Fitted", "Note"], ("renamed", "Boat", "Vessel")),
    ],
)
def test_a_header_renamed(header: list[str], change: tuple[str, str, str]) -> None:
    now = [*LONGER[:-1], ["19", "Penny", "2026", ""]]
    found = checked(export(LONGER), november(now, header))
    assert found.headers == (HeaderChange("jobs-*.csv", *change),)
    assert found.same == 19
    (differences,) = found.changed["differences"]
    assert [cells[1:] for cells in sorted(differences, key=str)] == [
        cells[1:]
        for cells in sorted(
            [
                (header[1], "boat 5", "Penny"),
                (header[2], "2019", "2026"),
                (header[3], "note 19", ""),
            ],
            key=str,
        )
    ]
    (finding,) = found.findings()
    assert (finding.sort, finding.expected, finding.found) == ("header_changed", *change[1:])


def test_every_header_renamed() -> None:
    found = checked(export(LONGER), november(LONGER, ["Nr", "Vessel", "Since", "Remark"]))
    assert [(one.what, one.before, one.now) for one in found.headers] == [
        ("renamed", "Job", "Nr"),
        ("renamed", "Boat", "Vessel"),
        ("renamed", "Fitted", "Since"),
        ("renamed", "Note", "Remark"),
    ]
    assert found.same == len(LONGER)


def test_a_header_dropped() -> None:
    shorter = [cells[:3] for cells in LONGER]
    found = checked(export(LONGER), november(shorter, HEADER[:3]))
    assert found.headers == (HeaderChange("jobs-*.csv", "dropped", "Note", ""),)
    assert found.same == len(LONGER)


def test_a_header_added() -> None:
    wider = [[*cells, "12,50"] for cells in LONGER]
    found = checked(export(LONGER), november(wider, [*HEADER, "Price"]))
    assert found.headers == (HeaderChange("jobs-*.csv", "added", "", "Price"),)
    assert found.same == len(LONGER)


def test_a_header_dropped_and_another_added() -> None:
    other = [[*cells[:3], "12,50"] for cells in LONGER]
    found = checked(export(LONGER), november(other, [*HEADER[:3], "Price"]))
    assert [one.what for one in found.headers] == ["dropped", "added"]
    assert found.same == len(LONGER)


def test_cells_beyond_the_last_header_are_told_once() -> None:
    wider = [[*LONGER[0], "more"], *LONGER[1:]]
    found = checked(export(LONGER), november(wider))
    assert found.same == len(LONGER)
    (finding,) = found.findings()
    assert (finding.found, finding.sort) == ("a column without a header", "header_changed")


def test_nothing_in_common() -> None:
    found = checked(export([["1"]], ["a"]), november([["x"]], ["b"]))
    assert [one.what for one in found.headers] == ["dropped", "added"]
    assert (found.same, len(found.new), len(found.vanished)) == (0, 1, 1)


def test_cells_that_are_no_list_stop_it_with_a_finding() -> None:
    broken = export(OCTOBER)
    for cells in ("{}", "[1,2]", "no", "[[]]"):
        broken.loc[2, "cells"] = cells
        with pytest.raises(FleetError, match="cannot be read"):
            changes(broken, november(OCTOBER))


def test_zero_characters_and_halves_of_pairs() -> None:
    odd = [["1", "\x00", "a\x00b", "\ud800"], ["2", "\x1e", "", ""]]
    assert checked(export(odd), export(odd)).none
    other = [["1", "\x00", "a\x00c", "\ud800"], ["2", "", "\x1e", ""]]
    found = checked(export(odd), november(other, ["Job", "Boat", "Fitted ", "Note"]))
    assert list(found.changed["differences"]) == [
        (("Fitted", "a\x00b", "a\x00c"),),
    ]


WORDS = st.sampled_from(["", "a", "b", "Zoë", "1"])
TABLES = st.lists(st.lists(WORDS, min_size=3, max_size=3), max_size=8)
TITLES = st.sampled_from([["a", "b", "c"], ["a", "a", "b"], ["", "x", ""]])


def content(found: Changes) -> tuple[object, ...]:
    def bags(table: pd.DataFrame) -> Counter[tuple[str, ...]]:
        return Counter(tuple(sorted(cells)) for cells in cells_of(table))

    differences = Counter(tuple(sorted(cells)) for cells in found.changed["differences"])
    return found.same, bags(found.new), bags(found.vanished), differences, found.headers


@given(TABLES, TABLES, TITLES, st.randoms(use_true_random=False))
def test_the_order_of_rows_and_columns_does_not_matter(
    before: list[list[str]], now: list[list[str]], header: list[str], chance: random.Random
) -> None:
    order = [0, 1, 2]
    chance.shuffle(order)
    shuffled = now[:]
    chance.shuffle(shuffled)
    keys = ["" if not cells[0] else f"{cells[0]} {cells[1]}" for cells in shuffled]
    moved = place_rows(
        "jobs-*.csv",
        "later.csv",
        1,
        [header[at] for at in order],
        [(line, [cells[at] for at in order]) for line, cells in enumerate(shuffled, 2)],
        keys=keys,
    )

    def keyed(rows: list[list[str]]) -> pd.DataFrame:
        table = export(rows, header)
        table["key"] = ["", *("" if not c[0] else f"{c[0]} {c[1]}" for c in rows)]
        return table

    assert content(checked(keyed(before), moved)) == content(checked(keyed(before), keyed(now)))
    assert checked(keyed(now), moved).none


@given(TABLES, TABLES)
def test_the_same_rows_are_counted_as_a_multiset(
    before: list[list[str]], now: list[list[str]]
) -> None:
    header = ["a", "b", "c"]
    old, new = Counter(map(tuple, before)), Counter(map(tuple, now))
    found = checked(export(before, header, key=None), export(now, header, key=None))
    assert found.same == (old & new).total()
    assert Counter(map(tuple, cells_of(found.new))) == new - old
    assert Counter(map(tuple, cells_of(found.vanished))) == old - new


@given(TABLES, TABLES)
def test_there_and_back(before: list[list[str]], now: list[list[str]]) -> None:
    header = ["a", "b", "c"]
    there = checked(export(before, header), export(now, header))
    back = checked(export(now, header), export(before, header))
    assert there.same == back.same
    assert Counter(there.new["cells"]) == Counter(back.vanished["cells"])
    assert len(there.changed) == len(back.changed)
