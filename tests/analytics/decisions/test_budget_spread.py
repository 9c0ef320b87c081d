"""Luck and knowledge apart: against variances that are known because they were made."""

from dataclasses import replace

import numpy as np
import pytest

from analytics.ageing.posterior import point
from analytics.decisions.budget import Budget
from analytics.decisions.budget_spread import spread_of
from analytics.job import budget_of, futures_of, how_it_ages
from tests.analytics.ageing.folders import fleet_of


def test_by_hand() -> None:
    # Draws 1, 5 and 9 with futures one below and one above: mean squares 2 within, 32 between.
    total = np.array([0.0, 4.0, 8.0, 2.0, 6.0, 10.0])
    spread = spread_of(total, 3)
    assert spread.luck == pytest.approx(2**0.5)
    assert spread.knowledge == pytest.approx(((32 - 2) / 2) ** 0.5)
    assert spread.share_luck == pytest.approx(2 / 17)


def test_both_parts_are_found_without_bias() -> None:
    # Standard deviations 3 between and 5 within; the mean of many estimates has their squares.
    rng = np.random.default_rng(11)
    found = []
    for _ in range(400):
        drawn = 3.0 * rng.standard_normal(100)
        total = np.tile(drawn, 3)[:250] + 5.0 * rng.standard_normal(250)
        spread = spread_of(total, 100)
        found.append((spread.luck**2, spread.knowledge**2))
    luck, knowledge = np.mean(found, axis=0)
    # The mean of 400 varies by about 0.14 and 0.16 here.
    assert luck == pytest.approx(25.0, abs=0.6)
    assert knowledge == pytest.approx(9.0, abs=0.7)


def test_draws_that_differ_each_always_the_same_are_knowledge_alone() -> None:
    total = np.tile([1.0, 2.0, 3.0], 50)  # three draws, always the same
    assert spread_of(total, 3).share_luck == pytest.approx(0.0)


def test_draws_that_all_have_the_same_totals_are_luck_alone() -> None:
    total = np.repeat([1.0, 2.0, 3.0], 50)  # fifty draws, each with all three
    assert spread_of(total, 50).share_luck == pytest.approx(1.0)


def undated(draws: int) -> Budget:
    """Twenty bellows that hardly ever fail, of one curve, so many times over.

    What differs is whether they are past the limit of eight years, which a date would tell.
    Records end in June: the first lift to come is that of the second season.
    """
    fleet = fleet_of(
        [f"B{n},single,bellows,P1,,2012..2022" for n in range(20)],
        '[kinds.bellows]\nfamily = "weibull"\ncauses = ["wear_out"]\n',
        prices=["bellows,P1,100,3,20"],
    )
    one = how_it_ages(fleet)["bellows", "all"]
    curve = point(one.kind, np.log(20.0), np.log(40.0)).of_draws(np.zeros(draws, dtype=np.int64))
    ageing = {("bellows", "all"): replace(one, posterior=curve)}
    return budget_of(fleet, futures_of(fleet, ageing, seasons=2, n_futures=800))


def test_not_knowing_when_parts_were_fitted_is_no_luck() -> None:
    budget = undated(200)
    assert budget.totals[:, 1].std() > 100
    assert budget.spreads[1].share_luck < 0.05


def test_with_one_draw_dates_differ_all_the_same() -> None:
    budget = undated(1)
    assert budget.totals[:, 1].std() == pytest.approx(undated(200).totals[:, 1].std(), rel=0.2)
    assert np.isnan(budget.spreads[1].share_luck)


@pytest.mark.parametrize("n_futures", [1, 2, 50, 100])
def test_one_future_a_draw_tells_nothing(n_futures: int) -> None:
    assert np.isnan(spread_of(np.arange(float(n_futures)), 100).share_luck)


def test_a_total_that_never_varies_has_no_shares() -> None:
    spread = spread_of(np.full(20, 7.0), 10)
    assert (spread.luck, spread.knowledge) == (0.0, 0.0)
    assert np.isnan(spread.share_luck)
