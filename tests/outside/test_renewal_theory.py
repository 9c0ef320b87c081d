"""Simulated renewals of a Weibull place against its renewal equation.

No published cell was found. The values are those of the series of Smith & Leadbetter 1963
(Technometrics 5, 393-396; from memory), computed in another program by solving the renewal equation
M(t) = F(t) + integral of M(t - s) dF(s); the same equation is solved once more here, by steps.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from analytics.ageing.posterior import point
from analytics.job import how_it_ages
from analytics.outlook.futures import simulated_futures
from analytics.outlook.policy import no_limits
from analytics.usage import DAYS_PER_YEAR, day_number
from tests.analytics.ageing.folders import fleet_of

TIMES = (0.5, 1.0, 2.0)
RENEWALS = {
    1.0: (0.5, 1.0, 2.0),
    1.5: (0.330270, 0.841578, 1.945501),
    2.0: (0.230794, 0.753691, 1.894039),
}
"""Expected renewals of a new part by `TIMES`, in units of the Weibull scale."""

SCALE = 16.0
"""Years: the times are whole days, and the day that a renewal takes is nothing beside them."""

PLACES, FUTURES = 40, 3000


def by_steps(shape: float, until: float, steps: int) -> float:
    """The renewal equation, each step taken at its middle (Xie 1989, from memory)."""
    width = until / steps
    within = -np.expm1(-((np.arange(steps + 1) * width) ** shape))
    middle = -np.expm1(-(((np.arange(steps) + 0.5) * width) ** shape))
    found = np.zeros(steps + 1)
    for i in range(1, steps + 1):
        rises = np.diff(found[:i])
        known = np.dot(middle[i - 1 : 0 : -1], rises) if i > 1 else 0.0
        found[i] = (within[i] + known - middle[0] * found[i - 1]) / (1.0 - middle[0])
    return float(found[-1])


@pytest.mark.parametrize("shape", RENEWALS)
def test_the_equation_gives_the_values(shape: float) -> None:
    for time, expected in zip(TIMES, RENEWALS[shape], strict=True):
        # The error falls with the square of the step: two grids give what an endless one would.
        coarse, fine = (by_steps(shape, time, steps) for steps in (400, 800))
        assert fine == pytest.approx(expected, abs=1e-4)
        assert abs(fine - expected) < abs(coarse - expected) + 1e-6


@pytest.mark.parametrize("shape", RENEWALS)
def test_simulated_renewals_follow_the_renewal_equation(shape: float) -> None:
    fleet = fleet_of(
        [f"B{i:02d},single,bellows,,,2024-06-30" for i in range(PLACES)],
        '[kinds.bellows]\nfamily = "weibull"\ncauses = ["wear_out"]\n',
    )
    (key, fitted), *_ = how_it_ages(fleet).items()
    known = replace(fitted, posterior=point(fitted.kind, np.log(shape), np.log(SCALE)))
    rule = fleet.records.settings.seasons
    found = simulated_futures(
        fleet.lives,
        {key: known},
        [rule.season(2024 + i) for i in range(34)],
        n_futures=FUTURES,
        policy={key: no_limits(PLACES)},
    )
    passed = (found.day - day_number(fleet.lives.as_of)) / (DAYS_PER_YEAR * SCALE)
    place = found.part.astype(np.int64) * FUTURES + found.future
    for time, expected in zip(TIMES, RENEWALS[shape], strict=True):
        counts = np.bincount(place[passed < time], minlength=PLACES * FUTURES)
        error = counts.std() / np.sqrt(len(counts))
        # 0.0012 to 0.0041 renewals, over 120,000 places in futures.
        assert error < 0.0042
        assert counts.mean() == pytest.approx(expected, abs=4 * error)
