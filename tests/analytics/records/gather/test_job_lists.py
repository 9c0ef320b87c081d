"""Lists of jobs, of what the stores gave out and of inspections, put together as lives."""

from analytics.records.decided.decision import Decision
from tests.analytics.records.mapped_folder import (
    Export,
    counts,
    export,
    opened,
    plain,
    read,
    rows,
    sources,
    told,
)

COLUMNS = {
    "boat": "Boat",
    "job": "Job",
    "on": "Date",
    "position": "Side",
    "kind": "Part",
    "action": "Work",
    "reason": "Cause",
    "condition": "Found as",
    "hours": "Hrs",
    "note": "Remarks",
}
HEADER = "Job|Date|Boat|Side|Part|Work|Cause|Found as|Hrs|Remarks\n"
FILE = "jobs.csv"
LIFE = ("boat", "position", "kind", "fitted_on", "removed_on", "reason")
BOATS = plain("boats.csv", "boat|shafts\nPenny Wren|1\nQuiet Otter|2\nTin Lantern|1")


def jobs(text: str, columns: dict[str, str] = COLUMNS, **said: object) -> Export:
    return export(FILE, "events", columns, HEADER + text.strip("\n"), **said)


HISTORY = """
J1|03/05/2016|Penny Wren||bellows|fitted new||||
J2|25/05/2019|Penny Wren||bellows|replaced|split, leaking||1.200|
J3|11/06/2021|Penny Wren||bellows|inspected||sound|1.500,5|
"""


def test_a_history_of_jobs_is_lives_and_hours() -> None:
    fleet = opened(BOATS, jobs(HISTORY))
    records = fleet.records
    assert rows(records, "parts.csv", *LIFE, "last_sound_on") == [
        ("Penny Wren", "single", "bellows", "2016-05-03", "2019-05-25", "failed", ""),
        ("Penny Wren", "single", "bellows", "2019-05-25", "", "", "2021-06-11"),
    ]
    # What findings about a life should point at is first: its removal, where there is one.
    assert sources(records) == ["jobs.csv:3; jobs.csv:2", "jobs.csv:3; jobs.csv:4"]
    assert set(fleet.lives.table["source"]) == set(sources(records))
    assert rows(records, "hours.csv", "boat", "read_on", "hours") == [
        ("Penny Wren", "2019-05-25", "1200"),
        ("Penny Wren", "2021-06-11", "1500.5"),
    ]
    assert counts(records, FILE) == {"rows_read": 3, "used": 3}
    assert fleet.reconciliation().endswith("they make 2 lives")


def test_what_says_too_little_is_rejected_and_says_why() -> None:
    records = read(
        BOATS,
        jobs("""
J1|03/05/2016|Penny Wren||bellows|fitted||||
J2||Penny Wren||bellows|replaced||||
J3|25/05/2019|Quiet Otter||bellows|replaced||||
J4|25/05/2019|Quiet Otter|1|bellows|replaced||||
J5|25/05/2019|Penny Wren||bellows|||||
J6|25/05/2019|Penny Wren||exhaust bellows|replaced||||
J7|25/05/2019|Penny Wren||||worn out|||
J8|25/05/2019|||bellows|replaced||||
J9|31/02/2019|Penny Wren||bellows|replaced||||
J10|25/05/2019|Peny Wren||bellows|replaced||||"""),
    )
    rejected = {one.row: one.sort for one in records.findings if one.done == "rejected"}
    assert rejected == {
        3: "cell_unreadable",
        4: "side_missing",
        5: "side_by_number",
        6: "words_unknown",
        7: "other_kind_of_part",
        8: "words_unknown",
        9: "cell_unreadable",
        10: "cell_unreadable",
        11: "boat_name_unknown",
    }
    assert counts(records, FILE) == {"rows_read": 10, "used": 1, "rejected": 9}
    assert len(records.rejected) == 9


def test_what_renews_nothing_is_told_apart() -> None:
    records = read(
        BOATS,
        jobs("""
J1|03/05/2016|Penny Wren||bellows|fitted||||
J2|25/05/2018|Penny Wren||bellows|greased||||
J3|25/05/2019|Penny Wren||bellows|not replaced, looked ok||||
J4|25/05/2020|Penny Wren||bellows|replaced|no leak, by age|||"""),
    )
    assert rows(records, "parts.csv", "fitted_on", "removed_on", "reason") == [
        ("2016-05-03", "2020-05-25", "replaced_sound"),
        ("2020-05-25", "", ""),
    ]
    assert counts(records, FILE)["ignored"] >= 1
    assert told(records, "upkeep_not_renewal")
    assert len(told(records, "negated_words")) == 2


def test_a_job_on_both_sides_is_two_parts() -> None:
    records = read(BOATS, jobs("J9|25/04/2020|Quiet Otter|both|face seal|replaced|worn out|||"))
    assert rows(records, "parts.csv", "position", "fitted_on", "removed_on", "reason") == [
        ("port", "", "2020-04-25", "failed"),
        ("port", "2020-04-25", "", ""),
        ("starboard", "", "2020-04-25", "failed"),
        ("starboard", "2020-04-25", "", ""),
    ]
    assert counts(records, FILE) == {"rows_read": 1, "used": 1}


ISSUED = {"job": "Job", "kind": "What", "part_no": "No", "lot": "Batch", "size": "Size"}


def test_what_the_stores_gave_out_joins_its_job_and_is_no_event_of_its_own() -> None:
    issued = export(
        "issues.csv",
        "issued",
        {**ISSUED, "quantity": "Qty"},
        """Job|What|No|Batch|Size|Qty
J2|shaft bellows|BE-30|2018B|30 mm|2
J2|cutless bearing|CB-30|||1
J99|shaft bellows|BE-30|2018B|30 mm|1""",
    )
    records = read(BOATS, jobs(HISTORY), issued)
    assert rows(records, "parts.csv", "fitted_on", "part_no", "lot", "size") == [
        ("2016-05-03", "", "", ""),
        ("2019-05-25", "BE-30", "2018B", "30 mm"),
    ]
    assert counts(records, "issues.csv") == {"rows_read": 3, "merged": 1, "ignored": 2}
    assert [one.rows for one in told(records, "job_and_parts_lines")] == [(2,)]
    assert [one.rows for one in told(records, "bought_not_fitted")] == [(3, 4)]


def test_part_numbers_alone_join_the_only_part_of_a_job() -> None:
    issued = export("issues.csv", "issued", {"job": "Job", "part_no": "No"}, "Job|No\nJ2|BE-30")
    records = read(BOATS, jobs(HISTORY), issued)
    assert rows(records, "parts.csv", "part_no") == [("",), ("BE-30",)]


def test_stores_without_a_list_of_jobs_lose_no_row() -> None:
    issued = export("issues.csv", "issued", ISSUED, "Job|What|No|Batch|Size\nJ2|bellows|B||")
    parts = plain("parts.csv", "boat|kind|fitted_on\nPenny Wren|bellows|2016-05-03")
    lives = export(
        "lives.csv", "lives", {"boat": "B", "kind": "K", "fitted_on": "I"},
        "B|K|I\nPenny Wren|lip seal|2017-05-03",
    )  # fmt: skip
    records = read(BOATS, parts, lives, issued)
    assert counts(records, "issues.csv") == {"rows_read": 1, "ignored": 1}


INSPECTED = {
    "boat": "Boat",
    "position": "Side",
    "kind": "Item",
    "read_on": "Date",
    "condition": "Finding",
    "measure": "What",
    "value": "Reading",
    "unit": "Unit",
}
INSPECTIONS = export(
    "inspections.csv",
    "readings",
    INSPECTED,
    """Boat|Side|Item|Date|Finding|What|Reading|Unit
Penny Wren||bellows|13/03/2018|dry, no leak|||
Penny Wren||bellows|14/03/2019|worn but dry|||
Penny Wren||cutless bearing|13/03/2019||Clearance|1,2|mm
Penny Wren||bellows|15/03/2019||||
Nobody||bellows|15/03/2019|dry|||
Quiet Otter||bellows|15/03/2019|dry|||
Penny Wren||bellows||dry|||""",
)
REJECTED = {5: "cell_unreadable", 6: "boat_name_unknown", 7: "side_missing", 8: "cell_unreadable"}


def test_inspections_say_when_a_part_was_last_sound() -> None:
    records = read(BOATS, jobs(HISTORY), INSPECTIONS)
    bellows = [one for one in rows(records, "parts.csv", "kind", "last_sound_on") if "b" in one[0]]
    assert bellows[0] == ("bellows", "2019-03-14")
    assert "inspections.csv:3" in sources(records)[0].split("; ")
    assert rows(records, "readings.csv", "kind", "measure", "value") == [
        ("cutless_bearing", "clearance_mm", "1.2")
    ]
    assert counts(records, "inspections.csv") == {"rows_read": 7, "used": 3, "rejected": 4}
    assert _rejected(records, "inspections.csv") == REJECTED


def test_inspections_say_so_of_lists_of_lives_too() -> None:
    lives = export(
        "lives.csv",
        "lives",
        {"boat": "B", "kind": "K", "fitted_on": "I", "removed_on": "O", "reason": "W"},
        "B|K|I|O|W\nPenny Wren|bellows|03/05/2016|25/05/2019|leaking",
    )
    records = read(BOATS, lives, INSPECTIONS)
    assert rows(records, "parts.csv", "last_sound_on") == [("2019-03-14",)]
    assert sources(records) == ["lives.csv:2; inspections.csv:3"]
    assert _rejected(records, "inspections.csv") == REJECTED


def _inspected(*found: str):  # type: ignore[no-untyped-def]
    header = "Boat|Side|Item|Date|Finding|What|Reading|Unit\n"
    return export("inspections.csv", "readings", INSPECTED, header + "\n".join(found))


def _list_of_lives(*lives: str):  # type: ignore[no-untyped-def]
    columns = {
        "boat": "B", "position": "S", "kind": "K", "fitted_on": "I", "removed_on": "O",
        "reason": "W",
    }  # fmt: skip
    return export("lives.csv", "lives", columns, "B|S|K|I|O|W\n" + "\n".join(lives), order="day")


def test_a_part_found_failed_that_the_list_says_stayed_is_told() -> None:
    lives = _list_of_lives(
        "Penny Wren||bellows|03/05/2016||",
        "Penny Wren||lip seal|03/05/2016|25/05/2019|by age",
        "Penny Wren||face seal|03/05/2016|25/05/2018|by age",
        "Penny Wren||cutless bearing|03/05/2016|25/05/2018|worn out, failed",
        "Penny Wren||cutless bearing|25/05/2018||",
    )
    names = ("bellows", "lip seal", "face seal", "cutless bearing")
    inspected = [f"Penny Wren||{name}|13/05/2018|leaking|||" for name in names]
    records = read(BOATS, lives, _inspected(*inspected))
    assert counts(records, "inspections.csv") == {"rows_read": 4, "used": 1, "ignored": 3}
    still, later = told(records, "failed_seen")
    assert (still.row, still.done) == (2, "ignored")
    assert "row 2 of lives.csv says that it is still fitted" in still.expected
    assert "fill in when it came out" in still.remedy
    assert later.row == 3
    assert "row 3 of lives.csv says replaced_sound, 2019-05-25" in later.expected
    (soon,) = told(records, "reasons_differ")
    assert soon.row == 4
    # The lives are those of the list.
    assert [one[0] for one in rows(records, "parts.csv", "reason")] == [
        "", "replaced_sound", "replaced_sound", "failed", ""
    ]  # fmt: skip


def test_an_inspection_that_measured_is_used_and_still_says_what_failed() -> None:
    lives = _list_of_lives("Penny Wren||cutless bearing|03/05/2016||")
    inspected = _inspected("Penny Wren||cutless bearing|13/05/2018|past limit|Clearance|2.5|mm")
    records = read(BOATS, lives, inspected)
    assert counts(records, "inspections.csv") == {"rows_read": 1, "used": 1}
    assert [(one.row, one.done) for one in told(records, "failed_seen")] == [(2, "noted")]


def test_inspections_of_parts_that_no_list_tells_of_are_not_counted_as_used() -> None:
    lives = _list_of_lives("Penny Wren||bellows|03/05/2016|25/05/2019|by age")
    inspected = _inspected(
        "Penny Wren||bellows|13/03/2018|dry|||",
        "Penny Wren||bellows|13/03/2021|dry|||",
        "Penny Wren||lip seal|13/03/2018|dry|||",
        "Quiet Otter|P|lip seal|13/03/2018|leaking|||",
    )
    records = read(BOATS, lives, inspected)
    assert counts(records, "inspections.csv") == {"rows_read": 4, "used": 1, "ignored": 3}
    place, day = sorted(told(records, "inspection_unused"), key=lambda one: -len(one.rows))
    assert (place.rows, place.found) == ((4, 5), "lip_seal")
    assert day.rows == (3,)
    assert "in place on that day" in day.expected


def test_a_list_in_the_plain_layout_is_held_against_inspections_too() -> None:
    parts = plain("parts.csv", "boat|kind|fitted_on\nPenny Wren|bellows|2016-05-03")
    records = read(BOATS, parts, _inspected("Penny Wren||bellows|13/03/2018|leaking|||"))
    (finding,) = told(records, "failed_seen")
    assert "row 2 of parts.csv" in finding.expected
    assert counts(records, "inspections.csv") == {"rows_read": 1, "ignored": 1}


def test_an_inspection_before_the_fitting_says_nothing_of_the_part() -> None:
    lives = _list_of_lives(
        "Penny Wren||bellows|01/07/2016|25/05/2019|leaking",
        "Penny Wren||lip seal|2015|25/05/2019|leaking",
    )
    inspected = [f"Penny Wren||{name}|01/05/2015|dry|||" for name in ("bellows", "lip seal")]
    records = read(BOATS, lives, _inspected(*inspected))
    # In a fitting's window of a year it may have been the part before.
    assert rows(records, "parts.csv", "last_sound_on") == [("",), ("",)]
    assert not told(records, "dates_disagree")
    assert counts(records, "inspections.csv") == {"rows_read": 2, "used": 1, "ignored": 1}


def test_a_job_that_ends_before_it_begins_is_of_its_first_day() -> None:
    columns = {"boat": "Boat", "on": "From", "until": "To", "kind": "Part", "action": "Work"}
    work = export(
        FILE, "events", columns,
        "Boat|From|To|Part|Work\nPenny Wren|13/05/2018|20/05/2017|bellows|replaced",
    )  # fmt: skip
    records = read(BOATS, work)
    assert rows(records, "parts.csv", "fitted_on", "removed_on") == [
        ("", "2018-05-13"), ("2018-05-13", "")
    ]  # fmt: skip
    (finding,) = told(records, "dates_disagree")
    assert (finding.file, finding.row, finding.field) == (FILE, 2, "until")
    assert (finding.found, finding.done) == ("2017-05-20", "assumed")


def _rejected(records, file: str) -> dict[int, str]:  # type: ignore[no-untyped-def]
    return {
        row: why.sort
        for one in records.exports
        if one.place == file
        for row, (fate, why) in one.fates.items()
        if fate == "rejected"
    }


def test_an_invoice_of_a_job_is_a_window_to_the_next_launch() -> None:
    lifts = export(
        "lifts.csv", "lifts", {"boat": "B", "lifted_on": "Out", "launched_on": "In"},
        "B|Out|In\nPenny Wren|13/11/2017|20/04/2018",
    )  # fmt: skip
    columns = {"boat": "Boat", "invoice_on": "Invoice", "kind": "Part", "action": "Work"}
    work = export(
        FILE, "events", columns,
        "Boat|Invoice|Part|Work\nPenny Wren|13/02/2018|bellows|replaced",
    )  # fmt: skip
    records = read(BOATS, lifts, work)
    window = "2018-02-13..2018-04-20"
    assert rows(records, "parts.csv", "fitted_on", "removed_on") == [("", window), (window, "")]
    assert rows(records, "lifts.csv", "lifted_on", "launched_on") == [("2017-11-13", "2018-04-20")]
    assert [one.rows for one in told(records, "invoice_date")] == [(2,)]


def test_two_monthly_lists_of_jobs_hold_each_job_once() -> None:
    may = jobs(HISTORY, pattern="jobs*.csv")
    header_and_two = "\n".join(HISTORY.strip().split("\n")[1:]).replace("split, leaking", "by age")
    june = Export("jobs june.csv", jobs(header_and_two).content, may.source)
    later = jobs(header_and_two + "\nJ4|25/06/2023|Penny Wren||bellows|replaced|leaking|||")
    june = Export("jobs june.csv", later.content, may.source)
    records = read(BOATS, may, june)
    assert rows(records, "parts.csv", "fitted_on", "removed_on", "reason") == [
        ("2016-05-03", "2019-05-25", "replaced_sound"),
        ("2019-05-25", "2023-06-25", "failed"),
        ("2023-06-25", "", ""),
    ]
    assert counts(records, "jobs.csv") == {"rows_read": 3, "used": 1, "merged": 2}


def test_a_part_that_goes_to_another_boat_goes_on_at_its_age() -> None:
    columns = {**COLUMNS, "to_boat": "Remarks"}
    columns.pop("note")
    records = read(
        BOATS,
        jobs(
            """
J1|03/05/2016|Penny Wren||face seal|fitted||||
J2|25/05/2019|Penny Wren||face seal|moved||||Tin Lantern""",
            columns,
        ),
    )
    assert rows(records, "parts.csv", "boat", "fitted_on", "here_since", "removed_on") == [
        ("Penny Wren", "2016-05-03", "", "2019-05-25"),
        ("Tin Lantern", "2016-05-03", "2019-05-25", ""),
    ]


def test_boats_that_left_are_known_by_their_list_or_by_the_jobs() -> None:
    work = """
J1|03/05/2016|Penny Wren||bellows|fitted||||
J2|25/05/2019|Penny Wren|||boat sold||||"""
    fleet = opened(jobs(work))
    assert rows(fleet.records, "boats.csv", "boat", "left_on") == [("Penny Wren", "2019-05-25")]
    assert fleet.lives.table["outcome"].tolist() == ["boat_left"]
    listed = plain("boats.csv", "boat|left_on\nPenny Wren|2019-06-01")
    fleet = opened(listed, jobs(work))
    assert fleet.lives.table["end_hi"].dt.strftime("%Y-%m-%d").tolist() == ["2019-06-01"]
    (finding,) = [one for one in told(fleet.records, "boat_left") if one.file == FILE]
    assert finding.remedy == "The list of boats says when, and ends its parts."


def test_names_in_lists_of_jobs_by_decision() -> None:
    decided = (Decision("name", found="Wren", read_as="Penny Wren"),)
    records = read(BOATS, jobs("J1|13/05/2016|Wren||bellows|fitted||||"), decided=decided)
    assert rows(records, "parts.csv", "boat") == [("Penny Wren",)]
