"""Invented yards and boats, small enough to try everything, drawn so that every rule bites."""

from __future__ import annotations

from datetime import date
from typing import Any

import numpy as np

from analytics.decisions.haul_out.problem import (
    WEEK,
    BoatAsk,
    Job,
    LiftLimits,
    Problem,
    Week,
    Yard,
)

MONDAY = date(2026, 10, 5)


def week(number: int) -> date:
    """Start of a week."""
    return MONDAY + number * WEEK


def job(key: str = "bellows", saving: float = 1000.0, **changes: Any) -> Job:
    """A job of seven hours alone and one beside others, on line P."""
    given: dict[str, Any] = {"line": "P", "kind": key, "alone_hours": 7.0, "shared_hours": 1.0}
    return Job(key=key, saving=saving, **(given | changes))


def yard(slots: list[int], **changes: Any) -> Yard:
    """A yard with so many slots in each week, at 10 an hour."""
    weeks = tuple(Week(week(number), count) for number, count in enumerate(slots))
    return Yard(**({"weeks": weeks, "labour": 10.0} | changes))


def drawn_problem(seed: int, boats: int, weeks: int, most_jobs: int = 3) -> Problem:
    """A small problem in which slots, hours, places, charters, tides and rules all may bind."""
    rng = np.random.default_rng([seed, boats, weeks])

    def maybe(chance: float) -> bool:
        return bool(rng.random() < chance)

    hours, places, tide = maybe(0.5), maybe(0.5), maybe(0.3)
    made = tuple(
        Week(
            week(number),
            int(rng.choice([0, 1, 1, 1, 2])),
            hours=float(rng.integers(5, 30)) if hours else None,
            places=int(rng.choice([0, 1, 1, 2])) if places else None,
            depth=float(rng.choice([1.6, 2.2])) if tide else None,
        )
        for number in range(weeks)
    )
    limits = LiftLimits(beam=float(rng.choice([4.0, 5.0])) if maybe(0.3) else None)
    asks = []
    for number in range(boats):
        jobs = []
        for place in range(int(rng.integers(0, most_jobs + 1))):
            shared = float(rng.choice([0.5, 1.0, 1.5]))
            jobs.append(
                Job(
                    key=f"J{place}",
                    line=str(rng.choice(["P", "S", ""])),
                    kind="bellows",
                    saving=float(np.round(rng.normal(400, 400), 2)),
                    alone_hours=shared + float(rng.choice([0.0, 3.0, 6.0, 14.0])),
                    shared_hours=shared,
                    waiting=tuple(np.round(rng.uniform(0, 60, weeks), 2)) if maybe(0.4) else (),
                    must=maybe(0.3),
                    why_must="its written limit is passed",
                    accepted_by="R. Example" if maybe(0.2) else "",
                )
            )
        asks.append(
            BoatAsk(
                boat=f"B{number}",
                jobs=tuple(jobs),
                haul_cost=float(np.round(rng.uniform(50, 300), 2)),
                waiting=float(np.round(rng.uniform(0, 30), 2))
                if maybe(0.5)
                else tuple(np.round(rng.uniform(0, 50, weeks), 2)),
                left_cost=float(np.round(rng.uniform(0, 200), 2)),
                booked=frozenset(week(n) for n in range(weeks + 1) if maybe(0.2)),
                forbidden=frozenset(week(n) for n in range(weeks) if maybe(0.1)),
                pinned=week(int(rng.integers(0, weeks))) if maybe(0.05) else None,
                last_week=week(int(rng.integers(0, weeks))) if maybe(0.4) else None,
                beam=float(rng.choice([3.8, 4.5])) if maybe(0.7) else None,
                draught=float(rng.choice([1.5, 2.0])) if maybe(0.7) else None,
            )
        )
        if asks[-1].pinned is None and maybe(0.05):
            asks[-1] = BoatAsk(**{**vars(asks[-1]), "promised": week(int(rng.integers(0, weeks)))})
    return Problem(
        Yard(
            made,
            labour=float(rng.choice([0.0, 10.0, 30.0])),
            hours_a_day=float(rng.choice([4.0, 8.0])),
            days_a_week=int(rng.integers(4, 8)),
            least_days=int(rng.choice([1, 3, 8])),
            limits=limits,
        ),
        tuple(asks),
        moving_cost=float(rng.choice([0.0, 40.0])),
    )
