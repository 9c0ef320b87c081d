"""The outlook of parts whose groups last shorter: season risk, its intervals, and futures."""

from dataclasses import replace

import numpy as np
import pytest

from analytics.ageing.fit import Ageing
from analytics.ageing.groups.fields import Field
from analytics.ageing.groups.life_factors import LifeFactors
from analytics.ageing.likelihood import Parameters
from analytics.ageing.posterior import (
    Posterior,
    point,
)
from analytics.job import Fleet, how_it_ages
from analytics.outlook.futures import simulated_futures
from analytics.outlook.season import season_risk
from tests.analytics.ageing.folders import fleet_of

SHAPE, SCALE = 3.0, 12.0
SETTINGS = '[kinds.bellows]\nlimit = false\ncauses = ["wear_out"]\n'
BASES = {"A": "North", "B": "South", "C": "East", "D": ""}


def fleet() -> Fleet:
    """A part of the same day on a boat of each base; East is a base that no record of age holds."""
    return fleet_of(
        [f"{boat},single,bellows,,L1,2018-07-01" for boat in BASES],
        SETTINGS,
        boats=[f"{boat},{base},afloat" for boat, base in BASES.items()],
        boat_columns="boat,base,lay_up",
    )


def fitted(of: Fleet, factors: LifeFactors, n: int = 1) -> dict[tuple[str, str], Ageing]:
    theta = Parameters(np.full(n, np.log(SHAPE)), np.full(n, np.log(SCALE)), np.zeros(n))
    (key, one), *_ = how_it_ages(of).items()
    posterior: Posterior = replace(
        point(one.kind, 0.0, 0.0), parameters=theta, accidents=np.zeros(n), factors=factors
    )
    return {key: replace(one, posterior=posterior)}


def base_factors(n: int, north: float, spread: float) -> LifeFactors:
    """North with a factor, South with none, known; other bases from the spread."""
    field = Field("base", ("North", "South"), np.array([0, 1]), 2)
    effects = np.tile([np.log(north), 0.0], (n, 1))
    return LifeFactors((field,), (effects,), np.full((n, 1), spread), np.zeros((n, 1)))


def weibull_chance(age: float, until: float, scale: float) -> float:
    return float(-np.expm1((age / scale) ** SHAPE - (until / scale) ** SHAPE))


def test_each_part_has_the_risk_of_its_own_base() -> None:
    of = fleet()
    season = of.records.settings.seasons.season(2025)
    risk = season_risk(of.lives, fitted(of, base_factors(1, 0.6, 0.3)), season).parts
    risk = risk.set_index("boat")["risk"]
    # Known sound at six years; the season of 2025 is what the shape and the scale make of it.
    age = (np.datetime64("2024-06-30") - np.datetime64("2018-07-01")).astype(int) / 365.25
    begin, end = (
        (np.datetime64(day) - np.datetime64("2018-07-01")).astype(int) / 365.25
        for day in (season.start, season.end + np.timedelta64(1, "D").astype(object))
    )
    for boat, scale in (("A", 0.6 * SCALE), ("B", SCALE), ("D", SCALE)):
        until = weibull_chance(age, end, scale) - weibull_chance(age, begin, scale)
        assert risk[boat] == pytest.approx(until, rel=1e-9)


def test_a_base_never_seen_spreads_the_interval_over_what_bases_do() -> None:
    of = fleet()
    season = of.records.settings.seasons.season(2025)
    ageing = fitted(of, base_factors(4000, 0.6, 0.3), 4000)
    parts = season_risk(of.lives, ageing, season).parts.set_index("boat")
    assert parts.loc["A", "risk_low"] == pytest.approx(parts.loc["A", "risk_high"])
    # Its bounds are the risks of bases at the 95 % and the 5 % point of a normal effect.
    for bound, away in (("risk_low", 1.645), ("risk_high", -1.645)):
        there = base_factors(1, float(np.exp(0.3 * away)), 0.3)
        known = season_risk(of.lives, fitted(of, there), season).parts.set_index("boat")
        assert parts.loc["C", bound] == pytest.approx(known.loc["A", "risk"], rel=0.06)


def test_in_futures_a_base_stays_with_the_place_and_a_lot_does_not() -> None:
    of = fleet()
    n = 300
    lot = Field("lot", ("L1",), np.array([0]), 1)
    base = base_factors(n, 0.5, 1e-12)
    factors = LifeFactors(
        (*base.fields, lot),
        (*base.effects, np.full((n, 1), np.log(0.8))),
        np.column_stack([base.spreads, np.full(n, 1e-12)]),
        np.zeros((n, 2)),
    )
    ageing = fitted(of, factors, n)
    (key, one), *_ = ageing.items()
    sharp = Parameters(np.full(n, np.log(5000.0)), np.full(n, np.log(20.0)), np.zeros(n))
    ageing[key] = replace(one, posterior=replace(one.posterior, parameters=sharp))
    rule = of.records.settings.seasons
    coming = [rule.season(2024 + i) for i in range(13)]
    found = simulated_futures(of.lives, ageing, coming, n_futures=n)
    # Every part lasts its life to a day, and was fitted in the middle of 2018. The three with no
    # known factor of a base last 20 x .8 = 16 years, to 2034. North's lasts 8, to 2026, and the
    # next one, of another lot, 10: to 2036.
    assert (found.unplanned == found.unplanned[:1]).all()
    assert found.unplanned[0, :, 0].tolist() == [0, 0, 1, 0, 0, 0, 0, 0, 0, 0, 3, 0, 1]
