"""A small invented fleet as another office would export it: foreign headers, words and slips."""

from __future__ import annotations

import csv
import io
import random
from datetime import date, timedelta

BOATS = ("Marsh Lantern", "Tern Hollow", "Quillback", "Sedge Runner", "Amber Fathom", "Stonechat")
PARTS = ("Bellows", "Face seal", "Cutless bearing", "Gland hose")
HEADER = ("Job no", "Date", "Yacht", "Part", "Work done", "Reason", "Remarks")

MISSPELT = "Qillback"
ITS_JOB = "Bellows"


def jobs(*, misspelt: bool = True, more: int = 0) -> bytes:
    """A list of jobs, as CSV: every part fitted once and renewed now and then.

    Parameters
    ----------
    misspelt : bool
        One row with a boat's name misspelt.
    more : int
        Rows of a later month, behind the others.
    """
    chance = random.Random(11)
    rows: list[tuple[str, ...]] = []

    def job(day: date, boat: str, part: str, done: str, why: str, note: str = "") -> None:
        number = str(1000 + len(rows))
        rows.append((number, f"{day:%d/%m/%Y}", boat, part, done, why, note))

    for boat in BOATS:
        for part in PARTS:
            day = date(2012, 1, 15) + timedelta(days=chance.randrange(300))
            job(day, boat, part, "fitted", "")
            day += timedelta(days=chance.randrange(500, 1500))
            while day < date(2025, 9, 1):
                why = chance.choice(["leaking", "leaking", "by age"])
                job(day, boat, part, "renewed", why, "all fine")
                day += timedelta(days=chance.randrange(500, 1500))
    if misspelt:
        job(date(2025, 9, 20), MISSPELT, ITS_JOB, "renewed", "leaking")
    for at in range(more):
        job(date(2025, 10, 1 + at), BOATS[at], PARTS[0], "renewed", "by age")
    return as_csv([HEADER, *rows])


def yachts() -> bytes:
    """A list of the boats, as CSV."""
    rows = [
        (boat, "North Quay" if at % 2 else "Kettle Bay", "2011") for at, boat in enumerate(BOATS)
    ]
    return as_csv([("Yacht", "Marina", "Year built"), *rows])


def as_csv(rows: list[tuple[str, ...]]) -> bytes:
    """Rows as CSV (RFC 4180)."""
    text = io.StringIO(newline="")
    csv.writer(text).writerows(rows)
    return text.getvalue().encode()
