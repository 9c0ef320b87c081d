"""Families weighed by what they foretell, and draws of several side by side."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import numpy.typing as npt
import pytest
from scipy.stats import lognorm, weibull_min

from analytics.ageing.clocks import Nodes
from analytics.ageing.families import CODES, FAMILIES, Averaged, own_terms, shared_terms
from analytics.ageing.family_choice import as_set, draws_of, family_choice
from analytics.ageing.groups.fields import Groups, groups_of
from analytics.ageing.groups.group_posterior import (
    GroupedPosterior,
    grouped_score,
    posterior_with_groups,
    some_of,
)
from analytics.ageing.likelihood import Parameters, cumulative_hazard, per_life
from analytics.ageing.posterior import (
    AlikeLives,
    Posterior,
    of_family,
    posterior_of,
    prior_of,
    spawned,
)
from analytics.ageing.predictive import Score
from analytics.records.kinds import KINDS
from tests.analytics.ageing.groups.grouped_fleet import table_of
from tests.outside.known_ages import lives_seen_through

Floats = npt.NDArray[np.float64]

AVERAGED = replace(KINDS["bellows"], causes=("wear_out",))


def lognormal_fleet(n: int, seed: int) -> Nodes:
    """Lives about eight years, watched for up to fifteen."""
    rng = np.random.default_rng(seed)
    life, watched = 8 * np.exp(0.45 * rng.standard_normal(n)), rng.uniform(2, 15, n)
    return lives_seen_through(np.minimum(life, watched), life < watched)


def few(failures: int) -> Nodes:
    ages = np.linspace(2.0, 8.0, 12)
    return lives_seen_through(ages, np.arange(12) >= 12 - failures)


def drawn(nodes: Nodes, seed: int = 3) -> Posterior:
    return posterior_of(AVERAGED, nodes, 0, 0.0, np.random.default_rng(seed))


def test_the_weight_of_the_truth_grows_with_the_records() -> None:
    weights = []
    for n in (40, 800):
        choice = drawn(lognormal_fleet(n, 1)).families
        assert choice is not None
        assert choice.basis == "score"
        weights.append(choice.by_score["lognormal"])
    assert 0.2 < weights[0] < 0.95
    assert weights[1] > 0.98


def test_a_clear_winner_is_used_alone_and_as_if_it_had_been_set() -> None:
    nodes = lognormal_fleet(800, 1)
    found = drawn(nodes, 3)
    assert found.kind.family == "lognormal"
    assert found.parameters.codes is None
    stream = spawned(np.random.default_rng(3), 3)[CODES.index("lognormal")]
    alone = posterior_of(of_family(AVERAGED, "lognormal"), nodes, 0, 0.0, stream)
    np.testing.assert_array_equal(found.parameters.log_scale, alone.parameters.log_scale)
    np.testing.assert_array_equal(found.parameters.log_shape, alone.parameters.log_shape)


@pytest.mark.parametrize("failures", [0, 1, 2])
def test_too_few_failures_leave_both_at_their_weight_before(failures: int) -> None:
    found = drawn(few(failures))
    assert found.families is not None
    assert found.families.basis == "few failures"
    assert found.kind.family == "averaged"
    assert len(found) == len(found.accidents) == 1000
    assert np.bincount(found.parameters.codes).tolist() == [500, 500]


@pytest.mark.parametrize(
    "nodes",
    [
        lives_seen_through([5.0] * 6, [True] * 6),
        lives_seen_through([5.0] * 6 + [1.0], [True] * 6 + [False]),
        lives_seen_through([4.0], [True]),
        lives_seen_through([4.0], [False]),
    ],
    ids=["all on one day", "and one sound", "one failed", "one sound"],
)
def test_odd_records_have_an_answer(nodes: Nodes) -> None:
    found = drawn(nodes)
    assert np.isfinite(found.parameters.log_scale).all()
    assert found.families is not None
    assert sum(found.families.weights.values()) == pytest.approx(1)


def test_the_same_seed_gives_the_same_draws() -> None:
    nodes = lognormal_fleet(40, 1)
    one, other = drawn(nodes, 5), drawn(nodes, 5)
    np.testing.assert_array_equal(one.parameters.log_scale, other.parameters.log_scale)
    np.testing.assert_array_equal(one.parameters.codes, other.parameters.codes)


def test_averaged_draws_give_what_each_family_gives_for_its_own() -> None:
    both = drawn(few(2))
    codes, theta, ages = both.parameters.codes, both.parameters, np.array([0.0, 3.0, 9.0])
    assert codes is not None
    whole = cumulative_hazard(both.family, theta, ages, ages, 0.25)
    of_lives = per_life(both.family, theta, few(2), 0.25)
    for code, name in enumerate(CODES):
        rows = np.flatnonzero(codes == code)
        alone = both.of_draws(rows).in_own_terms(name)
        assert alone.family is FAMILIES[name]
        own = cumulative_hazard(alone.family, alone.parameters, ages, ages, 0.25)
        np.testing.assert_allclose(whole[rows], own, rtol=1e-9)
        own = per_life(alone.family, alone.parameters, few(2), 0.25)
        np.testing.assert_allclose(of_lives[rows], own, rtol=1e-9)
    # Some of the draws, as every chunked sum takes them.
    some = np.arange(7, 300, 3)
    part = cumulative_hazard(both.family, theta.part(some), ages, ages, 0.25)
    np.testing.assert_array_equal(part, whole[some])


def test_draws_that_lost_their_family_are_refused() -> None:
    both = drawn(few(1))
    theta = both.parameters
    lost = replace(both, parameters=Parameters(theta.log_shape, theta.log_scale, theta.early))
    with pytest.raises(ValueError, match="which family"):
        _ = lost.family
    ages = np.array([1.0])
    with pytest.raises(ValueError, match="which family"):
        cumulative_hazard(both.family, lost.parameters, ages, ages, 0.25)
    with pytest.raises(ValueError, match="asked of"):
        both.family.log_hazard(
            ages[None, :], theta.log_shape[:10, None], theta.log_scale[:10, None]
        )


def test_shared_terms_are_those_of_scipy() -> None:
    # The scale is the median; the shape is the Weibull's that spreads log life as much.
    shape, scale = np.log(2.5), np.log(9.0)
    own_shape, own_scale = own_terms("weibull", shape, scale)
    assert weibull_min(np.exp(own_shape), scale=np.exp(own_scale)).median() == pytest.approx(9.0)
    own_shape, own_scale = own_terms("lognormal", shape, scale)
    curve = lognorm(np.exp(-own_shape), scale=np.exp(own_scale))
    assert curve.median() == pytest.approx(9.0)
    # The log of a Weibull life has standard deviation pi / (sqrt(6) shape): from memory.
    assert np.exp(-own_shape) == pytest.approx(np.pi / np.sqrt(6) / 2.5)
    for name in CODES:
        there = own_terms(name, *shared_terms(name, shape, scale))
        np.testing.assert_allclose(there, (shape, scale))


def test_slopes_of_averaged_draws_by_differences() -> None:
    family = Averaged(np.array([0, 1, 1]))
    z, small = np.array([[-1.0, 0.4], [-0.7, 0.2], [0.9, 2.0]]), 1e-5
    h, h1, h2 = family.slopes(z)
    np.testing.assert_allclose(family.total(z), h)
    above, below = family.slopes(z + small), family.slopes(z - small)
    np.testing.assert_allclose(h1, (above[0] - below[0]) / (2 * small), rtol=1e-6)
    np.testing.assert_allclose(h2, (above[1] - below[1]) / (2 * small), rtol=1e-6)
    bend, bend1 = family.bend(z)
    np.testing.assert_allclose(bend, np.log(above[1] / below[1]) / (2 * small), rtol=1e-6)
    steeper, flatter = family.bend(z + small)[0], family.bend(z - small)[0]
    np.testing.assert_allclose(bend1, (steeper - flatter) / (2 * small), rtol=1e-4, atol=1e-8)
    # z = 0 is the age by which half have worn out, in every family.
    np.testing.assert_allclose(family.total(np.zeros((3, 1))), np.log(2.0))


def test_the_likeliest_family_alone() -> None:
    both = drawn(lognormal_fleet(40, 1))
    assert both.families is not None
    alone = both.likeliest
    assert alone.kind.family == both.families.likeliest
    assert alone.parameters.codes is None
    assert alone.likeliest is alone


def test_the_prior_of_an_averaged_kind_is_half_of_each() -> None:
    prior = prior_of(AVERAGED, np.random.default_rng(0))
    assert len(prior) == 1000
    assert np.bincount(prior.parameters.codes).tolist() == [500, 500]


def test_draws_follow_the_weights() -> None:
    assert draws_of(as_set("lognormal"), 1000) == {"lognormal": 1000}
    flat = Score(np.zeros(5), np.zeros(5), np.ones(5))
    ahead = Score(np.array([0.4, 0.0, 0.3, 0.0, 0.2]), np.zeros(5), np.ones(5))
    choice = family_choice(
        lambda name: ahead if name == "weibull" else flat, 5, "life", np.random.default_rng(0)
    )
    counts = draws_of(choice, 1000)
    assert sum(counts.values()) == 1000
    assert counts["weibull"] == pytest.approx(1000 * choice.weights["weibull"], abs=1)
    assert 0.6 < choice.weights["weibull"] < 0.85
    lead, error = choice.lead
    assert lead == pytest.approx(0.9)
    assert error > 0


def mixed_lines(n_lines: int, spread: float) -> tuple[Nodes, Groups]:
    """Weibull lives, three to a line; hard lines wear their parts out many times sooner."""
    rng = np.random.default_rng(8)
    line = np.repeat(np.arange(n_lines), 3)
    life = 9 * rng.weibull(5.0, len(line)) * np.exp(spread * rng.standard_normal(n_lines)[line])
    watched = rng.uniform(4, 30, len(line))
    failed = life < watched
    nodes = lives_seen_through(np.minimum(life, watched), failed)
    boats = [f"X{one:03d}" for one in line]
    return nodes, groups_of(table_of(failed, boat=boats))


def test_a_line_is_left_out_with_all_its_lives() -> None:
    nodes, groups = mixed_lines(40, 0.3)
    kind = of_family(AVERAGED, "weibull")
    found = grouped_score(kind, nodes, groups, np.random.default_rng(1))
    assert len(found.by_unit) == 40
    # A line that nothing is known of is foretold worse than its lives seen one by one.
    alike = AlikeLives(kind, nodes, np.random.default_rng(1)).score(np.random.default_rng(2))
    assert len(alike.by_unit) == nodes.n_lives
    found_again = grouped_score(kind, nodes, groups, np.random.default_rng(2))
    assert found.total == pytest.approx(found_again.total, abs=1.0)


def test_a_mixture_does_not_pick_the_family() -> None:
    # Weibull lives at three bases, one hard and one easy on its parts: taken as alike they
    # look lognormal, which the lives of no base are.
    rng, base = np.random.default_rng(2), np.arange(150) % 3
    life = 9 * rng.weibull(4.0, 150) * np.exp(0.6 * (base - 1))
    watched = rng.uniform(3, 30, 150)
    failed = life < watched
    nodes = lives_seen_through(np.minimum(life, watched), failed)
    boats = [f"X{one:03d}" for one in range(150)]
    groups = groups_of(table_of(failed, base=[f"B{one}" for one in base], boat=boats))
    alike = posterior_of(AVERAGED, nodes, 0, 0.0, np.random.default_rng(1)).families
    apart = posterior_with_groups(AVERAGED, nodes, groups, 0, 0.0, np.random.default_rng(1))
    assert alike is not None
    assert apart.families is not None
    assert apart.families.unit == "life"
    assert alike.by_score["lognormal"] > 0.8
    assert apart.families.by_score["weibull"] > 0.8


def test_a_score_too_rough_to_rely_on_leaves_both_alike() -> None:
    rough = Score(np.array([9.0, 9.0]), np.full(2, np.inf), np.ones(2))
    sound = Score(np.zeros(2), np.zeros(2), np.ones(2))
    choice = family_choice(
        lambda name: rough if name == "weibull" else sound, 5, "life", np.random.default_rng(0)
    )
    assert choice.basis == "rough"
    assert choice.weights == {"weibull": 0.5, "lognormal": 0.5}


def test_draws_of_several_families_keep_their_factors() -> None:
    nodes, groups = mixed_lines(14, 0.3)
    found = posterior_with_groups(AVERAGED, nodes, groups, 0, 0.0, np.random.default_rng(2))
    assert found.factors is not None
    assert len(found.factors) == len(found) == 1000
    assert all(len(effects) == 1000 for effects in found.factors.effects)


def test_large_fleets_are_scored_on_some_of_their_lines(monkeypatch: pytest.MonkeyPatch) -> None:
    import analytics.ageing.groups.group_posterior as grouped

    nodes, groups = mixed_lines(60, 0.3)
    assert some_of(nodes, groups) is None
    kind = of_family(AVERAGED, "weibull")
    whole = grouped_score(kind, nodes, groups, np.random.default_rng(3))
    monkeypatch.setattr(grouped, "MOST_SCORED", 100)
    part = grouped_score(kind, nodes, groups, np.random.default_rng(3))
    assert len(part.by_unit) == 30
    assert part.units == 60
    assert part.total == pytest.approx(whole.total, abs=3 * part.error)
    assert part.error > whole.error
    smaller = some_of(nodes, groups)
    assert smaller is not None
    few_lives, few_groups = smaller
    assert few_lives.n_lives == 90
    assert few_groups.places is not None
    assert GroupedPosterior(kind, few_lives, few_groups, np.random.default_rng(0)).groups.places
