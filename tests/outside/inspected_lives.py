"""Lives drawn from a known curve, inspected now and then and met when already in place."""

import numpy as np
import numpy.typing as npt

Ages = npt.NDArray[np.float64]

SHAPE, SCALE = 2.5, 9.5


def survival(ages: Ages) -> Ages:
    """The truth."""
    return np.exp(-((ages / SCALE) ** SHAPE))


def inspected_lives(n: int, seed: int, grid: float = 0.0) -> tuple[Ages, Ages, Ages]:
    """Entry, last sound and found failed (infinite where not): lives without those dead on entry.

    Each is watched for up to seven years and inspected every half to one and a half, at its own
    ages, or at multiples of `grid`.
    """
    rng = np.random.default_rng(seed)
    life = SCALE * rng.weibull(2.5, 4 * n)
    entry = np.maximum(rng.uniform(-4.0, 12.0, 4 * n), 0.0)
    watched = rng.uniform(0.5, 7.0, 4 * n)
    if grid:
        entry, watched = np.rint(entry / grid) * grid, np.ceil(watched / grid) * grid
    alive = np.flatnonzero(life > entry)[:n]
    life, entry, end = life[alive], entry[alive], (entry + watched)[alive]
    every = rng.uniform(0.5, 1.5, n)
    if grid:
        every = np.maximum(np.rint(every / grid), 1.0) * grid
    seen = entry + np.floor((np.minimum(life, end) - entry) / every) * every
    found = seen + every
    failed = (life <= found) & (found <= end)
    return entry, seen, np.where(failed, found, np.inf)
