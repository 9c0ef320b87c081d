"""mapping.toml: written and read back, wrong entries, and headers that have changed."""

from __future__ import annotations

import tomllib
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from analytics.records.findings import FleetError
from analytics.records.mapping.document import (
    HeaderChange,
    changed_headers,
    mapping_text,
    read_mapping,
)
from analytics.records.mapping.fields import SHAPES
from analytics.records.mapping.meanings import meanings
from analytics.records.mapping.model import FleetMapping, SourceMapping

NASTY = st.one_of(
    st.text(min_size=1, max_size=12),
    st.text(alphabet="\"'\\\n\r\t\x00\x7f\u2028#=[]{}\u00e9\U0001f6a4 ", min_size=1, max_size=12),
)


@st.composite
def sources(draw: st.DrawFn) -> SourceMapping:
    shape = draw(st.sampled_from([*SHAPES, "leave"]))
    fields = SHAPES[shape].by_name if shape in SHAPES else {}
    names = draw(st.lists(st.sampled_from(sorted(fields)), unique=True)) if fields else []
    cut = draw(st.integers(0, len(names)))
    words = {}
    for name in names:
        allowed = meanings(fields[name].holds)
        means = NASTY if allowed is None else st.sampled_from([*allowed, ""])
        if said := draw(st.dictionaries(st.one_of(NASTY, st.just("")), means, max_size=3)):
            words[name] = said
    return SourceMapping(
        draw(NASTY),
        shape,
        sheet=draw(st.one_of(st.just(""), NASTY)),
        headers=tuple(draw(st.lists(NASTY, max_size=4))),
        columns={name: draw(NASTY) for name in names[:cut]},
        fixed={name: draw(NASTY) for name in names[cut:]},
        words=words,
        order=draw(st.sampled_from(["day", "month", "year", ""])),
        origin=draw(st.one_of(st.none(), st.dates())),
        as_built=draw(st.booleans()),
    )


@given(st.lists(sources(), max_size=3))
def test_what_is_written_is_read_back(given_sources):
    mapping = FleetMapping(tuple(given_sources))
    read, findings = read_mapping(mapping_text(mapping))
    assert read == mapping
    assert findings == []


@given(sources())
def test_the_text_does_not_depend_on_the_order_of_entries(source):
    turned = SourceMapping(
        source.file,
        source.shape,
        source.sheet,
        source.headers,
        dict(reversed(source.columns.items())),
        dict(reversed(source.fixed.items())),
        {name: dict(reversed(said.items())) for name, said in reversed(source.words.items())},
        source.order,
        source.origin,
        source.as_built,
    )
    assert mapping_text(FleetMapping((turned,))) == mapping_text(FleetMapping((source,)))


def test_no_file_is_no_mapping_and_nothing_to_tell():
    assert read_mapping(None) == (FleetMapping(), [])


@pytest.mark.parametrize(
    ("text", "row"),
    [('[[sources]]\nfile = "a.csv', 2), ("x = " + "[" * 5000, None), ("n = " + "9" * 5000, None)],
)
def test_a_broken_file_stops_with_its_line(text, row):
    with pytest.raises(FleetError) as raised:
        read_mapping(text)
    (finding,) = raised.value.findings
    assert (finding.file, finding.done) == ("mapping.toml", "stopped")
    assert row is None or finding.row == row


WRONG = """
title = "mine"

[[sources]]
file = "jobs.csv"
shape = "events"
order = "dya"
origin = 1904-01-01T00:00:00
colour = "red"
[sources.columns]
boat = "Vessel"
boot = "Yacht"
on = 3
[sources.fixed]
boat = "Wren"
kind = "bellows"
[sources.words.reason]
"R1" = "failed"
"R2" = "broken"
[sources.words.kind]
"X" = "flax_packing"

[[sources]]
shape = "lives"

[[sources]]
file = "x.csv"
shape = "wheels"
"""


def test_wrong_entries_are_told_and_the_rest_is_read():
    mapping, findings = read_mapping(WRONG)
    (source,) = mapping
    assert source == SourceMapping(
        "jobs.csv",
        "events",
        columns={"boat": "Vessel"},
        fixed={"kind": "bellows"},
        words={"reason": {"R1": "failed"}, "kind": {"X": "flax_packing"}},
    )
    told = {one.field: one for one in findings}
    assert set(told) == {
        "title",
        "sources 1.order",
        "sources 1.origin",
        "sources 1.colour",
        "sources 1.columns.boot",
        "sources 1.columns.on",
        "sources 1.fixed.boat",
        "sources 1.words.reason.R2",
        "sources 2.file",
        "sources 3.shape",
    }
    assert all(one.file == "mapping.toml" and one.done == "ignored" for one in findings)
    assert all(one.expected and one.remedy for one in findings)
    assert "'boat'" in told["sources 1.columns.boot"].remedy
    assert "replaced_sound" in told["sources 1.words.reason.R2"].expected


@given(
    st.recursive(
        st.one_of(st.text(max_size=5), st.integers(), st.booleans(), st.dates()),
        lambda inner: st.one_of(
            st.lists(inner, max_size=3),
            st.dictionaries(
                st.sampled_from(["file", "shape", "columns", "words", "kind", "headers", "lives"]),
                inner,
                max_size=4,
            ),
        ),
        max_leaves=12,
    )
)
def test_no_toml_raises(value):
    text = f"sources = {_toml(value)}"
    assert "sources" in tomllib.loads(text)
    mapping, _ = read_mapping(text)
    assert all(isinstance(source, SourceMapping) for source in mapping)


def _toml(value: object) -> str:
    match value:
        case bool():
            return str(value).lower()
        case str():
            return '"' + "".join(f"\\U{ord(mark):08x}" for mark in value) + '"'
        case list():
            return "[" + ", ".join(map(_toml, value)) + "]"
        case dict():
            return "{" + ", ".join(f"{key} = {_toml(one)}" for key, one in value.items()) + "}"
        case _:
            return str(value)


SOURCE = SourceMapping(
    "jobs.csv",
    "events",
    headers=("Vessel", "Part", "Date", "Colour"),
    columns={"boat": "Vessel", "kind": "Part", "on": "Date"},
)


def test_the_same_headers_are_no_change():
    assert changed_headers(SOURCE, ["Date", "VESSEL", "Part ", "Colour"]) == HeaderChange()


def test_a_header_gone_is_told_with_the_nearest_new_one():
    change = changed_headers(SOURCE, ["Yacht", "Parts", "Weather", "Colour", "column 5"])
    # Yacht means what Vessel did; no new header is like Date.
    assert change.missing == {"Vessel": "Yacht", "Part": "Parts", "Date": ""}
    assert change.new == ("Yacht", "Parts", "Weather")


def test_a_column_that_is_not_read_may_go():
    assert changed_headers(SOURCE, ["Vessel", "Part", "Date"]) == HeaderChange()


def test_without_the_headers_as_they_were_none_is_new():
    by_hand = SourceMapping("jobs.csv", "events", columns={"boat": "Vessel"})
    assert changed_headers(by_hand, ["Vessel", "Part"]) == HeaderChange()
    assert changed_headers(by_hand, ["Vesel", "Part"]).missing == {"Vessel": "Vesel"}


def test_a_day_from_which_dates_count_may_be_before_all_records():
    mapping, findings = read_mapping('[[sources]]\nfile="a"\nshape="lives"\norigin = 1899-12-30')
    assert findings == []
    assert next(iter(mapping)).origin == date(1899, 12, 30)
