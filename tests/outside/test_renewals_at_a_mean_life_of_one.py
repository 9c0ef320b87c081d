"""Renewals of parts that run until they fail, against the Weibull renewal function.

No published number found: expected renewals of a new part by .5, 1 and 2 mean lives, computed by
the series of Smith & Leadbetter 1963 (from memory) in another program. Here the program's own
futures are counted, of parts that are new today and whose curve is known.
"""

from dataclasses import replace
from math import gamma

import numpy as np
import pytest

from analytics.ageing.fit import FleetAgeing, kind_ageing
from analytics.ageing.posterior import point
from analytics.lives import Lives
from analytics.outlook.futures import simulated_futures
from analytics.outlook.policy import no_limits
from analytics.usage import DAYS_PER_YEAR, day_number
from tests.analytics.ageing.folders import fleet_of

MEAN_LIFE = 8.0
"""Years: a half, one and two of it are whole days, as the days of renewals are."""

PARTS, FUTURES = 40, 4000

RENEWALS = {
    2.0: (0.184298, 0.624070, 1.637899),
    2.5: (0.124383, 0.565006, 1.592178),
    3.0: (0.085551, 0.531046, 1.559482),
}


def aged(lives: Lives, shape: float) -> FleetAgeing:
    """How the bellows age, the curve known to be of this shape."""
    fitted = kind_ageing(lives, lives.table, factors=False)
    known = point(fitted.kind, np.log(shape), np.log(MEAN_LIFE / gamma(1.0 + 1.0 / shape)))
    return {("bellows", "all"): replace(fitted, posterior=known)}


@pytest.mark.parametrize("shape", RENEWALS)
def test_renewals_by_a_half_one_and_two_mean_lives(shape: float) -> None:
    rows = [f"B{i:02d},single,bellows,,,2024-06-30" for i in range(PARTS)]
    lives = fleet_of(
        rows, '[kinds.bellows]\nfamily = "weibull"\ncauses = ["wear_out"]\nlimit = 100\n'
    ).lives
    fitted = aged(lives, shape)
    season = lives.settings.seasons
    futures = simulated_futures(
        lives,
        fitted,
        [season.season(2024 + i) for i in range(18)],
        n_futures=FUTURES,
        seed=1,
        policy={("bellows", "all"): no_limits(PARTS)},
    )
    passed = (futures.day - day_number(lives.as_of)) / (DAYS_PER_YEAR * MEAN_LIFE)
    for time, expected in zip((0.5, 1.0, 2.0), RENEWALS[shape], strict=True):
        place = futures.future.astype(np.int64) * PARTS + futures.part
        counts = np.bincount(place[passed < time], minlength=PARTS * FUTURES)
        error = counts.std() / np.sqrt(len(counts))
        assert error < 0.0025
        assert counts.mean() == pytest.approx(expected, abs=4 * error)
