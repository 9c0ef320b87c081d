"""Which ages are taken where the day of fitting is a window."""

import numpy as np
import pytest

from analytics.ageing.nonparametric.spells import age_windows, lives_of_kind, watched_ages
from analytics.job import Fleet
from tests.analytics.ageing.folders import fleet_of


@pytest.fixture(scope="module")
def fleet() -> Fleet:
    return fleet_of([
        # Watched from 2005-01-01; fitted within 2004, failed on 2011-06-30.
        "A,single,bellows,,,2004,2011-06-30,failed,afloat",
        # Fitted within five years, all of them watched: its window of failure is wide, and right.
        "B,single,bellows,,,2006..2010,2012-06-30,failed,afloat",
        # Fitted and failed on the day it was put in: half a day.
        "C,single,bellows,,,2012-06-30,2012-06-30,failed,afloat",
        # As wide, but in place before it was watched.
        "D,single,bellows,,,1998..2004,2012-06-30,failed,afloat",
        "E,single,bellows,,,2011,2020-06-30,replaced_sound",
    ])  # fmt: skip


def test_windows_hold_every_age_that_the_records_allow(fleet: Fleet) -> None:
    found = age_windows(fleet.lives, lives_of_kind(fleet.lives, "bellows"))
    assert found.table["boat"].tolist() == ["A", "B", "C", "E"]
    assert (found.windowed, found.left_out, found.unit) == (3, 1, "years")
    day = 1 / 365.25
    # A: from 2004-12-31, watched the day after; failed 6.5 to 7.5 years old.
    assert found.entry.tolist() == pytest.approx([day, 0, 0, 0], abs=1e-6)
    assert found.lower.tolist() == pytest.approx([6.493, 1.496, day / 2, 8.498], abs=2e-3)
    assert found.upper.tolist() == pytest.approx([7.493, 6.494, day / 2, np.inf], abs=2e-3)
    assert found.lower[2] == found.upper[2]
    # The least age, counted from the last day of fitting, lies inside the window.
    assert found.lower[0] < 2372 * day < found.upper[0]


def test_one_age_each_at_either_end_or_between(fleet: Fleet) -> None:
    table = lives_of_kind(fleet.lives, "bellows")
    ages = {at: watched_ages(fleet.lives, table, at) for at in ("youngest", "middle", "oldest")}
    for found in ages.values():
        # B and D have no age to be counted at.
        assert found.table["boat"].tolist() == ["A", "C", "E"]
        assert (found.windowed, found.left_out) == (2, 2)
        assert (found.entry < found.exit).all()
    young, middle, old = (ages[at].exit for at in ("youngest", "middle", "oldest"))
    np.testing.assert_allclose(middle, (young + old) / 2, atol=1e-9)
    assert (young <= old).all()
    # Entry moves with the end: the time watched is the same.
    np.testing.assert_allclose(
        ages["oldest"].exit - ages["oldest"].entry,
        ages["youngest"].exit - ages["youngest"].entry + [0, 0, 365 / 365.25 - 1 / 365.25],
        atol=5e-3,
    )
