"""The haul-out plan as a calendar file (RFC 5545) that common calendars take."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, date, datetime, time
from hashlib import sha256
from typing import TYPE_CHECKING

from analytics.decisions.haul_out.plan import Haul, Plan
from analytics.papers.cautions import NOT_AN_INSPECTION
from analytics.papers.words import count

if TYPE_CHECKING:
    from icalendar import Event

PRODUCT = "-//Tideworn//haul-out plan//EN"


def yard_calendar(plan: Plan, fleet: str, as_of: date, jobs: Mapping[str, str]) -> bytes:
    """Every haul-out as an all-day event from its lift to its launch.

    Parameters
    ----------
    plan : Plan
    fleet : str
        The fleet's name; with the boat and the season's first day it makes the stable UID.
    as_of : date
        Last day watched: the stamp of every event, so that the same plan gives the same bytes.
    jobs : mapping of str to str
        What each key of a job is called.

    Returns
    -------
    bytes
        UTF-8, CRLF line ends, lines folded at 75 octets.
    """
    from icalendar import Calendar

    calendar = Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    calendar.add("x-wr-calname", f"Haul-outs of {fleet}")
    season = plan.weeks[0].week if plan.weeks else as_of
    for haul in sorted(plan.hauls, key=lambda one: (one.week, one.boat)):
        calendar.add_component(_event(haul, fleet, season, as_of, jobs))
    return bytes(calendar.to_ical())


def event_uid(fleet: str, boat: str, season: date) -> str:
    """Stable identity of a boat's haul-out of one lay-up: a moved haul-out keeps it."""
    text = "|".join((fleet, boat, season.isoformat()))
    return f"{sha256(text.encode()).hexdigest()[:32]}@tideworn.invalid"


def _event(haul: Haul, fleet: str, season: date, as_of: date, jobs: Mapping[str, str]) -> Event:
    from icalendar import Event

    event = Event()
    event.add("uid", event_uid(fleet, haul.boat, season))
    event.add("dtstamp", datetime.combine(as_of, time(), UTC))
    event.add("dtstart", haul.week)
    event.add("dtend", haul.launch)  # the first day on which she is not ashore: exclusive
    event.add("summary", f"{haul.boat}: ashore, {count(len(haul.jobs), 'job')}")
    if haul.base:
        event.add("location", haul.base)
    lines = [jobs.get(key, key) for key in haul.jobs] or ["no job: look the gear over"]
    said = [*lines, f"{haul.hours:g} hours of work.", haul.because, NOT_AN_INSPECTION]
    event.add("description", "\n".join(line for line in said if line))
    event.add("transp", "OPAQUE")
    return event
