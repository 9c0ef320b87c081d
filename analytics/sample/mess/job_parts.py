"""What is hard to see in the job sheets: parts that moved, pairs, recalls, sizes, words."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from datetime import date, timedelta

from analytics.sample.mess.clean import CleanLife
from analytics.sample.mess.job_desk import JobDesk
from analytics.sample.mess.quillhaven import BASE, Job, written_day

_DAYS_IN_STORES = (80, 700)
"""How long a part that moves lies in the stores, the likelier first."""

_SOUND = ("replaced_sound", "other_work")


def part_moved(desk: JobDesk) -> None:
    """A sound part taken out of one boat goes into another: one life, in two places."""
    pair = desk.spoiling.best(*(_moves(desk, stay) for stay in _DAYS_IN_STORES))
    if pair is None:
        return
    spoiling, (out, came) = desk.spoiling, pair
    assert out.fitted is not None
    assert out.removed is not None
    assert came.fitted is not None
    serial = f"S-{4000 + out.row}"
    origin, goal = spoiling.name(out.boat), spoiling.name(came.boat)
    for job in desk.telling(out):
        if job.new is out:
            job.cells["Serial"] = serial
        elif job.action == "replaced":
            desk.part_in_two(job)
    leaving = desk.one(out, lambda job: job.old is out)
    leaving.action = "moved"
    leaving.cells |= {
        "Work done": f"Moved to {goal}",
        "Reason": "",
        "Serial": serial,
        "Moved to boat": goal,
    }
    for job in desk.telling(came):
        if job.new is came and job.action == "replaced":
            desk.part_in_two(job)
    coming = desk.one(came, lambda job: job.new is came)
    coming.action = "in"
    coming.cells |= {
        "Work done": "Fitted",
        "Serial": serial,
        "Lot": out.text["lot"],
        "Notes": f"came from {origin}",
    }
    spoiling.take(out, came, fate="changed")
    spoiling.changed += [
        {
            "row": out.row,
            "sort": "part_moved",
            "removed_on": out.removed.isoformat(),
            "reason": "moved to another boat, sound",
            "goes_on_as_row": came.row,
        },
        {
            "row": came.row,
            "sort": "part_moved",
            "fitted_on": out.fitted.isoformat(),
            "in_place_from": came.fitted.isoformat(),
            "removed_on": came.text["removed_on"],
            "lot": out.text["lot"],
        },
    ]
    true = f"one life from {out.fitted} on {origin}, from {came.fitted} on {goal}"
    for life, job in ((out, leaving), (came, coming)):
        spoiling.plant("part_moved", desk.page, job, "Serial", true, "used", life=life)


def two_parts_one_row(desk: JobDesk) -> None:
    """The same work on both shafts in one row."""
    pair = desk.spoiling.best(
        _pairs(desk, "replaced", alike=True),
        _pairs(desk, "fitted", alike=True),
        _pairs(desk, "replaced", alike=False),
        _pairs(desk, "fitted", alike=False),
    )
    if pair is None:
        return
    first, second = pair
    # The two shafts run different hours, and one row has room for one lot.
    lost = any(job.cells.get("Engine hours") for job in pair)
    first.cells["Engine hours"] = ""
    if first.cells.get("Lot") != second.cells.get("Lot"):
        first.cells["Lot"] = ""
        lost = True
    first.cells |= {"Side": "both", "Qty": "2"}
    first.lives += second.lives
    desk.jobs.remove(second)
    desk.spoiling.take(*first.lives, fate="window" if lost else None)
    life = first.new or first.old
    desk.spoiling.plant(
        "two_parts_one_row",
        desk.page,
        first,
        "Qty",
        "one part on each shaft",
        "used",
        life=life,
    )


def recalled_lot(desk: JobDesk) -> None:
    """A sound part renewed because its maker called the lot back."""

    def sound(job: Job) -> bool:
        return job.old is not None and job.old.text["reason"] in _SOUND

    job = desk.spoiling.best(
        desk.free_jobs(lambda job: sound(job) and _old(job).text["lot"].startswith("QT")),
        desk.free_jobs(lambda job: sound(job) and _old(job).kind == "bellows" and _is_new(job)),
        desk.free_jobs(lambda job: sound(job) and _old(job).kind == "bellows"),
        desk.free_jobs(sound),
    )
    if job is None:
        return
    job.cells["Reason"] = "lot recalled by the maker, still good"
    desk.note("recalled_lot", job, "Reason", "replaced_sound", "used")
    if _old(job).text["reason"] != "replaced_sound":
        desk.change(_old(job), "recalled_lot", reason="replaced_sound")


def part_refurbished(desk: JobDesk) -> None:
    """The old part goes back in, made as new: a life ends and one begins."""

    def suits(job: Job, kinds: tuple[str, ...]) -> bool:
        if job.action != "replaced" or job.new is None:
            return False
        return job.new.kind in kinds and not job.new.text["lot"] and _days_in(_old(job)) > 200

    job = desk.spoiling.best(
        desk.free_jobs(lambda job: suits(job, ("face_seal",))),
        desk.free_jobs(lambda job: suits(job, ("face_seal", "lip_seal", "cutless_bearing"))),
    )
    if job is None:
        return
    job.action = "refurbished"
    job.cells["Work done"] = "Refurbished and refitted"
    desk.note("part_refurbished", job, "Work done", "a new life for the seal", "used")


def warranty_swap(desk: JobDesk) -> None:
    """The price of nothing stands in the stores' list, which tells of the defect."""
    failures = list(desk.free_jobs(lambda job: _failed(job) and job.action == "replaced"))
    young = [job for job in failures if _days_in(_old(job)) < 730]
    job = desk.spoiling.best(young, failures)
    if job is None:
        return
    job.action = "warranty"
    job.cells["Notes"] = "replaced under warranty"
    desk.spoiling.take(*job.lives)


def inch_size(desk: JobDesk) -> None:
    """One inch written for 25 mm, which is not the same."""
    job = desk.spoiling.pick(
        desk.free_jobs(lambda job: job.new is not None and job.cells["Size"] == "25 mm")
    )
    if job is None:
        return
    job.cells["Size"] = "1 in"
    desk.note("inch_size", job, "Size", "25 mm", "told")


def day_month_order(desk: JobDesk) -> None:
    """A date by numbers among dates with months' names: nothing says which comes first."""
    job = desk.spoiling.pick(
        desk.free_jobs(
            lambda job: (
                job.action in ("replaced", "fitted")
                and job.with_job is None
                and _has_two_readings(job)
            )
        )
    )
    if job is None:
        return
    assert job.on is not None
    job.cells["Date in"] = job.cells["Date out"] = f"{job.on:%d/%m/%Y}"
    desk.note("day_month_order", job, "Date in", job.on.isoformat(), "window")


def cause_in_free_text(desk: JobDesk) -> None:
    """A failure told in a sentence."""
    job = desk.spoiling.pick(desk.free_jobs(_failed))
    if job is None:
        return
    life = _old(job)
    seal = "bearing worn past limit" if life.kind == "cutless_bearing" else "leaking badly"
    job.cells["Reason"] = f"crew not happy with it, {seal}"
    desk.note("cause_in_free_text", job, "Reason", "failed", "used")


def _moves(desk: JobDesk, days: int) -> Iterator[tuple[CleanLife, CleanLife]]:
    """Sound parts taken out, each with one fitted to another boat at most so many days later."""
    lives = [life for life in desk.spoiling.clean.lives_at(BASE) if desk.spoiling.free(life)]
    for out in lives:
        if out.text["reason"] not in _SOUND or not (out.fitted and out.removed):
            continue
        for came in lives:
            if (
                came.boat is not out.boat
                and came.kind == out.kind
                and came.boat.shaft_mm == out.boat.shaft_mm
                and came.before is not None
                and came.fitted
                and out.removed <= came.fitted <= out.removed + timedelta(days=days)
            ):
                yield out, came


def _pairs(desk: JobDesk, action: str, *, alike: bool) -> Iterator[tuple[Job, Job]]:
    together: dict[tuple[object, ...], list[Job]] = defaultdict(list)
    for job in desk.free_jobs(lambda job: job.action == action and job.with_job is None):
        life = job.new or _old(job)
        if not life.boat.twin:
            continue
        old = job.old.text if job.old else {}
        told = [old.get(name, "") for name in ("reason", "found", "last_sound_on")]
        if alike:
            told += [str(job.cells.get(header, "")) for header in ("Engine hours", "Lot")]
        together[(life.boat.name, life.kind, job.cells["Date in"], *told)].append(job)
    for found in together.values():
        sides = {(job.new or _old(job)).position for job in found}
        if len(found) == 2 and len(sides) == 2:
            yield found[0], found[1]


def _has_two_readings(job: Job) -> bool:
    """True where day and month may change places and nothing about the lives forbids it."""
    day = job.on
    if day is None or job.cells["Date in"] != written_day(day):
        return False
    if day.day > 12 or day.day == day.month:
        return False
    other = date(day.year, day.day, day.month)
    new, old = job.new, job.old
    assert new is not None
    earliest = [new.boat.watched_from]
    if old is not None:
        if len(old.text["fitted_on"]) == 4 and int(old.text["fitted_on"]) >= other.year:
            return False
        earliest += [one for one in (old.day("last_sound_on"), old.fitted) if one]
    latest = [new.boat.watched_to, *(one for one in (new.day("last_sound_on"), new.removed) if one)]
    return all(max(earliest) < one < min(latest) for one in (day, other))


def _old(job: Job) -> CleanLife:
    assert job.old is not None
    return job.old


def _failed(job: Job) -> bool:
    return job.old is not None and job.old.text["reason"] == "failed"


def _is_new(job: Job) -> bool:
    return int(_old(job).text["fitted_on"][:4] or 0) >= 2017


def _days_in(life: CleanLife) -> int:
    return (life.removed - life.fitted).days if life.removed and life.fitted else 9999
