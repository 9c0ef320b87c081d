"""Failures seen and expected: by hand, by numerical slopes, and how often they part by chance."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from analytics.ageing.clocks import CENSORED, INTERVAL, Nodes
from analytics.ageing.expected_failures import accident_stretches, stretches
from analytics.ageing.posterior import Posterior, point
from analytics.records.kinds import KINDS
from tests.analytics.ageing.drawn_lives import watched, wear
from tests.outside.known_ages import lives_seen_through

SHAPE, SCALE = 2.0, 10.0
EDGES = np.array([0.0, 3.0, 6.0])


def known(shape: float = SHAPE, scale: float = SCALE) -> Posterior:
    return point(replace(KINDS["bellows"], causes=("wear_out",)), np.log(shape), np.log(scale))


def in_stretch(ages: np.ndarray) -> np.ndarray:
    """Cumulative hazard of each stretch up to some ages, shape (n, 3)."""
    reached = np.minimum(np.asarray(ages)[:, None], [3.0, 6.0, np.inf])
    return np.diff((reached / SCALE) ** SHAPE, axis=1, prepend=0.0)


def test_seen_and_expected_by_hand() -> None:
    entry, ages = np.array([0.0, 2.0, 0.0, 4.0]), np.array([5.0, 8.0, 2.0, 5.0])
    failed = np.array([True, False, True, True])
    found = stretches(known(), lives_seen_through(ages, failed, entry), pd.DataFrame(), EDGES)
    assert found is not None
    assert found.seen == pytest.approx([1, 2, 0], abs=1e-3)
    expected = (in_stretch(ages) - in_stretch(entry)).sum(axis=0)
    assert found.expected == pytest.approx(expected, abs=1e-3)
    # Failures of known age vary as a count does: by as much as is expected.
    assert found.information == pytest.approx(np.diag(expected), abs=2e-3)
    assert found.spread == pytest.approx(found.information)


def test_windows_and_unknown_fitting_are_the_slopes_of_the_likelihood() -> None:
    # One life with a failure in (4, 7], watched from 1; one of two possible days of fitting, sound.
    nodes = Nodes(
        life=np.array([0, 1, 1]),
        first=np.array([0, 1]),
        weight=np.array([1.0, 0.7, 0.3]),
        start=np.zeros(3),
        entry=np.array([1.0, 2.0, 5.0]),
        lower=np.array([4.0, 4.0, 7.0]),
        upper=np.array([7.0, 4.0, 7.0]),
        entry_years=np.array([1.0, 2.0, 5.0]),
        lower_years=np.array([4.0, 4.0, 7.0]),
        upper_years=np.array([7.0, 4.0, 7.0]),
        outcome=np.array([INTERVAL, CENSORED]),
        count=np.ones(2),
        entry_weight=np.array([1.0, 0.5, 0.5]),
    )

    def log_likelihood(factor: np.ndarray) -> float:
        def survival(age: float) -> float:
            return float(np.exp(-(in_stretch(np.array([age]))[0] @ factor)))

        windowed = (survival(4) - survival(7)) / survival(1)
        unknown = (0.7 * survival(4) + 0.3 * survival(7)) / (0.5 * survival(2) + 0.5 * survival(5))
        return float(np.log(windowed) + np.log(unknown))

    found = stretches(known(), nodes, pd.DataFrame(), EDGES)
    assert found is not None
    for k in range(3):
        up, down = np.ones(3), np.ones(3)
        up[k], down[k] = np.exp(1e-5), np.exp(-1e-5)
        slope = (log_likelihood(up) - log_likelihood(down)) / 2e-5
        assert found.seen[k] - found.expected[k] == pytest.approx(slope, abs=1e-6)
    assert found.seen.sum() == pytest.approx(1.0)


@pytest.mark.parametrize("every", [0.0, 1.5])
def test_chances_are_even_where_the_truth_is_known(every: float) -> None:
    chances = []
    for seed in range(200):
        rng = np.random.default_rng([seed, 3])
        nodes = watched(wear(400, rng, shape=SHAPE, scale=SCALE), 80, rng, every=every)
        found = stretches(known(), nodes, pd.DataFrame())
        assert found is not None
        chances.append(found.chance())
    # 20 of 200 below a tenth, by chance give or take 4; 100 below a half, give or take 7.
    assert 8 <= (np.array(chances) < 0.1).sum() <= 32
    assert 79 <= (np.array(chances) < 0.5).sum() <= 121


def test_a_wrong_curve_is_far_off_at_the_ages_where_it_is_wrong() -> None:
    rng = np.random.default_rng(1)
    nodes = watched(wear(900, rng, shape=SHAPE, scale=SCALE), 300, rng)
    found = stretches(known(scale=14.0), nodes, pd.DataFrame())
    assert found is not None
    assert found.chance() < 1e-4
    first, last = found.worst()
    run = slice(first, last + 1)
    assert found.seen[run].sum() > 1.4 * found.expected[run].sum()
    table = found.table()
    assert (table["seen"] > table["expected_high"]).any()


def test_nothing_watched_expects_nothing() -> None:
    nothing = lives_seen_through(np.empty(0), np.empty(0, dtype=bool))
    assert stretches(known(), nothing, pd.DataFrame()) is None


def lives(ends: list[str], outcomes: list[str]) -> pd.DataFrame:
    day = pd.to_datetime("2010-01-01")
    return pd.DataFrame(
        {
            "start_lo": day,
            "start_hi": day,
            "seen_from": day,
            "end_lo": pd.to_datetime(ends),
            "end_hi": pd.to_datetime(ends),
            "outcome": outcomes,
        }
    )


def test_accidents_fall_as_the_time_watched_does() -> None:
    # Twenty parts watched for ten years; ten of them lost in the first, ten in the last.
    rng = np.random.default_rng(2)
    early = [f"2010-{month:02d}-15" for month in range(1, 11)]
    late = [f"2019-{month:02d}-15" for month in range(1, 11)]
    table = lives([*early, *late, *["2020-01-01"] * 20], ["accident"] * 20 + ["in_service"] * 20)
    found = accident_stretches(table)
    assert found is not None
    assert found.seen.sum() == found.expected.sum() == pytest.approx(20)
    assert found.seen[0] >= 10 > 2 * found.expected[0] - 1
    assert found.chance() < 0.01
    days = pd.to_datetime("2010-01-01") + pd.to_timedelta(rng.uniform(1, 3600, 20), unit="D")
    even = lives([*days.strftime("%Y-%m-%d"), *["2020-01-01"] * 80],
                 ["accident"] * 20 + ["in_service"] * 80)  # fmt: skip
    spread = accident_stretches(even)
    assert spread is not None
    assert spread.chance() > 0.05
    assert accident_stretches(table.iloc[:4]) is None
