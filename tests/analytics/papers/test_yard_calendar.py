"""The calendar file, by the rules of RFC 5545 (from memory) and by the library that reads it."""

from datetime import UTC, date, datetime

import pytest
from icalendar import Calendar

from analytics.decisions.haul_out.plan import Haul, Plan, WeekLoad
from analytics.papers.yard_calendar import event_uid, yard_calendar

AS_OF = date(2026, 10, 31)
NAN = float("nan")


def haul(boat: str, week: date, launch: date, jobs: tuple[str, ...] = ("port bellows",)) -> Haul:
    return Haul(boat, "North Quay", week, launch, 3, 8.5, jobs, (), 100.0, 50.0, "one reason")


def plan(*hauls: Haul) -> Plan:
    week = WeekLoad(date(2026, 11, 2), 3.0, 1.0, NAN, NAN, NAN, NAN, "")
    return Plan(hauls=hauls, weeks=(week,))


ODD = 'Wren, "the old; one" \\ Möwe 海 ' + "é" * 60
HAULS = (
    haul("Second", date(2026, 11, 9), date(2026, 11, 12)),
    haul(ODD, date(2026, 11, 2), date(2026, 11, 5)),
)


@pytest.fixture(scope="module")
def written() -> bytes:
    return yard_calendar(plan(*HAULS), "A fleet", AS_OF, {"port bellows": "Bellows, port"})


def test_lines_end_with_crlf_and_are_folded_at_75_octets(written: bytes) -> None:
    assert written.endswith(b"\r\n")
    lines = written.split(b"\r\n")[:-1]
    assert all(len(line) <= 75 for line in lines)
    assert not any(b"\n" in line or b"\r" in line for line in lines)
    assert any(line.startswith(b" ") for line in lines)
    # No letter is cut in two: every line is UTF-8 by itself.
    assert all(line.decode() is not None for line in lines)


def test_each_event_has_what_the_standard_asks_for(written: bytes) -> None:
    unfolded = written.replace(b"\r\n ", b"").decode().split("\r\n")
    assert unfolded[0] == "BEGIN:VCALENDAR"
    assert {"VERSION:2.0", "METHOD:PUBLISH"} <= set(unfolded)
    events = "\n".join(unfolded).split("BEGIN:VEVENT")[1:]
    assert len(events) == 2
    for event in events:
        names = [line.split(":")[0].split(";")[0] for line in event.split("\n") if ":" in line]
        for needed in ("UID", "DTSTAMP", "DTSTART", "DTEND", "SUMMARY"):
            assert names.count(needed) == 1
    # Days are dates, and the end is the first day that no longer counts.
    assert "DTSTART;VALUE=DATE:20261102" in unfolded
    assert "DTEND;VALUE=DATE:20261105" in unfolded
    # Commas, semicolons and backslashes of a text are escaped.
    summary = next(line for line in unfolded if line.startswith("SUMMARY:Wren"))
    assert 'Wren\\, "the old\\; one" \\\\ Möwe 海' in summary


def test_the_library_reads_back_what_the_plan_says(written: bytes) -> None:
    events = Calendar.from_ical(written).walk("VEVENT")
    assert [str(one["summary"]).split(":")[0] for one in events] == [ODD, "Second"]
    first = events[0]
    assert (first["dtstart"].dt, first["dtend"].dt) == (date(2026, 11, 2), date(2026, 11, 5))
    assert first["dtstamp"].dt == datetime(2026, 10, 31, tzinfo=UTC)
    assert "Bellows, port" in str(first["description"])
    assert "not an inspection" in str(first["description"])


def test_the_same_plan_gives_the_same_bytes_in_any_order(written: bytes) -> None:
    turned = plan(*reversed(HAULS))
    assert yard_calendar(turned, "A fleet", AS_OF, {"port bellows": "Bellows, port"}) == written


def test_a_boat_that_moves_keeps_her_identity_and_no_two_share_one() -> None:
    moved = plan(haul("Second", date(2026, 12, 7), date(2026, 12, 9)))
    uid = str(
        Calendar.from_ical(yard_calendar(moved, "A fleet", AS_OF, {})).walk("VEVENT")[0]["uid"]
    )
    assert uid == event_uid("A fleet", "Second", date(2026, 11, 2))
    assert uid != event_uid("A fleet", "Third", date(2026, 11, 2))
    assert uid != event_uid("Another", "Second", date(2026, 11, 2))


def test_a_plan_without_hauls_is_a_calendar_without_events() -> None:
    assert Calendar.from_ical(yard_calendar(Plan(), "A fleet", AS_OF, {})).walk("VEVENT") == []
