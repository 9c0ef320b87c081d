"""Survival from ages known to windows: the highest likelihood, told honestly."""

import numpy as np
import pytest
from hypothesis import given as for_all
from hypothesis import strategies as st

from analytics.ageing.nonparametric.innermost import Observed, observed
from analytics.ageing.nonparametric.turnbull import Turnbull, estimate, from_lives, turnbull
from tests.analytics.ageing.folders import fleet_of
from tests.analytics.ageing.nonparametric.test_innermost import LIFE, lives_of
from tests.outside.inspected_lives import inspected_lives

INF = np.inf


def log_likelihood(seen: Observed, ages: np.ndarray, mass: np.ndarray) -> float:
    """Of masses at some ages, the rest later than all lives: counted life by life."""
    total = 0.0
    for entry, lower, upper, weight in zip(
        seen.entry, seen.lower, seen.upper, seen.weight, strict=True
    ):
        if lower == upper:
            inside = mass[ages == upper].sum()
        elif np.isfinite(upper):
            inside = mass[(ages > lower) & (ages <= upper)].sum()
        else:
            inside = 1 - mass[ages <= lower].sum()
        with np.errstate(divide="ignore", invalid="ignore"):
            total += weight * np.log(inside / (1 - mass[ages <= entry].sum()))
    return total


def placed(curve: Turnbull) -> tuple[np.ndarray, np.ndarray]:
    return np.where(np.isinf(curve.age_to), 1e9, curve.age_to), curve.mass


@for_all(st.lists(LIFE, min_size=2, max_size=14), st.integers(0, 2**32 - 1))
def test_no_other_masses_are_likelier(rows: list[tuple[int, int, int, bool]], seed: int) -> None:
    seen = lives_of(rows)
    curve = estimate(seen)
    assert curve.converged
    if curve.ended_at is not None:
        return  # the likelihood of later lives is of what follows the end: not of masses
    ages, mass = placed(curve)
    best = log_likelihood(seen, ages, mass)
    assert np.isfinite(best)
    everywhere = np.unique(np.concatenate([seen.upper[np.isfinite(seen.upper)], seen.lower]))
    everywhere = np.unique(np.concatenate([everywhere, everywhere + 0.5, ages]))
    rng = np.random.default_rng(seed)
    for near in (1.0, 0.1, 0.001):
        for few in (0.1, 1.0):
            other = rng.dirichlet(np.full(len(everywhere) + 1, few))[:-1]
            mixed = near * other
            mixed[np.searchsorted(everywhere, ages)] += (1 - near) * mass
            with np.errstate(invalid="ignore"):
                found = log_likelihood(seen, everywhere, mixed)
            assert not found > best + curve.short_of_best + 1e-9


def test_windows_by_hand() -> None:
    curve = turnbull([1, 2], [3, 4])
    assert (curve.age_from.tolist(), curve.age_to.tolist()) == ([2], [3])
    assert curve.mass.tolist() == [1]
    least, greatest = curve.survival_between([1, 2, 2.5, 3, 4])
    assert least.tolist() == [1, 1, 0, 0, 0]
    assert greatest.tolist() == [1, 1, 1, 0, 0]


def test_exact_ages_are_kaplan_meier() -> None:
    curve = turnbull([2, 3, 3, 5], [2, 3, INF, 5])
    assert curve.survival_after.tolist() == pytest.approx([3 / 4, 1 / 2, 0], abs=1e-12)
    assert curve.steps == 0
    least, greatest = curve.survival_between([1.9, 2, 2.9, 3, 4.9, 5])
    assert least.tolist() == greatest.tolist() == pytest.approx([1, 0.75, 0.75, 0.5, 0.5, 0])


def test_from_an_age_on_windows_across_it_are_left_out_and_told() -> None:
    curve = turnbull([1, 5, 3, 6], [2, 6, 5, INF], after=4)
    assert (curve.lives, curve.across) == (2, 1)
    assert curve.left_over == 0.5
    assert curve.told() == [
        "1 life was left out: not known to have failed before or after 4 years."
    ]


def test_an_even_share_where_windows_overlap() -> None:
    # (0, 2], (1, 3], (2, 4] and not yet at 4: by symmetry (1, 2] and (2, 3] share 3 of 4 lives.
    curve = turnbull([0, 1, 2, 4], [2, 3, 4, INF])
    assert curve.table()["share_failing"].tolist() == pytest.approx([0.375, 0.375], abs=1e-6)
    assert curve.left_over == pytest.approx(0.25)
    assert list(curve.table().columns) == [
        "age_from_years",
        "age_to_years",
        "share_failing",
        "share_failing_of_those_that_reach_it",
        "survival_before",
        "survival_after",
    ]


def test_nothing_is_claimed_past_the_oldest_age_known_to_be_sound() -> None:
    curve = turnbull([1, 4], [2, INF])
    least, greatest = curve.survival_between([3, 4, 4.1, 40])
    assert least.tolist() == [0.5, 0.5, 0, 0]
    assert greatest.tolist() == [0.5] * 4


@pytest.mark.parametrize(
    ("lower", "upper", "after"),
    [([], [], []), ([4, 5], [INF, INF], []), ([3, 3, 3], [3, 3, 3], [0]), ([3], [5], [0])],
)
def test_few_lives_are_answered(lower: list[float], upper: list[float], after: list[float]) -> None:
    curve = turnbull(lower, upper)
    assert curve.survival_after.tolist() == after
    assert curve.converged
    assert curve.short_of_best == 0
    assert curve.told() == []
    assert len(curve.table()) == len(after)


def test_where_the_records_cannot_tell_two_places_are_one() -> None:
    # In (1, 4]; one other life was watched up to 3, one from 2 on. Chance in (1, 2] or in (3, 4]:
    # one outlived the first, another the second, and the likelihood is the same.
    seen = observed([1, 3, 5], [4, INF, INF], [0, 0, 2])
    curve = estimate(seen)
    assert (curve.age_from.tolist(), curve.age_to.tolist()) == ([1], [4])
    least, greatest = curve.survival_between([2.5])
    assert (least[0], greatest[0]) == pytest.approx((0.5, 1.0))
    sooner, later = (log_likelihood(seen, np.array([age]), np.array([0.5])) for age in (2.0, 4.0))
    assert sooner == pytest.approx(later, abs=1e-12)


def test_rows_in_any_order_and_merged_give_the_same_bits() -> None:
    entry, lower, upper = inspected_lives(300, 2, 0.25)
    order = np.random.default_rng(0).permutation(300)
    one = turnbull(lower, upper, entry)
    other = turnbull(lower[order], upper[order], entry[order])
    seen = observed(lower, upper, entry)
    counted = turnbull(seen.lower, seen.upper, seen.entry, seen.weight)
    for again in (other, counted):
        assert again.table().equals(one.table())


def test_weights_are_lives() -> None:
    repeated = turnbull([1, 1, 1, 2, 5], [3, 3, 3, 4, INF])
    weighed = turnbull([1, 2, 5], [3, 4, INF], weight=[3, 1, 1])
    assert weighed.table().equals(repeated.table())
    assert weighed.lives == 5


def test_an_ended_search_is_told() -> None:
    entry, lower, upper = inspected_lives(500, 3)
    curve = turnbull(lower, upper, entry, most_steps=1)
    assert not curve.converged
    assert curve.short_of_best > 0.01
    assert "ended after 1 steps" in curve.told()[0]
    whole = turnbull(lower, upper, entry)
    assert whole.converged
    assert whole.told() == []
    assert whole.short_of_best < 1e-6


def test_rounding_is_told_and_changes_little() -> None:
    entry, lower, upper = inspected_lives(3000, 4)
    fine, coarse = turnbull(lower, upper, entry), turnbull(lower, upper, entry, step=0.05)
    assert fine.step == 0
    assert coarse.step == 0.05
    assert coarse.told() == [
        "Ages were rounded to multiples of 0.05 years, windows of failure outward."
    ]
    np.testing.assert_allclose(coarse.age_to / 0.05, np.rint(coarse.age_to / 0.05), atol=1e-6)
    ages = np.linspace(2, 12, 21)
    middle = [np.mean(curve.survival_between(ages), axis=0) for curve in (fine, coarse)]
    assert np.abs(middle[0] - middle[1]).max() < 0.03
    assert np.abs(np.mean(middle[0] - middle[1])) < 0.003


def test_days_that_are_too_many_are_rounded_by_itself() -> None:
    rng = np.random.default_rng(5)
    ages = rng.permutation(np.arange(1.0, 4001.0))
    exact = rng.random(4000) < 0.8
    lower, upper = np.where(exact, ages, ages - 1), np.where(exact, ages, ages + 300)
    curve = turnbull(lower, upper, unit="days")
    assert curve.step == 5
    assert curve.converged
    with pytest.raises(ValueError, match="give a step to round the ages to"):
        turnbull(lower, upper, step=0.0)


@pytest.mark.parametrize("step", [-1.0, INF, np.nan])
def test_a_step_that_is_none(step: float) -> None:
    with pytest.raises(ValueError, match="give an age to round to"):
        turnbull([1], [2], step=step)


def test_ages_of_the_table_of_lives_as_windows() -> None:
    fleet = fleet_of(
        [
            # Fitted to the day, last sound 2014-06-30, found failed two years on: (4, 6] years.
            "A,single,bellows,,,2010-06-30,2016-06-30,failed,ashore,2014-06-30",
            # Fitted in 2011, failed 2016-06-30: (4.5, 5.5] years, from new.
            "B,single,bellows,,,2011,2016-06-30,failed,afloat",
            # In place when first watched in 2005, and not known since when: left out.
            "C,single,bellows,,,1998..2004,2016-06-30,replaced_sound",
            # Fitted before, on a known day: watched from the age of 1.5.
            "D,single,bellows,,,2003-06-30,2011-06-30,replaced_sound",
        ]
    )
    curve = from_lives(fleet.lives, "bellows")
    assert (curve.lives, curve.failures, curve.left_out) == (3, 2, 1)
    assert "1 life was left out" in curve.told()[0]
    assert curve.unit == "years"
    assert curve.age_from.tolist() == pytest.approx([4.5], abs=0.01)
    assert curve.age_to.tolist() == pytest.approx([5.5], abs=0.01)
    assert curve.oldest == pytest.approx(8.0, abs=0.01)
    assert curve.left_over == pytest.approx(1 / 3)
    with pytest.raises(ValueError, match="there is no life of lip_seal"):
        from_lives(fleet.lives, "lip_seal")


def test_where_nothing_failed_there_is_no_mass() -> None:
    # Sound and out of sight at 3.68, and another first watched at just over it: nobody between.
    curve = turnbull([3.67, 5.0, 3.68], [INF, INF, INF], entry=[0.0, 4.0, 3.675])
    assert len(curve.mass) == 0
    assert curve.left_over == 1.0
    assert curve.ended_at is None
    assert curve.told() == []
    assert [end.tolist() for end in curve.survival_between([1.0, 3.9, 4.9])] == [[1.0] * 3] * 2
    assert curve.table().empty


def test_a_gap_in_which_nobody_was_watched_ends_no_curve() -> None:
    # As Kaplan and Meier have it: among those watched at 6, 1 of 2 failed; nothing before.
    curve = turnbull([2.0, 6.0, 7.0], [INF, 6.0, INF], entry=[0.0, 4.0, 4.0])
    assert (curve.age_from.tolist(), curve.age_to.tolist()) == ([6.0], [6.0])
    assert curve.mass.tolist() == pytest.approx([0.5])
    assert curve.ended_at is None


@for_all(st.lists(LIFE, min_size=1, max_size=8))
def test_without_failures_survival_is_whole_whatever_the_ages(rows: list[object]) -> None:
    seen = lives_of(rows)  # type: ignore[arg-type]
    curve = turnbull(seen.lower, np.full(len(seen.lower), INF), seen.entry, seen.weight)
    assert len(curve.mass) == 0
    assert curve.left_over == 1.0


def test_two_fittings_in_doubt_that_did_not_fail_are_not_failures() -> None:
    fleet = fleet_of(
        [
            "A,single,bellows,,,2018-03-02,",
            "B,single,bellows,,,2014..2016,2021-11-05,replaced_sound",
            "B,single,bellows,,,2021-11-05,",
        ]
    )
    curve = from_lives(fleet.lives, "bellows")
    assert curve.failures == 0
    assert len(curve.mass) == 0
