"""Smoothed leave-one-out weights against another program's, on draws that anybody can make."""

import numpy as np
from scipy.stats import gamma

from analytics.ageing.predictive import leave_one_out


def test_seven_lives_at_a_constant_rate() -> None:
    # Densities and tails by `psislw` of ArviZ 0.21.0, run on the same 500 quantiles of the rate.
    age = np.array([0.3, 2.0, 4.5, 9.0, 14.0, 60.0, 90.0])
    failed = np.array([1.0, 1.0, 0.0, 1.0, 0.0, 1.0, 1.0])
    share = (np.arange(500) + 0.5) / 500
    rate = gamma.ppf(share, 2 + failed.sum(), scale=1 / (20 + age.sum()))[:, None]
    found = leave_one_out(failed * np.log(rate) - rate * age)
    by_unit = [-3.51539779, -3.56667561, -0.15948298, -3.78258358, -0.50879738, -5.64567039,
               -7.056842]  # fmt: skip
    tail = np.array([0.17174839, 0.17192129, 0.0, 0.17580552, 0.0, 0.36970947, 0.56935384])
    # Even weights are left as they are, which moves their life's density in the fourth decimal.
    np.testing.assert_allclose(found.by_unit, by_unit, atol=5e-4)
    np.testing.assert_allclose(found.by_unit[tail > 0], np.array(by_unit)[tail > 0], atol=1e-7)
    np.testing.assert_allclose(found.tail, tail, atol=1e-7)
