"""`decisions.toml`. Outside check: tomllib, the standard library's reader of TOML 1.0."""

import tomllib
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from analytics.records.decided import toml_text
from analytics.records.decided.decision import Decision, Decisions, Unread
from analytics.records.decided.document import FILE, decisions_text, read_decisions
from analytics.records.findings import FleetError

NASTY = st.text(max_size=12) | st.sampled_from(
    [
        '"""',
        "'''",
        "\\",
        "\\u0000",
        "\x00\x07\x1f\x7f",
        "\r\n",
        "\u2028\u202e",
        "# [[decision]]",
        "🛥",
    ]
)
SAID = NASTY.filter(lambda text: bool(text.strip()))
MARKS = st.text("0123456789abcdef", min_size=16, max_size=16)
CELLS = st.lists(st.tuples(NASTY, NASTY), max_size=3).map(tuple)
REST = {
    "by": NASTY,
    "on": st.none() | st.dates(date(1950, 1, 1), date(2100, 12, 31)),
    "why": NASTY,
}
ROW = {"file": SAID, "sheet": NASTY, "row_mark": MARKS, "cells": CELLS}
ONE = st.one_of(
    st.builds(Decision, what=st.just("name"), found=SAID, read_as=SAID, **REST),
    st.builds(
        Decision,
        what=st.just("word"),
        field=st.sampled_from(["reason", "kind"]),
        found=SAID,
        read_as=SAID,
        **REST,
    ),
    st.builds(
        Decision, what=st.just("cell"), field=SAID, found=NASTY, read_as=NASTY, **ROW, **REST
    ),
    st.builds(Decision, what=st.just("leave_out"), **ROW, **REST),
    st.builds(
        Decision, what=st.just("keep"), sort=st.just("short_year"), found=NASTY, **ROW, **REST
    ),
)


@given(st.lists(ONE, max_size=4))
def test_what_is_written_is_read_again(ones: list[Decision]) -> None:
    decisions = Decisions()
    for one in ones:
        decisions = decisions.with_(one)
    text = decisions_text(decisions)
    assert read_decisions(text) == (decisions, [])
    assert decisions_text(read_decisions(text)[0]) == text


VALUES = st.recursive(
    NASTY
    | st.booleans()
    | st.integers()
    | st.integers(-(10**80), 10**80)
    | st.floats(allow_nan=False)
    | st.dates()
    | st.times()
    | st.datetimes(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(NASTY, inner, max_size=3),
    max_leaves=8,
)


@given(st.dictionaries(NASTY, VALUES, max_size=4))
def test_any_table_is_read_again_by_the_standard_library(table: dict[str, object]) -> None:
    assert tomllib.loads(toml_text.lines(table)) == table


def test_a_number_too_long_for_python_to_print() -> None:
    text = f"a = 0x{'f' * 5000}\n"
    assert toml_text.lines(tomllib.loads(text)) == text


def test_what_cannot_be_seen_is_written_as_an_escape() -> None:
    assert toml_text.quoted('a"\\\n\x00\u202e\ud800é') == '"a\\"\\\\\\n\\u0000\\u202E\ufffdé"'


def read_one(*lines: str) -> tuple[Decisions, list[tuple[str, str]]]:
    decisions, findings = read_decisions("[[decision]]\n" + "\n".join(lines))
    assert all(one.file == FILE and one.sort == "decided" and one.remedy for one in findings)
    return decisions, [(one.field, one.found) for one in findings]


@pytest.mark.parametrize(
    ("lines", "field", "found"),
    [
        (['what = "nmae"'], "decision 1, what", "nmae"),
        (['found = "a"'], "decision 1, what", ""),
        (['what = "name"', 'found = "Oter"'], "decision 1, read_as", ""),
        (['what = "name"', 'found = " "', 'read_as = "Otter"'], "decision 1, found", " "),
        (['what = "name"', "found = 3", 'read_as = "Otter"'], "decision 1, found", "3"),
        (['what = "name"', 'reed_as = "Otter"'], "decision 1, reed_as", "Otter"),
        (
            ['what = "word"', 'field = "colour"', 'found = "x"', 'read_as = "y"'],
            "decision 1, field",
            "colour",
        ),
        (['what = "leave_out"', 'file = "a.csv"'], "decision 1, row_mark", ""),
        (
            ['what = "leave_out"', 'file = "a.csv"', 'row_mark = "12"'],
            "decision 1, row_mark",
            "12",
        ),
        (
            ['what = "leave_out"', 'file = "a.csv"', 'cells = [["a"]]'],
            "decision 1, cells",
            "[['a']]",
        ),
        (['what = "keep"', 'file = "a.csv"', 'sort = "odd"'], "decision 1, sort", "odd"),
        (['what = "keep"', 'on = "yesterday"'], "decision 1, on", "yesterday"),
        (['what = "keep"', "on = 2999-01-01"], "decision 1, on", "2999-01-01"),
    ],
)
def test_a_wrong_entry_is_passed_over_and_kept(lines: list[str], field: str, found: str) -> None:
    decisions, findings = read_one(
        *lines, "[[decision]]", 'what = "name"', 'found = "Oter"', 'read_as = "Otter"'
    )
    assert findings == [(field, found)]
    assert dict(decisions.names) == {"oter": "Otter"}
    assert [number for number, _ in decisions.numbered()] == [2]
    again = decisions.with_(Decision("name", "Zoe", "Zoë"))
    entries = tomllib.loads(decisions_text(again))["decision"]
    assert entries[0] == tomllib.loads("\n".join(lines))
    assert [one["found"] for one in entries[1:]] == ["Oter", "Zoe"]


def test_a_row_may_be_named_by_its_cells_alone() -> None:
    decisions, findings = read_one(
        'what = "leave_out"', 'file = "a.csv"', 'cells = [["Boat", "Otter"], ["Note", ""]]'
    )
    assert findings == []
    whole = Decision("leave_out", file="a.csv").of_row(["Boat", "Note"], ["Otter"])
    assert list(decisions) == [whole]


@pytest.mark.parametrize("text", ["[[decision", "a = 1" + "0" * 5000, "a = " + "[" * 5000, "\x00"])
def test_a_file_that_is_no_toml_is_never_written_over(text: str) -> None:
    decisions, (finding,) = read_decisions(text)
    assert (len(decisions), finding.done, finding.file) == (0, "ignored", FILE)
    with pytest.raises(FleetError, match="no TOML"):
        decisions_text(decisions.with_(Decision("name", "a", "b")))


@pytest.mark.parametrize(
    "text", ['decision = "x"', "decision = [1, [2]]", 'other = 1\n[decision]\nwhat = "keep"']
)
def test_other_shapes_give_findings(text: str) -> None:
    decisions, findings = read_decisions(text)
    assert len(decisions) == 0
    assert findings
    tomllib.loads(decisions_text(decisions))


@given(st.text(max_size=40) | st.text('[]"=\n decision', max_size=40))
def test_no_text_stops_the_reading(text: str) -> None:
    read_decisions(text)


def test_no_file() -> None:
    assert read_decisions(None) == (Decisions(), [])


def test_two_entries_about_one_question() -> None:
    decisions, findings = read_one(
        'what = "name"',
        'found = "OTER"',
        'read_as = "Zoë"',
        "[[decision]]",
        'what = "name"',
        'found = "oter "',
        'read_as = "Otter"',
    )
    assert findings == [("decision 1", "OTER")]
    assert decisions.names["Oter"] == "Otter"


def test_the_same_question_decided_again_replaces_the_older() -> None:
    first = Decision("name", "Oter", "Zoë", by="A")
    decisions = Decisions((Unread('what = "?"\n'),)).with_(first).with_(Decision("name", "x", "y"))
    again = decisions.with_(Decision("name", " oter", "Otter", by="B"))
    assert [one.found for one in again] == ["x", " oter"]
    assert len(again.entries) == 3
    assert again.names["OTER"] == "Otter"
    assert "zoë" not in again.names


def test_without_takes_the_one_of_this_number() -> None:
    decisions = Decisions().with_(Decision("name", "a", "b")).with_(Decision("name", "c", "d"))
    assert [one.found for one in decisions.without(1)] == ["c"]
    for number in (0, 3):
        with pytest.raises(IndexError):
            decisions.without(number)


def test_words_belong_to_their_field() -> None:
    decisions = Decisions().with_(Decision("word", "LK", "failed", field="reason"))
    assert decisions.words("reason").get("lk ") == "failed"
    assert "lk" not in decisions.words("kind")


def test_what_is_kept_as_it_stands() -> None:
    group = Decision("keep", sort="zero_life", file="jobs-*.csv")
    row = Decision("keep", sort="short_year", file="jobs-*.csv", row_mark="0" * 16)
    text = Decision("keep", sort="year_only", file="jobs-*.csv", found="2014")
    decisions = Decisions((group, row, text))
    file = "exports/Jobs-2026-11.csv"
    assert decisions.kept("zero_life", file, found="x", row_mark="1" * 16) is group
    assert decisions.kept("short_year", file, row_mark="0" * 16) is row
    assert decisions.kept("short_year", file, row_mark="1" * 16) is None
    assert decisions.kept("short_year", file) is None
    assert decisions.kept("year_only", file, found=" 2014") is text
    assert decisions.kept("year_only", file, found="2015") is None
    assert decisions.kept("zero_life", "parts.csv") is None
    assert decisions.kept("zero_life", file, "Jobs") is None
