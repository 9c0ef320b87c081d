"""Readings and failures held against each other: told where they cannot be of the same thing."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from analytics.ageing.families import AVERAGED, CODES
from analytics.ageing.fit import Ageing, kind_ageing
from analytics.ageing.likelihood import Parameters
from analytics.ageing.posterior import Posterior, of_family
from analytics.ageing.wear.hours_to_limit import Wear
from analytics.ageing.wear.wear_and_failures import disagreement, failed_within_limit
from analytics.ageing.wear.wear_contribution import log_contribution
from tests.analytics.ageing.wear.worn_fleet import KIND, folder, wearing_fleet, worn

WEAR_OUT = '[kinds.cutless_bearing]\ncauses = ["wear_out"]\nfamily = "lognormal"\n'


def both(files: dict[str, bytes], *, factors: bool = False) -> tuple[Ageing, Wear]:
    fleet, _, wear = worn(files)
    assert wear is not None
    lives = fleet.lives
    return kind_ageing(lives, lives.table[lives.table["kind"] == KIND], factors=factors), wear


@pytest.mark.parametrize(
    ("fail_at", "said"),
    [(0.5, "may be called failed before their limit"), (1.1, "may be kept past their limit")],
)
def test_where_they_disagree_it_is_said(fail_at: float, said: str) -> None:
    ageing, wear = both(wearing_fleet(60, seed=0, fail_at=fail_at)[0])
    assert said in (disagreement(ageing.posterior, wear) or "").replace("Bearings", "bearings")
    within = failed_within_limit(wear)
    assert (within is not None) is (fail_at < 0.75)
    assert within is None or "most likely still within the limit" in within


def test_a_fleet_whose_truth_is_the_model_is_told_nothing() -> None:
    for seed in (20, 21, 22):
        ageing, wear = both(wearing_fleet(25, seed=seed, settings=WEAR_OUT)[0])
        assert disagreement(ageing.posterior, wear) is None
        assert failed_within_limit(wear) is None


def test_sizes_without_a_limit_are_told_nothing() -> None:
    rows = ["A,single,2016-01-01,clearance_mm,0.3"]
    ageing, wear = both(folder(["A,single,45 mm,2014-01-01"], rows))
    assert disagreement(ageing.posterior, wear) is None
    assert failed_within_limit(wear) is None


def test_a_life_factor_moves_the_scale_of_its_own_path() -> None:
    ageing, wear = both(wearing_fleet(6, seed=3, settings=WEAR_OUT)[0])
    n = 5
    theta = ageing.posterior.parameters.part(slice(0, n))
    beside = np.full(n, np.log(0.05)), np.zeros(n)
    everyone = np.ones(len(wear.paths), dtype=bool)

    def said(theta: Parameters, shift: np.ndarray | None = None) -> np.ndarray:
        return log_contribution(ageing.posterior, theta, wear, *beside, everyone, shift)

    moved = Parameters(theta.log_shape, theta.log_scale - 0.3, theta.early)
    shift = np.full((n, len(wear.paths)), -0.3)
    assert said(theta, shift) == pytest.approx(said(moved), abs=1e-9)
    shift[:, 0] = 0.0
    assert not np.allclose(said(theta, shift), said(moved), atol=0.01)


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
        return log_contribution(posterior, theta, wear, *chosen, everyone)

    together = said(averaged, np.arange(n))
    for code, name in enumerate(CODES):
        rows = np.flatnonzero(codes == code)
        alone = averaged.of_draws(rows).in_own_terms(name)
        assert alone.parameters.codes is None
        assert together[rows] == pytest.approx(said(alone, rows), abs=1e-9)
