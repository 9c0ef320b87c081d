"""How far the hours of a line are from its usual hours: from year to year, and from boat to boat.

Learnt from the meter readings of the whole fleet, in which a boat counts once: her two
shafts share a meter, or run side by side. Where the readings say little, planning
defaults stand in, worth a few readings each.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from analytics.records.meters import Meter

Floats = npt.NDArray[np.float64]

YEAR_SPREAD = 0.3
"""Spread of a line's hours from year to year, as a share of its usual hours, where its readings
say little (planning default: common practice, no source)."""

STATED_SPREAD = 0.25
"""How far hours_per_season is from what is run, as a share of it, where no meter shows it
(planning default: common practice, no source)."""

BETWEEN_BOATS = 0.4
"""Spread of usual hours between boats, as a share of their mean, where few boats have a meter
(planning default: common practice, no source)."""

_WORTH = 4.0
"""How many steps between readings, or boats, a planning default is worth."""

_SHORT_STEP = 0.25
"""Years of use between two readings below which a step says nothing of a year's hours."""


def sure_steps(meter: Meter) -> npt.NDArray[np.bool_]:
    """Steps between two readings of one meter that moved."""
    sure = ~meter.stuck
    sure[np.array(meter.new, dtype=np.int64) - 1] = False
    return sure


def spread_of_year(meters: list[Meter], rate: Floats, boats: Sequence[str]) -> Floats:
    """Spread of a year's hours about each line's own, drawn towards the fleet's where few are read.

    Hours in steps that do not overlap are taken as independent, with a variance that
    grows with the years of use in the step: sd of a year = share * rate. `boats` names
    the boat of each line.
    """
    squares, steps = np.zeros(len(meters)), np.zeros(len(meters))
    for k, meter in enumerate(meters):
        span, ran = np.diff(meter.active), np.diff(meter.hours)
        chosen = sure_steps(meter) & (span >= _SHORT_STEP)
        if chosen.sum() < 2 or not rate[k] > 0:
            continue
        own = ran[chosen].sum() / span[chosen].sum()
        if own > 0:
            squares[k] = (((ran - own * span)[chosen] / own) ** 2 / span[chosen]).sum()
            steps[k] = chosen.sum() - 1.0
    once = _once_a_boat(boats, steps > 0)
    fleet = (once @ squares + _WORTH * YEAR_SPREAD**2) / (once @ steps + _WORTH)
    return np.asarray(np.sqrt((squares + _WORTH * fleet) / (steps + _WORTH)))


def stated_spread(given: Floats, metered: Floats, boats: Sequence[str]) -> float:
    """How far hours_per_season is from what the meters show, as a share of it.

    A plan that has nothing to do with the past counts as wrong by all of it, not by more:
    a few boats that change their use must not make the hours of all others unknowable.
    """
    both = np.isfinite(given) & np.isfinite(metered) & (given > 0)
    once = _once_a_boat(boats, both)
    squares = once[both] @ np.minimum((metered[both] / given[both] - 1.0) ** 2, 1.0)
    return float(np.sqrt((squares + _WORTH * STATED_SPREAD**2) / (once.sum() + _WORTH)))


def between_boats(known: Floats, boats: Sequence[str]) -> float:
    """Spread of usual hours between boats, as a share of their mean."""
    once = _once_a_boat(boats, np.isfinite(known))
    counted, known = once[once > 0], known[once > 0]
    if not len(known) or (mean := float(counted @ known / counted.sum())) <= 0:
        return BETWEEN_BOATS
    squares = counted @ (known / mean - 1.0) ** 2
    n = max(float(counted.sum()) - 1.0, 0.0)
    return float(np.sqrt((squares + _WORTH * BETWEEN_BOATS**2) / (n + _WORTH)))


def spread_of_rate(
    meters: list[Meter],
    year_spread: Floats,
    basis: tuple[str, ...],
    stated: float,
    between: float,
) -> Floats:
    """How far each line's rate may be from its usual hours, as a share of the rate."""
    spread = {"hours_per_season": stated, "fleet": between}
    found = np.array([spread.get(one, 0.0) for one in basis])
    for k in np.flatnonzero(np.array(basis) == "meter").tolist():
        span = np.diff(meters[k].active)[sure_steps(meters[k])].sum()
        found[k] = year_spread[k] / np.sqrt(max(float(span), 0.5))
    return found


def _once_a_boat(boats: Sequence[str], counted: npt.NDArray[np.bool_]) -> Floats:
    """Weights of lines, 0 where not counted, that add up to 1 over those of each boat."""
    of_boat = np.unique(np.array(boats, dtype=str), return_inverse=True)[1]
    lines = np.bincount(of_boat, counted)[of_boat] if len(of_boat) else np.empty(0)
    return np.asarray(np.where(counted, 1.0 / np.maximum(lines, 1.0), 0.0))
