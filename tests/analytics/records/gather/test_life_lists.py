"""Lists of lives with headers, words and dates of somebody's own."""

import pytest

from analytics.records.decided.decision import Decision
from analytics.records.findings import FleetError
from tests.analytics.records.mapped_folder import (
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
    "boat": "Vessel",
    "kind": "Item",
    "position": "Side",
    "fitted_on": "In",
    "removed_on": "Out",
    "reason": "Why",
}
FILE = "parts-2024.csv"
LIFE = ("boat", "position", "kind", "fitted_on", "removed_on", "reason")
ONE = "Penny Wren|shaft bellows||03/04/2016|25/04/2019|leaking badly"
TWINS = plain("boats.csv", "boat|shafts\nPenny Wren|1\nQuiet Otter|2")


def lives(text: str, **said: object):  # type: ignore[no-untyped-def]
    return export(FILE, "lives", COLUMNS, f"Vessel|Item|Side|In|Out|Why\n{text}", **said)


def test_rows_become_lives_with_their_sources() -> None:
    fleet = opened(
        TWINS,
        lives(f"""{ONE}
Penny Wren|shaft bellows||25/04/2019|still fitted|
Quiet Otter|cutless bearing|P|05/2017|2020|renewed by age
Quiet Otter|cutless bearing|both|2021||"""),
    )
    assert rows(fleet.records, "parts.csv", *LIFE) == [
        ("Penny Wren", "single", "bellows", "2016-04-03", "2019-04-25", "failed"),
        ("Penny Wren", "single", "bellows", "2019-04-25", "", ""),
        (
            *("Quiet Otter", "port", "cutless_bearing", "2017-05-01..2017-05-31"),
            *("2020-01-01..2020-12-31", "replaced_sound"),
        ),
        ("Quiet Otter", "port", "cutless_bearing", "2021-01-01..2021-12-31", "", ""),
        ("Quiet Otter", "starboard", "cutless_bearing", "2021-01-01..2021-12-31", "", ""),
    ]
    assert sources(fleet.records) == [f"{FILE}:{row}" for row in (2, 3, 4, 5, 5)]
    assert sorted(fleet.lives.table["source"]) == sources(fleet.records)
    assert counts(fleet.records, FILE) == {"rows_read": 4, "used": 4}
    assert fleet.reconciliation() == (
        f"4 rows of {FILE} read = 4 used + 0 merged + 0 rejected + 0 ignored; they make 5 lives"
    )


def test_both_sides_on_one_row_are_two_parts() -> None:
    records = read(
        TWINS,
        export(
            FILE,
            "lives",
            {**COLUMNS, "quantity": "Qty"},
            """Vessel|Item|Side|In|Out|Why|Qty
Quiet Otter|face seals port and stbd||25/05/2018|||1
Quiet Otter|lip seal||25/06/2018|||2
Penny Wren|lip seal||25/06/2018|||2""",
        ),
    )
    assert rows(records, "parts.csv", "boat", "position", "kind") == [
        ("Quiet Otter", "port", "face_seal"),
        ("Quiet Otter", "starboard", "face_seal"),
        ("Quiet Otter", "port", "lip_seal"),
        ("Quiet Otter", "starboard", "lip_seal"),
        ("Penny Wren", "single", "lip_seal"),
    ]
    (finding,) = told(records, "two_parts_one_row")
    assert (finding.file, finding.rows) == (FILE, (2, 3))


def test_a_side_that_nobody_gives_is_asked_for() -> None:
    records = read(TWINS, lives("Quiet Otter|lip seal||2018||\nPenny Wren|lip seal||2018||"))
    assert rows(records, "parts.csv", "boat", "position") == [("Penny Wren", "single")]
    assert counts(records, FILE) == {"rows_read": 2, "used": 1, "rejected": 1}
    assert records.rejected[["file", "row", "cells"]].to_numpy().tolist() == [
        [FILE, 2, "Quiet Otter,lip seal,,2018,,"]
    ]


def test_two_rows_alike_without_a_side_are_one_on_each() -> None:
    pair = "Quiet Otter|face seal||25/05/2018|25/05/2020|leaking\n" * 2
    records = read(TWINS, lives(pair.strip()))
    assert rows(records, "parts.csv", "position") == [("port",), ("starboard",)]
    assert sources(records) == [f"{FILE}:2", f"{FILE}:3"]
    # Three alike say nothing of sides.
    three = pair + "Quiet Otter|face seal||25/05/2018|25/05/2020|leaking"
    assert counts(read(TWINS, lives(three)), FILE) == {"rows_read": 3, "rejected": 3}


@pytest.mark.parametrize(("header", "field"), [("Serial", "serial"), ("Job", "job")])
def test_two_rows_of_one_serial_or_job_are_one_part_entered_twice(header: str, field: str) -> None:
    def read_with(first: str, second: str):  # type: ignore[no-untyped-def]
        row = "Quiet Otter|face seal||25/05/2018|25/05/2020|leaking"
        text = f"Vessel|Item|Side|In|Out|Why|{header}\n{row}|{first}\n{row}|{second}"
        return read(TWINS, export(FILE, "lives", {**COLUMNS, field: header}, text))

    assert counts(read_with("A1", "A1"), FILE) == {"rows_read": 2, "rejected": 2}
    for marks in (("A1", "A2"), ("", "")):
        records = read_with(*marks)
        assert rows(records, "parts.csv", "position") == [("port",), ("starboard",)]


def test_worn_without_a_reason_is_not_said_to_count_as_sound() -> None:
    known = "Penny Wren|lip seal||03/04/2016|25/04/2019|worn, renewed by age"
    records = read(
        TWINS, lives(f"Penny Wren|bellows||03/04/2016|25/04/2019|no leak, worn\n{known}")
    )
    assert rows(records, "parts.csv", "reason") == [("unknown",), ("replaced_sound",)]
    assert [one.rows for one in told(records, "reason_missing")] == [(2,)]
    assert {one.rows for one in told(records, "cause_in_free_text")} == {(3,)}


def test_sides_by_number_wait_for_the_mapping() -> None:
    numbered = "Quiet Otter|lip seal|1|25/05/2018||\nQuiet Otter|lip seal|Eng 2|25/05/2018||"
    records = read(TWINS, lives(numbered))
    assert counts(records, FILE) == {"rows_read": 2, "rejected": 2}
    assert {one.sort for one in records.findings if one.done == "rejected"} == {"side_by_number"}
    said = {"position": {"1": "starboard", "eng 2": "port"}}
    records = read(TWINS, lives(numbered, words=said))
    assert rows(records, "parts.csv", "position") == [("starboard",), ("port",)]


def test_the_words_of_the_mapping_come_before_the_lists_and_decisions_before_both() -> None:
    text = f"{ONE}\nPenny Wren|zz||25/04/2019||"
    said = {"reason": {"Leaking Badly": "accident"}, "kind": {"zz": "lip_seal"}}
    records = read(TWINS, lives(text, words=said))
    assert rows(records, "parts.csv", "kind", "reason") == [
        ("bellows", "accident"),
        ("lip_seal", ""),
    ]
    decided = (
        Decision("word", field="reason", found="leaking badly", read_as="other_work"),
        Decision("word", field="kind", found="zz", read_as="face_seal"),
    )
    records = read(TWINS, lives(text, words=said), decided=decided)
    assert rows(records, "parts.csv", "kind", "reason") == [
        ("bellows", "other_work"),
        ("face_seal", ""),
    ]


def test_what_is_none_of_a_shafts_parts_stays_out() -> None:
    text = (
        f"{ONE}\nPenny Wren|exhaust bellows||2018||\nPenny Wren|zz||2018||\nPenny Wren|seal||2018||"
    )
    records = read(TWINS, lives(text, words={"kind": {"zz": "none"}}))
    assert counts(records, FILE) == {"rows_read": 4, "used": 1, "rejected": 3}
    sorts = {one.row: one.sort for one in records.findings if one.done == "rejected"}
    assert sorts == {3: "other_kind_of_part", 4: "other_kind_of_part", 5: "words_unknown"}


def test_a_no_before_the_word_is_heard() -> None:
    text = """Penny Wren|bellows||03/04/2016|25/04/2019|no leak, due by age
Penny Wren|lip seal||03/04/2016|25/04/2019|not leaking"""
    records = read(TWINS, lives(text))
    assert rows(records, "parts.csv", "reason") == [("replaced_sound",), ("unknown",)]
    assert [one.rows for one in told(records, "negated_words")] == [(2,), (3,)]


def test_decisions_are_replayed_on_the_rows_as_they_stand() -> None:
    header = ["Vessel", "Item", "Side", "In", "Out", "Why"]
    cells = ONE.split("|")
    other = ["Penny Wren", "lip seal", "", "2018", "", ""]
    text = "\n".join([ONE, "|".join(other), "Peny Wren|face seal||2019||"])
    decided = (
        Decision(
            "cell", file="parts-*.csv", field="Out", found="25/04/2019", read_as="26/04/2019"
        ).of_row(header, cells),
        Decision("leave_out", file=FILE, why="never fitted").of_row(header, other),
        Decision("name", found="Peny Wren", read_as="Penny Wren"),
    )
    records = read(TWINS, lives(text), decided=decided)
    assert rows(records, "parts.csv", "kind", "removed_on") == [
        ("bellows", "2019-04-26"),
        ("face_seal", ""),
    ]
    assert counts(records, FILE) == {"rows_read": 3, "used": 2, "ignored": 1}
    assert "never fitted" in records.exports[-1].fates[3][1].remedy


def test_titles_totals_blanks_and_the_header_again_are_no_records() -> None:
    text = f"""Parts of all bases, printed 1 May 2024|||||
|||||
Vessel|Item|Side|In|Out|Why
{ONE}
||||||
Vessel|Item|Side|In|Out|Why
TOTAL||||1|"""
    table = export(
        FILE, "lives", COLUMNS, text, headers=("Vessel", "Item", "Side", "In", "Out", "Why")
    )
    records = read(TWINS, table)
    assert sources(records) == [f"{FILE}:4"]
    assert counts(records, FILE) == {"rows_read": 4, "used": 1, "ignored": 3}
    assert {one.row for one in told(records, "totals_and_titles")} >= {1, 6, 7}


def test_a_header_that_is_gone_is_named_with_its_likely_heir() -> None:
    renamed = lives(ONE)
    changed = export(
        FILE,
        "lives",
        COLUMNS,
        ONE.join(["Vessel|Item|Side|In|Out|Reason\n", ""]),
        headers=renamed.source.headers,
    )
    with pytest.raises(FleetError) as stopped:
        read(TWINS, changed)
    (finding,) = stopped.value.findings
    assert (finding.file, finding.row, finding.field, finding.sort) == (
        FILE,
        1,
        "Why",
        "header_changed",
    )
    assert "'Reason' may be its new name" in finding.remedy


def test_a_new_header_is_told_of_and_not_read() -> None:
    more = export(
        FILE,
        "lives",
        COLUMNS,
        f"Yard|Vessel|Item|Side|In|Out|Why\nTarn Yard|{ONE}",
        headers=("Vessel", "Item", "Side", "In", "Out", "Why"),
    )
    records = read(TWINS, more)
    assert counts(records, FILE) == {"rows_read": 1, "used": 1}
    (finding,) = told(records, "header_changed")
    assert (finding.found, finding.done) == ("Yard", "noted")


def test_fixed_texts_stand_for_every_row() -> None:
    columns = {"boat": "Vessel", "fitted_on": "In"}
    fixed = {
        "kind": "shaft bellows",
        "position": "single",
        "removed_on": "spring 2020",
        "reason": "due by age",
    }
    text = "Vessel|In\nPenny Wren|25/04/2017\nTin Lantern|25/04/2018"
    records = read(export(FILE, "lives", columns, text, fixed=fixed))
    assert rows(records, "parts.csv", *LIFE) == [
        (boat, "single", "bellows", f"{year}-04-25", "2020-03-01..2020-05-31", "replaced_sound")
        for boat, year in (("Penny Wren", 2017), ("Tin Lantern", 2018))
    ]


def test_a_fixed_text_that_cannot_be_read_is_said_of_the_mapping() -> None:
    columns = {"boat": "Vessel", "fitted_on": "In"}
    text = "Vessel|In\nPenny Wren|25/04/2017"
    records = read(TWINS, export(FILE, "lives", columns, text, fixed={"kind": "zz"}))
    assert counts(records, FILE) == {"rows_read": 1, "rejected": 1}
    (finding,) = [one for one in records.findings if one.file == "mapping.toml"]
    assert (finding.row, finding.field, finding.found) == (None, "fixed.kind", "zz")


def test_the_file_decides_the_order_of_day_and_month() -> None:
    open_, decides = "Penny Wren|bellows||03/04/2016||", "Penny Wren|lip seal||04/25/2017||"
    assert rows(read(TWINS, lives(f"{open_}\n{decides}")), "parts.csv", "fitted_on") == [
        ("2016-03-04",),
        ("2017-04-25",),
    ]
    # Nothing decides: both readings are kept, until somebody says.
    records = read(TWINS, lives(open_))
    assert rows(records, "parts.csv", "fitted_on") == [("2016-03-04..2016-04-03",)]
    assert [one.done for one in told(records, "day_month_order")] == ["assumed"]
    records = read(TWINS, lives(open_, order="day"))
    assert rows(records, "parts.csv", "fitted_on") == [("2016-04-03",)]


def test_an_invoice_says_the_fitting_was_before_the_next_launch() -> None:
    columns = {**COLUMNS, "invoice_on": "Invoiced"}
    text = """Vessel|Item|Side|In|Out|Why|Invoiced
Penny Wren|bellows|||||13/02/2018
Penny Wren|lip seal|||||20/07/2018
Penny Wren|face seal||25/02/2018|||13/02/2018"""
    lifts = plain(
        "lifts.csv",
        "boat|lifted_on|launched_on\nPenny Wren|2017-11-03|2018-04-10\n"
        "Penny Wren|2018-11-03|2019-04-10",
    )
    records = read(TWINS, lifts, export(FILE, "lives", columns, text))
    # Half a year is the most where no launch followed by then (common practice, no source).
    assert rows(records, "parts.csv", "kind", "fitted_on") == [
        ("bellows", "2018-02-13..2018-04-10"),
        ("lip_seal", "2018-07-20..2019-01-19"),
        ("face_seal", "2018-02-25"),
    ]
    (finding,) = told(records, "invoice_date")
    assert (finding.rows, finding.done) == ((2, 3), "assumed")


def test_first_parts_are_as_old_as_the_boat_where_the_mapping_or_the_row_says_so() -> None:
    boats = plain("boats.csv", "boat|built_on\nPenny Wren|2012\nTin Lantern|")
    text = """Penny Wren|bellows|||25/04/2019|leaking
Penny Wren|bellows||25/04/2019||
Penny Wren|lip seal||25/04/2016|25/04/2019|leaking
Penny Wren|lip seal||||
Penny Wren|face seal||original||
Tin Lantern|bellows|||25/04/2019|leaking"""
    fitted = rows(read(boats, lives(text)), "parts.csv", "fitted_on")
    assert fitted == [("",), ("2019-04-25",), ("2016-04-25",), ("",), (_2012,), ("",)]
    records = read(boats, lives(text, as_built=True))
    assert rows(records, "parts.csv", "fitted_on") == [
        (_2012,), ("2019-04-25",), ("2016-04-25",), ("",), (_2012,), ("",)
    ]  # fmt: skip
    (finding,) = [one for one in told(records, "fit_assumed_as_built") if one.field == "fitted_on"]
    assert (finding.file, finding.rows) == (FILE, (2, 6))


_2012 = "2012-01-01..2012-12-31"


def test_a_name_shared_or_changed_is_settled_by_hull_number_and_date() -> None:
    boats = plain(
        "boats.csv",
        "boat|hull_no|was_named|renamed_on\nPenny Wren|H1|Tin Lantern|2018-06-01\n"
        "Swift|H3||\nSwift|H4||",
    )
    columns = {**COLUMNS, "hull_no": "Hull"}
    text = """Vessel|Item|Side|In|Out|Why|Hull
Tin Lantern|bellows||25/04/2016|25/04/2017|leaking|
|lip seal||25/04/2016|||H1
Swift|bellows||25/04/2016|||
Swift|bellows||25/04/2016|||H4
swift (h3)|bellows||25/04/2016|||"""
    records = read(boats, export(FILE, "lives", columns, text))
    assert rows(records, "parts.csv", "boat", "kind") == [
        ("Penny Wren", "bellows"),
        ("Penny Wren", "lip_seal"),
        ("Swift (H4)", "bellows"),
        ("Swift (H3)", "bellows"),
    ]
    assert counts(records, FILE) == {"rows_read": 5, "used": 4, "rejected": 1}
    assert [one.found for one in told(records, "boat_renamed")] == ["Tin Lantern"]


def test_boats_come_from_the_rows_where_no_list_has_them() -> None:
    columns = {**COLUMNS, "base": "Base", "built_on": "Built"}
    text = """Vessel|Item|Side|In|Out|Why|Base|Built
Penny Wren|bellows||25/04/2016|||North Quay|2012
Quiet Otter|bellows|P|25/04/2016||||
Quiet Otter|bellows|S|25/04/2016|||East Base|
|bellows||25/04/2016||||"""
    records = read(export(FILE, "lives", columns, text))
    assert rows(records, "boats.csv", "boat", "base", "built_on") == [
        ("Penny Wren", "North Quay", _2012),
        ("Quiet Otter", "East Base", ""),
    ]
    assert counts(records, FILE) == {"rows_read": 4, "used": 3, "rejected": 1}
    assert [one.done for one in told(records, "boats_from_parts")] == ["assumed"]


def test_a_row_is_not_used_only_because_it_names_a_boat() -> None:
    text = "Penny Wren|zz||25/04/2016||\nPenny Wren|bellows||25/04/2016||"
    assert counts(read(lives(text)), FILE) == {"rows_read": 2, "used": 1, "rejected": 1}


def test_plain_and_mapped_lists_stand_beside_each_other() -> None:
    own = plain(
        "parts.csv",
        "boat|position|kind|fitted_on|removed_on|reason\nQuiet Otter|port|bellows|2016-05-01||\n"
        "Penny Wren||bellows|2016-04-03|2019-04-25|failed",
    )
    fleet = opened(TWINS, own, lives(f"{ONE}\nPenny Wren|lip seal||2018||"))
    assert sorted(fleet.lives.table["source"]) == [
        "parts-2024.csv:2", "parts-2024.csv:3", "parts.csv:2"
    ]  # fmt: skip
    assert counts(fleet.records, "parts.csv") == {"rows_read": 2, "used": 1, "merged": 1}
    assert fleet.reconciliation().startswith(
        "4 rows about parts in 2 files and sheets read = 3 used + 1 merged"
    )


def test_two_monthly_exports_are_one_list_and_the_newer_stands() -> None:
    may = export(
        "parts-2024-05.csv",
        "lives",
        COLUMNS,
        f"Vessel|Item|Side|In|Out|Why\n{ONE}\nPenny Wren|lip seal||20/04/2016||\n"
        "Penny Wren|face seal||20/04/2016||",
        pattern="parts-*.csv",
    )
    june = export(
        "parts-2024-06.csv",
        "lives",
        COLUMNS,
        f"Vessel|Item|Side|In|Out|Why\n{ONE}\nPenny Wren|lip seal||20/04/2016|20/06/2024|leaking",
        pattern="parts-*.csv",
    )
    records = read(TWINS, may, june)
    assert sources(records) == [
        "parts-2024-06.csv:2", "parts-2024-06.csv:3", "parts-2024-05.csv:4"
    ]  # fmt: skip
    assert rows(records, "parts.csv", "kind", "reason") == [
        ("bellows", "failed"), ("lip_seal", "failed"), ("face_seal", "")
    ]  # fmt: skip
    assert counts(records, "parts-2024-05.csv") == {"rows_read": 3, "used": 1, "merged": 2}
    assert [one.rows for one in told(records, "row_again")] == [(2, 3)]


def test_nothing_but_headers_is_no_fleet() -> None:
    with pytest.raises(FleetError):
        read(export(FILE, "lives", COLUMNS, "Vessel|Item|Side|In|Out|Why"), settings="")
