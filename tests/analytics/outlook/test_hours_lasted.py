"""Hours in doubt of parts that have lasted, in the risk of a season and in simulated futures.

Outside checks: Bayes' rule by adaptive quadrature (scipy) over the unknown factor on hours.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.stats import norm

from analytics import job
from analytics.ageing.fit import Ageing, kind_ageing
from analytics.ageing.hours_in_doubt import HoursInDoubt
from analytics.ageing.posterior import Posterior, point
from analytics.ageing.wear.own_lives import OwnLives, own_lives
from analytics.lives import Lives
from analytics.outlook.chances import AgesAhead, ages_ahead, chances
from analytics.outlook.futures import simulated_futures
from analytics.outlook.hours_lasted import LastSeen, of_lasting
from analytics.records.kinds import KINDS
from analytics.usage import day_number
from tests.analytics.ageing.wear.worn_fleet import KIND, folder, wearing_fleet, worn

SCALE, COMING = 1000.0, 300.0
N = 20_000


def weibull(shape: float) -> Posterior:
    kind = replace(KINDS[KIND], family="weibull", causes=("wear_out",))
    one = point(kind, float(np.log(shape)), float(np.log(SCALE)))
    return one.of_draws(np.zeros(N, dtype=np.int64))


def in_doubt(spread: float, together: float) -> HoursInDoubt:
    rng, width = np.random.default_rng(1), np.full(1, np.sqrt(np.log1p(spread**2)))
    one, other = rng.standard_normal((2, N, 1))
    coming = together * one + np.sqrt(1 - together**2) * other
    run, coming = (np.exp(width * normal - width**2 / 2) for normal in (one, coming))
    return HoursInDoubt(run, coming, one, width, together * width)


def exact(spread: float, together: bool, shape: float, sound: list[float]) -> tuple[float, float]:
    """Chance of failing in the hours to come, given sound, and the mean factor on hours run."""
    width = np.sqrt(np.log1p(spread**2))

    def factor(z: float) -> float:
        return float(np.exp(width * z - width**2 / 2))

    def left(age: float) -> float:
        return float(np.exp(-((age / SCALE) ** shape)))

    def over(z: float, more: float) -> float:
        return float(np.mean([left(age * factor(z) + more) for age in sound]))

    def later(z: float) -> float:
        if together:
            return over(z, COMING * factor(z))
        return quad(lambda y: norm.pdf(y) * over(z, COMING * factor(y)), -6, 6, epsabs=1e-8)[0]

    def mean(of: Callable[[float], float]) -> float:
        return float(quad(lambda z: norm.pdf(z) * of(z), -7, 6, epsabs=1e-9)[0])

    alive = mean(lambda z: over(z, 0.0))
    after, run = mean(later), mean(lambda z: over(z, 0.0) * factor(z))
    return 1.0 - after / alive, run / alive


@pytest.mark.parametrize("together", [True, False])
@pytest.mark.parametrize(
    ("spread", "shape", "sound"),
    [(0.25, 2.8, [600.0]), (0.4, 2.8, [1000.0]), (0.4, 2.0, [1500.0]), (0.4, 3.0, [300.0, 1200.0])],
)
def test_a_part_that_lasted_has_rather_run_fewer_hours(
    spread: float, shape: float, sound: list[float], together: bool
) -> None:
    posterior, ages = weibull(shape), np.array(sound)
    weight, zero = np.full(len(sound), 1.0 / len(sound)), np.zeros(len(sound))
    first = np.zeros(1, dtype=np.int64)
    doubt = in_doubt(spread, float(together))
    moved = of_lasting(doubt, posterior, LastSeen(first, weight, ages, ages / 300 + 9, None))
    ahead = AgesAhead(
        first=first, weight=weight, sound=ages, now=ages, begin=ages, end=ages + COMING,
        sound_years=ages / 300 + 9, now_years=ages / 300 + 9, begin_years=ages / 300 + 9,
        end_years=ages / 300 + 10, until_begin=zero, until_end=zero + 1.0, doubt=moved,
    )  # fmt: skip
    found = chances(posterior, ahead, np.random.default_rng(0))
    risk, run = exact(spread, together, shape, sound)
    # 20,000 draws place a mean of factors to 0.003, and a mean risk to 0.002.
    assert moved.run.mean() == pytest.approx(run, abs=0.01)
    assert found.during.mean() == pytest.approx(risk, abs=0.006)
    unmoved = chances(posterior, replace(ahead, doubt=doubt), np.random.default_rng(0))
    assert unmoved.during.mean() > found.during.mean() + 0.005


def test_draws_are_ranked_as_before_and_new_parts_stay_where_they_were() -> None:
    posterior, first, one = weibull(2.8), np.zeros(1, dtype=np.int64), np.ones(1)
    doubt = in_doubt(0.4, 0.7)
    new = of_lasting(doubt, posterior, LastSeen(first, one, 0.0 * one, 0.0 * one, None))
    np.testing.assert_allclose(new.run, doubt.run, rtol=1e-9)
    np.testing.assert_allclose(new.coming, doubt.coming, rtol=1e-9)
    old = of_lasting(doubt, posterior, LastSeen(first, one, 1200.0 * one, 9.0 * one, None))
    order = np.argsort(doubt.run[:, 0])
    assert (np.diff(old.run[order, 0]) >= 0).all()
    read = of_lasting(doubt, posterior, LastSeen(first, one, 1200.0 * one, 9.0 * one, None), first)
    assert read is doubt
    bare = HoursInDoubt(doubt.run, doubt.coming)
    assert of_lasting(bare, posterior, LastSeen(first, one, 900.0 * one, one, None)) is bare


SETTINGS = (
    '[kinds.cutless_bearing]\ncauses = ["wear_out", "accident"]\nlimit = false\n'
    "found_ashore_only = false\n"
)


@pytest.fixture(scope="module")
def without_meters() -> tuple[job.Fleet, Ageing, OwnLives]:
    """Bearings of which many are read, on boats whose hours are only stated; some undated."""
    files, _ = wearing_fleet(30, seed=4, settings=SETTINGS)
    added = folder(
        [f"Old {n},single,30 mm,2009..2015" for n in range(6)],
        ["Old 0,single,2022-02-15,clearance_mm,0.5"],
    )
    files = {
        name: text if name == "fleet.toml" else text + added[name].split(b"\n", 1)[1]
        for name, text in files.items()
    }
    fleet, _, wear = worn(files | {"hours.csv": b"boat,read_on,hours\n"})
    lives = fleet.lives
    ageing = kind_ageing(lives, lives.table[lives.table["kind"] == KIND])
    own = own_lives(ageing, wear)
    assert len(own) > 20
    return fleet, ageing, own


def season_ages(fleet: job.Fleet, ageing: Ageing, own: OwnLives | None) -> AgesAhead:
    season = fleet.coming_season()
    now, start = day_number(fleet.lives.as_of), day_number(season.start)
    return ages_ahead(fleet.lives, ageing, max(start, now), day_number(season.end) + 1, 0, own)


def test_parts_that_were_read_against_the_integral(
    without_meters: tuple[job.Fleet, Ageing, OwnLives],
) -> None:
    fleet, ageing, own = without_meters
    ages = season_ages(fleet, ageing, own)
    year = day_number(fleet.lives.as_of) + 366
    ages = replace(ages, end=ages_ahead(fleet.lives, ageing, year - 1, year, 0, own).end)
    found = chances(ageing.posterior, ages, np.random.default_rng(0)).during
    assert ages.doubt is not None
    sizes = np.diff(np.append(ages.first, len(ages.weight)))
    part = np.repeat(np.arange(len(ages)), sizes)[own.node]
    dated = sizes[part] == 1
    steps, rate = own.part(slice(None)).steps, ageing.posterior.accidents[:, None]
    run, coming = ages.doubt.run[:, part], ages.doubt.coming[:, part]

    def hazard(age: np.ndarray) -> np.ndarray:
        return steps.hazard_at(np.log(np.maximum(age, 1e-6)))

    # Hours left are run times what the line leaves; they are passed at coming times the rate.
    now, begin, end, sound = (one[own.node] for one in (ages.now, ages.begin, ages.end, ages.sound))
    last = hazard(sound + 0.0 * run)
    at_begin = hazard(now + coming * (begin - now) / run)
    at_end = hazard(now + coming * (end - now) / run)
    until_begin, until_end = (one[own.node] for one in (ages.until_begin, ages.until_end))
    expected = np.exp(last - at_begin - rate * until_begin) - np.exp(
        last - at_end - rate * until_end
    )
    assert dated.sum() > 20
    assert expected[:, dated].mean(axis=0).max() > 0.3
    np.testing.assert_allclose(found[:, part[dated]], expected[:, dated], atol=1e-6)


def unplanned(lives: Lives, ageing: Ageing, fleet: job.Fleet, own: OwnLives | None) -> np.ndarray:
    key = KIND, "all"
    moved = None if own is None else {key: own}
    found = simulated_futures(
        lives, {key: ageing}, [fleet.coming_season()], n_futures=6000, own=moved
    )
    return found.unplanned.sum(axis=(1, 2))


@pytest.mark.parametrize("read", [True, False])
def test_futures_and_the_season_agree(
    without_meters: tuple[job.Fleet, Ageing, OwnLives], read: bool
) -> None:
    fleet, ageing, own = without_meters
    moved = own if read else None
    ages = season_ages(fleet, ageing, moved)
    found = chances(ageing.posterior, ages, np.random.default_rng(0))
    expected = float((found.before + found.during).mean(axis=0).sum())
    counts = unplanned(fleet.lives, ageing, fleet, moved)
    # What is renewed may fail again within the season; that is rare at so few hours.
    assert counts.mean() == pytest.approx(expected, abs=3.5 * counts.std() / np.sqrt(len(counts)))
    # Both spread over the same draws: the mean of a draw's futures follows its chances.
    n = len(ageing.posterior)
    per_draw = counts[: n * (len(counts) // n)].reshape(-1, n).mean(axis=0)
    chance = (found.before + found.during).sum(axis=1)
    assert np.corrcoef(per_draw, chance)[0, 1] > 0.3
