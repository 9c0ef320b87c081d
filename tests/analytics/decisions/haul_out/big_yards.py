"""Invented fleets of any size, with lines of four kinds, charters, hours and places that bind.

Hours, prices and chances are invented; nobody's fleet is meant.
"""

from __future__ import annotations

import numpy as np

from analytics.decisions.haul_out.problem import BoatAsk, Job, Problem, Week, Yard
from tests.analytics.decisions.haul_out.small_yards import week

# Kind, hours alone, hours beside other work, part, what a failure costs.
KINDS = (
    ("bellows", 7.0, 1.0, 300.0, 6000.0),
    ("face ring", 7.0, 1.0, 500.0, 5000.0),
    ("cutless bearing", 7.0, 1.5, 200.0, 2500.0),
    ("lip seal", 4.0, 0.8, 80.0, 2000.0),
)


def big_problem(
    boats: int,
    weeks: int,
    *,
    seed: int = 0,
    slots_a_boat: float = 0.9,
    hours_a_slot: float = 15.0,
    places_a_slot: float = 1.5,
    must: float = 0.05,
) -> Problem:
    """Every other boat has two lines; nine days ashore at least; the lift is closed each 13th week.

    Parameters
    ----------
    slots_a_boat : float
        Slots of all weeks, for each boat.
    must : float
        Chance that a job must be done.
    """
    rng = np.random.default_rng(seed)
    slots = max(1, round(boats * slots_a_boat / weeks))
    made = tuple(
        Week(
            week(number),
            0 if number % 13 == 12 else slots,
            hours=slots * hours_a_slot,
            places=int(slots * places_a_slot),
        )
        for number in range(weeks)
    )
    warmth = (1 + np.sin(np.arange(weeks) / weeks * 2 * np.pi)) / 2
    asks = []
    for number in range(boats):
        jobs = []
        for line in "PS"[: 1 + number % 2]:
            for kind, alone, shared, part, failure in KINDS:
                risk = rng.beta(1, 8)
                jobs.append(
                    Job(
                        key=f"{line} {kind}",
                        line=line,
                        kind=kind,
                        saving=risk * failure - part,
                        alone_hours=alone,
                        shared_hours=shared,
                        waiting=tuple(risk * failure * 0.3 / weeks * warmth),
                        must=bool(rng.random() < must),
                        why_must="its written limit is passed",
                    )
                )
        asks.append(
            BoatAsk(
                boat=f"B{number:04d}",
                jobs=tuple(jobs),
                haul_cost=float(rng.integers(400, 900)),
                left_cost=600.0,
                booked=frozenset(one.start for one in made if rng.random() < 0.4),
            )
        )
    yard = Yard(made, labour=70.0, hours_a_day=6.0, least_days=9)
    return Problem(yard, tuple(asks), moving_cost=50.0)
