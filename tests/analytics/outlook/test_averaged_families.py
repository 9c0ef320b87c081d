"""Chances and futures over draws of several families: an average of what each gives alone."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from analytics.ageing.families import CODES
from analytics.job import Fleet, boats_at_risk, futures_of, how_it_ages
from tests.analytics.ageing.folders import fleet_of

ROWS = [f"A{n},single,bellows,,,{2012 + n}-05-01" for n in range(8)]


@pytest.fixture(scope="module")
def fleet() -> Fleet:
    return fleet_of(ROWS)


def test_the_season_is_the_average_over_the_families(fleet: Fleet) -> None:
    ageing = how_it_ages(fleet)
    (key, one), *_ = ageing.items()
    posterior = one.posterior
    codes = posterior.parameters.codes
    assert codes is not None
    together = boats_at_risk(fleet, ageing).parts["risk"].to_numpy()
    alone = []
    for code, name in enumerate(CODES):
        own = posterior.of_draws(np.flatnonzero(codes == code)).in_own_terms(name)
        one_family = {key: replace(one, kind=own.kind, posterior=own)}
        alone.append(boats_at_risk(fleet, one_family).parts["risk"].to_numpy())
    np.testing.assert_allclose(together, np.mean(alone, axis=0), rtol=1e-6)
    assert np.abs(alone[0] - alone[1]).max() > 1e-3


def test_futures_draw_each_life_from_its_own_family(fleet: Fleet) -> None:
    ageing = how_it_ages(fleet)
    (key, one), *_ = ageing.items()
    codes = one.posterior.parameters.codes
    assert codes is not None
    together = futures_of(fleet, ageing, seasons=3, n_futures=1000).unplanned.sum(axis=(1, 2))
    for code, name in enumerate(CODES):
        rows = np.flatnonzero(codes == code)
        own = one.posterior.of_draws(rows).in_own_terms(name)
        alone = {key: replace(one, kind=own.kind, posterior=own)}
        counts = futures_of(fleet, alone, seasons=3, n_futures=2000).unplanned.sum(axis=(1, 2))
        # A future takes the draw of its number, so that those of a family can be picked out.
        error = np.hypot(
            counts.std() / np.sqrt(len(counts)), together[rows].std() / np.sqrt(len(rows))
        )
        assert together[rows].mean() == pytest.approx(counts.mean(), abs=3.5 * error)


def test_the_order_of_rows_changes_nothing(fleet: Fleet) -> None:
    again = how_it_ages(fleet_of([*ROWS[3:], *ROWS[:3]]))
    for key, one in how_it_ages(fleet).items():
        theta, other = one.posterior.parameters, again[key].posterior.parameters
        np.testing.assert_array_equal(theta.log_scale, other.log_scale)
        np.testing.assert_array_equal(theta.codes, other.codes)
