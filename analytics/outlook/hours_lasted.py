"""What it says of a boat's hours that a part of hers has lasted: she has rather run fewer of them.

Whether a part was sound at its last look depends on the hours it had truly run. For each
draw of the curve the factor on those hours is therefore drawn from::

    p(run | curve, lasted)  ~  p(run) S(run * sound | curve)

and hours to come follow as far as they rest on the same rate. In the records behind the
curve a part in service has run what was expected; that is the same to first order. Parts
are taken one by one: that another part of the same boat has lasted too is left out, and
where readings pin how far a part is worn its lasting says nothing of its hours.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt
from scipy.special import ndtr

from analytics.ageing.hours_in_doubt import BUSIEST, HoursInDoubt
from analytics.ageing.likelihood import cumulative_hazard
from analytics.ageing.posterior import Posterior

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]

_SURE = 0.02
"""Spread of the hours run, as a share of them, below which lasting cannot say anything of them:
it would move them by less than its square times the cumulative hazard and the shape."""

_GRID = np.linspace(-6.0, 4.0, 21)
"""Standard normal values at which the chance of lasting is worked out; it is skewed downwards."""

_CELLS_AT_ONCE = 1_000_000


@dataclass(frozen=True)
class LastSeen:
    """Ages at which parts in service were last known sound, at every node of their windows.

    Attributes
    ----------
    first : ndarray of int, shape (n_parts,)
    weight, sound, sound_years : ndarray, shape (n_nodes,)
    shift : ndarray, shape (n_draws, n_parts), or None
        As in `chances.AgesAhead`.
    """

    first: Ints
    weight: Floats
    sound: Floats
    sound_years: Floats
    shift: Floats | None

    def of_parts(self, chosen: Ints) -> LastSeen:
        """Some of the parts."""
        sizes = np.diff(np.append(self.first, len(self.weight)))[chosen]
        rows = np.concatenate(
            [
                np.arange(self.first[i], self.first[i] + n)
                for i, n in zip(chosen, sizes, strict=True)
            ]
        ).astype(np.int64)
        return LastSeen(
            first=(np.cumsum(sizes) - sizes).astype(np.int64),
            weight=self.weight[rows],
            sound=self.sound[rows],
            sound_years=self.sound_years[rows],
            shift=None if self.shift is None else self.shift[:, chosen],
        )


def of_lasting(
    doubt: HoursInDoubt, posterior: Posterior, seen: LastSeen, read: Ints | None = None
) -> HoursInDoubt:
    """The factors on hours, given that each part was sound when last seen.

    Parameters
    ----------
    doubt : HoursInDoubt
        With the `normal` draws behind it; without them it stays as it is.
    posterior : Posterior
        With as many draws.
    seen : LastSeen
    read : ndarray of int, optional
        Nodes of parts with readings of their own, which stay as they are.
    """
    if doubt.normal is None or doubt.width is None or doubt.follow is None:
        return doubt
    open_to = doubt.width > _SURE
    if read is not None and len(read):
        open_to[np.searchsorted(seen.first, read, side="right") - 1] = False
    chosen = np.flatnonzero(open_to)
    if not len(chosen):
        return doubt
    theirs, width, follow = seen.of_parts(chosen), doubt.width[chosen], doubt.follow[chosen]
    before = doubt.normal[:, chosen]
    after = np.empty_like(before)
    step = max(1, _CELLS_AT_ONCE // (len(theirs.weight) * len(_GRID)))
    for at in range(0, len(before), step):
        rows = slice(at, at + step)
        after[rows] = _moved(before[rows], _log_lasting(posterior, theirs, width, rows))
    run, coming, normal = doubt.run.copy(), doubt.coming.copy(), doubt.normal.copy()
    run[:, chosen] = np.minimum(np.exp(width * after - width**2 / 2), BUSIEST)
    coming[:, chosen] *= np.exp(follow * (after - before))
    normal[:, chosen] = after
    return replace(doubt, run=run, coming=np.minimum(coming, BUSIEST), normal=normal)


def _log_lasting(posterior: Posterior, seen: LastSeen, width: Floats, rows: slice) -> Floats:
    """Log of the chance of lasting at each value of `_GRID`, shape (n_grid, n_draws, n_parts)."""
    theta = posterior.parameters.part(rows)
    sizes = np.diff(np.append(seen.first, len(seen.weight)))
    groups = 0.0 if seen.shift is None else np.repeat(seen.shift[rows], sizes, axis=1)
    found = np.empty((len(_GRID), len(theta), len(sizes)))
    for i, normal in enumerate(_GRID):
        log_run = np.repeat(width * normal - width**2 / 2, sizes)
        shift = groups - np.broadcast_to(log_run, (len(theta), len(log_run)))
        hazard = cumulative_hazard(
            posterior.family, theta, seen.sound, seen.sound_years, posterior.early_years, shift
        )
        if len(hazard[0]) == len(seen.first):  # every day of fitting is known
            found[i] = -hazard
            continue
        base = np.minimum.reduceat(hazard, seen.first, axis=1)
        left = np.exp(np.repeat(base, sizes, axis=1) - hazard) * seen.weight
        found[i] = np.log(np.add.reduceat(left, seen.first, axis=1)) - base
    return found


def _moved(normal: Floats, log_lasting: Floats) -> Floats:
    """Draws moved so that each keeps its rank among those that last.

    Both distributions are taken in straight lines between the values of the grid, so that a
    part of which nothing can be learnt stays exactly where it was.
    """
    before = np.diff(ndtr(_GRID))
    heights = np.exp(log_lasting - log_lasting.max(axis=0))
    after = before[:, None, None] * (heights[1:] + heights[:-1]) / 2
    to = np.concatenate([np.zeros((1, *normal.shape)), np.cumsum(after, axis=0)])
    to /= to[-1]
    inside = np.clip(normal, _GRID[0], _GRID[-1])
    up_to = np.concatenate([[0.0], np.cumsum(before)])
    rank = np.interp(inside, _GRID, up_to / up_to[-1])
    low = np.clip((to <= rank).sum(axis=0) - 1, 0, len(_GRID) - 2)
    under, over = (np.take_along_axis(to, (low + i)[None], axis=0)[0] for i in (0, 1))
    share = np.clip((rank - under) / np.maximum(over - under, 1e-300), 0.0, 1.0)
    return np.asarray(normal - inside + _GRID[low] + share * (_GRID[1] - _GRID[0]))
