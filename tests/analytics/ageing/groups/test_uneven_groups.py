"""Levels that hold only failures, none, or no lives in service: numbers, and no library warns."""

import numpy as np
import pytest

from analytics import job
from analytics.ageing.fit import Ageing
from tests.analytics.ageing.folders import fleet_of


def fitted(rows: list[str], bases: dict[str, str], family: str) -> Ageing:
    boats = sorted({row.split(",")[0] for row in rows})
    fleet = fleet_of(
        rows,
        f'[kinds.bellows]\nfamily = "{family}"\nset_lots_apart = false\n',
        boats=[f"{boat},{bases.get(boat, 'North')},afloat" for boat in boats],
        boat_columns="boat,base,lay_up",
    )
    return job.how_it_ages(fleet)["bellows", "all"]


def lives(lot: str, n: int, failed: int, begin: int = 0) -> list[str]:
    """Parts of a lot, the first of them failed at seven to nine years and not followed."""
    return [
        f"B{begin + i:02d},single,bellows,,{lot},2012-0{1 + i % 9}-11,"
        + (f"20{19 + i % 3}-06-11,failed,afloat" if i < failed else ",,")
        for i in range(n)
    ]


CASES = {
    "a lot with no failures": lives("L1", 20, 10) + lives("L2", 20, 0, 20),
    "a lot with nothing but failures": lives("L1", 20, 3) + lives("L2", 12, 12, 20),
    "one lot": lives("L1", 36, 8),
    "lots named like numbers": lives("1", 14, 6) + lives("2", 14, 2, 14) + lives("10", 14, 5, 28),
    "a lot of which none is left": lives("L1", 30, 6)
    + [
        f"B{i},single,bellows,,L2,2010-03-11,2016-03-11,limit,afloat"
        for i in range(50, 62)
    ],
}  # fmt: skip


@pytest.mark.parametrize("family", ["weibull", "lognormal", "averaged"])
@pytest.mark.parametrize("case", CASES)
def test_an_uneven_fleet_has_finite_factors(case: str, family: str) -> None:
    bases = {f"B{i:02d}": "South" for i in range(0, 70, 2)}
    found = fitted(CASES[case], bases, family)
    factors = found.posterior.factors
    assert factors is not None
    assert {field.name for field in factors.fields} >= {"base"}
    of_parts = factors.of(found.table)
    assert np.isfinite(of_parts).all()
    assert np.isfinite(found.posterior.parameters.log_scale).all()
    assert (factors.spreads > 0).all()
    # Nothing was seen that would make a group differ tenfold.
    assert np.abs(np.median(of_parts, axis=0)).max() < np.log(10)


def test_a_lot_that_only_failed_is_thought_shorter_lived_and_one_that_did_not_longer() -> None:
    for case, sign in (("a lot with nothing but failures", -1), ("a lot with no failures", 1)):
        factors = fitted(CASES[case], {}, "weibull").posterior.factors
        assert factors is not None
        lot = next(i for i, field in enumerate(factors.fields) if field.name == "lot")
        apart = factors.effects[lot][:, 1] - factors.effects[lot][:, 0]
        assert (sign * apart > 0).mean() > 0.8


def test_lots_named_like_numbers_keep_their_names() -> None:
    factors = fitted(CASES["lots named like numbers"], {}, "weibull").posterior.factors
    assert factors is not None
    lot = next(field for field in factors.fields if field.name == "lot")
    assert lot.levels == ("1", "10", "2")
    assert np.bincount(lot.codes).tolist() == [14, 14, 14]
