"""Everything that is wrong with Quillhaven's job sheets and its hours log, planted in turn."""

from __future__ import annotations

from analytics.sample.mess import job_parts, job_rows, meters
from analytics.sample.mess.job_desk import JobDesk
from analytics.sample.mess.pages import Page
from analytics.sample.mess.quillhaven import Job
from analytics.sample.mess.spoiling import Spoiling


def spoil_jobs(spoiling: Spoiling, page: Page, jobs: list[Job], hours: Page) -> None:
    """Plant Quillhaven's defects, those with the fewest places first.

    Parameters
    ----------
    page : Page
        The page that the jobs will stand on.
    jobs : list of Job
        Changed in place.
    hours : Page
        Its hours log; changed in place.
    """
    desk = JobDesk(spoiling, page, jobs, hours)
    for spoil in (
        job_parts.part_moved,
        job_parts.two_parts_one_row,
        job_parts.recalled_lot,
        job_parts.part_refurbished,
        job_parts.warranty_swap,
        job_parts.inch_size,
        job_parts.day_month_order,
        meters.meter_replaced,
        meters.engine_replaced,
        job_parts.cause_in_free_text,
        job_rows.upkeep_not_renewal,
        job_rows.negated_words,
        job_rows.other_kind_of_part,
        job_rows.future_date,
        meters.number_two_readings,
        job_rows.formula_text,
        job_rows.person_named,
        job_rows.hours_between_readings,
    ):
        spoil(desk)
    spoiling.plant(
        "shaft_share_assumed", hours, hours.header, "Engine hours", "hours of the shaft", "told"
    )
