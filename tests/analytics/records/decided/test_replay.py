"""Decisions on the rows of a later export. Expected rows are worked out by hand."""

import copy
import random

from hypothesis import given
from hypothesis import strategies as st

from analytics.records.decided.decision import Decision, Decisions
from analytics.records.decided.replay import Replayed, Rows, apply, unmet

HEADER = ["Job", "Boat", "Fitted", "Note"]
ROWS: Rows = [
    (2, ["1", "Otter", "03/04/19", ""]),
    (3, ["2", "Zoë", "2018", "seal"]),
    (4, ["", "Total", "", "2 jobs"]),
    (5, ["3", "Otter", "2020", ""]),
]
FILE = "jobs-*.csv"
CELL = Decision(
    "cell", "03/04/19", "2019-04-03", field="Fitted", file=FILE, by="A", why="the yard's bill"
).of_row(HEADER, ROWS[0][1])
TOTAL = Decision("leave_out", file=FILE, by="A").of_row(HEADER, ROWS[2][1])
DECISIONS = Decisions((CELL, TOTAL))
AFTER: Rows = [(2, ["1", "Otter", "2019-04-03", ""]), ROWS[1], ROWS[3]]


def replay(
    decisions: Decisions, header: list[str] = HEADER, rows: Rows = ROWS, file: str = "jobs-10.csv"
) -> Replayed:
    before = copy.deepcopy(rows)
    replayed = apply(decisions, file, "", header, rows)
    assert rows == before, "the rows given were changed"
    assert len(replayed.rows) + len(replayed.left_out) == len(rows)
    assert all(finding.sort == "decided" for finding in replayed.findings)
    return replayed


def test_a_cell_and_a_row() -> None:
    replayed = replay(DECISIONS)
    assert replayed.rows == AFTER
    assert replayed.rows[1][1] is ROWS[1][1]
    assert list(replayed.left_out) == [4]
    assert replayed.met == {1, 2}
    left_out, read = replayed.findings
    assert (left_out.row, left_out.done, left_out.found) == (4, "ignored", "Total, 2 jobs")
    assert (read.row, read.field, read.found, read.done) == (2, "Fitted", "03/04/19", "noted")
    assert "decided by A: the yard's bill" in read.remedy
    assert "decision 1 of decisions.toml" in read.remedy
    assert unmet(DECISIONS, [replayed]) == []


@given(st.permutations(range(4)), st.permutations(range(4)))
def test_wherever_the_row_stands_and_however_the_columns_lie(
    rows: list[int], columns: list[int]
) -> None:
    def moved(these: Rows) -> Rows:
        return [(line, [cells[at] for at in columns]) for line, cells in these]

    replayed = replay(DECISIONS, [HEADER[at] for at in columns], moved([ROWS[at] for at in rows]))
    assert sorted(replayed.rows) == sorted(moved(AFTER))
    assert list(replayed.left_out) == [4]


def test_equal_rows_are_decided_together() -> None:
    twice = [*ROWS, (6, ROWS[0][1]), (7, [*ROWS[2][1], " "])]
    replayed = replay(DECISIONS, rows=twice)
    assert [line for line, cells in replayed.rows if "2019-04-03" in cells] == [2, 6]
    assert list(replayed.left_out) == [4, 7]
    assert [one.rows for one in replayed.findings] == [(4, 7), (2, 6)]


def test_another_file_or_sheet_is_left_alone() -> None:
    assert replay(DECISIONS, file="parts.csv").rows is ROWS
    assert apply(DECISIONS, "jobs-1.csv", "Jobs", HEADER, ROWS).rows is ROWS


def test_a_file_with_brackets_in_its_name() -> None:
    one = Decision("leave_out", file="jobs [old].csv", row_mark=TOTAL.row_mark)
    assert list(replay(Decisions((one,)), file="jobs [old].csv").left_out) == [4]


def test_a_row_that_has_changed_or_gone_is_told_once_for_all_files() -> None:
    changed = [(2, ["1", "Otter", "03/04/19", "now with a note"]), *ROWS[1:]]
    first, second = replay(DECISIONS, rows=changed), replay(DECISIONS, rows=ROWS[1:2])
    assert first.met == {2}
    (finding,) = unmet(DECISIONS, [first, second])
    assert (finding.file, finding.field, finding.found) == (FILE, "Fitted", "03/04/19")
    assert (finding.done, finding.sort) == ("noted", "decided")
    assert "decision 1" in finding.remedy
    assert unmet(DECISIONS, [replay(DECISIONS), second]) == []


def test_columns_that_came_or_went_since() -> None:
    header = ["Job", "Boat", "Fitted", "Price"]
    rows: Rows = [(line, [*cells[:3], "10"]) for line, cells in ROWS]
    replayed = replay(DECISIONS, header, rows)
    assert replayed.rows[0] == (2, ["1", "Otter", "2019-04-03", "10"])
    # Of the total line only its note told what it was, and that column is gone.
    assert replayed.met == {1}


def test_columns_that_went_leave_two_rows_alike() -> None:
    twin = [*ROWS, (6, ["9", "Otter", "03/04/19", ""])]
    rows: Rows = [(line, cells[1:]) for line, cells in twin]
    assert replay(Decisions((CELL,)), HEADER[1:], rows[:4]).rows[0][1][1] == "2019-04-03"
    # Both rows are the same now in every column, so the decision is about both.
    both = replay(Decisions((CELL,)), HEADER[1:], rows)
    assert [line for line, cells in both.rows if cells[1] == "2019-04-03"] == [2, 6]
    # With a new column that tells them apart, nobody knows which was meant.
    apart: Rows = [(line, [*cells, str(line)]) for line, cells in rows]
    assert replay(Decisions((CELL,)), [*HEADER[1:], "New"], apart).met == frozenset()


def test_the_column_of_a_cell_is_gone() -> None:
    rows: Rows = [(line, [*cells[:2], cells[3]]) for line, cells in ROWS]
    replayed = replay(Decisions((CELL,)), ["Job", "Boat", "Note"], rows)
    assert replayed.rows == rows
    (finding,) = replayed.findings
    assert (finding.row, finding.found) == (2, "no such column")


def test_a_cell_that_no_longer_holds_what_was_found() -> None:
    edited = Decisions((Decision(**{**vars(CELL), "found": "04/04/19"}),))
    replayed = replay(edited)
    assert replayed.rows == ROWS
    (finding,) = replayed.findings
    assert (finding.row, finding.found, finding.expected) == (2, "03/04/19", "'04/04/19'")


def test_a_blank_cell_of_a_short_row_is_filled() -> None:
    short: Rows = [(2, ["1", "Otter"])]
    one = Decision("cell", "", "x", field="Note", file=FILE).of_row(HEADER, short[0][1])
    assert replay(Decisions((one,)), rows=short).rows == [(2, ["1", "Otter", "", "x"])]


def test_the_later_of_two_decisions_about_a_cell_counts() -> None:
    later = Decision(**{**vars(CELL), "read_as": "2019-03-04"})
    replayed = replay(Decisions((CELL, later)))
    assert replayed.rows[0][1][2] == "2019-03-04"
    assert len(replayed.findings) == 1
    assert unmet(Decisions((CELL, later)), [replayed]) == []


def test_two_cells_of_one_row() -> None:
    other = Decision("cell", "", "seen", field="note", file=FILE).of_row(HEADER, ROWS[0][1])
    assert replay(Decisions((CELL, other))).rows[0][1] == ["1", "Otter", "2019-04-03", "seen"]


def test_a_cell_of_a_row_left_out_is_not_told() -> None:
    out = Decision("leave_out", file=FILE, row_mark=CELL.row_mark)
    replayed = replay(Decisions((CELL, out)))
    assert [one.done for one in replayed.findings] == ["ignored"]
    assert replayed.met == {1, 2}


@given(st.randoms(use_true_random=False))
def test_replaying_on_what_was_replayed_changes_nothing_more(chance: random.Random) -> None:
    rows = ROWS[:]
    chance.shuffle(rows)
    first = replay(DECISIONS, rows=rows)
    assert replay(DECISIONS, rows=first.rows).rows == first.rows
