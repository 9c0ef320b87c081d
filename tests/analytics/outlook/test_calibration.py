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
    expected, happened, inside = [], [], 0
    for seed in range(FLEETS):
        invented = invent_fleet(TARNWICK, boats=60, seed=500 + seed)
        files = {name: text.encode() for name, text in invented.files.items()}
        fleet = job.open_fleet(files)
        risk = job.boats_at_risk(fleet, job.how_it_ages(fleet, seed))
        # Accidents are chance alone: what is asked here is whether the ageing is right.
        own = (risk.parts["risk"] - risk.parts["risk_accident"]).to_numpy(dtype=float)
        share = own / risk.parts["risk"].to_numpy(dtype=float)
        low, high = count_quantiles(count_distribution(risk.during * share), (0.05, 0.95))
        failures = int(failed_in_season(invented, fleet, risk).sum())
        expected.append(own.sum())
        happened.append(failures)
        inside += low <= failures <= high
    # Counts of independent parts spread no wider than a Poisson count: three of its deviations.
    assert abs(sum(happened) - sum(expected)) < 3 * np.sqrt(sum(expected))
    # At 90 % each, fewer than 11 of 16 inside would come once in three hundred times.
    assert inside >= 11
