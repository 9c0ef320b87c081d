"""The regressions beside the life factors: what they take, what they say, and what they refuse."""

from dataclasses import replace
from typing import Literal

import numpy as np
import numpy.typing as npt
import pandas as pd
import pytest

from analytics.ageing.clocks import INTERVAL
from analytics.ageing.fit import Ageing, kind_ageing
from analytics.ageing.groups import regression as regressions
from analytics.ageing.groups.proportional import risk_sets, steadiness
from analytics.ageing.groups.regression import (
    REGRESSION_COLUMNS,
    Regression,
    middle_ages,
    regression_of,
    regression_table,
)
from analytics.ageing.groups.regression_fits import Cases, Fitted, accelerated, cox
from analytics.ageing.groups.regression_words import (
    agreement_sentences,
    method_sentences,
    steadiness_sentence,
)
from analytics.job import Fleet
from analytics.lives import Lives
from tests.analytics.ageing.folders import fleet_of

Floats = npt.NDArray[np.float64]


def grouped(
    n: int,
    factors: dict[str, float],
    *,
    shape: float = 3.0,
    seed: int = 1,
    shapes: dict[str, float] | None = None,
) -> Fleet:
    """One bellows a boat, the boats' bases in turn; each base multiplies a life of nine years."""
    rng = np.random.default_rng(seed)
    rows, boats, bases = [], [], list(factors)
    for i in range(n):
        base = bases[i % len(bases)]
        own = (shapes or {}).get(base, shape)
        since = np.datetime64("2008-03-01") + int(rng.integers(0, 2500))
        life = max(20, round(365.25 * 9.0 * factors[base] * rng.weibull(own)))
        ended = (
            f"{since + life},failed,afloat" if since + life < np.datetime64("2024-06-30") else ""
        )
        rows.append(f"B{i:03d},single,bellows,,,{since},{ended}")
        boats.append(f"B{i:03d},{base},ashore")
    settings = '[kinds.bellows]\ncauses = ["wear_out"]\nfamily = "weibull"\n'
    return fleet_of(rows, settings, boats=boats, boat_columns="boat,base,lay_up")


def fitted(fleet: Fleet) -> Ageing:
    return kind_ageing(fleet.lives, fleet.lives.table)


@pytest.fixture(scope="module")
def two_bases() -> tuple[Ageing, Regression]:
    ageing = fitted(grouped(160, {"North": 1.0, "South": 0.6}))
    return ageing, regression_of(ageing)


def test_it_finds_what_was_put_in(two_bases: tuple[Ageing, Regression]) -> None:
    ageing, found = two_bases
    assert list(found.table.columns) == REGRESSION_COLUMNS
    assert found.problems == ()
    south = found.table[found.table["level"] == "South"].iloc[0]
    assert south["accelerated_low"] < 0.6 < south["accelerated_high"]
    # In a Weibull life a factor on the age is a factor on the rate, to minus the shape.
    assert south["rate_ratio_low"] < 0.6**-3.0 < south["rate_ratio_high"]
    assert south["rate_ratio"] == pytest.approx(south["accelerated"] ** -3.0, rel=0.35)
    assert south["same_way"]
    assert south["overlap"]
    assert (found.lives, found.failures) == (ageing.lives, ageing.failures)


def test_one_base_is_the_other_upside_down(two_bases: tuple[Ageing, Regression]) -> None:
    table = two_bases[1].table.set_index("level")
    for name in ("factor", "accelerated", "rate_ratio"):
        assert table.loc["North", name] == pytest.approx(1 / table.loc["South", name])
        assert table.loc["North", f"{name}_low"] == pytest.approx(
            1 / table.loc["South", f"{name}_high"], rel=1e-6
        )


def test_the_sentences_of_agreement(two_bases: tuple[Ageing, Regression]) -> None:
    found = two_bases[1]
    said = agreement_sentences(found)
    assert said[0] == (
        "The regressions agree with the life factors: of 2 groups compared, the likely ranges "
        "overlap for all, and of the 2 whose factor is clearly not 1, all point the same way."
    )
    # Counted, not claimed: how often the regression lies further from 1.
    table = found.table
    further = (np.log(table["accelerated"]).abs() > np.log(table["factor"]).abs()).sum()
    assert f"its figure lies further from 1 for {further or 'none'} of the 2" in said[-1]
    # The very same lives under two names count once.
    groups = pd.DataFrame(
        {"field": ["base", "base"], "level": ["North", "South"],
         "same_lives_as": ["base South", "base North"]}
    )  # fmt: skip
    assert "of 1 group compared" in agreement_sentences(found, groups)[0]
    assert agreement_sentences(found, groups.assign(same_lives_as="")) == said
    turned = found.table.assign(
        accelerated=2.0, accelerated_low=1.8, accelerated_high=2.2, same_way=False, overlap=False
    )
    said = agreement_sentences(replace(found, table=turned))
    assert said[0].startswith("**The regressions do not agree")
    assert "overlap for 0" in said[0]
    assert "base South (0." in said[1]
    assert "2.00 by regression, likely 1.80 to 2.20" in said[1]


def test_an_effect_that_changes_with_age_is_told() -> None:
    # Both bases lose half by much the same age, one of them sharply: early on the other fails
    # faster, later on this one does.
    bases = {"North": 1.0, "South": 1.0}
    found = regression_of(fitted(grouped(300, bases, shapes={"North": 1.0, "South": 6.0})))
    assert found.table["changes_p"].max() < 1e-6
    said = steadiness_sentence(found)
    assert said.startswith("The effect of base (p = less than 0.001) on the failure rate changes")
    steady = regression_of(fitted(grouped(300, {"North": 1.0, "South": 0.7})))
    assert steady.table["changes_p"].min() > 0.05
    assert steadiness_sentence(steady).startswith("Nothing shows that an effect")


def test_by_luck_alone_the_test_speaks_as_often_as_it_says() -> None:
    rng, loud = np.random.default_rng(12), 0
    for _ in range(200):
        x = rng.integers(0, 2, 120).astype(float)[:, None]
        life, end = rng.weibull(2.0, 120) * np.exp(-0.4 * x[:, 0]), rng.uniform(0.3, 1.5, 120)
        entry = np.where(rng.random(120) < 0.4, rng.uniform(0.0, 0.3, 120), 0.0)
        kept = np.minimum(life, end) > entry
        of = Cases(pd.DataFrame(x[kept]), entry[kept], np.minimum(life, end)[kept],
                   (life <= end)[kept])  # fmt: skip
        row = np.zeros(1)
        for _ in range(8):
            sets = risk_sets(of.covariates.to_numpy(), of.entry, of.age, of.failed, row)
            row = row + sets.slope.sum() / sets.spread.sum()
        loud += steadiness(sets, [[0]])[0].p < 0.1
    # 20 of 200 expected; 8 and 34 lie beyond one in a thousand.
    assert 8 <= loud <= 34


def test_a_group_whose_failures_all_came_first_is_left_out_in_words() -> None:
    fleet = grouped(120, {"North": 1.0, "South": 0.8, "West": 0.02}, shape=6.0)
    found = regression_of(fitted(fleet))
    (problem,) = found.problems
    assert "leaves out base West" in problem
    west = found.table[found.table["level"] == "West"].iloc[0]
    assert np.isnan(west["rate_ratio"])
    assert west["accelerated"] < 0.1
    others = found.table.drop(index=west.name)
    assert problem in method_sentences(found)
    assert "West" in set(found.table["level"])
    assert len(others) == 2


def test_too_few_failures_have_no_regression() -> None:
    rows = [f"B{i:02d},single,bellows,,,2012-04-01" for i in range(40)]
    rows = [f"{row},2019-05-11,failed,afloat" if i < 5 else row for i, row in enumerate(rows)]
    boats = [f"B{i:02d},{'North' if i % 2 else 'South'},ashore" for i in range(40)]
    ageing = fitted(fleet_of(rows, boats=boats, boat_columns="boat,base,lay_up"))
    assert (ageing.failures, bool(ageing.groups)) == (5, True)
    found = regression_of(ageing)
    assert found.table.empty
    assert list(found.table.columns) == REGRESSION_COLUMNS
    assert agreement_sentences(found) == []
    assert steadiness_sentence(found) == ""
    (said,) = method_sentences(found)
    assert said.startswith(f"No regression: {ageing.failures} worn-out failures are too few")


def test_without_groups_there_is_nothing_to_regress_on() -> None:
    found = regression_of(fitted(grouped(60, {"North": 0.7})))
    assert found.table.empty
    assert method_sentences(found) == [
        "No regression: nothing sorts these lives into groups, but shaft lines."
    ]


def test_of_many_lives_some_are_drawn_and_the_same_ones_again(
    two_bases: tuple[Ageing, Regression], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(regressions, "MOST_LIVES", 100)
    found, again, other = (regression_of(two_bases[0], seed) for seed in (1, 1, 2))
    assert (found.lives, found.of_lives) == (100, 160)
    pd.testing.assert_frame_equal(found.table, again.table)
    assert not found.table.equals(other.table)
    assert any("drawn by chance" in said for said in method_sentences(found))
    assert not any("drawn by chance" in said for said in method_sentences(two_bases[1]))


def test_the_table_for_files(two_bases: tuple[Ageing, Regression]) -> None:
    table = regression_table(two_bases[1], "bellows")
    assert list(table.columns) == ["kind", *REGRESSION_COLUMNS]
    assert set(table["kind"]) == {"bellows"}
    assert "kind" not in two_bases[1].table


@pytest.mark.parametrize("which", ["alike", "all failed", "none failed"])
@pytest.mark.parametrize("family", ["weibull", "lognormal"])
def test_what_cannot_be_fitted_becomes_a_sentence(
    which: str, family: Literal["weibull", "lognormal"]
) -> None:
    rng = np.random.default_rng(3)
    n = 20
    x = pd.DataFrame({"x0": np.arange(n) % 2.0, "x1": np.arange(n) % 2.0})
    age = np.full(n, 3.0) if which == "all failed" else rng.uniform(1.0, 5.0, n)
    failed = np.full(n, which != "none failed")
    of = Cases(x, np.zeros(n), age, failed)
    for found in (cox(of), accelerated(of, family)):
        if isinstance(found, Fitted):
            assert np.isfinite(found.coefficients).all()
            assert np.isfinite(np.diag(found.covariance)).all()
        else:
            assert found.endswith("a group may hold all the failures, or none.")


def test_undated_lives_and_windows_are_put_in_the_middle() -> None:
    rows = [f"B{i:02d},single,bellows,,,{2008 + i % 3},2019-0{1 + i % 9}-11,failed,ashore"
            for i in range(30)]  # fmt: skip
    rows += [f"C{i:02d},single,bellows,,,2012-04-01,," for i in range(30)]
    rows += [f"D{i:02d},single,bellows,,,,," for i in range(3)]
    boats = [f"{row.split(',')[0]},{'North' if i % 2 else 'South'},ashore"
             for i, row in enumerate(rows)]  # fmt: skip
    fleet = fleet_of(rows, boats=boats, boat_columns="boat,base,lay_up")
    ageing = fitted(fleet)
    entry, age = middle_ages(ageing.nodes)
    assert ((entry >= 0) & (entry <= age)).all()
    windowed = ageing.nodes.outcome == INTERVAL
    assert windowed.sum() == 30
    first = ageing.nodes.first[windowed]
    assert (age[windowed] < ageing.nodes.upper[first]).all()
    found = regression_of(ageing)
    assert (found.undated, found.windowed) == (3, 30)
    text = " ".join(method_sentences(found))
    assert "3 whose fitting is not known to a year, at the middle" in text
    assert "30 failures found at some time between two days, half-way between" in text


def test_early_failures_count_as_sound_until_then() -> None:
    rows = [f"B{i:02d},single,bellows,,,2012-04-01,2012-05-{10 + i},failed,afloat"
            for i in range(4)]  # fmt: skip
    rows += [f"C{i:02d},single,bellows,,,2012-04-01,{2018 + i % 5}-07-{1 + i:02d},failed,afloat"
             for i in range(30)]  # fmt: skip
    rows += [f"D{i:02d},single,bellows,,,2015-04-01,," for i in range(20)]
    boats = [f"{row.split(',')[0]},{'North' if i % 2 else 'South'},ashore"
             for i, row in enumerate(rows)]  # fmt: skip
    found = regression_of(fitted(fleet_of(rows, boats=boats, boat_columns="boat,base,lay_up")))
    assert (found.early, found.failures) == (4, 30)
    assert "4 early failures count as sound until then" in " ".join(method_sentences(found))


def test_the_lives_of_the_sample_fleet(sample: Fleet) -> None:
    lives: Lives = sample.lives
    table = lives.table[lives.table["kind"] == "cutless_bearing"]
    found = regression_of(kind_ageing(lives, table))
    silt = found.table[found.table["level"] == "Sandrick Lagoon"].iloc[0]
    # Silt takes 0.60 of the life there (sample_fleet/truth.json), at a shape of 2.8.
    assert silt["accelerated_low"] < 0.60 < silt["accelerated_high"]
    assert silt["rate_ratio_low"] < 0.60**-2.8 < silt["rate_ratio_high"]
    assert silt["same_way"]
    assert silt["overlap"]
    assert agreement_sentences(found)[0].startswith("The regressions agree with the life factors:")
