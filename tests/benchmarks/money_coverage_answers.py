"""What the program forecasts of the coming season of one fleet, beside what happens in it."""

from __future__ import annotations

import time
from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt

from analytics.decisions.costing import renewal_costs
from analytics.outlook.futures import simulated_futures
from analytics.outlook.season import season_risk
from analytics.usage import day_number
from tests.benchmarks.money_coverage_fleets import KnownFleet, known_fleet, sample_fleet
from tests.benchmarks.money_coverage_truth import Place, happens, parts_and_labour

Floats = npt.NDArray[np.float64]

ENDS = (0.10, 0.90)
"""Of the central 80 % interval."""

N_FUTURES = 2000

QUANTITIES = (
    "renewals out of turn or worn",
    "renewals",
    "spend",
    "failures in the season",
)
"""Renewals and money from the last day watched to the end of the season, of simulated futures; and
failures from its first day to its last, of the season's own reckoning."""


@dataclass(frozen=True)
class Asked:
    """One fleet to invent.

    Attributes
    ----------
    setting : {"prior", "sample"}
    seed : tuple of int
    seasons : int
        True seasons to draw of the same fleet; the first is the one that happened, the others
        tell how often the same interval would have held.
    boats : int
        Of the invented fleet.
    lives : int or None
        Of each kind of the other fleets.
    told : bool
        The forecast is told the true curves instead of fitting them.
    """

    setting: Literal["prior", "sample"]
    seed: tuple[int, ...]
    seasons: int = 20
    boats: int = 60
    lives: int | None = None
    told: bool = False
    n_futures: int = N_FUTURES


Answer = dict[str, float | str]


def answer(asked: Asked) -> Answer:
    """Invent, fit, forecast, and set the season that happens beside the forecast."""
    began = time.perf_counter()
    if asked.setting == "prior":
        fleet = known_fleet(asked.seed, asked.lives, told=asked.told)
    else:
        fleet = sample_fleet(asked.seed[-1] + 10_000 * asked.seed[0], asked.boats)
    row = beside(fleet, asked)
    row["seconds"] = time.perf_counter() - began
    return row


def beside(fleet: KnownFleet, asked: Asked) -> Answer:
    """Forecast, and set the season that happens beside the forecast."""
    rng = np.random.default_rng([*asked.seed, 7])
    seed = int(rng.integers(2**31))
    forecasts = _forecast(fleet, asked.n_futures, seed)
    row: Answer = {
        "setting": asked.setting,
        "failures": float(fleet.failures),
        "parts": float(len(fleet.lives.in_service())),
    }
    held: dict[str, list[float]] = {}
    for season in range(asked.seasons):
        for name, happened in _season(fleet, rng).items():
            one = _place(forecasts[name], happened, rng)
            held.setdefault(name, []).append(one["held"])
            if season == 0:
                row |= {f"{name} {what}": number for what, number in one.items()}
    return row | {f"{name} held again": float(np.mean(each)) for name, each in held.items()}


def _forecast(fleet: KnownFleet, n_futures: int, seed: int) -> dict[str, _Forecast]:
    """Of simulated futures; failures within the season are as its risk has them."""
    futures = simulated_futures(
        fleet.lives,
        fleet.ageing,
        [fleet.season],
        n_futures=n_futures,
        seed=seed,
        own=fleet.own,
    )
    costs = renewal_costs(fleet.lives, futures, fleet.prices)
    money = np.bincount(futures.future, costs.parts + costs.labour, n_futures)
    unplanned, planned = (each.sum(axis=(1, 2)) for each in (futures.unplanned, futures.planned))
    risk = season_risk(fleet.lives, fleet.ageing, fleet.season, seed, fleet.own)
    even = np.full(n_futures, 1.0 / n_futures)
    return {
        "renewals out of turn or worn": _Forecast(unplanned.astype(float), even),
        "renewals": _Forecast((unplanned + planned).astype(float), even),
        # To the cent, so that the same sum in another order is the same sum.
        "spend": _Forecast(np.round(money, 2), even),
        "failures in the season": _Forecast(np.arange(len(risk.counts)) * 1.0, risk.counts),
    }


def _season(fleet: KnownFleet, rng: np.random.Generator) -> dict[str, float]:
    """What happens, by `QUANTITIES`."""
    places = fleet.places(rng)
    events = happens(places, fleet.season, day_number(fleet.lives.as_of))
    spend = parts_and_labour(events, fleet.prices, fleet.lives.settings.rates)
    numbers = (
        sum(not event.planned for event in events),
        len(events),
        round(spend, 2),
        _first_failures(places, fleet),
    )
    return dict(zip(QUANTITIES, map(float, numbers), strict=True))


def _first_failures(places: list[Place], fleet: KnownFleet) -> int:
    """Parts now in place that fail within the season, none renewed before it."""
    begin, end = day_number(fleet.season.start), day_number(fleet.season.end) + 1
    return sum(begin <= place.first.day < end for place in places)


@dataclass(frozen=True)
class _Forecast:
    """Values that may come, and the chance of each."""

    values: Floats
    chances: Floats


def _place(forecast: _Forecast, truth: float, rng: np.random.Generator) -> dict[str, float]:
    """The central 80 % interval, both ends counted in, what lies in it, and the truth's place.

    `inside` is the chance that the forecast itself gives to the interval: at least .8, and more
    where a number of failures is a large step. `pit` is where the truth lies among the forecasts,
    ties by chance: even between 0 and 1 if the forecast is right, however discrete it is.
    """
    order = np.argsort(forecast.values, kind="stable")
    values, chances = forecast.values[order], forecast.chances[order]
    reached = np.cumsum(chances)
    low, high = (
        float(values[min(int(np.searchsorted(reached, end - 1e-12)), len(values) - 1)])
        for end in ENDS
    )
    below, here = float(chances[values < truth].sum()), float(chances[values == truth].sum())
    return {
        "truth": truth,
        "mean": float(values @ chances),
        "low": low,
        "high": high,
        "held": float(low <= truth <= high),
        "inside": float(chances[(values >= low) & (values <= high)].sum()),
        "pit": below + here * float(rng.random()),
    }
