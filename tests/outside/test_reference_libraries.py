"""The fit with delayed entry and inspections against two libraries, on lives drawn here.

surpyval and lifelines are written independently of each other and of this program.
"""

import numpy as np
import numpy.typing as npt
import pytest

from analytics.ageing.families import FAMILIES
from analytics.ageing.maximum_likelihood.maximum import maximum_likelihood
from tests.outside.known_ages import lives_inspected, lives_seen_through

Ages = npt.NDArray[np.float64]


@pytest.fixture(scope="module")
def watched_late() -> tuple[Ages, Ages, npt.NDArray[np.bool_]]:
    """Entry age, age, failure: 1,500 lives, Weibull 2.5 and 9.5, without those dead on entry."""
    rng = np.random.default_rng(20)
    life = 9.5 * rng.weibull(2.5, 4000)
    entry = np.maximum(rng.uniform(-4.0, 12.0, 4000), 0.0)
    watched = rng.uniform(0.5, 7.0, 4000)
    alive = np.flatnonzero(life > entry)[:1500]
    life, entry, last = life[alive], entry[alive], entry[alive] + watched[alive]
    return entry, np.minimum(life, last), life <= last


@pytest.mark.parametrize("family", ["weibull", "lognormal"])
def test_delayed_entry(watched_late: tuple[Ages, Ages, npt.NDArray[np.bool_]], family: str) -> None:
    import surpyval
    from lifelines import LogNormalFitter, WeibullFitter

    entry, ages, failed = watched_late
    fit = maximum_likelihood(FAMILIES[family], lives_seen_through(ages, failed, entry))
    assert fit is not None
    if family == "weibull":
        library = WeibullFitter().fit(ages, failed, entry=entry)
        theirs = (library.rho_, library.lambda_)
        scale, shape = surpyval.Weibull.fit(x=ages, c=1 - failed, tl=entry).params
        also = (shape, scale)
    else:
        library = LogNormalFitter().fit(ages, failed, entry=entry)
        theirs = (1 / library.sigma_, np.exp(library.mu_))
        mu, sigma = surpyval.LogNormal.fit(x=ages, c=1 - failed, tl=entry).params
        also = (1 / sigma, np.exp(mu))
    assert (fit.shape, fit.scale) == pytest.approx(theirs, rel=1e-4)
    assert (fit.shape, fit.scale) == pytest.approx(also, rel=1e-4)
    assert fit.log_likelihood == pytest.approx(library.log_likelihood_, rel=1e-7)


def test_delayed_entry_matters(watched_late: tuple[Ages, Ages, npt.NDArray[np.bool_]]) -> None:
    entry, ages, failed = watched_late
    right = maximum_likelihood(FAMILIES["weibull"], lives_seen_through(ages, failed, entry))
    wrong = maximum_likelihood(FAMILIES["weibull"], lives_seen_through(ages, failed))
    assert right is not None
    assert wrong is not None
    assert (right.shape, right.scale) == pytest.approx((2.5, 9.5), rel=0.06)
    assert wrong.shape > 1.1 * right.shape
    assert wrong.scale > 1.1 * right.scale


def test_inspected_and_watched_late(
    watched_late: tuple[Ages, Ages, npt.NDArray[np.bool_]],
) -> None:
    from lifelines import WeibullFitter

    entry, ages, failed = watched_late
    lower = np.where(failed, np.maximum(np.floor(ages), entry), ages)
    upper = np.where(failed, np.ceil(ages), np.inf)
    fit = maximum_likelihood(FAMILIES["weibull"], lives_inspected(lower, upper, entry))
    library = WeibullFitter().fit_interval_censoring(lower, upper, entry=entry)
    assert fit is not None
    assert (fit.shape, fit.scale) == pytest.approx((library.rho_, library.lambda_), rel=1e-4)
    assert fit.log_likelihood == pytest.approx(library.log_likelihood_, rel=1e-7)
