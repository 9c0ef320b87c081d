"""Quillhaven's job sheets: a row for each thing done, its own words, dates with months' names."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from analytics.sample.mess.clean import CleanBoat, CleanLife
from analytics.sample.mess.pages import Line, Page
from analytics.sample.mess.spoiling import Spoiling
from analytics.sample.mess.words import ACTIONS, QUILLHAVEN, SAYS_INVENTED

BASE = "Quillhaven"

HEADERS = (
    "Job no.",
    "Date in",
    "Date out",
    "Yacht",
    "Hull no.",
    "Side",
    "Part",
    "Work done",
    "Reason",
    "Condition",
    "Where found",
    "Engine hours",
    "Size",
    "Part no.",
    "Lot",
    "Serial",
    "Qty",
    "Moved to boat",
    "Last seen sound",
    "Fitted by",
    "Notes",
)

_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_FIRST_JOB = 1001


@dataclass(eq=False)
class Job(Line):
    """A line of the job sheets: what was done, the part that came out and the one that went in."""

    action: str = ""
    boat: CleanBoat | None = None
    old: CleanLife | None = None
    new: CleanLife | None = None
    with_job: Job | None = None


def written_day(day: date) -> str:
    """A date as Quillhaven writes it; not by the machine's language."""
    return f"{day.day} {_MONTHS[day.month - 1]} {day.year}"


def job_sheets(spoiling: Spoiling) -> tuple[Page, list[Job]]:
    """The page of jobs, still without lines, and the jobs that tell every life of the base."""
    page = Page("quillhaven jobs.csv", HEADERS)
    page.title(f"Quillhaven base: job sheets. {SAYS_INVENTED}")
    jobs: list[Job] = []
    for life in spoiling.clean.lives_at(BASE):
        jobs += _jobs_of(spoiling, life)
    return page, jobs


def file_jobs(page: Page, jobs: list[Job]) -> None:
    """Put the jobs in the order of their days and number them; old cards bear no number."""
    in_order: list[Job] = sorted(jobs, key=_day_and_boat)
    page.lines += in_order
    number = _FIRST_JOB
    for job in jobs_in(page):
        if job.with_job is not None:
            continue
        if job.cells["Date out"] or job.action in ("seen", "planned"):
            job.cells["Job no."] = f"Q{number}"
            number += 1
    for job in jobs_in(page):
        if job.with_job is not None:
            job.cells["Job no."] = job.with_job.cells["Job no."]


def jobs_in(page: Page) -> Iterator[Job]:
    """The lines of the page of jobs."""
    for line in page.lines:
        assert isinstance(line, Job)
        yield line


def new_job(
    spoiling: Spoiling,
    action: str,
    life: CleanLife,
    day: date,
    *,
    old: CleanLife | None = None,
    new: CleanLife | None = None,
) -> Job:
    """A job on the place of a life, with what every job says."""
    boat, chance = life.boat, spoiling.chance
    told = tuple(one for one in (old, new) if one is not None)
    job = Job(
        {
            "Date in": written_day(day),
            "Date out": written_day(day) if day >= boat.watched_from and action != "seen" else "",
            "Yacht": spoiling.name(boat),
            "Hull no.": boat.hull_no,
            "Side": chance.pick(QUILLHAVEN.sides[life.position]),
            "Part": chance.pick(QUILLHAVEN.kinds[life.kind]),
            "Work done": chance.pick(ACTIONS[action]) if action in ACTIONS else "",
            "Fitted by": chance.pick(QUILLHAVEN.people) if day >= boat.watched_from else "",
        },
        lives=told,
        on=day,
        action=action,
        boat=boat,
        old=old,
        new=new,
    )
    if old is not None:
        _tell_removal(spoiling, job, old)
    if new is not None:
        _tell_fitting(job, new)
    return job


def _tell_removal(spoiling: Spoiling, job: Job, old: CleanLife) -> None:
    sound = old.day("last_sound_on")
    job.cells |= {
        "Reason": spoiling.chance.pick(QUILLHAVEN.why(old.text["reason"], old.kind)),
        "Where found": spoiling.chance.pick(QUILLHAVEN.found[old.text["found"]]),
        "Engine hours": old.text["removed_hours"],
        "Size": old.text["size"],
        "Part no.": old.text["part_no"],
        "Last seen sound": written_day(sound) if sound else "",
        "Notes": old.text["note"],
    }


def _tell_fitting(job: Job, new: CleanLife) -> None:
    job.cells |= {
        "Engine hours": new.text["fitted_hours"],
        "Size": new.text["size"],
        "Part no.": new.text["part_no"],
        "Lot": new.text["lot"],
        "Qty": "1",
        "Notes": job.cells.get("Notes") or new.text["note"],
    }


def _jobs_of(spoiling: Spoiling, life: CleanLife) -> Iterator[Job]:
    """The jobs of a life: its fitting where no removal tells of it, and its end."""
    fitted = life.text["fitted_on"]
    if life.before is None and fitted:
        day = life.fitted or date(int(fitted), 1, 1)
        job = new_job(spoiling, "fitted", life, day, new=life)
        if life.fitted is None:
            job.cells["Date in"] = fitted  # the year is all that the card says
        yield job
    if life.removed is not None:
        after = life.after
        assert after is not None  # whatever came out was followed by another
        if fitted and life.text["removed_hours"] == after.text["fitted_hours"]:
            yield new_job(spoiling, "replaced", life, life.removed, old=life, new=after)
        else:
            # Two rows where one of the two hours alone was read, for there is one place for them,
            # and where nothing but its removal tells of the old part.
            removal = new_job(spoiling, "removed", life, life.removed, old=life)
            fitting = new_job(spoiling, "fitted", life, life.removed, new=after)
            fitting.with_job = removal
            yield from (removal, fitting)
        return
    if not fitted:
        seen = new_job(spoiling, "seen", life, life.boat.watched_from)
        seen.lives = (life,)
        seen.cells |= {
            "Condition": "good order",
            "Size": life.text["size"],
            "Part no.": life.text["part_no"],
            "Notes": life.text["note"] or "in place when the records began",
        }
        yield seen
    sound = life.day("last_sound_on")
    if sound and (not fitted or life.fitted != sound):
        seen = new_job(spoiling, "seen", life, sound)
        seen.lives = (life,)
        seen.cells["Condition"] = "good order"
        yield seen


def _day_and_boat(job: Job) -> tuple[date, str]:
    assert job.on is not None
    assert job.boat is not None
    return job.on, job.boat.name
