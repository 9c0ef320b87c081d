"""Intervals about the maximum: where they end, where they do not, and how they hang together."""

import numpy as np
import pytest

from analytics.ageing.families import FAMILIES
from analytics.ageing.maximum_likelihood.binned import Ages
from analytics.ageing.maximum_likelihood.maximum import MaximumLikelihood, NoMaximum, highest
from analytics.ageing.maximum_likelihood.profile_likelihood import (
    Limits,
    delta_survival_limits,
    life_limits,
    scale_limits,
    shape_limits,
    survival_limits,
)
from analytics.ageing.maximum_likelihood.surface import Surface, surface_of
from tests.analytics.ageing.maximum_likelihood.test_maximum import (
    FAMILY_NAMES,
    found_late,
    watched,
    windowed_fleet,
)

CASES = pytest.mark.parametrize("case", ["seen", "inspected", "windowed"])


def fitted(name: str, case: str) -> tuple[Surface, MaximumLikelihood]:
    if case == "windowed":
        surface = surface_of(FAMILIES[name], windowed_fleet(3))
    elif case == "inspected":
        entry, lower, upper = found_late(2)
        surface = surface_of(FAMILIES[name], Ages.inspected(lower, upper, entry))
    else:
        entry, age, failed = watched(1)
        surface = surface_of(FAMILIES[name], Ages.seen_through(age, failed, entry))
    best = highest(surface)
    assert isinstance(best, MaximumLikelihood)
    return surface, best


def ends(limits: Limits) -> tuple[float, float, float]:
    assert limits.low is not None
    assert limits.best is not None
    assert limits.high is not None
    return limits.low, limits.best, limits.high


@FAMILY_NAMES
@CASES
def test_life_and_survival_are_two_readings_of_one_curve(name: str, case: str) -> None:
    # The age that 90 % may fail to reach by the lower limit of the 10 % life is the age at which
    # the lower limit of survival is 90 %: the same curves are held in both.
    surface, best = fitted(name, case)
    low, middle, high = ends(life_limits(surface, best, share=0.1))
    assert low < middle < high
    assert ends(survival_limits(surface, best, low))[0] == pytest.approx(0.9, abs=1e-7)
    assert ends(survival_limits(surface, best, middle))[1] == pytest.approx(0.9, abs=1e-10)
    assert ends(survival_limits(surface, best, high))[2] == pytest.approx(0.9, abs=1e-7)


@FAMILY_NAMES
@CASES
def test_at_a_limit_the_best_curve_is_just_so_much_less_likely(name: str, case: str) -> None:
    # Chi-squared with one degree of freedom: 90 % lie below 2.705543 (any table of it).
    surface, best = fitted(name, case)
    for low_or_high in ends(shape_limits(surface, best))[::2]:
        heights = [surface.at(np.log(low_or_high), best.log_scale + d)[0] for d in
                   np.linspace(-0.5, 0.5, 1001)]  # fmt: skip
        assert 2 * (best.log_likelihood - max(heights)) == pytest.approx(2.705543, abs=2e-3)


@FAMILY_NAMES
def test_more_confidence_is_a_wider_interval(name: str) -> None:
    surface, best = fitted(name, "seen")
    for limits in (shape_limits, scale_limits, life_limits):
        half, ninety, more = (ends(limits(surface, best, level=at)) for at in (0.5, 0.9, 0.99))
        assert more[0] < ninety[0] < half[0] < half[1] < half[2] < ninety[2] < more[2]


@FAMILY_NAMES
def test_with_many_lives_the_delta_method_says_the_same(name: str) -> None:
    entry, age, failed = watched(10, lives=20_000)
    surface = surface_of(FAMILIES[name], Ages.seen_through(age, failed, entry))
    best = highest(surface)
    by_profile = ends(survival_limits(surface, best, 2500.0))
    by_delta = ends(delta_survival_limits(surface, best, 2500.0))
    assert by_delta == pytest.approx(by_profile, abs=2e-4)
    assert by_profile[2] - by_profile[0] > 0.005


def test_a_survival_that_starts_late_is_a_ratio() -> None:
    surface, best = fitted("weibull", "seen")
    whole, so_far = (delta_survival_limits(surface, best, age) for age in (3000.0, 2000.0))
    further = delta_survival_limits(surface, best, 3000.0, given_age=2000.0)
    assert ends(further)[1] == pytest.approx(ends(whole)[1] / ends(so_far)[1], rel=1e-12)


@pytest.mark.parametrize("limits", [shape_limits, scale_limits, life_limits])
def test_without_a_maximum_there_is_no_interval_but_a_reason(limits: object) -> None:
    surface = surface_of(FAMILIES["weibull"], Ages.seen_through([3, 4], [True, False]))
    best = highest(surface)
    assert limits(surface, best) == Limits(  # type: ignore[operator]
        None, None, None, reason=str(NoMaximum.ONE_FAILURE)
    )


def test_survival_without_a_maximum_has_no_interval_either() -> None:
    surface = surface_of(FAMILIES["weibull"], Ages.seen_through([3, 4], [False, False]))
    for limits in (survival_limits, delta_survival_limits):
        found = limits(surface, highest(surface), 2.0)
        assert (found.best, found.low, found.high) == (None, None, None)
        assert found.reason == str(NoMaximum.NO_FAILURES)


def test_an_upper_limit_that_the_records_do_not_set_is_infinite() -> None:
    # Two early failures among eight lives: half of the others may last for ever.
    surface = surface_of(
        FAMILIES["lognormal"], Ages.seen_through([1, 20, *[30] * 6], [True] * 2 + [False] * 6)
    )
    best = highest(surface)
    scale = scale_limits(surface, best)
    assert scale.open_high
    assert scale.high == np.inf
    assert not scale.open_low
    assert ends(scale)[0] == pytest.approx(24.146, abs=1e-3)
    # The age by which one in ten has failed is well known to have an end.
    life = life_limits(surface, best)
    assert not life.open_low
    assert not life.open_high


@FAMILY_NAMES
def test_of_ages_that_none_was_watched_at_nothing_is_said(name: str) -> None:
    # All were first met at 40 and more, and three of nine failed by 60.
    entry, age = [40, 45, 41] + [50] * 6, [50, 60, 55] + [60] * 6
    ages = Ages.seen_through(age, [True] * 3 + [False] * 6, entry)
    surface = surface_of(FAMILIES[name], ages)
    best = highest(surface)
    at_5 = survival_limits(surface, best, 5.0)
    assert (at_5.low, at_5.high) == (0.0, 1.0)
    assert at_5.open_low
    assert at_5.open_high
    life = life_limits(surface, best)
    assert life.open_low
    assert life.low == 0.0
    assert not life.open_high


def test_the_delta_method_gives_no_interval_where_no_chance_is_left() -> None:
    surface, best = fitted("weibull", "seen")
    assert delta_survival_limits(surface, best, 0.0).reason is not None
    assert delta_survival_limits(surface, best, 2000.0, given_age=2000.0).low is None
