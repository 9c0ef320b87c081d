"""Whether a season's expected failures come true, on invented fleets whose future is known."""

from __future__ import annotations

import numpy as np
import pytest

from analytics import job
from analytics.outlook.counts import count_distribution, count_quantiles
from analytics.sample import TARNWICK, invent_fleet
from tests.analytics.outlook.what_happened import failed_in_season

FLEETS = 16


@pytest.mark.slow
def test_the_expected_failures_come_true() -> None:
    """Sixteen fleets of the whole scenario: bad lot, warm base, silt, defects and all."""
    expected, happened, inside, middle = [], [], 0, 0
    for seed in range(FLEETS):
        invented = invent_fleet(TARNWICK, boats=60, seed=500 + seed)
        files = {name: text.encode() for name, text in invented.files.items()}
        fleet = job.open_fleet(files)
        risk = job.boats_at_risk(fleet, job.how_it_ages(fleet, seed))
        # Accidents are chance alone: what is asked here is whether the ageing is right.
        own = (risk.parts["risk"] - risk.parts["risk_accident"]).to_numpy(dtype=float)
        share = own / risk.parts["risk"].to_numpy(dtype=float)
        chances = count_distribution(risk.during * share)
        low, high = count_quantiles(chances, (0.05, 0.95))
        failures = int(failed_in_season(invented, fleet, risk).sum())
        expected.append(own.sum())
        happened.append(failures)
        inside += low <= failures <= high
        below = chances[:failures].sum() + chances[failures] / 2
        middle += 0.25 <= below <= 0.75
    # Counts of independent parts spread no wider than a Poisson count: three of its deviations.
    assert abs(sum(happened) - sum(expected)) < 3 * np.sqrt(sum(expected))
    # At 90 % each, fewer than 12 of 16 inside would come once in sixty times. The middle half of
    # the forecast holds 4 to 12 of 16 but for once in fifty times: neither too narrow nor too wide.
    assert inside >= 12
    assert 4 <= middle <= 12
