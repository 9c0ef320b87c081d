"""Fleets of one kind drawn from a known truth, as ages: quick to fit and known to the last bit."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from analytics.ageing.clocks import CENSORED, EXACT, INTERVAL, Nodes
from tests.outside.known_ages import lives_inspected, lives_seen_through

Ages = npt.NDArray[np.float64]


def wear(
    n: int, rng: np.random.Generator, *, shape: float = 3.0, scale: float = 9.0, bad: float = 0.0
) -> Ages:
    """Ages at wear-out; a share `bad` of the parts lasts a third as long."""
    short = np.where(rng.random(n) < bad, 1 / 3, 1.0)
    return np.asarray(scale * short * rng.weibull(shape, n))


def watched(life: Ages, n: int, rng: np.random.Generator, *, every: float = 0.0) -> Nodes:
    """The first `n` lives still going when first watched, for some years; looked at now and then.

    With `every`, a failure is found at the next look.
    """
    entry = np.maximum(rng.uniform(-10.0, 6.0, len(life)), 0.0)
    end = entry + rng.uniform(1.0, 9.0, len(life))
    going = np.flatnonzero(life > entry)[:n]
    life, entry, end = life[going], entry[going], end[going]
    failed, age = life <= end, np.minimum(life, end)
    if not every:
        return lives_seen_through(age, failed, entry)
    phase = rng.random(n) * every
    before = np.maximum(np.floor((age - phase) / every) * every + phase, entry)
    found = np.floor((age - phase) / every) * every + phase + every
    return lives_inspected(np.where(failed, before, age), np.where(failed, found, np.inf), entry)


def failures(nodes: Nodes) -> int:
    """How many failed."""
    return int(np.isin(nodes.outcome, (EXACT, INTERVAL)).sum())


def going_on(nodes: Nodes) -> int:
    """How many did not."""
    return int((nodes.outcome == CENSORED).sum())
