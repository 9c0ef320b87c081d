"""Readings and failures joined: the same as a direct fit, and told where they cannot both be."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.special import logsumexp

from analytics.ageing.clocks import collapsed
from analytics.ageing.families import AVERAGED, CODES, shared_terms
from analytics.ageing.fit import Ageing, kind_ageing
from analytics.ageing.groups.fields import Field
from analytics.ageing.groups.life_factors import LifeFactors
from analytics.ageing.likelihood import Parameters, log_likelihood
from analytics.ageing.posterior import Posterior, of_family
from analytics.ageing.prior import log_prior
from analytics.ageing.wear import wear_and_failures
from analytics.ageing.wear.hours_to_limit import Wear
from analytics.ageing.wear.new_bearings import life_by_readings
from analytics.ageing.wear.wear_and_failures import ASSUMPTION, TOO_FAR, TOO_MANY, with_readings
from analytics.ageing.wear.wear_contribution import log_contribution
from analytics.ageing.wear.wear_paths import belief_of
from tests.analytics.ageing.wear.worn_fleet import KIND, folder, wearing_fleet, worn

WEAR_OUT = '[kinds.cutless_bearing]\ncauses = ["wear_out"]\nfamily = "lognormal"\n'


def both(files: dict[str, bytes], *, factors: bool = False) -> tuple[Ageing, Wear]:
    fleet, _, wear = worn(files)
    assert wear is not None
    lives = fleet.lives
    return kind_ageing(lives, lives.table[lives.table["kind"] == KIND], factors=factors), wear


def logs(ageing: Ageing, joined=None) -> np.ndarray:
    theta = (joined.posterior if joined else ageing.posterior).parameters
    return np.column_stack([theta.log_shape, theta.log_scale])


@pytest.mark.parametrize("in_steps", [False, True])
@pytest.mark.parametrize(("boats", "read"), [(15, 0.3), (60, 0.5)])
def test_the_joined_draws_are_those_of_a_direct_fit(
    boats: int, read: float, in_steps: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    if in_steps:
        monkeypatch.setattr(wear_and_failures, "_ENOUGH", np.inf)
    settings = WEAR_OUT.replace("lognormal", "weibull")
    files, _ = wearing_fleet(boats, seed=11, read=read, settings=settings)
    ageing, wear = both(files)
    joined = with_readings(ageing.posterior, wear)
    assert joined.posterior is not None
    assert (joined.stages > 0) is in_steps
    # The same target sampled from a proposal of its own, with the records' likelihood itself.
    state = np.column_stack([logs(ageing, joined), wear.shared.rows[:, 2:]])
    rng, n = np.random.default_rng(1), 3000
    root = np.linalg.cholesky(np.cov(state.T) * 1.6)
    away = rng.standard_normal((n, 4)) * np.sqrt(5 / rng.chisquare(5, n))[:, None]
    rows = state.mean(axis=0) + away @ root.T
    theta = Parameters(rows[:, 0], rows[:, 1], np.zeros(n))
    middle, spread = (values[2:] for values in belief_of(wear.belief))
    everyone = np.ones(len(wear.paths), dtype=bool)
    family = ageing.posterior.family
    target = (
        log_prior(family, ageing.kind.prior, rows[:, :2])
        + log_likelihood(family, theta, collapsed(ageing.nodes), 1.0)
        + log_contribution(
            ageing.posterior, theta, wear, rows[:, 2], rows[:, 3], everyone, ~everyone
        )
        - 0.5 * (((rows[:, 2:] - middle) / spread) ** 2).sum(axis=1)
    )
    log_weight = target + 4.5 * np.log1p((away**2).sum(axis=1) / 5)
    weight = np.exp(log_weight - logsumexp(log_weight))
    assert 1 / (weight**2).sum() > 500
    mean = weight @ rows[:, :2]
    deviation = np.sqrt(weight @ (rows[:, :2] - mean) ** 2)
    assert logs(ageing, joined).mean(axis=0) == pytest.approx(mean, abs=0.2 * deviation.max())
    assert logs(ageing, joined).std(axis=0) == pytest.approx(deviation, rel=0.2)


def test_together_they_say_more_than_either_and_cover_the_truth() -> None:
    ageing, wear = both(wearing_fleet(40, seed=6, settings=WEAR_OUT)[0])
    joined = with_readings(ageing.posterior, wear)
    assert joined.posterior is not None
    assert joined.said == (ASSUMPTION,)
    assert logs(ageing, joined)[:, 1].std() < 0.95 * logs(ageing)[:, 1].std()
    (limit,) = wear.sizes()
    by_readings = np.log(life_by_readings(wear, limit, 0.5))
    assert logs(ageing, joined)[:, 1].std() < 1.05 * by_readings.std()
    low, high = np.quantile(logs(ageing, joined)[:, 1], (0.025, 0.975))
    assert low < np.log(3025) < high


def test_without_a_failure_the_readings_carry_the_curve() -> None:
    parts = [f"B{n},single,30 mm,2018-01-01" for n in range(12)]
    rows = [
        f"B{n},single,{year}-01-01,clearance_mm,{0.145 + rate * (year - 2018) * 0.3:.3f}"
        for n, rate in enumerate(np.geomspace(0.28, 0.55, 12))
        for year in (2019, 2020, 2021, 2022)
    ]
    ageing, wear = both(folder(parts, rows))
    assert ageing.failures == 0
    joined = with_readings(ageing.posterior, wear)
    assert joined.posterior is not None
    before, after = (
        np.exp(np.quantile(rows[:, 1], (0.05, 0.95)))
        for rows in (logs(ageing), logs(ageing, joined))
    )
    # 0.605 mm at 0.28 to 0.55 mm in 1,000 h are 1,100 to 2,160 h.
    assert 1100 < after[0] < after[1] < 2300
    assert before[1] > 2 * after[1]


@pytest.mark.parametrize(
    ("fail_at", "said"),
    [(0.5, "may be called failed before their limit"), (1.1, "may be kept past their limit")],
)
def test_where_they_disagree_it_is_said_and_nothing_is_drawn(fail_at: float, said: str) -> None:
    ageing, wear = both(wearing_fleet(60, seed=0, fail_at=fail_at)[0])
    joined = with_readings(ageing.posterior, wear)
    assert joined.posterior is None
    assert joined.said[-1] == TOO_FAR
    told = " ".join(joined.said).replace("Bearings", "bearings")
    assert said in told
    assert ("most likely still within the limit" in told) is (fail_at < 0.75)
    assert (joined.corrected > 0) is (fail_at > 0.75)


def test_a_fleet_whose_truth_is_the_model_is_told_nothing() -> None:
    for seed in (20, 21, 22):
        ageing, wear = both(wearing_fleet(25, seed=seed, settings=WEAR_OUT)[0])
        assert with_readings(ageing.posterior, wear).said == (ASSUMPTION,)


def test_sizes_without_a_limit_leave_the_curve_as_it_was() -> None:
    rows = ["A,single,2016-01-01,clearance_mm,0.3"]
    ageing, wear = both(folder(["A,single,45 mm,2014-01-01"], rows))
    joined = with_readings(ageing.posterior, wear)
    assert joined.posterior is ageing.posterior
    assert (joined.used, joined.without_limit) == (0, 1)
    assert joined.weights.sum() == pytest.approx(1.0)


def test_readings_join_only_their_own_kind_on_its_hours() -> None:
    rows = ["A,single,2016-01-01,clearance_mm,0.3"]
    ageing, wear = both(folder(["A,single,30 mm,2014-01-01"], rows))
    by_years = replace(ageing.posterior, kind=replace(ageing.kind, clock="years"))
    with pytest.raises(ValueError, match="shaft hours"):
        with_readings(by_years, wear)


def test_a_life_factor_moves_the_scale_of_its_own_path() -> None:
    ageing, wear = both(wearing_fleet(6, seed=3, settings=WEAR_OUT)[0])
    n = 5
    theta = ageing.posterior.parameters.part(slice(0, n))
    beside = np.full(n, np.log(0.05)), np.zeros(n)
    everyone = np.ones(len(wear.paths), dtype=bool)

    def said(theta: Parameters, shift: np.ndarray | None = None) -> np.ndarray:
        return log_contribution(ageing.posterior, theta, wear, *beside, everyone, ~everyone, shift)

    moved = Parameters(theta.log_shape, theta.log_scale - 0.3, theta.early)
    shift = np.full((n, len(wear.paths)), -0.3)
    assert said(theta, shift) == pytest.approx(said(moved), abs=1e-9)
    shift[:, 0] = 0.0
    assert not np.allclose(said(theta, shift), said(moved), atol=0.01)


def test_factors_keep_their_draws() -> None:
    ageing, wear = both(wearing_fleet(12, seed=3, settings=WEAR_OUT)[0])
    field = Field("base", ("north", "south"), np.zeros(len(ageing.table), dtype=np.int64), 2)
    n = len(ageing.posterior)
    marks = np.arange(n, dtype=float)
    factors = LifeFactors((field,), (np.zeros((n, 2)),), marks[:, None], np.zeros((n, 1)))
    marked = replace(ageing.posterior, factors=factors, accidents=marks)
    joined = with_readings(marked, wear)
    assert joined.posterior is not None
    assert joined.posterior.factors is not None
    assert np.array_equal(joined.posterior.factors.spreads[:, 0], joined.posterior.accidents)


def test_many_life_factors_are_not_moved() -> None:
    ageing, wear = both(wearing_fleet(60, seed=0)[0], factors=True)
    assert ageing.posterior.factors is not None
    joined = with_readings(ageing.posterior, wear)
    assert joined.effective < 200
    assert joined.posterior is None
    assert joined.said[-1] == TOO_MANY


def test_draws_of_two_families_say_what_each_says_alone() -> None:
    ageing, wear = both(wearing_fleet(8, seed=3, settings=WEAR_OUT)[0])
    n = 6
    rng = np.random.default_rng(2)
    codes = np.array([0, 1, 0, 0, 1, 1])
    mixed = Parameters(
        np.log(rng.uniform(1.5, 4.0, n)), np.log(rng.uniform(2000, 4000, n)), np.zeros(n), codes
    )
    beside = np.full(n, np.log(0.05)), np.zeros(n)
    everyone = np.ones(len(wear.paths), dtype=bool)
    averaged = replace(
        ageing.posterior,
        kind=of_family(ageing.kind, AVERAGED),
        parameters=mixed,
        accidents=np.zeros(n),
        factors=None,
    )

    def said(posterior: Posterior, draws: np.ndarray) -> np.ndarray:
        chosen = tuple(one[draws] for one in beside)
        theta = posterior.parameters
        return log_contribution(posterior, theta, wear, *chosen, everyone, ~everyone)

    together = said(averaged, np.arange(n))
    for code, name in enumerate(CODES):
        rows = np.flatnonzero(codes == code)
        alone = averaged.of_draws(rows).in_own_terms(name)
        assert alone.parameters.codes is None
        assert together[rows] == pytest.approx(said(alone, rows), abs=1e-9)


def test_draws_of_two_families_keep_theirs_when_joined() -> None:
    ageing, wear = both(wearing_fleet(15, seed=11, settings=WEAR_OUT)[0])
    n = len(ageing.posterior)
    theta = ageing.posterior.parameters
    codes = np.arange(n) % 2
    shape, scale = shared_terms("lognormal", theta.log_shape, theta.log_scale)
    mixed = replace(
        ageing.posterior,
        kind=of_family(ageing.kind, AVERAGED),
        parameters=Parameters(shape, scale, theta.early, codes),
        accidents=codes.astype(float),
    )
    joined = with_readings(mixed, wear)
    assert joined.posterior is not None
    assert joined.posterior.parameters.codes is not None
    assert set(joined.posterior.parameters.codes) == {0, 1}
    # Draws are carried whole: the mark set beside the family goes with it.
    assert np.array_equal(joined.posterior.parameters.codes, joined.posterior.accidents)
