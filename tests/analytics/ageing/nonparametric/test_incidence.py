"""Shares ended by each cause by hand, as identities, and from lives."""

import numpy as np
import pytest
from hypothesis import given as for_all
from hypothesis import strategies as st

from analytics.ageing.nonparametric.incidence import CAUSES, against, from_lives, incidence
from analytics.ageing.nonparametric.kaplan_meier import kaplan_meier
from analytics.job import Fleet
from tests.analytics.ageing.folders import fleet_of

LIFE = st.tuples(
    st.integers(0, 5), st.integers(1, 6), st.sampled_from(["failed", "accident", "going"])
)


def test_by_hand() -> None:
    # Five lives, one from 2 on. Of 4 watched at 1 one fails; of 4 at 3 one of each; of 2 at 5 one.
    found = incidence(
        [1, 3, 3, 5, 5],
        ["failed", "failed", "accident", "failed", "going"],
        ["failed", "accident"],
        [0, 0, 0, 0, 2],
    )
    assert found.watched.tolist() == [4, 4, 2]
    assert found.in_place.tolist() == pytest.approx([3 / 4, 3 / 8, 3 / 16])
    assert found.share[:, 0].tolist() == pytest.approx([1 / 4, 7 / 16, 5 / 8])
    assert found.share[:, 1].tolist() == pytest.approx([0, 3 / 16, 3 / 16])
    at = found.at([0.5, 1, 4, 6], "accident")["share"].tolist()
    assert at == pytest.approx([0, 0, 3 / 16, np.nan], nan_ok=True)
    table = found.table()
    assert len(table) == 6
    assert list(table.columns)[:4] == ["age_years", "cause", "watched", "ended"]
    with pytest.raises(ValueError, match="rust is no cause here"):
        found.at([1.0], "rust")


@for_all(st.lists(LIFE, min_size=1, max_size=40))
def test_shares_add_up_and_the_variance_is_the_written_sum(
    rows: list[tuple[int, int, str]],
) -> None:
    entry, more, outcome = (list(part) for part in zip(*rows, strict=True))
    end = np.add(entry, more)
    found = incidence(end, outcome, ["failed", "accident"], entry)
    np.testing.assert_allclose(found.in_place + found.share.sum(axis=1), 1.0, atol=1e-12)
    assert (np.diff(found.share, axis=0) >= 0).all()
    known = np.isfinite(found.low)
    assert (found.low[known] <= found.share[known]).all()
    assert (found.share[known] <= found.high[known]).all()
    # The sum of the docstring, term by term.
    before = np.concatenate([[1.0], found.in_place])[:-1]
    n, d = found.watched, found.ended.sum(axis=1)
    for k in range(2):
        for t in range(len(n)):
            total = 0.0
            for i in range(t + 1):
                ahead, dk = found.share[t, k] - found.share[i, k], found.ended[i, k]
                if n[i] > d[i]:
                    total += ahead**2 * d[i] / (n[i] * (n[i] - d[i]))
                total += before[i] ** 2 * dk * (n[i] - dk) / n[i] ** 3
                total -= 2 * ahead * before[i] * dk / n[i] ** 2
            assert found.error[t, k] ** 2 == pytest.approx(total, abs=1e-12)


def test_with_one_cause_it_is_kaplan_meier_and_greenwood() -> None:
    rng = np.random.default_rng(1)
    entry = rng.integers(0, 4, 60).astype(float)
    entry[:10] = 0
    end = entry + rng.integers(1, 9, 60)
    failed = rng.random(60) < 0.6
    found = incidence(end, np.where(failed, "failed", "going").tolist(), ["failed"], entry)
    plain = kaplan_meier(entry, end, failed)
    plain = plain[plain["failed"] > 0]
    np.testing.assert_allclose(1 - found.share[:, 0], plain["survival"], rtol=1e-12)
    d, n = found.ended[:, 0], found.watched
    alive = n > d
    greenwood = found.in_place**2 * np.cumsum(np.where(alive, d / (n * np.maximum(n - d, 1)), 0))
    np.testing.assert_allclose(found.error[alive, 0] ** 2, greenwood[alive], rtol=1e-9)


def test_ties_give_the_same_bits_in_any_order() -> None:
    rng = np.random.default_rng(3)
    end = rng.integers(1, 5, 200).astype(float)
    outcome = rng.choice(["failed", "accident", "going"], 200)
    order = rng.permutation(200)
    one = incidence(end, outcome.tolist(), ["failed", "accident"])
    other = incidence(end[order], outcome[order].tolist(), ["failed", "accident"])
    assert one.table().equals(other.table())


def test_nothing_ended() -> None:
    found = incidence([2.0, 3.0], ["going", "going"], ["failed"])
    assert found.table().empty
    assert found.at([1.0], "failed")["share"].tolist() == [0.0]
    assert incidence([], [], ["failed"]).table().empty


@pytest.mark.parametrize("causes", [[], ["failed", "failed"]])
def test_causes_that_are_none(causes: list[str]) -> None:
    with pytest.raises(ValueError, match="name the causes"):
        incidence([1.0], ["failed"], causes)


@pytest.fixture(scope="module")
def fleet() -> Fleet:
    rows = ["failed", "accident", "other_work", "replaced_sound", "unknown"]
    return fleet_of(
        [f"{r},single,bellows,,,2010-06-30,{2012 + n}-06-30,{r}" for n, r in enumerate(rows)]
        + ["L,single,bellows,,,2010-06-30"],
        boats=[*(f"{r},afloat," for r in rows), "L,afloat,2018-06-30"],
        boat_columns="boat,lay_up,left_on",
    )


def test_causes_are_the_reasons_of_the_records(fleet: Fleet) -> None:
    found = from_lives(fleet.lives, "bellows")
    assert found.causes == CAUSES
    assert set(CAUSES) == {"failed", "accident", "other_work", "replaced_sound", "unknown"}
    assert found.share[-1].tolist() == pytest.approx([1 / 6] * 5)
    # A boat that left took its part along, still going.
    assert found.in_place[-1] == pytest.approx(1 / 6)
    assert found.oldest == pytest.approx(8.0, abs=0.01)
    alone = from_lives(fleet.lives, "bellows", causes=("failed",))
    assert alone.share[-1].tolist() == pytest.approx([1 / 6])


def test_a_fitted_share_held_against_it() -> None:
    rng = np.random.default_rng(5)
    first, second = 9 * rng.weibull(2.5, 400), rng.exponential(20, 400)
    outcome = np.where(first < second, "failed", "accident").tolist()
    found = incidence(np.minimum(first, second), outcome, ["failed", "accident"])
    ages = np.linspace(2, 12, 11)
    fine = np.linspace(0, 12, 12_001)
    density = 2.5 / 9 * (fine / 9) ** 1.5 * np.exp(-((fine / 9) ** 2.5) - fine / 20)
    right = np.interp(ages, fine, np.cumsum(density) * (fine[1] - fine[0]))
    assert against(found, "failed", ages, right).sentence is None
    told = against(found, "failed", ages, 1 - np.exp(-((ages / 9) ** 2.5))).sentence
    assert told is not None
    assert "the fitted share that ended as failed lies above" in told.lower()
    assert told.endswith("fewer parts ended so, or later, than the curve allows.")
