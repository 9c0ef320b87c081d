"""Rows of parts.csv against the boats, the last day watched and each other.

What to do about each slip is the project's own policy (common practice, no source); the checks
here are those policies, row by row.
"""

import itertools

import pytest

from analytics.ageing.clocks import nodes_of
from analytics.lives import table_of_lives
from analytics.records.reading import Records
from analytics.records.sorts import SORTS
from tests.analytics.records.fleet_folder import counts, part, read, reconciled, said

TWIN = [
    part(position="port"),
    part(position="starboard"),
]


def remedies(records: Records) -> str:
    return " ".join(one.sentence() for one in records.findings if one.file == "parts.csv")


@pytest.mark.parametrize(
    ("cells", "field", "words"),
    [
        ({"boat": "Peny Wren"}, "boat", "Did you mean 'Penny Wren'?"),
        ({"boat": "PENNY WREN"}, "boat", "Did you mean 'Penny Wren'?"),
        ({"boat": "Tin Lantern"}, "boat", "add the boat"),
        ({"kind": "belows"}, "kind", "Did you mean 'bellows'?"),
        ({"removed_on": "2011", "reason": "failed"}, "removed_on", "2012-05-01"),
        ({"reason": "failed"}, "removed_on", "Fill in when it was removed"),
        ({"reason": "boat_left"}, "removed_on", "Fill in when it was removed"),
    ],
)
def test_rejected(cells: dict[str, str], field: str, words: str) -> None:
    records = read(part(**cells))
    assert counts(records) == {"rows_read": 1, "rejected": 1}
    assert said(records, "rejected") == [(2, field)]
    assert words in remedies(records)
    assert records.rejected["row"].tolist() == [2]


@pytest.mark.parametrize("position", ["", "single"])
def test_a_twin_needs_its_side(position: str) -> None:
    records = read(*TWIN, part(position=position))
    assert counts(records) == {"rows_read": 3, "used": 2, "rejected": 1}
    assert said(records, "rejected") == [(4, "position")]


def test_a_kind_of_ones_own_is_taken_and_told() -> None:
    records = read(part(kind="Rudder Stock"))
    assert records.tables["parts.csv"]["kind"].tolist() == ["rudder_stock"]
    assert said(records, "assumed") == [(2, "kind")]
    listed = read(part(kind="Rudder Stock"), settings="as_of = 2020-12-31\n[kinds.'Rudder Stock']")
    assert said(listed, "assumed") == []


def test_dates_of_the_boat() -> None:
    boats = [
        {"boat": "Penny Wren", "joined_on": "2011-03", "left_on": "2016", "built_on": "2012-06"}
    ]
    records = read(
        part(),  # still fitted, and so until the boat left
        part(position="single", kind="lip_seal", fitted_on="2017"),
        part(kind="gland_hose", removed_on="2017", reason="failed"),
        part(kind="cutless_bearing", reason="boat_left"),
        boats=boats,
    )
    assert counts(records) == {"rows_read": 4, "used": 2, "rejected": 2}
    assert said(records, "rejected") == [(3, "fitted_on"), (4, "removed_on")]
    assert (2, "fitted_on") in said(records, "noted")  # before it was built
    assert records.tables["parts.csv"]["reason"].tolist() == ["", ""]


def test_what_came_after_the_last_day_watched_is_not_known_yet() -> None:
    boats = [{"boat": "Penny Wren"}, {"boat": "Otter", "joined_on": "2022-03-01"}]
    records = read(
        part(removed_on="2021", reason="failed", found="ashore", last_sound_on="2021-01-01"),
        part(kind="lip_seal", fitted_on="2021-01-01"),
        part(boat="Otter", fitted_on="2019"),
        boats=boats,
    )
    # A survivor of that day stays one, or the fit would see only those that had failed.
    assert counts(records) == {"rows_read": 3, "used": 1, "ignored": 2}
    assert said(records, "assumed") == [(2, "removed_on")]
    row = records.tables["parts.csv"].iloc[0]
    assert row[["removed_on_lo", "removed_on_hi", "last_sound_on_lo"]].isna().all()
    assert (row["reason"], row["found"]) == ("", "")


def test_windows_are_cut_to_what_was_possible() -> None:
    records = read(part(fitted_on="2015", removed_on="2014..2030", reason="failed"))
    row = records.tables["parts.csv"].iloc[0]
    window = row[["fitted_on_lo", "fitted_on_hi", "removed_on_lo", "removed_on_hi"]]
    assert [f"{day:%F}" for day in window] == [
        "2015-01-01",
        "2015-12-31",
        "2015-01-01",
        "2020-12-31",
    ]


def test_lives_that_ended_before_anyone_watched_are_ignored() -> None:
    boats = [
        {"boat": "Penny Wren", "left_on": "2009-06-01"},
        {"boat": "Otter", "joined_on": "2012"},
    ]
    old = part(fitted_on="2005", removed_on="2009", reason="failed")
    records = read(
        old | {"boat": "Otter"},
        part(boat="Otter", kind="lip_seal", fitted_on="2005", removed_on="2012", reason="failed"),
        part(boat="Otter", kind="lip_seal", fitted_on="2012", removed_on="2013", reason="failed"),
        part(fitted_on="2005"),  # on a boat that had left by then
        boats=boats,
    )
    assert counts(records) == {"rows_read": 4, "used": 1, "ignored": 3}
    assert records.tables["parts.csv"]["row"].tolist() == [4]


def test_a_removal_in_the_year_in_which_watching_began_is_used() -> None:
    records = read(
        part(fitted_on="2005", removed_on="2010", reason="failed"),
        settings="as_of = 2020-12-31\nrecords_from = 2010-06-01",
    )
    assert counts(records) == {"rows_read": 1, "used": 1}


def test_cells_that_do_not_agree_are_read_as_blank() -> None:
    records = read(
        part(last_sound_on="2011", fitted_hours="900", removed_hours="100"),
        part(kind="lip_seal", removed_on="2015", reason="failed", last_sound_on="2016"),
        part(kind="gland_hose", removed_on="2015"),
    )
    parts = records.tables["parts.csv"]
    assert parts["last_sound_on_lo"].isna().all()
    assert parts[["fitted_hours", "removed_hours"]].isna().all(axis=None)
    assert parts["reason"].tolist() == ["", "failed", "unknown"]
    assert said(records, "ignored") == [
        (2, "last_sound_on"),
        (2, "removed_hours"),
        (3, "last_sound_on"),
    ]


def test_the_same_removal_twice_is_one_life() -> None:
    first = part(removed_on="2015-06-03", reason="unknown")
    records = read(first, first | {"removed_on": "2015-06-10", "reason": "failed"})
    assert counts(records) == {"rows_read": 2, "used": 1, "merged": 1}
    assert said(records, "merged") == [(3, "")]
    assert records.tables["parts.csv"]["reason"].tolist() == ["failed"]
    assert "'failed' is used" in remedies(records)


def test_two_short_lives_of_one_year_are_two() -> None:
    # Fitted and removed in 2015, twice: the second may have followed the first.
    short = part(fitted_on="2015", removed_on="2015", reason="failed")
    assert counts(read(short, short)) == {"rows_read": 2, "used": 2}
    # Two parts from 2012 to 2015 cannot have followed one another: one life, written twice.
    long = part(fitted_on="2012", removed_on="2015", reason="failed")
    assert counts(read(long, long)) == {"rows_read": 2, "used": 1, "merged": 1}


def test_a_part_still_open_though_another_followed() -> None:
    records = read(part(), part(fitted_on="2015-06"), part(fitted_on=""))
    assert said(records, "assumed") == [(4, "removed_on"), (2, "removed_on")]
    parts = records.tables["parts.csv"].set_index("row")
    assert f"{parts.at[2, 'removed_on_lo']:%F}" == "2015-06-01"
    assert f"{parts.at[2, 'removed_on_hi']:%F}" == "2015-06-30"
    assert f"{parts.at[4, 'removed_on_hi']:%F}" == "2012-05-01"
    assert parts["reason"].to_dict() == {2: "unknown", 3: "", 4: "unknown"}


def test_an_undated_part_is_the_one_in_place_where_every_other_is_gone() -> None:
    records = read(part(removed_on="2015", reason="failed"), part(fitted_on=""))
    assert counts(records) == {"rows_read": 2, "used": 2}
    assert records.tables["parts.csv"].set_index("row")["reason"].to_dict() == {2: "failed", 3: ""}


def test_a_part_closed_by_its_follower_before_anyone_watched_is_ignored() -> None:
    records = read(part(fitted_on="2001"), part(fitted_on="2009-06"))
    assert counts(records) == {"rows_read": 2, "used": 1, "ignored": 1}
    assert records.tables["parts.csv"]["row"].tolist() == [3]


@pytest.mark.parametrize(
    ("other", "used"),
    [
        ({"fitted_on": "2015-06-08"}, 2),  # a week's overlap is a slip of the pen
        ({"fitted_on": "2015-05-20"}, 0),
        ({"fitted_on": "2014"}, 0),
        ({"fitted_on": "2015"}, 2),  # any day of the year, so perhaps after
        ({"fitted_on": "", "removed_on": "2014-06-01", "reason": "failed"}, 0),
        ({"fitted_on": "", "removed_on": "2014", "reason": "failed"}, 2),
        ({"fitted_on": "", "removed_on": "2012-05-04", "reason": "failed"}, 2),
        ({"fitted_on": "2014", "removed_on": "2014", "reason": "failed"}, 2),
        ({"fitted_on": "2014-06-01", "removed_on": "2014-06-01", "reason": "failed"}, 0),
    ],
)
def test_two_parts_in_one_place_at_once(other: dict[str, str], used: int) -> None:
    rows = [part(removed_on="2015-06-08", reason="failed"), part(**other)]
    for order in (rows, rows[::-1]):
        records = read(*order)
        assert len(records.tables["parts.csv"]) == used
        reconciled(records)
    if not used:
        assert sorted(said(records, "rejected")) == [(2, "fitted_on"), (3, "fitted_on")]
        assert "row 3 was in place" in remedies(records)


def sorts(records: Records) -> list[tuple[int | None, str]]:
    return [(one.row, one.sort) for one in records.findings if one.file == "parts.csv"]


def test_zero_life() -> None:
    day = {"fitted_on": "2015-06-03", "removed_on": "2015-06-03"}
    records = read(
        part(**day, reason="failed"),
        part(kind="lip_seal", **day, reason="replaced_sound"),
        part(kind="gland_hose", fitted_on="2015", removed_on="2015", reason="other_work"),
    )
    assert counts(records) == {"rows_read": 3, "used": 2, "ignored": 1}
    assert sorts(records) == [(3, "zero_life"), (2, "zero_life")]
    assert said(records, "assumed") == [(2, "removed_on")]
    assert "half a day" in remedies(records)
    # The fit gives it half a day, not none: a year has 365.25 of them.
    lives = table_of_lives(records)
    failed = lives.table[lives.table["outcome"] == "failed"]
    assert nodes_of(lives, failed).upper.tolist() == [0.5 / 365.25]


def test_zero_life_where_the_month_of_fitting_leaves_one_day() -> None:
    records = read(part(fitted_on="2015-06", removed_on="2015-06-01", reason="unknown"))
    assert sorts(records) == [(2, "zero_life")]


def test_future_date() -> None:
    records = read(
        part(fitted_on="2021-02-01"),
        part(kind="lip_seal", removed_on="2021-03-01", reason="failed"),
        hours=[{"boat": "Penny Wren", "read_on": "2022-01-01", "hours": "1"}],
    )
    assert sorts(records) == [(2, "future_date"), (3, "future_date")]
    assert [one.sort for one in records.findings if one.file == "hours.csv"] == ["future_date"]


@pytest.mark.parametrize(
    ("rows", "sort"),
    [
        ([part(removed_on="2011", reason="failed")], "removed_before_fitted"),
        ([part(removed_on="2015-06-03", reason="failed")] * 2, "removal_entered_twice"),
        ([part(), part(fitted_on="2015-06")], "removal_missing"),
        ([part(removed_on="2016", reason="failed"), part(fitted_on="2014")], "lives_overlap"),
        ([*TWIN, part()], "side_missing"),
        ([part(position="1")], "side_by_number"),
        ([part(boat="Wern")], "boat_name_unknown"),
        ([part(fitted_on="1900-01-01")], "placeholder_date"),
        ([part(fitted_on="soon")], "cell_unreadable"),
        ([part(fitted_hours="1.200")], "number_two_readings"),
        ([part(reason="brown", removed_on="2015")], "words_unknown"),
        ([part(removed_on="2015")], "reason_missing"),
        ([part(fitted_on="2002", removed_on="2009", reason="failed")], "outside_records"),
        ([part(last_sound_on="2011")], "dates_disagree"),
        ([part(fitted_hours="9", removed_hours="1")], "meter_replaced"),
    ],
)
def test_the_sort_of_each_slip(rows: list[dict[str, str]], sort: str) -> None:
    assert {key for _, key in sorts(read(*rows))} == {sort}
    assert sort in SORTS


def test_every_mixture_adds_up() -> None:
    rows = [
        part(),
        part(fitted_on="2015-06"),
        part(removed_on="2015-06-03", reason="failed"),
        part(removed_on="2015-06-05", reason="failed"),
        part(fitted_on="2013", removed_on="2019", reason="failed"),
        part(fitted_on="2002", removed_on="2009", reason="accident"),
        part(boat="Tin Lantern", kind="belows", fitted_on="2030"),
        dict.fromkeys(part(), ""),
        part(fitted_on="x", removed_on="y"),
    ]
    for chosen in itertools.combinations(rows, 5):
        reconciled(read(*chosen))
