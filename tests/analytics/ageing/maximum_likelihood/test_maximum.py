"""Newton's maximum: its derivatives, what it must agree with, and where there is none."""

from dataclasses import replace

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import minimize

from analytics.ageing.clocks import CENSORED, EXACT, INTERVAL, Nodes
from analytics.ageing.families import FAMILIES, Family
from analytics.ageing.likelihood import Parameters, log_likelihood
from analytics.ageing.maximum_likelihood import binned
from analytics.ageing.maximum_likelihood.binned import Ages, margins
from analytics.ageing.maximum_likelihood.maximum import (
    SHAPES,
    MaximumLikelihood,
    NoMaximum,
    highest,
    maximum_likelihood,
)
from analytics.ageing.maximum_likelihood.surface import surface_of
from tests.outside.known_ages import lives_inspected, lives_seen_through

Floats = npt.NDArray[np.float64]
FAMILY_NAMES = pytest.mark.parametrize("name", ["weibull", "lognormal"])


def windowed_fleet(seed: int, lives: int = 60) -> Nodes:
    """Lives in years, half of them fitted on a day known only to lie in a window of years."""
    rng = np.random.default_rng(seed)
    first, life, rows, outcomes = [], [], [], []
    while len(outcomes) < lives:
        fitted, seen = rng.uniform(0.0, 15.0), rng.uniform(0.0, 12.0)
        ended = fitted + 10 * rng.weibull(2.5)
        seen = max(seen, fitted)
        if ended <= seen:
            continue
        last = seen + rng.uniform(0.5, 8.0)
        outcome = CENSORED if ended > last else (EXACT, INTERVAL)[rng.integers(2)]
        lower = upper = min(ended, last)
        if outcome == INTERVAL:
            lower, upper = max(np.floor(ended), seen), np.ceil(ended) + 0.1
        nodes, weights = np.zeros(1), np.ones(1)
        if rng.random() < 0.5:
            nodes, weights = np.polynomial.legendre.leggauss(8)
            nodes, weights = rng.uniform(0.2, 2.5) * (nodes - 1), weights / 2
        first.append(len(rows))
        for moved, weight in zip(fitted + nodes, weights, strict=True):
            ages = (max(seen, moved) - moved, lower - moved, upper - moved)
            rows.append((weight, moved, *ages, rng.uniform(0.5, 1.5)))
            life.append(len(outcomes))
        outcomes.append(outcome)
    weight, start, entry, lower_age, upper_age, entered = np.array(rows).T
    entered *= weight
    entered /= np.add.reduceat(entered, first)[life]
    return Nodes(
        life=np.array(life), first=np.array(first), weight=weight, start=start, entry=entry,
        lower=lower_age, upper=upper_age, entry_years=entry, lower_years=lower_age,
        upper_years=upper_age, outcome=np.array(outcomes), count=rng.integers(1, 4, lives) * 1.0,
        entry_weight=entered,
    )  # fmt: skip


def watched(seed: int, lives: int = 400) -> tuple[Floats, Floats, npt.NDArray[np.bool_]]:
    """Entry, age and failure in whole days."""
    rng = np.random.default_rng(seed)
    entry = np.floor(np.maximum(rng.uniform(-2000, 3000, lives), 0.0))
    reached = (entry / 3500) ** 2.5 + rng.standard_exponential(lives)
    life = np.ceil(3500 * reached**0.4)
    last = entry + np.ceil(rng.uniform(200, 2500, lives))
    return entry, np.minimum(life, last), life <= last


def found_late(seed: int) -> tuple[Floats, Floats, Floats]:
    """Entry, and both ends of the window of failure, in whole days."""
    entry, age, failed = watched(seed)
    lower = np.where(failed, np.maximum(np.floor((age - 1) / 365) * 365, entry), age)
    return entry, lower, np.where(failed, np.maximum(np.ceil(age / 365) * 365, lower + 1), np.inf)


def nodes_of(case: str) -> Nodes:
    if case == "seen":
        entry, age, failed = watched(1)
        return lives_seen_through(age, failed, entry)
    if case == "inspected":
        entry, lower, upper = found_late(2)
        return lives_inspected(lower, upper, entry)
    return windowed_fleet(3)


def likelihood_at(family: Family, nodes: Nodes, row: Floats) -> float:
    """The log-likelihood as the posterior has it, written apart from this one."""
    return float(log_likelihood(family, Parameters.from_rows(row[None, :]), nodes, 1.0)[0])


@FAMILY_NAMES
@pytest.mark.parametrize("case", ["seen", "inspected", "windowed"])
def test_value_and_derivatives_are_those_of_the_likelihood(name: str, case: str) -> None:
    family, nodes = FAMILIES[name], nodes_of(case)
    surface = surface_of(family, nodes)
    at = np.array([0.6, np.log(np.median(nodes.upper)) + 0.3])
    value, slope, bend = surface.at(*at)
    assert value == pytest.approx(likelihood_at(family, nodes, at), rel=1e-12)
    step = 1e-5
    for i, move in enumerate(np.eye(2) * step):
        rise = likelihood_at(family, nodes, at + move) - likelihood_at(family, nodes, at - move)
        assert slope[i] == pytest.approx(rise / (2 * step), rel=1e-5, abs=1e-4)
        turn = surface.at(*(at + move))[1] - surface.at(*(at - move))[1]
        np.testing.assert_allclose(bend[i], turn / (2 * step), rtol=1e-5, atol=1e-4)


@FAMILY_NAMES
@pytest.mark.parametrize("case", ["seen", "inspected", "windowed"])
def test_the_maximum_is_where_a_search_without_derivatives_finds_it(name: str, case: str) -> None:
    family, nodes = FAMILIES[name], nodes_of(case)
    found = maximum_likelihood(family, nodes)
    assert found is not None
    start = np.array([0.8, np.log(np.median(nodes.upper)) + 0.2])
    simplex = minimize(
        lambda row: -likelihood_at(family, nodes, row), start, method="Nelder-Mead",
        options={"xatol": 1e-9, "fatol": 1e-10, "maxiter": 2000},
    )  # fmt: skip
    assert (found.log_shape, found.log_scale) == pytest.approx(tuple(simplex.x), abs=1e-6)
    assert found.log_likelihood == pytest.approx(-simplex.fun, rel=1e-11)


@FAMILY_NAMES
def test_the_best_curve_has_no_slope_and_its_curvature_gives_the_errors(name: str) -> None:
    for case in ("seen", "inspected", "windowed"):
        surface = surface_of(FAMILIES[name], nodes_of(case))
        found = highest(surface)
        assert isinstance(found, MaximumLikelihood)
        value, slope, bend = surface.at(found.log_shape, found.log_scale)
        assert value == pytest.approx(found.log_likelihood, rel=1e-12)
        assert np.abs(slope).max() < 1e-6
        assert found.covariance is not None
        np.testing.assert_allclose(found.covariance @ -bend, np.eye(2), atol=1e-7)


@FAMILY_NAMES
def test_counting_by_age_changes_nothing(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    entry, age, failed = watched(4)
    late_entry, lower, upper = found_late(5)
    fleets = Ages.seen_through(age, failed, entry), Ages.inspected(lower, upper, late_entry)
    for ages in fleets:
        counted = highest(surface_of(FAMILIES[name], ages))
        with monkeypatch.context() as patch:
            patch.setattr(binned, "UNITS", ())
            rows = surface_of(FAMILIES[name], ages)
        assert len(rows.known.log_age) > len(margins(ages).log_age)
        one_by_one = highest(rows)
        assert isinstance(counted, MaximumLikelihood)
        assert isinstance(one_by_one, MaximumLikelihood)
        assert one_by_one.log_likelihood == pytest.approx(counted.log_likelihood, rel=1e-12)
        assert (one_by_one.log_shape, one_by_one.log_scale) == pytest.approx(
            (counted.log_shape, counted.log_scale), abs=1e-10
        )


def test_days_in_years_are_counted_by_half_days() -> None:
    entry, age, failed = watched(6, lives=20_000)
    in_years = margins(Ages.seen_through((age + 0.5) / 365.25, failed, entry / 365.25))
    in_days = margins(Ages.seen_through(age + 0.5, failed, entry))
    # Half days are no whole ones: on the clock of days every row stands for itself.
    assert len(in_years.log_age) < 12_000 < len(in_days.log_age)
    assert in_years.net.sum() == pytest.approx(in_days.net.sum())
    assert float(in_years.net @ np.exp(in_years.log_age)) * 365.25 == pytest.approx(
        float(in_days.net @ np.exp(in_days.log_age)), rel=1e-12
    )


@FAMILY_NAMES
def test_a_count_is_so_many_lives(name: str) -> None:
    _, age, failed = watched(7, lives=40)
    count = np.random.default_rng(7).integers(1, 5, 40)
    counted = Ages.seen_through(age, failed, count=count)
    repeated = Ages.seen_through(np.repeat(age, count), np.repeat(failed, count))
    assert without_covariance(name, counted) == without_covariance(name, repeated)


@FAMILY_NAMES
def test_the_order_of_lives_changes_no_bit(name: str) -> None:
    entry, age, failed = watched(8)
    order = np.random.default_rng(8).permutation(len(age))
    assert without_covariance(name, Ages.seen_through(age, failed, entry)) == without_covariance(
        name, Ages.seen_through(age[order], failed[order], entry[order])
    )


def without_covariance(name: str, ages: Ages) -> MaximumLikelihood:
    found = highest(surface_of(FAMILIES[name], ages))
    assert isinstance(found, MaximumLikelihood)
    return replace(found, covariance=None)


INF = np.inf
NONE_EXISTS = {
    "no lives": (Ages.seen_through([], []), NoMaximum.NO_LIVES),
    "none failed": (Ages.seen_through([3, 4], [False, False]), NoMaximum.NO_FAILURES),
    "one life": (Ages.seen_through([3.5], [True]), NoMaximum.ONE_FAILURE),
    "one life, sound": (Ages.seen_through([3.5], [False]), NoMaximum.NO_FAILURES),
    "one failure": (Ages.seen_through([3, 4, 5], [True, False, False]), NoMaximum.ONE_FAILURE),
    "one failure found late": (Ages.inspected([1, 4], [3, INF]), NoMaximum.ONE_FAILURE),
    "all on one day": (Ages.seen_through([3] * 6, [True] * 6), NoMaximum.ONE_AGE),
    "all on one odd day": (Ages.seen_through([3.1] * 6, [True] * 6), NoMaximum.ONE_AGE),
    "all on the last day": (Ages.seen_through([3, 3, 2], [True, True, False]), NoMaximum.ONE_AGE),
    "all in one window": (Ages.inspected([5, 5, 3], [6, 6, INF]), NoMaximum.ONE_AGE),
    "windows that overlap": (Ages.inspected([1, 2, 0], [5, 9, 4]), NoMaximum.ONE_AGE),
    "only found late": (Ages.inspected([0, 0, 0, 2], [3, 4, 5, INF]), NoMaximum.ONE_AGE),
    "failed at age zero": (Ages.seen_through([0, 3, 4], [True, True, True]), NoMaximum.AGE_ZERO),
    "all at age zero": (Ages.seen_through([0, 0], [True, True]), NoMaximum.AGE_ZERO),
    "a day apart after years": (Ages.seen_through([4000, 4001], [True] * 2), NoMaximum.TOO_SHARP),
    "never watched": (Ages.seen_through([3, 4], [True] * 2, [3, 4]), NoMaximum.NOT_WATCHED),
    "hazard that only falls": (
        Ages.seen_through([10, 11, 12, 40], [True] * 3 + [False], [9.9, 9.9, 9.9, 10.0]),
        NoMaximum.TOO_FLAT,
    ),
    "halves of two failures": (
        Ages.seen_through([3, 4, 5], [True, True, False], count=[0.5, 1.0, 3.0]),
        NoMaximum.ONE_FAILURE,
    ),
}


@FAMILY_NAMES
@pytest.mark.parametrize("case", NONE_EXISTS)
def test_where_there_is_no_maximum_it_says_why(name: str, case: str) -> None:
    ages, reason = NONE_EXISTS[case]
    assert highest(surface_of(FAMILIES[name], ages)) is reason
    assert str(reason).endswith(".")


@FAMILY_NAMES
def test_nodes_without_a_maximum_give_none(name: str) -> None:
    family = FAMILIES[name]
    assert maximum_likelihood(family, lives_seen_through([], [])) is None
    assert maximum_likelihood(family, lives_seen_through([5.0] * 6, [True] * 6)) is None
    windowed = windowed_fleet(9, lives=10)
    none_failed = replace(windowed, outcome=np.full(10, CENSORED))
    assert maximum_likelihood(family, none_failed) is None
    assert highest(surface_of(family, none_failed)) is NoMaximum.NO_FAILURES


@FAMILY_NAMES
def test_ages_of_zero_that_are_no_failures_say_nothing(name: str) -> None:
    some = Ages.seen_through([3, 5, 6], [True, True, False])
    more = Ages.seen_through([3, 5, 6, 0, 0], [True, True, False, False, False])
    assert without_covariance(name, some) == without_covariance(name, more)


@FAMILY_NAMES
def test_failures_of_one_day_that_others_outlasted_have_a_maximum(name: str) -> None:
    found = highest(
        surface_of(FAMILIES[name], Ages.seen_through([3, 3, 3, 4], [True] * 3 + [False]))
    )
    assert isinstance(found, MaximumLikelihood)
    assert 3.0 < found.scale < 4.0


LIVES = st.lists(
    st.tuples(
        st.integers(0, 40), st.integers(0, 60), st.integers(0, 12), st.sampled_from("efs")
    ),
    max_size=14,
)  # fmt: skip


@FAMILY_NAMES
@given(lives=LIVES, unit=st.sampled_from([1.0, 0.37, 1e6]))
def test_any_few_lives_give_a_maximum_or_a_reason(
    name: str, lives: list[tuple[int, int, int, str]], unit: float
) -> None:
    entry = np.array([e for e, _, _, _ in lives]) * unit
    lower = np.array([e + ran for e, ran, _, _ in lives]) * unit
    wide = np.array([{"e": 0.0, "f": w + 1, "s": INF}[end] for _, _, w, end in lives])
    surface = surface_of(FAMILIES[name], Ages.inspected(lower, lower + wide * unit, entry))
    found = highest(surface)
    if isinstance(found, NoMaximum):
        assert found is not NoMaximum.NOT_FOUND
        return
    low, high = np.array(SHAPES) * surface.family.shape_unit
    assert low < found.shape < high
    assert 0 < found.scale < np.inf
    for away in ((0.05, 0.0), (-0.05, 0.0), (0.0, 0.05), (0.0, -0.05), (0.03, 0.03)):
        beside = surface.at(found.log_shape + away[0], found.log_scale + away[1] / found.shape)
        assert beside[0] <= found.log_likelihood + 1e-9


def test_impossible_ages_are_refused() -> None:
    with pytest.raises(ValueError, match="beyond its end"):
        Ages.seen_through([3.0], [True], [4.0])
    with pytest.raises(ValueError, match="not below 0"):
        Ages.seen_through([-1.0], [True])
    with pytest.raises(ValueError, match="not below 0"):
        Ages.seen_through([np.nan], [True])
    with pytest.raises(ValueError, match="lower age"):
        Ages.inspected([3.0], [2.0])
    with pytest.raises(ValueError, match="one count a row"):
        Ages.seen_through([3.0, 4.0], [True, True], count=[1.0])
