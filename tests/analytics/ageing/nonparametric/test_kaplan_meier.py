"""Which lives are drawn beside the fitted curve, and at what age."""

import numpy as np
import pytest

from analytics.ageing.clocks import nodes_of
from analytics.ageing.nonparametric.kaplan_meier import (
    CURVE_COLUMNS,
    at_risk,
    drawn_lives,
    early_risk_warning,
    kaplan_meier,
)
from tests.analytics.ageing.folders import fleet_of


def test_no_lives_no_curve_no_warning() -> None:
    none = np.empty(0)
    curve = kaplan_meier(none, none, none.astype(bool))
    assert list(curve.columns) == CURVE_COLUMNS
    assert curve.empty
    assert early_risk_warning(curve) is None


def test_a_curve_by_hand() -> None:
    # Five lives; one enters at 2, after the first failure: 4 at risk at 1, then 4, then 2.
    entry, ages = np.array([0.0, 0, 0, 0, 2]), np.array([1.0, 3, 3, 5, 5])
    failed = np.array([True, True, False, True, False])
    curve = kaplan_meier(entry, ages, failed)
    assert curve["age"].tolist() == [1, 3, 5]
    assert curve["at_risk"].tolist() == [4, 4, 2]
    assert curve["survival"].tolist() == pytest.approx([3 / 4, 9 / 16, 9 / 32])
    assert curve["cumulative_hazard"].tolist() == pytest.approx([1 / 4, 1 / 2, 1.0])
    assert at_risk(entry, ages, np.array([1.0, 2.0, 2.5, 5.0, 5.1])).tolist() == [4, 3, 4, 2, 0]


def test_limits_are_none_where_the_curve_has_ended() -> None:
    curve = kaplan_meier(np.zeros(3), np.array([1.0, 2, 3]), np.array([False, True, True]))
    # Greenwood at 2: 1 / (2 x 1); limits .5 ** exp(+-1.645 sqrt(.5) / log 2).
    spread = 1.6448536 * 0.5**0.5 / np.log(2)
    assert curve["low"].tolist()[:2] == [1.0, pytest.approx(0.5 ** np.exp(spread))]
    assert curve["high"].tolist()[:2] == [1.0, pytest.approx(0.5 ** np.exp(-spread))]
    assert np.isnan(curve[["low", "high"]].iloc[-1]).all()


def test_who_is_drawn() -> None:
    fleet = fleet_of([
        "A,single,bellows,,,2010-06-30,2016-06-30,failed,ashore,2014-06-30",
        "B,single,bellows,,,1998..2004,2016-06-30,replaced_sound",
        "C,single,bellows,,,2011,2016-06-30,replaced_sound",
        "D,single,bellows,,,2024-06-30",
    ])  # fmt: skip
    entry, ages, failed, left_out = drawn_lives(nodes_of(fleet.lives, fleet.lives.table))
    # A at the middle of its window; B has no age; D was fitted on the last day: nothing to draw.
    assert left_out == 1
    assert failed.tolist() == [True, False]
    assert entry.tolist() == [0.0, 0.0]
    assert ages.tolist() == pytest.approx([(1461 + 2192) / 2 / 365.25, 5.0], abs=0.01)
