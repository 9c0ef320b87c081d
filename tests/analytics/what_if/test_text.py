"""Changes as a file and as a link: there and back, and whatever else somebody puts in."""

import base64
import json
import tomllib
import zlib
from datetime import date
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from analytics.what_if.changes import Added, Changes, Factors, Limits, NewSeason, Sold
from analytics.what_if.text import (
    LONGEST_LINK,
    changes_text,
    link_text,
    read_changes,
    read_link,
)
from tests.analytics.what_if.some_changes import changes


@settings(max_examples=30)
@given(changes)
def test_a_file_gives_back_what_was_written(some: Changes) -> None:
    assert read_changes(changes_text(some)) == (some, [])


@settings(max_examples=30)
@given(changes)
def test_a_link_gives_back_what_was_packed(some: Changes) -> None:
    link = link_text(some)
    assert len(link) <= LONGEST_LINK
    assert link.isascii()
    assert set(link) <= set("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_.")
    if link:
        assert read_link(link) == (some, [])


@given(st.text(max_size=300))
def test_any_text_as_a_link_or_a_file_is_a_sentence_at_the_worst(text: str) -> None:
    for read in (read_link, read_changes):
        some, findings = read(text)
        assert findings or some == Changes(name=some.name)
        for finding in findings:
            assert finding.expected
            assert finding.remedy


@settings(max_examples=30)
@given(changes, st.data())
def test_a_link_that_was_cut_or_altered_is_never_read_as_another(
    some: Changes, data: st.DataObject
) -> None:
    # The packing ends with a checksum (Adler-32, RFC 1950), which one changed letter always fails.
    link = link_text(some)
    if not link:
        return
    at = data.draw(st.integers(2, len(link) - 1))
    cut, findings = read_link(link[:at])
    assert findings
    assert cut == Changes()
    other = "A" if link[at] != "A" else "B"
    altered, findings = read_link(link[:at] + other + link[at + 1 :])
    # The last letter may hold bits that mean nothing.
    assert findings or altered == some


json_values: Any = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=True) | st.text(max_size=8),
    lambda inside: (
        st.lists(inside, max_size=3)
        | st.dictionaries(
            st.sampled_from(["all", "boats", "bases", "kinds", "age", "boat", "on", "like", "x"]),
            inside,
            max_size=3,
        )
    ),
    max_leaves=8,
)


@given(
    st.dictionaries(
        st.sampled_from(
            [
                "name",
                "seasons_ahead",
                "limits",
                "season",
                "hours",
                "prices",
                "rates",
                "sold",
                "added",
            ]
        ),
        json_values,
        max_size=5,
    )
)
def test_a_well_packed_link_of_nonsense_is_sentences(tree: dict[str, Any]) -> None:
    packed = zlib.compress(json.dumps({"what_if": 1, **tree}).encode())
    text = "1." + base64.urlsafe_b64encode(packed).decode().rstrip("=")
    some, findings = read_link(text)
    # What is taken is right, so that it can be written and read again.
    assert read_changes(changes_text(some))[1] == []
    assert all(one.expected for one in findings)


def test_a_link_that_unpacks_to_very_much_is_refused() -> None:
    bomb = b'{"what_if":1,"name":"' + b"a" * 50_000_000 + b'"}'
    text = "1." + base64.urlsafe_b64encode(zlib.compress(bomb, 9)).decode().rstrip("=")
    found = read_link(text)[1]
    assert len(found) == 1
    assert "letters at most" in found[0].expected
    small = b'{"what_if":1,"name":"' + b"a" * 1_000_000 + b'"}'
    text = "1." + base64.urlsafe_b64encode(zlib.compress(small, 9)).decode().rstrip("=")
    assert len(text) < LONGEST_LINK
    assert "cut short or altered" in read_link(text)[1][0].expected


def test_the_keys_of_a_file_stay() -> None:
    """A file that somebody keeps must be read by a later version: these very keys."""
    some = Changes(
        "Everything",
        7,
        {"bellows": Limits(6.0), "lip_seal": Limits(None, 5.0)},
        NewSeason((3, 15), (11, 15), (12, 1), same_hours_a_year=True),
        Factors(1.2, {"Port Ellorn": 1.5}, {"Amber Wren": 0.5}),
        Factors(1.1, {"bellows": 2.0}, {"TR-BEL-25": 1.3}),
        {"labour_per_hour": 80.0, "price_increase": 0.03},
        (Sold("Amber Wren", date(2027, 5, 1)),),
        (Added("Biscuit Parsnip", date(2027, 4, 1), 2, "Quillhaven"),),
    )
    assert tomllib.loads(changes_text(some)) == {
        "what_if": 1,
        "name": "Everything",
        "seasons_ahead": 7,
        "limits": {"bellows": {"age": 6.0}, "lip_seal": {"age": False, "years": 5.0}},
        "season": {
            "start": "03-15",
            "end": "11-15",
            "lift_on": "12-01",
            "same_hours_a_year": True,
        },
        "hours": {"all": 1.2, "bases": {"Port Ellorn": 1.5}, "boats": {"Amber Wren": 0.5}},
        "prices": {"all": 1.1, "kinds": {"bellows": 2.0}, "part_numbers": {"TR-BEL-25": 1.3}},
        "rates": {"labour_per_hour": 80.0, "price_increase": 0.03},
        "sold": [{"boat": "Amber Wren", "on": date(2027, 5, 1)}],
        "added": [
            {
                "like": "Biscuit Parsnip",
                "joined_on": date(2027, 4, 1),
                "boats": 2,
                "base": "Quillhaven",
            }
        ],
    }


@pytest.mark.parametrize(
    ("line", "field", "expected"),
    [
        ("name = 3", "name", "a text in quotes"),
        ('name = ""', "name", "a name of 1 to 100 letters"),
        ("seasons_ahead = 16", "seasons_ahead", "a whole number from 1 to 15"),
        ("seasons_ahead = true", "seasons_ahead", "a whole number from 1 to 15"),
        ("[limits]\nbellows = 6", "limits.bellows", "a section in square brackets"),
        ("[limits.bellows]\nage = 0", "limits.bellows.age", "an age above 0, or false"),
        ("[limits.bellows]\nages = 6", "limits.bellows.ages", "an entry that Tideworn knows"),
        ('[season]\nstart = "31-12"', "season.start", "a month and a day"),
        ("[hours]\nall = -1", "hours.all", "a factor from 0 to 20"),
        ("[hours.boats]\nA = nan", "hours.boats.A", "a number up to"),
        ("[prices]\nall = 21", "prices.all", "a factor from 0 to 20"),
        ('[rates]\nlost_day = "1"', "rates.lost_day", "a number"),
        ("[rates]\nprice_increase = 3", "rates.price_increase", "a share a year from 0 to 1"),
        ("[rates]\ntow = 1", "rates.tow", "an entry that Tideworn knows"),
        ('[[sold]]\nboat = "A"', "sold 1, on", "a day"),
        ('[[sold]]\nboat = "A"\non = "soon"', "sold 1, on", "a day, such as 2027-03-01"),
        ("[sold]\nx = 1", "sold", "rows in double square brackets"),
        ('[[added]]\nlike = "A"\njoined_on = 2027-01-01\nboats = 0', "added 1, boats", "from 1"),
        (
            '[[added]]\nlike = "A"\njoined_on = 2027-01-01\nboats = 26\n' * 2,
            "added",
            "50 added boats in all at most",
        ),
        ('[[sold]]\nboat = "A"\non = 2027-01-01\n' * 501, "sold", "500 rows at most"),
        ("[[added]]\n" * 501, "added", "500 rows at most"),
        (
            "[hours.boats]\n" + "".join(f"B{i} = 2\n" for i in range(501)),
            "hours.boats",
            "500 rows at most",
        ),
        ("speed = 3", "speed", "an entry that Tideworn knows"),
    ],
)
def test_a_wrong_entry_says_what_was_found_and_what_is_expected(
    line: str, field: str, expected: str
) -> None:
    some, findings = read_changes(f"what_if = 1\n{line}\n")
    assert not some
    assert [one.field for one in findings] == [field]
    assert expected in findings[0].expected
    assert findings[0].found


def test_another_version_is_refused_and_not_guessed_at() -> None:
    for first in ("", "what_if = 2\n", 'what_if = "1"\n', "what_if = true\n"):
        some, findings = read_changes(f"{first}[prices]\nall = 2.0\n")
        assert some == Changes()
        assert [one.field for one in findings] == ["what_if"]
