"""Rows of the job sheets that tell of no life, and remarks that mislead."""

from __future__ import annotations

from datetime import timedelta

from analytics.sample.mess.job_desk import JobDesk
from analytics.sample.mess.quillhaven import new_job
from analytics.sample.mess.words import QUILLHAVEN


def upkeep_not_renewal(desk: JobDesk) -> None:
    """A nut tightened or a seal greased."""
    life = desk.spoiling.best(
        desk.in_place(("packed_gland",)), desk.in_place(("lip_seal", "face_seal"))
    )
    if life is None:
        return
    job = desk.extra(life, "upkeep")
    packing = life.kind == "packed_gland"
    job.cells["Work done"] = "Packing nut tightened" if packing else "Greased"
    true = "no part renewed"
    desk.spoiling.plant(
        "upkeep_not_renewal", desk.page, job, "Work done", true, "ignored", life=life
    )


def negated_words(desk: JobDesk) -> None:
    """No leak, and not replaced: words that say the contrary of what they hold."""
    life = desk.spoiling.best(
        desk.in_place(("face_seal", "lip_seal", "bellows")), desk.in_place(("gland_hose",))
    )
    if life is None:
        return
    job = desk.extra(life, "seen")
    job.cells |= {"Work done": "Checked, not replaced", "Reason": "no leak found"}
    true = "seen sound, nothing renewed"
    for header in ("Work done", "Reason"):
        desk.spoiling.plant("negated_words", desk.page, job, header, true, "told", life=life)


def other_kind_of_part(desk: JobDesk) -> None:
    """A bellows of the exhaust."""
    life = desk.spoiling.pick(desk.in_place(()))
    if life is None:
        return
    job = desk.extra(life, "other")
    job.cells |= {"Part": "Exhaust bellows", "Work done": "Replaced", "Reason": "split"}
    true = "no part of the shaft"
    desk.spoiling.plant(
        "other_kind_of_part", desk.page, job, "Part", true, "rejected", boat=life.boat
    )


def future_date(desk: JobDesk) -> None:
    """A job that is planned, on the same list as those that are done."""
    life = desk.spoiling.pick(life for life in desk.in_place(()) if not life.boat.text["left_on"])
    if life is None:
        return
    day = desk.spoiling.clean.as_of + timedelta(days=desk.spoiling.chance.whole(40, 140))
    job = new_job(desk.spoiling, "replaced", life, day)
    job.action = "planned"
    job.cells |= {"Date out": "", "Reason": "by age", "Fitted by": "", "Notes": "planned"}
    desk.jobs.append(job)
    desk.spoiling.plant(
        "future_date", desk.page, job, "Date in", "not yet done", "ignored", life=life
    )


def formula_text(desk: JobDesk) -> None:
    """A remark that a spreadsheet would run."""
    job = desk.spoiling.pick(desk.free_jobs(lambda job: not job.cells.get("Notes")))
    if job is None:
        return
    job.cells["Notes"] = "=see invoice 114"
    desk.note("formula_text", job, "Notes", "a remark, no formula", "told")


def person_named(desk: JobDesk) -> None:
    """A remark that names one of those who fit parts."""
    job = desk.spoiling.pick(desk.free_jobs(lambda job: not job.cells.get("Notes")))
    if job is None:
        return
    job.cells["Notes"] = f"ask {QUILLHAVEN.people[0]} about the clamps"
    desk.note("person_named", job, "Notes", "a person's name", "told")


def hours_between_readings(desk: JobDesk) -> None:
    """Everywhere: most jobs say no hours, the log does before and after."""
    job = desk.spoiling.pick(
        desk.free_jobs(lambda job: job.new is not None and not job.cells["Engine hours"])
    )
    if job is not None:
        true = "between two readings of the log"
        desk.spoiling.plant(
            "hours_between_readings",
            desk.page,
            job,
            "Engine hours",
            true,
            "told",
            life=job.new,
        )
