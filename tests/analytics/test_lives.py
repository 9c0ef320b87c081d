"""The table of lives: windows of fitting and of the end, by hand and against an invented truth."""

import pandas as pd
import pytest

from analytics.lives import (
    COLUMNS,
    COVARIATES,
    FOR_FITTING,
    OLDEST_YEARS,
    require_survivors,
    table_of_lives,
)
from analytics.records.findings import FleetError
from analytics.records.reading import Records, read_fleet
from analytics.sample import TARNWICK, invent_fleet
from tests.analytics.invented import true_parts, truth_of
from tests.analytics.records.fleet_folder import SETTINGS, counts, files, part, read

DAYS = ["start_lo", "start_hi", "end_lo", "end_hi"]
ASHORE = {"kind": "cutless_bearing", "reason": "failed"}


def days(records: Records, row: int = 2) -> list[str]:
    table = table_of_lives(records).table.set_index("source")
    return [f"{day:%F}" for day in table.loc[f"parts.csv:{row}", DAYS]]


def outcome(records: Records) -> str:
    (only,) = table_of_lives(records).table["outcome"]
    return only


def test_a_life_with_known_days() -> None:
    records = read(part(removed_on="2015-06-03", reason="failed"))
    assert days(records) == ["2012-05-01", "2012-05-01", "2015-06-03", "2015-06-03"]
    table = table_of_lives(records).table
    assert list(table) == [*COLUMNS, *COVARIATES, *FOR_FITTING]
    life = table.iloc[0]
    assert (life["life"], life["clock"], life["group"]) == (1, "years", "all")
    assert life["seen_from"] == pd.Timestamp("2010-01-01")


@pytest.mark.parametrize(
    "reason", ["failed", "accident", "replaced_sound", "other_work", "unknown"]
)
def test_the_reason_of_a_removal_is_the_outcome(reason: str) -> None:
    assert outcome(read(part(removed_on="2015-06-03", reason=reason))) == reason


def test_a_life_still_going() -> None:
    records = read(part(fitted_on="2012"))
    assert days(records) == ["2012-01-01", "2012-12-31", "2020-12-31", "2020-12-31"]
    assert len(table_of_lives(records).in_service()) == 1


@pytest.mark.parametrize(
    ("left", "end", "what"),
    [
        ("2018-06-03", ["2018-06-03", "2018-06-03"], "boat_left"),
        ("2018", ["2018-01-01", "2018-12-31"], "boat_left"),
        ("2012", ["2012-05-01", "2012-12-31"], "boat_left"),  # fitted in May, so there in May
        ("2020..2022", ["2020-01-01", "2020-12-31"], "boat_left"),
        ("2021-02-01", ["2020-12-31", "2020-12-31"], "in_service"),
    ],
)
def test_the_boat_left(left: str, end: list[str], what: str) -> None:
    records = read(part(), boats=[{"boat": "Penny Wren", "left_on": left}])
    assert days(records) == ["2012-05-01", "2012-05-01", *end]
    assert outcome(records) == what


def test_seen_from_is_the_later_of_joining_and_the_records() -> None:
    boats = [
        {"boat": "Early", "joined_on": "2005"},
        {"boat": "Late", "joined_on": "2013-04"},
        {"boat": "Unsaid", "joined_on": ""},
    ]
    seen = table_of_lives(read(*(part(boat=one["boat"]) for one in boats), boats=boats)).table
    assert [f"{day:%F}" for day in seen["seen_from"]] == ["2010-01-01", "2013-04-30", "2010-01-01"]


def test_a_removal_of_the_year_in_which_watching_began_came_after_it() -> None:
    records = read(
        part(fitted_on="2005", removed_on="2010", reason="failed"),
        settings="as_of = 2020-12-31\nrecords_from = 2010-09-01",
    )
    assert days(records) == ["2005-01-01", "2005-12-31", "2010-09-01", "2010-12-31"]


BUILT = [{"boat": "Penny Wren", "built_on": "2004"}]


def test_an_undated_part_was_there_when_watching_began() -> None:
    assert days(read(part(fitted_on=""), boats=BUILT))[:2] == ["2004-01-01", "2010-01-01"]
    # 20 years of 365.25 days before 2010-01-01 is 1990-01-01, give or take nothing.
    assert OLDEST_YEARS == 20
    assert days(read(part(fitted_on="")))[:2] == ["1990-01-01", "2010-01-01"]


def sorts(records: Records) -> list[tuple[int | None, str]]:
    findings = table_of_lives(records).findings
    return [(one.row, one.sort) for one in findings if one.field == "fitted_on" and one.row]


def test_fit_date_unknown_and_failed_fit_date_unknown() -> None:
    records = read(
        part(fitted_on=""),
        part(kind="gland_hose", fitted_on="", removed_on="2015-06-03", reason="failed"),
        part(kind="lip_seal", fitted_on="", removed_on="2015-06-03", reason="unknown"),
    )
    assert sorts(records) == [
        (2, "fit_date_unknown"),
        (3, "failed_fit_date_unknown"),
        (4, "fit_date_unknown"),
    ]


AS_BUILT = SETTINGS + "first_part_as_built = true\n"


@pytest.mark.parametrize(
    ("built", "joined", "window"),
    [
        ("2004-03-02", "", ["2004-03-02", "2004-03-02"]),
        ("2004-03", "2006", ["2004-03-01", "2004-03-31"]),
        ("2004", "2005-06-01", ["2004-01-01", "2005-06-01"]),  # launched, and watched, in 2005
        ("2004", "2004-05-01", ["2004-01-01", "2004-12-31"]),
        ("2004", "", ["2004-01-01", "2010-01-01"]),  # as far as the first record
        ("", "2005", ["1990-01-01", "2010-01-01"]),
    ],
)
def test_fit_assumed_as_built(built: str, joined: str, window: list[str]) -> None:
    boats = [{"boat": "Penny Wren", "built_on": built, "joined_on": joined}]
    records = read(part(fitted_on=""), boats=boats, settings=AS_BUILT)
    assert days(records)[:2] == window
    sort = "fit_assumed_as_built" if built else "fit_date_unknown"
    assert (2, sort) in sorts(records)
    # Only where the settings say so.
    assert days(read(part(fitted_on=""), boats=boats))[1] == "2010-01-01"


def test_fit_assumed_as_built_is_of_the_first_part_alone() -> None:
    before = part(removed_on="2015-06", reason="failed")
    records = read(before, part(fitted_on=""), boats=BUILT, settings=AS_BUILT)
    assert days(records, 3)[:2] == ["2015-06-01", "2016-06-29"]
    assert sorts(records) == [(3, "fit_date_unknown")]


def test_an_undated_part_was_fitted_after_the_one_before_it() -> None:
    before = part(removed_on="2015-06", reason="failed")
    records = read(before, part(fitted_on=""), boats=BUILT)
    # Removals are all written down from 2010 on: none came between, and no place stays empty.
    assert days(records, 3)[:2] == ["2015-06-01", "2016-06-29"]
    lives = table_of_lives(records)
    assert [one.row for one in lives.findings if one.field == "fitted_on"] == [3]


def test_an_undated_part_that_may_have_followed_another_has_the_widest_window() -> None:
    either = part(fitted_on="2012", removed_on="2015", reason="failed")
    records = read(
        either, part(fitted_on="", removed_on="2015-03-01", reason="failed"), boats=BUILT
    )
    assert days(records, 3)[:2] == ["2004-01-01", "2015-03-01"]


@pytest.mark.parametrize(
    ("cells", "end_lo"),
    [
        ({}, "2012-05-01"),  # nothing is known: since its fitting
        ({"last_sound_on": "2014"}, "2014-01-01"),
        ({"found": "afloat", "last_sound_on": "2014"}, "2015-11-20"),
    ],
)
def test_a_failure_found_ashore_reaches_back(cells: dict[str, str], end_lo: str) -> None:
    records = read(part(removed_on="2015-11-20", **ASHORE, **cells))
    assert days(records)[2:] == [end_lo, "2015-11-20"]


def test_only_kinds_seen_ashore_are_taken_as_found_ashore() -> None:
    found = read(part(removed_on="2015-11-20", reason="failed", found="ashore"))
    assert days(found)[2:] == ["2012-05-01", "2015-11-20"]
    unsaid = read(part(removed_on="2015-11-20", reason="failed"))
    assert days(unsaid)[2:] == ["2015-11-20", "2015-11-20"]


def lifts(*pairs: tuple[str, str]) -> list[dict[str, str]]:
    return [{"boat": "Penny Wren", "lifted_on": a, "launched_on": b} for a, b in pairs]


@pytest.mark.parametrize(
    ("hauled", "end_lo"),
    [
        ([("2013-11-01", "2014-04-01"), ("2014-11-01", "2015-04-01")], "2014-11-01"),
        # Lifted on the 10th and replaced on the 20th: the haul-out that found it proves nothing.
        ([("2013-11-01", "2014-04-01"), ("2015-11-10", "2016-04-01")], "2013-11-01"),
        ([("2013-11-01", ""), ("2015-11-10", "")], "2013-11-01"),
        ([("2014", "")], "2014-01-01"),
        ([("2011-11-01", "2012-04-01")], "2012-05-01"),  # before it was fitted
    ],
)
def test_a_worn_part_would_have_been_found_at_the_haul_out_before(
    hauled: list[tuple[str, str]], end_lo: str
) -> None:
    for order in (hauled, hauled[::-1]):
        records = read(part(removed_on="2015-11-20", **ASHORE), lifts=lifts(*order))
        assert days(records)[2:] == [end_lo, "2015-11-20"]


def test_a_part_seen_only_ashore_is_known_sound_up_to_its_last_haul_out() -> None:
    bearing = part(kind="cutless_bearing")
    seen = lifts(("2018-11-01", "2019-04-01"), ("2020-11-01", ""))
    assert days(read(bearing, lifts=seen))[2:] == ["2018-11-01", "2020-12-31"]
    assert days(read(part(), lifts=seen))[2:] == ["2020-12-31", "2020-12-31"]


def test_a_lot_set_apart_is_a_group() -> None:
    fleet = SETTINGS + '[kinds.bellows]\napart = ["QT-18"]\n'
    lives = table_of_lives(
        read(
            part(lot="QT-18"),
            part(boat="Otter", lot="QT-19"),
            boats=[{"boat": "Penny Wren"}, {"boat": "Otter"}],
            settings=fleet,
        )
    )
    assert lives.table.set_index("boat")["group"].to_dict() == {
        "Penny Wren": "lot QT-18",
        "Otter": "all",
    }


def test_no_part_at_all_and_no_boat_that_is_known() -> None:
    for rows in ([part(boat="Otter")], [part(fitted_on="2030")]):
        lives = table_of_lives(read(*rows))
        assert lives.table.empty
        assert list(lives.table) == [*COLUMNS, *COVARIATES, *FOR_FITTING]
        with pytest.raises(FleetError, match="no row that can be used"):
            require_survivors(lives)


def test_failures_alone_are_refused() -> None:
    boats = [{"boat": f"Boat {i}"} for i in range(5)]
    failed = [part(boat=one["boat"], removed_on="2015-06-03", reason="failed") for one in boats]
    with pytest.raises(FleetError, match="5 failures and nothing else"):
        require_survivors(table_of_lives(read(*failed, boats=boats)))
    require_survivors(table_of_lives(read(*failed[:4], boats=boats)))
    require_survivors(
        table_of_lives(read(*failed, part(boat="Boat 0", kind="lip_seal"), boats=boats))
    )


@pytest.mark.parametrize("seed", [0, 1, 2])
def test_windows_hold_the_truth_of_an_invented_fleet(seed: int) -> None:
    fleet = invent_fleet(TARNWICK, boats=60, seed=seed)
    records = read_fleet({name: text.encode() for name, text in fleet.files.items()})
    lives = table_of_lives(records).table
    lives.index = lives["source"].str.removeprefix("parts.csv:").astype(int)
    spoilt = {one["row"] for one in truth_of(fleet)["defects"] if one["file"] == "parts.csv"}
    lives = lives.drop(index=list(spoilt & set(lives.index)))
    both = lives.join(true_parts(fleet)[["fitted_on", "failed_on", "ended_on", "ended"]])
    assert len(both) > 500
    assert both["fitted_on"].between(both["start_lo"], both["start_hi"]).all()

    failed = both[both["outcome"] == "failed"]
    assert len(failed) > 200
    assert (failed["end_lo"] < failed["end_hi"]).sum() > 50  # found ashore, or dated by year
    assert failed["failed_on"].between(failed["end_lo"], failed["end_hi"]).all()

    # A part that counts as sound at a day had not failed before it, seen or hidden.
    sound = both[~both["outcome"].isin(["failed", "accident"])]
    assert (sound["ended"] == "hidden").any()
    assert not (sound["failed_on"] < sound["end_lo"]).any()


def test_the_defects_planted_in_an_invented_fleet_are_found() -> None:
    fleet = invent_fleet(TARNWICK, boats=60, seed=0)
    records = read_fleet({name: text.encode() for name, text in fleet.files.items()})
    row = {one["defect"]: one["row"] for one in truth_of(fleet)["defects"]}
    rejected = dict(zip(records.rejected["row"], records.rejected["field"], strict=True))
    late = row["late_removal"]
    assert rejected == {
        row["twin_without_side"]: "position",
        row["misspelt_boat"]: "boat",
        row["removed_before_fitted"]: "removed_on",
        row["short_date"]: "fitted_on",
        late: "fitted_on",
        late + 1: "fitted_on",
    }
    assert [one.row for one in records.findings if one.done == "merged"] == [
        row["duplicate_removal"]
    ]
    falls = [one for one in table_of_lives(records).findings if "new meter" in one.remedy]
    assert [(one.file, one.row) for one in falls] == [("hours.csv", row["meter_reset"])]
    assert (
        counts(records)["used"] + counts(records)["merged"] + len(rejected)
        == (counts(records)["rows_read"])
    )


def test_lives_are_those_of_their_records() -> None:
    records = read_fleet(files(part(), part(kind="lip_seal")))
    lives = table_of_lives(records)
    assert lives.settings is records.settings
    assert lives.table["clock"].tolist() == ["years", "hours"]
