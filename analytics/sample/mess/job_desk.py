"""The job sheets on the desk: which jobs are free to be spoilt, and how it is noted."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from datetime import date, timedelta

from analytics.sample.mess.clean import CleanLife
from analytics.sample.mess.key import Expect
from analytics.sample.mess.logs import Reading
from analytics.sample.mess.pages import Page
from analytics.sample.mess.quillhaven import BASE, Job, new_job
from analytics.sample.mess.spoiling import Spoiling


class JobDesk:
    """Quillhaven's jobs and hours log while defects are planted in them."""

    def __init__(self, spoiling: Spoiling, page: Page, jobs: list[Job], hours: Page) -> None:
        self.spoiling, self.page, self.jobs, self.hours = spoiling, page, jobs, hours
        self.metered: set[tuple[str, str]] = set()

    def free_jobs(self, suits: Callable[[Job], bool]) -> Iterator[Job]:
        """Jobs of which every life's place is free, with a whole date within the records."""
        for job in self.jobs:
            if (
                job.lives
                and job.action in ("replaced", "fitted", "removed")
                and all(self.spoiling.free(life) for life in job.lives)
                and job.cells["Date out"]
                and suits(job)
            ):
                yield job

    def in_place(self, kinds: Iterable[str]) -> list[CleanLife]:
        """Lives still going on boats that are their own, seen ashore and afloat alike."""
        wanted = tuple(kinds)
        return [
            life
            for life in self.spoiling.clean.lives_at(BASE)
            if not life.text["removed_on"]
            and self.spoiling.free(life)
            and (life.kind in wanted or not wanted)
            and self._since(life) + timedelta(days=150) < life.boat.watched_to
        ]

    def extra(self, life: CleanLife, action: str) -> Job:
        """A job on a life that is still going, which changes nothing."""
        since = self._since(life)
        days = (life.boat.watched_to - since).days
        day = since + timedelta(days=self.spoiling.chance.whole(60, days - 60))
        job = new_job(self.spoiling, action, life, day)
        job.cells["Size"] = life.text["size"]
        self.jobs.append(job)
        return job

    def _since(self, life: CleanLife) -> date:
        return max(life.boat.watched_from, life.fitted or date.min)

    def telling(self, life: CleanLife) -> list[Job]:
        """The jobs that fitted or removed it."""
        return [job for job in self.jobs if life in (job.old, job.new)]

    def one(self, life: CleanLife, suits: Callable[[Job], bool]) -> Job:
        """The first of them of which something is true."""
        return next(job for job in self.telling(life) if suits(job))

    def on_line(self, reading: Reading) -> Iterator[Job]:
        """The jobs on the shaft line of a reading."""
        for job in self.jobs:
            lives = job.lives
            if lives and lives[0].boat is reading.boat and lives[0].position == reading.position:
                yield job

    def readings(self) -> list[Reading]:
        """The hours log."""
        return [line for line in self.hours.lines if isinstance(line, Reading)]

    def note(self, sort: str, job: Job, column: str, true: str, expect: Expect) -> None:
        """Note a defect of a job, and keep others off its places."""
        self.spoiling.take(*job.lives, fate="window" if expect == "window" else None)
        self.spoiling.plant(sort, self.page, job, column, true, expect, life=job.old or job.new)

    def change(self, life: CleanLife, sort: str, **cells: str) -> None:
        """Note what a reader should make of a life that cannot be got back as it was."""
        self.spoiling.fates[life.row] = "changed"
        self.spoiling.changed.append({"row": life.row, "sort": sort, **cells})

    def part_in_two(self, job: Job) -> None:
        """One row for what came out, one for what went in."""
        assert job.old is not None
        assert job.new is not None
        assert job.on is not None
        removal = new_job(self.spoiling, "removed", job.old, job.on, old=job.old)
        fitting = new_job(self.spoiling, "fitted", job.new, job.on, new=job.new)
        fitting.with_job = removal
        place = self.jobs.index(job)
        self.jobs[place : place + 1] = [removal, fitting]
