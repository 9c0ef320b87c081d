"""What Quillhaven's stores issued for the jobs, and what they bought and nobody fitted."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from datetime import timedelta

from analytics.sample.mess.pages import Line, Page
from analytics.sample.mess.quillhaven import Job, jobs_in
from analytics.sample.mess.spoiling import Spoiling
from analytics.sample.mess.words import QUILLHAVEN, SAYS_INVENTED

HEADERS = (
    "Date",
    "Job no.",
    "Stock no.",
    "Description",
    "Size",
    "Qty",
    "Batch",
    "Unit price",
    "Currency",
    "Supplier",
    "Notes",
)


def parts_issued(spoiling: Spoiling, jobs_page: Page) -> Page:
    """The page of issues: one line for each numbered job that put a new part in."""
    page = Page("quillhaven parts issued.csv", HEADERS)
    page.title(f"Quillhaven base: parts issued. {SAYS_INVENTED}")
    prices = _prices(spoiling)
    issues: list[tuple[Job, Line]] = []
    for job in jobs_in(jobs_page):
        if job.new is None or not job.cells.get("Job no.") or job.action in ("refurbished", "in"):
            continue
        assert job.on is not None
        line = Line(
            {
                "Date": job.on.isoformat(),
                "Job no.": job.cells["Job no."],
                "Stock no.": job.new.text["part_no"],
                "Description": QUILLHAVEN.kinds[job.new.kind][0],
                "Size": job.new.text["size"],
                "Qty": job.cells["Qty"],
                "Batch": job.cells.get("Lot", ""),
                "Unit price": f"{prices[job.new.text['part_no']]}.00",
                "Currency": "EUR",
                "Supplier": "base stores",
            },
            on=job.on,
        )
        page.lines.append(line)
        issues.append((job, line))
    _spoil(spoiling, page, issues)
    return page


def _spoil(spoiling: Spoiling, page: Page, issues: list[tuple[Job, Line]]) -> None:
    under_warranty = [(job, line) for job, line in issues if job.action == "warranty"]
    for job, line in under_warranty:
        line.cells["Unit price"] = "0.00"
        spoiling.plant(
            "warranty_swap", page, line, "Unit price", "a part, at no price", "told", life=job.new
        )
    plain = [one for one in issues if one not in under_warranty]
    if joined := spoiling.pick(plain):
        job, line = joined
        spoiling.plant(
            "job_and_parts_lines",
            page,
            line,
            "Job no.",
            "the part that this job fitted",
            "merged",
            life=job.new,
        )
        plain.remove(joined)
    if abroad := spoiling.pick(plain):
        job, line = abroad
        line.cells["Currency"] = "GBP"
        spoiling.plant("currency_mixed", page, line, "Currency", "EUR", "told", life=job.new)
    if bought := spoiling.pick(plain):
        _, like = bought
        assert like.on is not None
        day = like.on + timedelta(days=2)
        extra = Line(
            {**like.cells, "Date": day.isoformat(), "Job no.": "", "Qty": "2", "Batch": ""}, on=day
        )
        extra.cells |= {"Currency": "EUR", "Notes": "for stock"}
        page.lines.insert(page.lines.index(like) + 1, extra)
        spoiling.plant("bought_not_fitted", page, extra, "Job no.", "for stock", "ignored")


def _prices(spoiling: Spoiling) -> Mapping[str, str]:
    rows = csv.DictReader(io.StringIO(spoiling.clean.files["prices.csv"]))
    return {row["part_no"]: row["part_price"] for row in rows}
