"""Parts that go on in another place."""

import pytest

from analytics.records.events.assembling import Assembled, assemble
from tests.analytics.records.events.event_tables import event, table

POSITIONS = {
    "Grey Plover": ("single",),
    "Blue Tern": ("single",),
    "Two Knots": ("port", "starboard"),
}


def read(*events: dict[str, object]) -> Assembled:
    return assemble(table(events), positions=POSITIONS)


def rows(assembled: Assembled) -> list[tuple[str, ...]]:
    names = ("boat", "fitted_on", "here_since", "removed_on", "reason")
    return [tuple(life[name] for name in names) for life in assembled.lives]


MOVED = event("2016-05-01", "moved", to_boat="Blue Tern")
FITTED = event("2014", "fitted", serial="S1")
TWO_SPELLS = [
    ("Blue Tern", "2014", "2016-05-01", "", ""),
    ("Grey Plover", "2014", "", "2016-05-01", "other_work"),
]


def test_a_move_makes_the_fitting_that_nobody_wrote_down() -> None:
    assembled = read(FITTED, MOVED)
    assert rows(assembled) == TWO_SPELLS
    assert assembled.lives[0]["serial"] == "S1"
    assert assembled.lines == [(3,), (3, 2)]
    (told,) = assembled.findings
    assert (told.sort, told.line) == ("part_moved", 3)


def test_a_move_and_its_fitting_are_joined() -> None:
    there = event("2016-06-20", "fitted", boat="Blue Tern")
    tern, plover = rows(read(FITTED, MOVED, there))
    assert tern == ("Blue Tern", "2014", "2016-06-20", "", "")
    assert plover == TWO_SPELLS[1]


def test_a_move_entered_twice_is_one() -> None:
    again = event("2016-05-04", "moved", to_boat="Blue Tern")
    assert rows(read(FITTED, MOVED, again)) == TWO_SPELLS
    tern, _ = rows(read(FITTED, MOVED, again, event("2016-06-20", "fitted", boat="Blue Tern")))
    assert tern == ("Blue Tern", "2014", "2016-06-20", "", "")


def test_the_part_that_was_there_before_ends_with_the_move() -> None:
    tern, new, _ = rows(read(FITTED, MOVED, event("2010", "fitted", boat="Blue Tern")))
    assert tern == ("Blue Tern", "2010", "", "2016-05-01", "unknown")
    assert new == TWO_SPELLS[0]


@pytest.mark.parametrize("to_boat", ["Two Knots", "Nobody's"])
def test_without_a_place_to_go_to_it_is_told(to_boat: str) -> None:
    assembled = read(FITTED, event("2016-05-01", "moved", to_boat=to_boat))
    assert rows(assembled) == [TWO_SPELLS[1]]
    assert (assembled.findings[0].sort, assembled.findings[0].found) == ("part_moved", to_boat)


@pytest.mark.parametrize(("day", "joined"), [("2016-07-30", True), ("2016-07-31", False)])
def test_the_same_serial_elsewhere_within_90_days(day: str, joined: bool) -> None:
    tern, plover = rows(
        read(
            FITTED,
            event("2016-05-01", "removed", "other_work"),
            event(day, "fitted", boat="Blue Tern", serial="S1"),
        )
    )
    assert tern == ("Blue Tern", *(("2014", day) if joined else (day, "")), "", "")
    assert plover == TWO_SPELLS[1]


def test_a_failed_part_does_not_go_on_elsewhere() -> None:
    tern, _ = rows(
        read(
            FITTED,
            event("2016-05-01", "removed", "failed"),
            event("2016-05-20", "fitted", boat="Blue Tern", serial="S1"),
        )
    )
    assert tern == ("Blue Tern", "2016-05-20", "", "", "")


def test_moved_twice_it_keeps_its_first_day() -> None:
    assembled = read(
        FITTED,
        MOVED,
        event("2018-05-01", "removed", "other_work", boat="Blue Tern", serial="S1"),
        event("2018-05-09", "fitted", boat="Two Knots", position="port", serial="S1"),
        event("2020", "failed", boat="Two Knots", position="port"),
    )
    assert rows(assembled) == [
        ("Blue Tern", "2014", "2016-05-01", "2018-05-01", "other_work"),
        ("Grey Plover", "2014", "", "2016-05-01", "other_work"),
        ("Two Knots", "2014", "2018-05-09", "2020", "failed"),
    ]


def test_a_serial_in_two_places_at_once_is_no_mark_of_one_part() -> None:
    events = [
        event("2014", "fitted", serial="n/a"),
        event("2016-05-01", "removed", "other_work"),
        event("2016-05-20", "fitted", boat="Blue Tern", serial="n/a"),
        event("2017", "fitted", boat="Two Knots", position="port", serial="n/a"),
    ]
    assembled = read(*events)
    assert {life["here_since"] for life in assembled.lives} == {""}
    (told,) = (one for one in assembled.findings if one.sort == "part_moved")
    assert (told.line, told.field, told.found) == (5, "serial", "n/a")
    assert read(*events[:3]).lives[0]["here_since"] == "2016-05-20"


def test_another_kind_of_part_may_bear_the_same_serial() -> None:
    assembled = read(
        FITTED,
        event("2016-05-01", "removed", "other_work"),
        event("2016-05-20", "fitted", boat="Blue Tern", serial="S1", kind="gland_hose"),
    )
    assert {life["here_since"] for life in assembled.lives} == {""}
