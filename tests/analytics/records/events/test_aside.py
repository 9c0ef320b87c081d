"""Events that begin and end no life, and lines that cannot be read."""

from datetime import date

import pandas as pd
import pytest

from analytics.records.events.assembling import assemble
from tests.analytics.records.events.event_tables import event, table


def test_a_new_meter_begins_at_nought_or_at_what_it_shows() -> None:
    assembled = assemble(
        table(
            [
                event("2014-04-01", "meter", kind=""),
                event("2015-04-01", "meter", kind="", hours=12.5),
                event("2016-04-01", "engine", kind="", hours=3.0),
                event("2017-04-01", "engine", kind=""),
            ]
        )
    )
    assert [(one["read_on"], one["hours"]) for one in assembled.readings] == [
        ("2014-04-01", "0"),
        ("2015-04-01", "12.5"),
        ("2016-04-01", "3"),
    ]
    assert assembled.reading_lines == [2, 3, 4]
    assert not assembled.lives
    assert [assembled.fates[line].outcome for line in (2, 3, 4, 5)] == [*["used"] * 3, "ignored"]
    assert {one.sort for one in assembled.findings} == {"meter_replaced", "engine_replaced"}


def test_one_reading_told_of_twice_is_one() -> None:
    twice = [event("2014-04-01", "fitted", kind=kind, hours=70.0) for kind in ("a", "b")]
    assert len(assemble(table(twice)).readings) == 1


@pytest.mark.parametrize(("left", "says"), [(["Grey Plover"], "ends its parts"), ([], "fill in")])
def test_a_boat_that_left_is_left_to_the_list_of_boats(left: list[str], says: str) -> None:
    events = table([event("2014", "fitted"), event("2016", "left")])
    assembled = assemble(events, left=left)
    assert assembled.lives[0]["removed_on"] == ""
    fate = assembled.fates[3]
    assert fate.outcome == "ignored"
    assert fate.told is not None
    assert says in fate.told.remedy


def test_planned_work_is_ignored() -> None:
    events = table([event("2014", "fitted"), event("2027-01-01", "replaced", hours=9.0)])
    assembled = assemble(events, as_of=date(2026, 12, 31))
    assert [life["removed_on"] for life in assembled.lives] == [""]
    assert not assembled.readings
    assert assembled.fates[3].outcome == "ignored"
    assert [one.sort for one in assembled.findings] == ["future_date"]
    assert len(assemble(events).lives) == 2, "without a last day nothing is to come"


def test_what_cannot_be_read_is_rejected_and_stops_nothing() -> None:
    events = table([event("2014", "fitted"), event("2015", "sung to"), event("2016", "failed")])
    events.loc[2, ["on_lo", "on_hi"]] = pd.NaT
    assembled = assemble(events)
    assert [assembled.fates[line].outcome for line in (2, 3, 4)] == ["used", "rejected", "rejected"]
    assert [one.sort for one in assembled.findings] == ["words_unknown", "cell_unreadable"]


def test_a_line_of_two_parts_is_used_if_one_of_them_is() -> None:
    both = [
        event("2014", "fitted", position="port") | {"line": 2},
        event("2015", "fitted", position="port") | {"line": 3},
        event("2014", "upkeep", position="starboard") | {"line": 2},
        event("2016", "upkeep", position="port") | {"line": 4},
        event("2016", "upkeep", position="starboard") | {"line": 4},
    ]
    fates = assemble(table(both)).fates
    assert {line: fate.outcome for line, fate in fates.items()} == {
        2: "used",
        3: "used",
        4: "ignored",
    }


def test_no_events() -> None:
    assembled = assemble(table([]))
    assert (assembled.lives, assembled.readings, assembled.fates) == ([], [], {})
