"""Boats under other names: earlier ones, shared ones, hull numbers.

The policies are the project's own (common practice, no source).
"""

import pytest

from analytics.records.findings import Finding
from analytics.records.reading import Records
from tests.analytics.records.fleet_folder import counts, part, read, reconciled

RENAMED = {"boat": "Penny Wren", "was_named": "Quiet Otter", "renamed_on": "2015-04"}
OTTER = {"boat": "Quiet Otter"}
SHARED = [{"boat": "Penny Wren", "hull_no": "12"}, {"boat": "Penny Wren", "hull_no": "15"}]


def of_sort(records: Records, sort: str) -> list[Finding]:
    return [one for one in records.findings if one.sort == sort]


def boats_by_row(records: Records) -> dict[int, str]:
    parts = records.tables["parts.csv"]
    return dict(zip(parts["row"], parts["boat"], strict=True))


def test_boat_renamed_is_one_finding_for_all_rows_of_the_name() -> None:
    records = read(
        part(boat="Quiet Otter"),
        part(kind="lip_seal"),
        part(boat="Quiet Otter", kind="gland_hose", fitted_on="2016-03"),  # old habit
        part(boat="Quiet Otter", kind="face_seal", fitted_on="2016-06"),
        boats=[RENAMED],
        hours=[{"boat": "Quiet Otter", "read_on": "2013", "hours": "12"}],
    )
    assert boats_by_row(records) == dict.fromkeys((2, 3, 4), "Penny Wren")
    hours, parts = sorted(of_sort(records, "boat_renamed"), key=lambda one: one.file)
    assert (parts.rows, parts.found, parts.done) == ((2, 4), "Quiet Otter", "noted")
    assert (hours.file, hours.rows) == ("hours.csv", (2,))
    # More than a year after it was renamed, the name is not this boat's.
    (late,) = of_sort(records, "boat_name_unknown")
    assert (late.row, late.done) == (5, "rejected")
    assert "2015-04-30" in late.expected
    reconciled(records)


def test_boat_renamed_nobody_knows_when() -> None:
    boats = [{"boat": "Penny Wren", "was_named": "Otter; Quiet Otter", "renamed_on": ""}]
    records = read(
        part(boat="Otter"), part(boat="Quiet Otter", kind="lip_seal", fitted_on="2019"), boats=boats
    )
    assert set(boats_by_row(records).values()) == {"Penny Wren"}
    assert len(of_sort(records, "boat_renamed")) == 2


@pytest.mark.parametrize(
    ("cells", "boat"),
    [
        ({"fitted_on": "2012", "removed_on": "2014", "reason": "failed"}, "Penny Wren"),
        ({"fitted_on": "2015-05-01"}, "Quiet Otter"),
        ({"fitted_on": "2012"}, None),  # still there, on one of the two
        ({"fitted_on": "2014", "removed_on": "2015", "reason": "failed"}, None),
        ({"fitted_on": "", "removed_on": "2014", "reason": "failed"}, "Penny Wren"),
        ({"fitted_on": "", "removed_on": "2018", "reason": "failed"}, None),
    ],
)
def test_boat_renamed_whose_old_name_another_bears(cells: dict[str, str], boat: str | None) -> None:
    for boats in ([RENAMED, OTTER], [OTTER, RENAMED]):
        records = read(part(boat="Quiet Otter", **cells), boats=boats)
        assert list(boats_by_row(records).values()) == ([boat] if boat else [])
        if boat is None:
            (one,) = of_sort(records, "boat_name_shared")
            assert "Penny Wren or Quiet Otter" in one.remedy


def test_two_boats_one_after_the_other_under_a_name_that_none_bears_now() -> None:
    boats = [
        {"boat": "A", "was_named": "Otter", "renamed_on": "2012-01-01"},
        {"boat": "B", "was_named": "Otter", "renamed_on": "2016-01-01"},
    ]
    early = part(boat="Otter", fitted_on="2010-05-01", removed_on="2011-05-01", reason="failed")
    later = part(boat="Otter", fitted_on="2013-05-01", removed_on="2018-05-01", reason="failed")
    assert boats_by_row(read(early, later, boats=boats)) == {2: "A", 3: "B"}


def test_boat_name_shared() -> None:
    records = read(
        part(),
        part(boat="Penny Wren (12)"),
        part(boat="15"),
        boats=SHARED,
        lifts=[{"boat": "Penny Wren", "lifted_on": "2013"}, {"boat": "12", "lifted_on": "2013"}],
    )
    assert records.tables["boats.csv"]["boat"].tolist() == ["Penny Wren (12)", "Penny Wren (15)"]
    assert boats_by_row(records) == {3: "Penny Wren (12)", 4: "Penny Wren (15)"}
    assert records.tables["lifts.csv"]["boat"].tolist() == ["Penny Wren (12)"]
    kept, in_lifts, in_parts = sorted(of_sort(records, "boat_name_shared"), key=lambda x: x.file)
    assert (kept.file, kept.rows, kept.done) == ("boats.csv", (2, 3), "noted")
    assert (in_parts.row, in_parts.done) == (2, "rejected")
    assert "Penny Wren (12), Penny Wren (15)" in in_parts.remedy
    assert in_lifts.file == "lifts.csv"
    reconciled(records)


def test_boat_name_shared_by_one_without_a_hull_number() -> None:
    records = read(part(boat="12"), boats=[*SHARED, {"boat": "Penny Wren", "hull_no": ""}])
    assert counts(records, "boats.csv") == {"rows_read": 3, "used": 2, "rejected": 1}
    assert records.rejected["field"].tolist() == ["hull_no"]
    # Twice in the list with one hull number: the same boat twice, as without one.
    twice = read(part(), boats=[SHARED[0], SHARED[0]])
    assert counts(twice, "boats.csv") == {"rows_read": 2, "used": 1, "rejected": 1}
    assert boats_by_row(twice) == {2: "Penny Wren"}


def test_hull_numbers_name_boats_that_need_none() -> None:
    boats = [{"boat": "Otter", "hull_no": "7"}, {"boat": "Wren", "hull_no": "8"}]
    records = read(
        part(boat="7"), part(boat="Otter (7)", kind="lip_seal"), part(boat="8"), boats=boats
    )
    assert boats_by_row(records) == {2: "Otter", 3: "Otter", 4: "Wren"}
    assert not of_sort(records, "boat_renamed")
    # A number of two boats is of neither; one that is another boat's name is that boat's.
    same = [{"boat": "A", "hull_no": "7"}, {"boat": "B", "hull_no": "7"}]
    assert [one.row for one in of_sort(read(part(boat="7"), boats=same), "boat_name_shared")] == [2]
    named = [{"boat": "A", "hull_no": "7"}, {"boat": "7", "hull_no": "9"}]
    assert boats_by_row(read(part(boat="7"), boats=named)) == {2: "7"}


def test_boat_name_unknown_keeps_its_suggestion() -> None:
    (one,) = of_sort(read(part(boat="Peny Wren")), "boat_name_unknown")
    assert one.remedy.startswith("Did you mean 'Penny Wren'?")


def test_a_twin_under_its_old_name_is_the_same_twin() -> None:
    unsided = part(boat="Quiet Otter", kind="lip_seal")
    records = read(part(position="port"), unsided, boats=[RENAMED])
    assert [one.row for one in of_sort(records, "side_missing")] == [3]
