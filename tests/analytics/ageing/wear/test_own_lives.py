"""Parts in service moved by their own readings: up where they wear fast, down where slowly."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from analytics.ageing.fit import Ageing, kind_ageing
from analytics.ageing.wear.hours_to_limit import Wear
from analytics.ageing.wear.own_lives import LEFT_OUT, OwnLives, own_lives
from analytics.ageing.wear.wear_and_failures import ASSUMPTION, worn_when_failed
from analytics.job import Fleet
from analytics.lives import IN_SERVICE
from analytics.outlook.chances import AgesAhead, ages_ahead
from analytics.usage import day_number
from tests.analytics.ageing.wear.worn_fleet import (
    AS_OF,
    KIND,
    folder,
    wearing_fleet,
    worn,
)

WEAR_OUT = '[kinds.cutless_bearing]\ncauses = ["wear_out"]\nfamily = "{}"\n'
YEAR_ON = day_number(date(2025, 6, 30))


def both(
    files: dict[str, bytes], *, factors: bool = False
) -> tuple[Fleet, Ageing, Wear, OwnLives, AgesAhead]:
    fleet, _, wear = worn(files)
    assert wear is not None
    lives = fleet.lives
    ageing = kind_ageing(lives, lives.table[lives.table["kind"] == KIND], factors=factors)
    ages = ages_ahead(lives, ageing, day_number(AS_OF), YEAR_ON)
    return fleet, ageing, wear, own_lives(ageing, wear), ages


def worn_by(ageing: Ageing, own: OwnLives | None, ages: AgesAhead, age: np.ndarray) -> np.ndarray:
    """Chance of having worn out by an age, sound when last seen; a row per draw."""
    posterior, sizes = ageing.posterior, np.diff(np.append(ages.first, len(ages.weight)))
    theta, groups = posterior.parameters, np.zeros((len(posterior), len(ages.weight)))
    if ages.shift is not None:
        groups = np.repeat(ages.shift, sizes, axis=1)
    curves = own and own.part(slice(None))

    def hazard(at: np.ndarray) -> np.ndarray:
        scale = theta.log_scale[:, None] + groups + (curves.shift(at) if curves else 0.0)
        return posterior.family.cumulative_hazard(at[None, :], theta.log_shape[:, None], scale)

    to_sound, to_age = hazard(ages.sound), hazard(age)
    base = np.repeat(np.minimum.reduceat(to_sound, ages.first, axis=1), sizes, axis=1)
    alive, left = (
        np.add.reduceat(np.exp(base - one) * ages.weight, ages.first, axis=1)
        for one in (to_sound, to_age)
    )
    return 1 - left / alive


def readings(boat: str, rate: float, years: list[int]) -> list[str]:
    return [
        f"{boat},single,{year}-01-01,clearance_mm,{0.145 + rate * (year - 2017) * 0.3:.3f}"
        for year in years
    ]


def a_fast_and_a_slow() -> dict[str, bytes]:
    """Fitted in 2017, 2,250 h run by mid 2024; at 0.27 and at 0.1 mm in 1,000 h."""
    others, _ = wearing_fleet(25, seed=3, settings=WEAR_OUT.format("weibull"))
    parts = [f"{boat},single,30 mm,2017-01-01" for boat in ("Fast", "Slow", "Unread")]
    rows = [*readings("Fast", 0.27, [2019, 2021, 2023]), *readings("Slow", 0.1, [2019, 2021, 2023])]
    lifts = [f"{boat},2024-02-15,2024-02-25" for boat in ("Fast", "Slow", "Unread")]
    added = folder(parts, rows, lifts=lifts)
    return {
        name: others[name]
        if name == "fleet.toml"
        else others[name] + added[name].split(b"\n", 1)[1]
        for name in others
    }


@pytest.mark.parametrize("family", ["weibull", "lognormal", "averaged"])
def test_a_fast_shaft_is_at_more_risk_and_a_slow_one_at_less(family: str) -> None:
    files = a_fast_and_a_slow()
    text = files["fleet.toml"].decode().replace("weibull", family)
    _, ageing, _, own, ages = both(files | {"fleet.toml": text.encode()})
    assert own.said == (ASSUMPTION,)
    rows = ageing.table[ageing.table["outcome"] == IN_SERVICE].reset_index(drop=True)
    fast, slow, unread = (
        int(np.flatnonzero(rows["boat"] == b)[0]) for b in ("Fast", "Slow", "Unread")
    )
    plain, moved = (worn_by(ageing, one, ages, ages.end).mean(axis=0) for one in (None, own))
    assert plain[fast] == pytest.approx(plain[slow], abs=0.01)
    # By its line the fast one reaches 0.75 mm at 2,240 h: about the last day watched.
    assert moved[fast] > 0.55 > 2.2 * plain[fast]
    assert moved[slow] < 0.01 < plain[slow] / 5
    assert moved[unread] == plain[unread]


def test_life_factors_stay_beside_the_readings() -> None:
    _, ageing, _, own, ages = both(a_fast_and_a_slow(), factors=True)
    assert ageing.posterior.factors is not None
    assert ages.shift is not None
    rows = ageing.table[ageing.table["outcome"] == IN_SERVICE].reset_index(drop=True)
    fast, slow = (int(np.flatnonzero(rows["boat"] == boat)[0]) for boat in ("Fast", "Slow"))
    moved = worn_by(ageing, own, ages, ages.end).mean(axis=0)
    assert moved[fast] > 0.55
    assert moved[slow] < 0.01


def test_counts_stay_calibrated_over_invented_fleets() -> None:
    expected, squared, happened, alone, by_part = 0.0, 0.0, 0.0, 0.0, 0.0
    for seed in range(6):
        files, truth = wearing_fleet(30, seed=seed, settings=WEAR_OUT.format("weibull"))
        _, ageing, _, own, ages = both(files)
        rows = ageing.table[ageing.table["outcome"] == IN_SERVICE]
        due = np.array([truth[boat] for boat in rows["boat"]]) <= ages.end
        plain, moved = (worn_by(ageing, one, ages, ages.end).mean(axis=0) for one in (None, own))
        expected, happened = expected + moved.sum(), happened + due.sum()
        squared += (moved * (1 - moved)).sum()
        alone += ((plain - due) ** 2).sum()
        by_part += ((moved - due) ** 2).sum()
    # Within two standard deviations of the luck of the parts, given their chances.
    assert abs(expected - happened) < 2 * np.sqrt(squared)
    assert happened > 12
    # Brier's score (1950, from memory): what is told of each part comes nearer to what it does.
    assert by_part < 0.7 * alone


def test_an_undated_part_is_of_the_days_that_its_readings_allow() -> None:
    files, _ = wearing_fleet(12, seed=5, settings=WEAR_OUT.format("weibull"))
    added = folder(
        ["A,single,30 mm,2009..2023"],
        ["A,single,2024-02-15,clearance_mm,0.16"],
        lifts=["A,2024-02-15,2024-02-25"],
    )
    files = {
        name: files[name] if name == "fleet.toml" else files[name] + added[name].split(b"\n", 1)[1]
        for name in files
    }
    _, ageing, _, own, ages = both(files)
    rows = ageing.table[ageing.table["outcome"] == IN_SERVICE].reset_index(drop=True)
    at = int(np.flatnonzero(rows["boat"] == "A")[0])
    nodes = slice(ages.first[at], None if at + 1 == len(ages) else ages.first[at + 1])
    theta = ageing.posterior.parameters
    hazard = ageing.posterior.family.cumulative_hazard(
        ages.sound[None, nodes],
        theta.log_shape[:, None],
        theta.log_scale[:, None] + own.part(slice(None)).shift(ages.sound)[:, nodes],
    )
    likely = (np.exp(-hazard) * ages.weight[nodes]).mean(axis=0)
    # As good as new: fitted lately rather than long ago.
    assert likely[:4].sum() < 0.05 * likely[-4:].sum()


def test_ages_drawn_follow_the_survival_that_is_shifted_to() -> None:
    _, ageing, _, own, ages = both(a_fast_and_a_slow())
    n = len(ageing.posterior)
    assert len(ages.first) == len(ages.weight)
    node, rng = np.tile(ages.first, (n, 1)), np.random.default_rng(1)
    sound = np.tile(ages.sound, (n, 1))
    drawn = own.part(np.arange(n)).worn_at(node, sound, rng.standard_exponential(node.shape))
    read = np.isfinite(drawn[0])
    assert read.sum() == len(own)
    assert np.isnan(drawn[:, ~read]).all()
    assert (drawn[:, read] >= sound[:, read]).all()
    for more in (150.0, 400.0, 1200.0):
        age = ages.sound + more
        chance = worn_by(ageing, own, ages, age).mean(axis=0)[read]
        share = (drawn[:, read] <= age[read]).mean(axis=0)
        # 1,000 draws place a share to 0.016.
        assert share == pytest.approx(chance, abs=0.055)


def test_where_failures_are_not_of_the_limit_no_part_is_moved() -> None:
    for fail_at in (0.5, 1.1):
        files, _ = wearing_fleet(60, seed=0, fail_at=fail_at)
        _, _, _, own, ages = both(files)
        assert len(own) == 0
        assert own.said[0] == ASSUMPTION
        assert own.said[-1] == LEFT_OUT
        assert "disagree" in " ".join(own.said)
        assert not own.part(slice(0, 7)).shift(ages.end).any()


@pytest.mark.parametrize("fail_at", [0.6, 0.75, 0.95])
def test_at_which_clearance_bearings_were_called_failed(fail_at: float) -> None:
    files, _ = wearing_fleet(50, seed=2, fail_at=fail_at, settings=WEAR_OUT.format("weibull"))
    _, ageing, wear, _, _ = both(files)
    found = worn_when_failed(ageing.posterior, wear)
    assert found is not None
    low, _, high = found
    assert low - 0.02 < (fail_at - 0.145) / 0.605 < high + 0.02
    assert high - low < 0.2


def test_without_readings_or_limits_nobody_is_moved() -> None:
    files = folder(["A,single,45 mm,2014-01-01"], ["A,single,2016-01-01,clearance_mm,0.3"])
    _, ageing, wear, own, ages = both(files)
    for one in (own, own_lives(ageing, None)):
        assert len(one) == 0
        assert one.part(slice(None)).shift(ages.end).shape == (len(ageing.posterior), 1)
        assert np.isnan(one.part(np.arange(2)).worn_at(*np.zeros((3, 2, 1), dtype=np.int64))).all()
    by_years = replace(ageing, kind=replace(ageing.kind, clock="years"))
    with pytest.raises(ValueError, match="shaft hours"):
        own_lives(by_years, wear)


def test_a_part_read_past_its_limit_is_at_risk_and_not_impossible() -> None:
    files, _ = wearing_fleet(20, seed=1, settings=WEAR_OUT.format("weibull"))
    rows = readings("A", 0.5, [2019, 2021, 2023])  # 1.05 mm in 2023, and still there in 2024
    added = folder(["A,single,30 mm,2017-01-01"], rows, lifts=["A,2024-02-15,2024-02-25"])
    files = {
        name: files[name] if name == "fleet.toml" else files[name] + added[name].split(b"\n", 1)[1]
        for name in files
    }
    _, ageing, _, own, ages = both(files)
    rows_in = ageing.table[ageing.table["outcome"] == IN_SERVICE].reset_index(drop=True)
    at = int(np.flatnonzero(rows_in["boat"] == "A")[0])
    chance = worn_by(ageing, own, ages, ages.end)[:, at]
    assert np.isfinite(chance).all()
    assert chance.mean() > 0.9


def test_ages_may_differ_from_draw_to_draw() -> None:
    _, ageing, _, own, ages = both(a_fast_and_a_slow())
    curves = own.part(slice(0, 3))
    alike = curves.shift(ages.end)
    grid = np.stack([ages.end, ages.end + 100.0, ages.end + 300.0])
    found = curves.shift(grid)
    assert found.shape == (3, len(ages.end))
    np.testing.assert_array_equal(found[0], alike[0])
    for row in (1, 2):
        np.testing.assert_array_equal(found[row], curves.shift(grid[row])[row])
    assert len(ageing.posterior) > 3


def test_the_seed_is_that_of_what_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    files, _ = wearing_fleet(8, seed=0)
    _, ageing, wear, _, _ = both(files)
    monkeypatch.setattr(
        "analytics.ageing.wear.own_lives.disagreement", lambda *of: f"by seed {of[2]}"
    )
    for seed in (0, 5):
        assert f"by seed {seed}" in own_lives(ageing, wear, seed).said
