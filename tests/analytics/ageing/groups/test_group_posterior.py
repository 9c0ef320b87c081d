"""Effects of groups against brute force, against the truth, and against what they must not do."""

import numpy as np
import numpy.typing as npt
import pytest
from scipy.integrate import quad
from scipy.stats import norm

from analytics.ageing.clocks import Nodes
from analytics.ageing.families import FAMILIES
from analytics.ageing.groups import group_posterior as sampler
from analytics.ageing.groups.fields import Groups, groups_of
from analytics.ageing.groups.group_draws import mode_of
from analytics.ageing.groups.group_effects import local, log_target
from analytics.ageing.groups.group_posterior import grouped_lives, posterior_with_groups
from analytics.ageing.groups.grouped_lives import SPREAD
from analytics.ageing.likelihood import Parameters, per_life
from analytics.ageing.posterior import Posterior
from analytics.ageing.prior import (
    log_prior,
    prior_rows,
)
from tests.analytics.ageing.groups.grouped_fleet import WORN, table_of, worn_lives

Floats = npt.NDArray[np.float64]
POINTS = (0.05, 0.25, 0.5, 0.75, 0.95)


def three_bases() -> tuple[Nodes, Groups]:
    """Forty-five lives at three bases, those of the last at 0.7 of the life."""
    base = np.array(["A", "B", "C"])[np.arange(45) % 3]
    nodes, failed = worn_lives(
        np.log(np.where(base == "C", 0.7, 1.0)), np.random.default_rng(3), watched=(1.0, 6.0)
    )
    return nodes, groups_of(table_of(failed, base=base))


def ten_lines() -> tuple[Nodes, Groups]:
    """Forty lives on ten shaft lines, three of them hard on their parts."""
    line = np.arange(40) % 10
    nodes, failed = worn_lives(
        np.where(line < 3, -0.5, 0.0), np.random.default_rng(4), watched=(1.0, 7.0)
    )
    return nodes, groups_of(table_of(failed, boat=[f"B{i}" for i in line]))


def found(nodes: Nodes, groups: Groups, seed: int = 0) -> Posterior:
    return posterior_with_groups(WORN, nodes, groups, 0, 0.0, np.random.default_rng(seed))


def by_walking(nodes: Nodes, codes: npt.NDArray[np.int64]) -> Floats:
    """Log shape, log scale, spread and effects, by a long walk on all of them at once.

    Nothing is integrated out and no curve is fitted: the density is prior times likelihood as the
    model states them, in terms of effects over their spread. 300 walkers, half of them moved at a
    time along differences of the other half.
    """
    rng, family, n = np.random.default_rng(11), FAMILIES[WORN.family], 300
    levels = int(codes.max()) + 1

    def log_density(at: Floats) -> Floats:
        rows, log_spread, away = at[:, :2], at[:, 2], at[:, 3:]
        spread = np.exp(log_spread)
        shift = (spread[:, None] * away)[:, codes]
        of_lives = per_life(family, Parameters.from_rows(rows), nodes, 0.25, shift)
        # A walker that strays far off has no chance there, and no number to say how little.
        likely = np.maximum(of_lives, -1e9).sum(axis=1)
        believed = log_prior(family, WORN.prior, rows) - 0.5 * (away**2).sum(axis=1)
        return likely + believed + log_spread - 0.5 * (spread / SPREAD) ** 2

    at = np.column_stack([
        prior_rows(family, WORN.prior, False, n, rng),
        rng.normal(-2.0, 0.5, n), rng.standard_normal((n, levels)),
    ])  # fmt: skip
    value, kept = log_density(at), []
    for step in range(24_000):
        moving, others = (np.arange(n)[(step + half) % 2 :: 2] for half in (0, 1))
        one, two = (rng.permutation(others)[: len(moving)] for _ in range(2))
        length = 1.0 if step % 10 == 9 else 2.38 / np.sqrt(2 * at.shape[1])
        tried = at[moving] + length * (at[one] - at[two])
        tried += 1e-4 * rng.standard_normal(tried.shape)
        found = log_density(tried)
        taken = np.log(rng.random(len(moving))) < found - value[moving]
        at[moving[taken]], value[moving[taken]] = tried[taken], found[taken]
        if step >= 1500 and step % 50 == 0:
            kept.append(at.copy())
    draws = np.concatenate(kept)
    spread = np.exp(draws[:, 2:3])
    return np.column_stack([draws[:, :2], spread, spread * draws[:, 3:]])


@pytest.mark.slow
@pytest.mark.parametrize("fleet", ["three bases", "ten lines"])
def test_small_fleets_against_a_long_walk(fleet: str) -> None:
    nodes, groups = three_bases() if fleet == "three bases" else ten_lines()
    field = groups.places or groups.fields[0]
    fits = [found(nodes, groups, seed) for seed in range(4)]
    assert {ours.method for ours in fits} == {"posterior"}

    def columns(ours: Posterior) -> Floats:
        assert ours.factors is not None
        raw_scale = ours.parameters.log_scale - ours.factors.centres.sum(axis=1)
        return np.column_stack([
            ours.parameters.log_shape, raw_scale, ours.factors.spreads[:, 0],
            ours.factors.effects[0],
        ])  # fmt: skip

    all_draws = np.concatenate([columns(ours) for ours in fits])
    for ours_draws, walked in zip(all_draws.T, by_walking(nodes, field.codes).T, strict=True):
        exact = np.quantile(walked, POINTS)
        spread = (exact[-1] - exact[0]) / 3.29
        # Both are known to a few percent of the spread; five points to integrate over a line add
        # up to a fifth of it far out, for lines of which no part has failed.
        np.testing.assert_allclose(np.quantile(ours_draws, POINTS), exact, atol=0.3 * spread)
        np.testing.assert_allclose(np.median(ours_draws), exact[2], atol=0.2 * spread)


def test_the_fallback_sampler_against_the_other(monkeypatch: pytest.MonkeyPatch) -> None:
    nodes, groups = three_bases()
    usual = [found(nodes, groups, seed) for seed in range(3)]
    monkeypatch.setattr(sampler, "_FAIR_SAMPLE", np.inf)
    walked = [found(nodes, groups, seed) for seed in range(3)]
    assert {fit.method for fit in walked} == {"random walk"}

    def columns(fits: list[Posterior]) -> Floats:
        rows = []
        for fit in fits:
            assert fit.factors is not None
            theta, factors = fit.parameters, fit.factors
            own = [theta.log_shape, theta.log_scale, factors.spreads[:, 0]]
            rows.append(np.column_stack([*own, factors.effects[0]]))
        return np.concatenate(rows)

    for ours, other in zip(columns(usual).T, columns(walked).T, strict=True):
        spread = (np.quantile(ours, 0.95) - np.quantile(ours, 0.05)) / 3.29
        # As above, with both sides known no better.
        np.testing.assert_allclose(
            np.quantile(ours, POINTS), np.quantile(other, POINTS), atol=0.4 * spread
        )
        np.testing.assert_allclose(np.median(ours), np.median(other), atol=0.27 * spread)


def test_the_effect_of_a_line_is_integrated_out_as_adaptive_integration_does() -> None:
    nodes, groups = ten_lines()
    lives = grouped_lives(WORN, nodes, groups)
    mode = mode_of(lives)
    row = mode.row.copy()
    row[0] += 0.1
    row[lives.n_curve] = spread = 0.2
    assert groups.places is not None
    codes, total = groups.places.codes, 0.0
    theta = Parameters.from_rows(row[None, :2])
    for line in range(10):

        def of_line(u: float, line: int = line) -> float:
            value = per_life(FAMILIES["weibull"], theta, nodes, 0.25, np.full((1, 40), u))[0]
            return float(np.exp(value[codes == line].sum()) * norm(0, spread).pdf(u))

        total += np.log(quad(of_line, -3.0, 3.0, points=[0.0], epsrel=1e-9)[0])
    ours = log_target(lives, row[None, :], np.empty((1, 0)), mode.lines)
    believed = lives.belief(row[None, :], np.empty((1, 0)))
    assert float((ours - believed)[0]) == pytest.approx(total, abs=5e-3)


@pytest.mark.parametrize("fleet", ["three bases", "ten lines"])
def test_slope_and_curvature_of_the_posterior_against_differences(fleet: str) -> None:
    nodes, groups = three_bases() if fleet == "three bases" else ten_lines()
    lives = grouped_lives(WORN, nodes, groups)
    row = mode_of(lives).row.copy()
    row[:2] += (0.1, -0.05)
    if groups.places is not None:
        row[lives.n_curve] = 0.3
    at = local(lives, row)
    # With spreads this wide what is believed of the effects themselves adds no slope.
    spreads = np.full((1, len(groups.fields)), 1e6)

    def value(moved: Floats) -> float:
        return float(log_target(lives, moved[None, :], spreads, local(lives, moved).lines)[0])

    for column in range(len(row)):
        move = np.eye(len(row))[column] * 1e-3
        slope = (value(row + move) - value(row - move)) / 2e-3
        assert at.slope[column] == pytest.approx(slope, abs=0.04 * (1 + abs(slope)))
        bent = -(local(lives, row + move).slope - local(lives, row - move).slope) / 2e-3
        # The integral over a line is right to a few thousandths, its slopes to a few percent.
        np.testing.assert_allclose(at.curvature[column], bent, atol=0.05 * (1 + np.abs(bent).max()))


def test_a_base_that_halves_life_is_found_and_the_others_are_left_alone() -> None:
    base = np.array(["A", "B", "C", "D"])[np.arange(400) % 4]
    nodes, failed = worn_lives(np.log(np.where(base == "D", 0.5, 1.0)), np.random.default_rng(5))
    ours = found(nodes, groups_of(table_of(failed, base=base)))
    assert ours.factors is not None
    effects = ours.factors.effects[0]
    ratio = np.exp(effects[:, 3] - effects[:, :3].mean(axis=1))
    low, high = np.quantile(ratio, (0.05, 0.95))
    assert low < 0.5 < high
    assert high < 0.65
    assert np.abs(np.median(effects[:, :3] - effects[:, :3].mean(axis=1)[:, None])) < 0.05


def test_levels_that_do_not_differ_are_drawn_together() -> None:
    rng = np.random.default_rng(6)
    lot = np.array([f"L{i:02d}" for i in range(40)])[np.arange(400) % 40]
    nodes, failed = worn_lives(np.zeros(400), rng)
    ours = found(nodes, groups_of(table_of(failed, lot=lot)))
    assert ours.factors is not None
    # Ten lives a lot with a shape of 3 say little of each: by itself a lot's log life would
    # stray by about 1 / (3 sqrt(7)) = 0.13.
    medians = np.median(ours.factors.effects[0], axis=0)
    assert medians.std() < 0.05
    assert np.median(ours.factors.spreads[:, 0]) < 0.12


def test_the_typical_part_has_the_mean_effect_of_the_lives() -> None:
    nodes, groups = three_bases()
    ours = found(nodes, groups)
    assert ours.factors is not None
    np.testing.assert_allclose(ours.factors.by_life(groups.fields[0]).mean(axis=1), 0, atol=1e-12)


def test_a_place_without_factors_shows_a_longer_curve_than_its_own() -> None:
    nodes, groups = ten_lines()
    ours = found(nodes, groups)
    assert ours.factors is not None
    effects = ours.factors.effects[0]
    assert np.median(effects[:, :3].mean(axis=1) - effects[:, 3:].mean(axis=1)) < -0.15
