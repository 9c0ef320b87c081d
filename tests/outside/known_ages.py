"""Lives of known age as the program's own nodes: what most published data sets give."""

import numpy as np
import numpy.typing as npt

from analytics.ageing.clocks import CENSORED, EXACT, INTERVAL, Nodes

Numbers = npt.ArrayLike


def lives_seen_through(ages: Numbers, failed: Numbers, entry: Numbers = 0.0) -> Nodes:
    """Lives that failed at their age exactly, or were sound at it; watched from `entry` on."""
    age, was = np.asarray(ages, dtype=float), np.asarray(failed, dtype=bool)
    return _nodes(entry, age, age, np.where(was, EXACT, CENSORED))


def lives_inspected(sound_at: Numbers, failed_by: Numbers, entry: Numbers = 0.0) -> Nodes:
    """Lives that failed after one age and by another; an infinite one: not yet failed."""
    lower, upper = np.asarray(sound_at, dtype=float), np.asarray(failed_by, dtype=float)
    known = np.isfinite(upper)
    return _nodes(entry, lower, np.where(known, upper, lower), np.where(known, INTERVAL, CENSORED))


def _nodes(
    entry: Numbers,
    lower: npt.NDArray[np.float64],
    upper: npt.NDArray[np.float64],
    outcome: npt.NDArray[np.int64],
) -> Nodes:
    n = len(lower)
    watched = np.broadcast_to(np.asarray(entry, dtype=float), n).copy()
    return Nodes(
        life=np.arange(n),
        first=np.arange(n),
        weight=np.ones(n),
        start=np.zeros(n),
        entry=watched,
        lower=lower,
        upper=upper,
        entry_years=watched,
        lower_years=lower,
        upper_years=upper,
        outcome=outcome,
        count=np.ones(n),
    )
