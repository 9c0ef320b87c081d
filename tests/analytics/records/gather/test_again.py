"""Exports of several months in one folder: which rows are the same, and which export is newer."""

from __future__ import annotations

from datetime import date

import pytest

from analytics.records.decided.decision import Decision
from tests.analytics.records.mapped_folder import export, opened, plain

BOATS = plain("boats.csv", "boat|joined_on\nOtter|2015-01-01\nWren|2015-01-01")
JOBS = {"boat": "Boat", "on": "Date", "kind": "Part", "action": "Work", "reason": "Why"}
LIVES = {"boat": "Boat", "kind": "Part", "fitted_on": "In", "removed_on": "Out", "reason": "Why"}


def jobs(name: str, text: str, **columns: str):  # type: ignore[no-untyped-def]
    return export(name, "events", JOBS | columns, text, pattern="jobs *.csv")


def lives(name: str, text: str, **columns: str):  # type: ignore[no-untyped-def]
    return export(name, "lives", LIVES | columns, text, pattern="parts *.csv")


def failures(fleet) -> list[str]:  # type: ignore[no-untyped-def]
    table = fleet.lives.table
    failed = table[table["outcome"] == "failed"]
    return [f"{day:%Y-%m-%d}" for day in failed["end_hi"]]


def test_one_order_of_day_and_month_for_all_exports_of_a_program() -> None:
    first = """
        Boat|Date|Part|Work|Why
        Otter|25/04/16|bellows|fitted|
        Otter|03/04/19|bellows|replaced|leaking
    """
    second = """
        Boat|Date|Part|Work|Why
        Otter|03/04/19|bellows|replaced|leaking
        Otter|02/05/22|bellows|replaced|leaking
    """
    fleet = opened(BOATS, jobs("jobs 1.csv", first), jobs("jobs 2.csv", second))
    assert failures(fleet) == ["2019-04-03", "2022-05-02"]
    assert "row_again" in {one.sort for one in fleet.told}


def test_a_number_of_a_job_that_one_export_lacks() -> None:
    first = "Boat|Date|Part|Work|Why|No\nOtter|2016-07-01|bellows|fitted||J1"
    second = """
        Boat|Date|Part|Work|Why|No
        Otter|2016-07-01|bellows|fitted||J1
        Otter|2019-07-01|bellows|replaced|leaking|
    """
    fleet = opened(BOATS, jobs("jobs 1.csv", first, job="No"), jobs("jobs 2.csv", second, job="No"))
    assert failures(fleet) == ["2019-07-01"]


@pytest.mark.parametrize("names", [("parts 9.csv", "parts 10.csv"), ("parts a.csv", "parts b.csv")])
def test_the_newer_of_two_is_told_by_days_and_else_by_numbers_in_the_name(
    names: tuple[str, str],
) -> None:
    old = "Boat|Part|In|Out|Why\nOtter|bellows|2015-06-01|2018|leaking\nOtter|bellows|2019||"
    new = (
        "Boat|Part|In|Out|Why\nOtter|bellows|2015-06-01|2018|leaking\n"
        "Otter|bellows|2019|2019-05-02|leaking"
    )
    fleet = opened(BOATS, lives(names[0], old), lives(names[1], new))
    assert len(failures(fleet)) == 2
    assert "in_service" not in set(fleet.lives.table["outcome"])


def test_rows_of_one_job_are_not_taken_for_each_other() -> None:
    first = [
        "Otter|2015-07-01|bellows|fitted||J1",
        "Otter|2016-07-01|bellows|inspected, sound||J2",
        "Otter|2016-09-01|bellows|replaced|leaking|J2",
    ]
    second = """
        Boat|Date|Part|Work|Why|No
        Otter|2016-09-01|bellows|replaced|leaking|J2
        Wren|2017-09-01|bellows|fitted||J3
    """
    merged = []
    for rows in (first, [first[0], first[2], first[1]]):
        text = "\n".join(["Boat|Date|Part|Work|Why|No", *rows])
        fleet = opened(
            BOATS, jobs("jobs 1.csv", text, job="No"), jobs("jobs 2.csv", second, job="No")
        )
        counts = fleet.records.counts.set_index("file").loc["jobs 1.csv"]
        assert (counts["used"], counts["merged"]) == (2, 1)
        merged.append(failures(fleet))
    assert merged[0] == merged[1] == ["2016-09-01"]


def test_a_row_that_a_whole_newer_export_has_no_more_is_told() -> None:
    row = "Otter|{kind}|2016-07-01||"
    kinds = ("bellows", "lip seal", "face seal", "cutless", "gland hose")
    old = "\n".join(["Boat|Part|In|Out|Why", *(row.format(kind=kind) for kind in kinds)])
    new = "\n".join([*old.split("\n")[:-1], "Wren|bellows|2020-01-01||"])
    fleet = opened(BOATS, lives("parts 1.csv", old), lives("parts 2.csv", new))
    (gone,) = [one for one in fleet.told if one.sort == "row_gone"]
    assert (gone.file, gone.row) == ("parts 1.csv", 6)
    assert len(fleet.lives.table) == 6  # still used


def test_a_boat_under_another_name_next_month_is_one_boat() -> None:
    columns = {"boat": "Name", "hull_no": "Hull", "joined_on": "Since"}
    both = [
        export(f"boats {n}.csv", "boats", columns, f"Name|Hull|Since\n{name}|H1|{day}",
               pattern="boats *.csv")
        for n, name, day in ((1, "Otter", "2015-01-01"), (2, "Otter II", "2015-02-01"))
    ]  # fmt: skip
    text = "Boat|Part|In|Out|Why|Hull\nOtter II|bellows|2016-07-01|||H1"
    fleet = opened(*both, lives("parts 1.csv", text, hull_no="Hull"))
    assert fleet.records.tables["boats.csv"]["boat"].tolist() == ["Otter II"]


def test_a_list_with_a_survivor_is_none_of_failures_whatever_the_newer_one_holds() -> None:
    failed = [f"Otter|bellows|{year}-01-02|{year + 1}-01-02|leaking" for year in range(2015, 2021)]
    old = "\n".join(["Boat|Part|In|Out|Why", *failed, "Otter|bellows|2021-01-02||"])
    new = "Boat|Part|In|Out|Why\nOtter|bellows|2021-01-02|2023-01-02|leaking\nWren|bellows|2023||"
    fleet = opened(BOATS, lives("parts 1.csv", old), lives("parts 2.csv", new))
    assert len(failures(fleet)) == 7


def test_failures_alone_stand_where_no_other_list_tells_of_their_kind() -> None:
    failed = [f"Otter|bellows|{year}-01-02|{year + 1}-01-02|leaking" for year in range(2015, 2021)]
    text = "\n".join(["Boat|Part|In|Out|Why", *failed])
    other = "Boat|Date|Part|Work|Why\nWren|2016-01-02|lip seal|fitted|"
    fleet = opened(BOATS, lives("parts 1.csv", text), jobs("jobs 1.csv", other))
    assert len(failures(fleet)) == 6
    same = "Boat|Date|Part|Work|Why\nWren|2016-01-02|bellows|fitted|"
    fleet = opened(BOATS, lives("parts 1.csv", text), jobs("jobs 1.csv", same))
    assert failures(fleet) == []
    assert "only_failures" in {one.sort for one in fleet.told}


def test_a_decision_about_a_name_does_not_take_over_a_boat_of_that_name() -> None:
    text = "Boat|Part|In|Out|Why\nWren|bellows|2016-07-01|2019-07-01|leaking"
    decided = (Decision("name", found="Wren", read_as="Otter", on=date(2024, 1, 2)),)
    fleet = opened(BOATS, lives("parts 1.csv", text), decided=decided)
    assert fleet.lives.table["boat"].tolist() == ["Wren"]
    (told,) = [one for one in fleet.told if one.sort == "decided"]
    assert "not applied" in told.remedy
    text = text.replace("Wren", "Wrenn")
    decided = (Decision("name", found="Wrenn", read_as="Otter", on=date(2024, 1, 2)),)
    fleet = opened(BOATS, lives("parts 1.csv", text), decided=decided)
    assert fleet.lives.table["boat"].tolist() == ["Otter"]
    assert "decided" in {one.sort for one in fleet.told}
