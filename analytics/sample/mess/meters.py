"""Hour meters that begin anew, engines that are replaced, numbers that may be two."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from itertools import pairwise

from analytics.sample.mess.job_desk import JobDesk
from analytics.sample.mess.logs import Reading, rewrite_hours
from analytics.sample.mess.quillhaven import BASE, Job, new_job


def meter_replaced(desk: JobDesk) -> None:
    """A new hour meter: the log falls, and a job says why."""
    found = _reset_meter(desk)
    if found is None:
        return
    changed_on, reading = found
    job = _meter_job(desk, changed_on, reading, "Hour meter", "Hour meter replaced")
    true = f"a new meter on {changed_on}; the shaft went on from there"
    desk.spoiling.plant(
        "meter_replaced", desk.hours, reading, "Engine hours", true, "used", boat=reading.boat
    )
    desk.spoiling.plant(
        "meter_replaced", desk.page, job, "Work done", true, "used", boat=reading.boat
    )


def engine_replaced(desk: JobDesk) -> None:
    """A new engine whose hours begin anew, while the shaft's parts stay."""
    found = _reset_meter(desk)
    if found is None:
        return
    changed_on, reading = found
    job = _meter_job(desk, changed_on, reading, "Engine", "Engine replaced")
    desk.spoiling.plant(
        "engine_replaced",
        desk.page,
        job,
        "Work done",
        "engine hours begin anew, the shaft's parts stay",
        "used",
        boat=reading.boat,
    )


def number_two_readings(desk: JobDesk) -> None:
    """A point in a log of whole numbers: thousands, or three decimals."""
    reading = desk.spoiling.pick(
        reading
        for before, reading, after in _triples(desk)
        if reading.hours >= 1000
        and _line_of(reading) not in desk.metered
        and _line_of(before) == _line_of(reading) == _line_of(after)
        and reading.boat is not None
        and reading.boat.name not in desk.spoiling.used_boats
    )
    if reading is None:
        return
    true = str(reading.hours)
    reading.cells["Engine hours"] = f"{reading.hours // 1000}.{reading.hours % 1000:03d}"
    desk.spoiling.plant(
        "number_two_readings",
        desk.hours,
        reading,
        "Engine hours",
        true,
        "rejected",
        boat=reading.boat,
    )


def _reset_meter(desk: JobDesk) -> tuple[date, Reading] | None:
    """A meter that begins anew between two readings of a line; all later ones count from it."""
    pairs = [
        (before, after)
        for before, after in pairwise(desk.readings())
        if _line_of(before) == _line_of(after)
        and _line_of(before) not in desk.metered
        and before.boat is not None
        and before.boat.name not in desk.spoiling.used_boats
        and before.hours > 800
        and after.hours - before.hours > 100
    ]
    for before, after in desk.spoiling.chance.shuffled(pairs):
        if days := _quiet_days(desk, before, after):
            changed_on = desk.spoiling.chance.pick(days)
            break
    else:
        return None
    desk.metered.add(_line_of(before))
    share = (changed_on - before.day) / (after.day - before.day)
    offset = before.hours + round(share * (after.hours - before.hours))
    for reading in desk.readings():
        if _line_of(reading) == _line_of(before) and reading.day > changed_on:
            rewrite_hours(desk.hours, reading, reading.hours - offset)
    for job in desk.on_line(before):
        assert job.on is not None
        if job.on > changed_on and job.cells.get("Engine hours"):
            job.cells["Engine hours"] = str(int(str(job.cells["Engine hours"])) - offset)
            for life in job.lives:
                desk.spoiling.fates.setdefault(life.row, "window")
    return changed_on, after


def _quiet_days(desk: JobDesk, before: Reading, after: Reading) -> list[date]:
    """Days between two readings with nothing else within a fortnight on the line."""
    busy = [job.on for job in desk.on_line(before) if job.on is not None]
    days = (before.day + timedelta(days=n) for n in range(10, (after.day - before.day).days))
    return [
        day
        for day in days
        if day < after.day - timedelta(days=10)
        and all(abs(day - one) > timedelta(days=14) for one in busy)
    ]


def _meter_job(desk: JobDesk, changed_on: date, reading: Reading, part: str, work: str) -> Job:
    life = next(
        life
        for life in desk.spoiling.clean.lives_at(BASE)
        if life.boat is reading.boat and life.position == reading.position
    )
    job = new_job(desk.spoiling, "meter", life, changed_on)
    job.cells |= {"Part": part, "Work done": work, "Engine hours": "0"}
    desk.jobs.append(job)
    return job


def _triples(desk: JobDesk) -> Iterator[tuple[Reading, Reading, Reading]]:
    readings = desk.readings()
    return zip(readings, readings[1:], readings[2:], strict=False)


def _line_of(reading: Reading) -> tuple[str, str]:
    assert reading.boat is not None
    return reading.boat.name, reading.position
