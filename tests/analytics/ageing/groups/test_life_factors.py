"""What the groups of a part add to its log life, known groups and groups never seen."""

import numpy as np
import pandas as pd
import pytest

from analytics.ageing.groups.fields import groups_of
from analytics.ageing.groups.life_factors import LifeFactors
from tests.analytics.ageing.groups.grouped_fleet import table_of

N = 4000


@pytest.fixture
def factors() -> LifeFactors:
    """Two bases with effects of -0.2 and 0.1, of lots one with 0.5."""
    i = np.arange(40)
    table = table_of(i % 4 == 0, base=np.where(i % 2, "North", "South"),
                     lot=np.where(i < 10, "L1", np.where(i < 13, "L2", "")))  # fmt: skip
    base, lot = groups_of(table).fields
    ones = np.ones((N, 1))
    return LifeFactors(
        (base, lot), (ones * [-0.2, 0.1], ones * 0.5), ones * [0.3, 0.2], ones * [-0.05, 0.125]
    )


def parts(base: str, lot: str = "") -> pd.DataFrame:
    return pd.DataFrame({"base": [base, base], "lot": [lot, lot]})


def test_known_levels_add_up_about_the_typical_part(factors: LifeFactors) -> None:
    np.testing.assert_allclose(factors.of(parts("North", "L1")), -0.2 + 0.05 + 0.5 - 0.125)
    np.testing.assert_allclose(factors.of(parts("South")), 0.1 + 0.05 - 0.125)


def test_a_small_lot_and_one_not_written_down_have_no_effect(factors: LifeFactors) -> None:
    np.testing.assert_array_equal(factors.of(parts("South", "L2")), factors.of(parts("South")))


def test_a_level_never_seen_draws_from_the_spread_of_its_field(factors: LifeFactors) -> None:
    found = factors.of(parts("East"), seed=3)
    # Two parts at one new base share its effect.
    np.testing.assert_array_equal(found[:, 0], found[:, 1])
    assert found[:, 0].std() == pytest.approx(0.3, rel=0.05)
    assert found[:, 0].mean() == pytest.approx(0.05 - 0.125, abs=0.02)
    assert found.tobytes() == factors.of(parts("East"), seed=3).tobytes()
    assert (found != factors.of(parts("West"), seed=3)).all()
    assert (found != factors.of(parts("East"), seed=4)).all()


def test_a_renewal_is_of_the_next_lot_and_stays_where_it_is(factors: LifeFactors) -> None:
    found = factors.of(parts("North", "L1"), renewed=True)
    assert found[:, 0].mean() == pytest.approx(-0.2 + 0.05 - 0.125, abs=0.02)
    assert found[:, 0].std() == pytest.approx(0.2, rel=0.05)
