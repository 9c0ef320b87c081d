"""`plan.toml`: what it holds comes back, and what is wrong is told and not applied."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from analytics.records.reading import read_fleet
from analytics.records.wishes import OF_WEEKS, Wish, read_wishes, wishes_text

TEXTS = st.text(st.characters(exclude_categories=("Cs", "Cc")), max_size=12).map(str.strip)
NAMES = TEXTS.filter(bool)
DAYS = st.dates(date(1990, 1, 1), date(2060, 1, 1))
WISHES = st.one_of(
    st.builds(Wish, st.sampled_from(OF_WEEKS), NAMES, DAYS, by=TEXTS, note=TEXTS),
    st.builds(
        Wish,
        st.sampled_from(["done", "accepted"]),
        NAMES,
        position=st.sampled_from(["", "port", "single"]),
        kind=st.sampled_from(["bellows", "own_kind"]),
        by=NAMES,
        note=TEXTS,
    ),
)


@given(st.lists(WISHES, max_size=4))
def test_what_is_written_is_read_again(wishes: list[Wish]) -> None:
    assert read_wishes(wishes_text(wishes)) == (tuple(wishes), [])


@pytest.mark.parametrize(
    ("entry", "field", "expected"),
    [
        ('what = "pinned"\nboat = "A"', "wish 1, week", "first day of a week"),
        ('what = "pinned"\nweek = 2026-11-02', "wish 1, boat", "the boat's name"),
        ('what = "moved"\nboat = "A"', "wish 1, what", "one of promised"),
        ('what = "done"\nboat = "A"', "wish 1, kind", "kind of part"),
        ('what = "accepted"\nboat = "A"\nkind = "bellows"', "wish 1, by", "person who accepts"),
        (
            'what = "done"\nboat = "A"\nkind = "bellows"\nposition = "top"',
            "wish 1, position",
            "starboard",
        ),
        ('what = "pinned"\nboat = "A"\nweek = "soon"', "wish 1, week", "without quotes"),
        ('what = "pinned"\nboat = "A"\nweke = 2026-11-02', "wish 1, weke", "what, boat, week"),
        ('what = "pinned"\nboat = 3\nweek = 2026-11-02', "wish 1, boat", "text in quotes"),
    ],
)
def test_a_wrong_entry_is_told_and_not_applied(entry: str, field: str, expected: str) -> None:
    wishes, findings = read_wishes(
        f'[[wish]]\n{entry}\n[[wish]]\nwhat = "ruled_out"\nboat = "B"\nweek = 2026-11-09\n'
    )
    assert [one.boat for one in wishes] == ["B"]
    (told,) = findings
    assert (told.field, told.done) == (field, "ignored")
    assert expected in told.expected


@pytest.mark.parametrize("text", ["wish = 3", "= 4", 'boat = "A"', "[[wish", "wish = [[["])
def test_what_is_no_list_of_wishes_is_told(text: str) -> None:
    wishes, findings = read_wishes(text)
    assert not wishes
    assert len(findings) == 1


def test_a_fleet_folder_brings_its_wishes_along() -> None:
    files = {
        "fleet.toml": b"as_of = 2024-06-30\n",
        "boats.csv": b"boat\nA\n",
        "parts.csv": b"boat,kind,fitted_on\nA,bellows,2020-01-01\n",
    }
    assert read_fleet(files).wishes == ()
    wish = Wish("pinned", "A", date(2024, 11, 4), by="the yard")
    kept = read_fleet({**files, "plan.toml": wishes_text([wish]).encode()})
    assert kept.wishes == (wish,)
    assert kept.fingerprint != read_fleet(files).fingerprint
