"""Records that allow little: every answer is a number, and no library warns."""

import numpy as np
import pytest

from analytics import job
from analytics.ageing.groups.standing_out import standing_out
from analytics.job import Fleet
from tests.analytics.ageing.folders import fleet_of

BASES = [f"B{i:02d},{'North' if i % 2 else 'South'},afloat" for i in range(40)]


def rows(kind: str, fitted: str, end: str, then: str = "") -> list[str]:
    """Forty parts, `#` in the dates replaced by a digit of the boat's number, and what followed."""
    first = [
        f"B{i:02d},single,{kind},,L{i % 3},{fitted},{end}".replace("#", str(3 + i % 5))
        for i in range(40)
    ]
    return first + [f"B{i:02d},single,{kind},,L9,{then},," for i in range(40) if then]


CASES = {
    "all failed on one day, at one age": rows("bellows", "2014-05-01", "2020-05-01,failed,afloat",
                                              "2020-05-02"),
    "nothing but early failures": rows("bellows", "2014-05-01", "2014-06-1#,failed,afloat",
                                       "2014-07-01"),
    "no date of fitting": rows("bellows", "", "2015-0#-11,failed,afloat"),
    "nothing but years": rows("gland_hose", "2011", "201#,failed,afloat", "2020"),
    "hours that are all missing": rows("face_seal", "2011-05-01", "201#-05-01,failed,afloat",
                                       "2019-05-01"),
}  # fmt: skip


def fleet_and_kind(case: str, settings: str) -> tuple[Fleet, str]:
    parts = CASES[case]
    if case == "no date of fitting":
        parts = parts + [f"B{i:02d},port,bellows,,,," for i in range(20)]
    kind = parts[0].split(",")[2]
    fleet = fleet_of(parts, f"[kinds.{kind}]\n{settings}\n", boats=BASES,
                     boat_columns="boat,base,lay_up")  # fmt: skip
    return fleet, kind


@pytest.mark.parametrize("case", CASES)
def test_lots_that_are_set_apart_are_answered_in_numbers_too(case: str) -> None:
    fleet, kind = fleet_and_kind(case, 'family = "weibull"')
    ageing = job.how_it_ages(fleet)
    assert (kind, "all") in ageing
    for fitted in ageing.values():
        assert np.isfinite(fitted.posterior.parameters.log_scale).all()
        assert np.isfinite(fitted.posterior.parameters.log_shape).all()


@pytest.mark.parametrize("family", ["weibull", "lognormal"])
@pytest.mark.parametrize("case", CASES)
def test_an_answer_in_numbers(case: str, family: str) -> None:
    # With its lots set apart no group may be left to look at.
    fleet, kind = fleet_and_kind(case, f'family = "{family}"\nset_lots_apart = false')
    ageing = job.how_it_ages(fleet)
    fitted = ageing[kind, "all"]
    assert fitted.groups
    factors = fitted.posterior.factors
    assert factors is not None
    assert np.isfinite(fitted.posterior.parameters.log_scale).all()
    assert np.isfinite(factors.of(fitted.table)).all()
    found = standing_out(fitted)
    assert np.isfinite(found.table[["factor", "factor_low", "factor_high"]].to_numpy()).all()
    if (fitted.table["outcome"] == "in_service").any():
        parts_at_risk = job.boats_at_risk(fleet, ageing).parts
        assert parts_at_risk["risk"].between(0, 1).all()
        assert (parts_at_risk["risk_low"] <= parts_at_risk["risk_high"]).all()
