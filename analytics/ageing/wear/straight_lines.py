"""Readings about straight lines: their likelihood given what the lines share.

For reading j of path i, taken h hours after fitting::

    clearance = c_i + r_i h + error      c_i ~ N(new + offset, s)     error ~ N(0, sigma)
                                         log r_i ~ N(m, tau)

Given (m, tau, sigma, offset) the paths are independent: c_i is integrated out
in closed form and r_i by quadrature about its mode. A day of fitting that is a
window is a sum over its nodes.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from analytics.ageing.side_by_side import side_by_side

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]

Z90 = 1.6448536269514722

PER = 1000.0
"""Rates are in mm per this many shaft hours."""

CELLS_AT_ONCE = 200_000
"""Draws times rows times steps computed in one go: what a processor has at hand goes fastest."""

_STRETCH = 0.35
_FAR = 150.0
_COARSE, _FINE = np.linspace(-5.5, 5.5, 12), np.linspace(-6.0, 6.0, 41)
_CLOSE = 1e-3
"""A step towards a peak that is the last one, in log r."""


@dataclass(frozen=True)
class Paths:
    """Readings as the sums that the likelihood needs; a row per path and node of its fitting.

    Attributes
    ----------
    first : ndarray of int, shape (n_paths,)
        First row of each path; rows of a path lie together.
    log_weight : ndarray, shape (n_rows,)
        Log weight of the node among those of its path.
    n, w, sh, shh, sy, shy, syy : ndarray, shape (n_rows,)
        Number of readings; sums, each reading with weight 1 over its error
        factor squared, of 1, h, h h, y, h y and y y (h in `PER` hours, y in mm).
    new, new_sd : ndarray, shape (n_rows,)
        Clearance of new bearings of that size, in mm: middle and spread.
    """

    first: Ints
    log_weight: Floats
    n: Floats
    w: Floats
    sh: Floats
    shh: Floats
    sy: Floats
    shy: Floats
    syy: Floats
    new: Floats
    new_sd: Floats

    def __len__(self) -> int:
        return len(self.first)

    def some_rows(self, rows: slice) -> Paths:
        """Some rows, whatever the path; `first` says nothing any more."""
        names = ("log_weight", "n", "w", "sh", "shh", "sy", "shy", "syy", "new", "new_sd")
        return Paths(self.first, **{name: getattr(self, name)[rows] for name in names})

    @property
    def path(self) -> Ints:
        """The path of each row."""
        sizes = np.diff(np.append(self.first, len(self.n)))
        return np.repeat(np.arange(len(self.first)), sizes)


def paths_of(
    row: Ints,
    hours: Floats,
    mm: Floats,
    error_factor: Floats,
    first: Ints,
    weight: Floats,
    new_mm: tuple[Floats, Floats],
) -> Paths:
    """Sum readings up.

    Parameters
    ----------
    row : ndarray of int, shape (n_readings,)
        Row (path and node) of each reading; a reading of a path with several
        nodes stands once for each.
    hours, mm, error_factor : ndarray, shape (n_readings,)
        Shaft hours since fitting at that node, clearance, and by what its error
        exceeds that of a measured one.
    first : ndarray of int, shape (n_paths,)
    weight : ndarray, shape (n_rows,)
        Of the nodes; need not add up to 1.
    new_mm : pair of ndarray, shape (n_paths,)
        5 % and 95 % points of a new bearing's clearance.
    """
    n_rows, h, v = len(weight), hours / PER, 1.0 / error_factor**2
    path = np.repeat(np.arange(len(first)), np.diff(np.append(first, n_rows)))

    def summed(values: Floats) -> Floats:
        return np.asarray(np.bincount(row, weights=values, minlength=n_rows), dtype=np.float64)

    share = weight / np.add.reduceat(weight, first)[path] if n_rows else weight
    with np.errstate(divide="ignore"):
        log_weight = np.log(share)
    return Paths(
        first=first,
        log_weight=log_weight,
        n=summed(np.ones(len(row))),
        w=summed(v),
        sh=summed(v * h),
        shh=summed(v * h * h),
        sy=summed(v * mm),
        shy=summed(v * h * mm),
        syy=summed(v * mm * mm),
        new=((new_mm[0] + new_mm[1]) / 2)[path],
        new_sd=((new_mm[1] - new_mm[0]) / (2 * Z90))[path],
    )


def straight_line_terms(
    paths: Paths, log_error: Floats, offset: Floats
) -> tuple[Floats, Floats, Floats]:
    """The likelihood of a row's readings given its rate: ``exp(k - a r r / 2 + b r)``.

    The clearance at fitting is integrated out: readings of a row are normal
    with covariance sigma² V + s² 11ᵀ (the matrix-inversion lemma).

    Parameters
    ----------
    paths : Paths
    log_error, offset : ndarray, shape (n_draws,)

    Returns
    -------
    tuple of ndarray, each of shape (n_draws, n_rows)
        a, b and k; k lacks the constants of the error factors.
    """
    variance = np.exp(2 * log_error)[:, None]
    start = paths.new[None, :] + offset[:, None]
    sz = paths.sy - start * paths.w
    shz = paths.shy - start * paths.sh
    szz = paths.syy - 2 * start * paths.sy + start**2 * paths.w
    pull = paths.new_sd**2 / (variance + paths.new_sd**2 * paths.w)
    # 1 / w - pull, and sums about the mean: as differences of large numbers they would drown.
    rest = variance / (paths.w * (variance + paths.new_sd**2 * paths.w))
    about_mean = np.maximum(paths.shh - paths.sh**2 / paths.w, 0.0)
    a = (about_mean + rest * paths.sh**2) / variance
    b = (shz - paths.sh * sz / paths.w + rest * paths.sh * sz) / variance
    k = -0.5 * (
        paths.n * np.log(2 * np.pi * variance)
        + np.log1p(paths.new_sd**2 * paths.w / variance)
        + (szz - pull * sz**2) / variance
    )
    return a, b, k


def peak(a: Floats, b: Floats, middle: Floats, spread: Floats) -> tuple[Floats, Floats]:
    """Where ``-a r r / 2 + b r`` and a normal belief about log r peak together, and how widely.

    Newton's steps from the right, where the slope is concave and falling, so
    that they come down on a peak there without passing it; where there is none
    they go on, never counting on less curvature than the belief's, to that of
    the belief. Each peak is sought by itself: which others are asked for with it
    changes nothing.

    Returns
    -------
    tuple of ndarray
        log r at the peak, and the standard deviation by its curvature.
    """
    a, b, middle, spread = np.broadcast_arrays(a, b, middle, spread)
    with np.errstate(divide="ignore", invalid="ignore"):
        alone = np.where((b > 0) & (a > 0), np.log(b / a), -np.inf)
    furthest = np.minimum(np.maximum(middle, alone), _FAR)
    belief = middle, 1.0 / spread**2
    at = _climbed(a, b, belief, furthest, furthest, 40)
    # Where readings and belief lie far apart there are two peaks, and the belief's may be higher.
    lower = _height(at, a, b, middle, spread) < _height(middle, a, b, middle, spread)
    if lower.any():
        # The peak nearest the belief.
        belief = belief[0][lower], belief[1][lower]
        begin = np.minimum(belief[0], furthest[lower])
        at[lower] = _climbed(a[lower], b[lower], belief, begin, furthest[lower], 25)
    r = np.exp(at)
    return at, 1.0 / np.sqrt(np.maximum(r * (2 * a * r - b), 0.0) + 1.0 / spread**2)


def _height(log_rate: Floats, a: Floats, b: Floats, middle: Floats, spread: Floats) -> Floats:
    # Far out on the grid of a wide belief; the height there is that of nothing anyway.
    r = np.exp(np.minimum(log_rate, _FAR))
    return np.asarray(r * (b - 0.5 * a * r) - 0.5 * ((log_rate - middle) / spread) ** 2)


def _climbed(
    a: Floats,
    b: Floats,
    belief: tuple[Floats, Floats],
    begin: Floats,
    furthest: Floats,
    most: int,
) -> Floats:
    """Steps that never count on less curvature than the belief's, until each is a small one.

    Parameters
    ----------
    belief : tuple of ndarray
        Middle and precision.
    most : int
        No more steps than this.
    """
    found = np.array(begin, order="C")
    flat = found.reshape(-1)
    a, b, middle, precision, furthest = (np.ravel(one) for one in (a, b, *belief, furthest))
    at, cell, moving = flat.copy(), None, np.ones(len(flat), dtype=bool)
    for _ in range(most):
        r = np.exp(at)
        ar = a * r
        slope = r * (b - ar) - (at - middle) * precision
        step = slope / (np.maximum(r * (2 * ar - b), 0.0) + precision)
        step[~moving] = 0.0
        at = np.minimum(at + step, furthest)
        moving &= ~(np.abs(step) < _CLOSE)
        left = np.count_nonzero(moving)
        if not left:
            break
        if left < 0.7 * len(moving):
            # Those that have arrived are put by, so that a few that are far cost little.
            flat[slice(None) if cell is None else cell] = at
            some = np.flatnonzero(moving)
            cell = some if cell is None else cell[some]
            a, b, middle, precision, furthest, at = (
                one[some] for one in (a, b, middle, precision, furthest, at)
            )
            moving = np.ones(left, dtype=bool)
    flat[slice(None) if cell is None else cell] = at
    return found


def log_marginals(paths: Paths, shared: Floats) -> Floats:
    """Log-likelihood of each row's readings with c and r integrated out, node weight included.

    Parameters
    ----------
    paths : Paths
    shared : ndarray, shape (n_draws, 4)
        Rows of (m, log tau, log sigma, offset): rates in mm per 1,000 h, errors in mm.

    Returns
    -------
    ndarray, shape (n_draws, n_rows)
    """
    out = np.empty((len(shared), len(paths.n)))
    pieces = []
    for rows in some_at_once(len(paths.n), len(_COARSE)):
        step = max(1, CELLS_AT_ONCE // ((rows.stop - rows.start) * len(_COARSE)))
        starts = range(0, len(shared), step)
        pieces += [(slice(start, start + step), rows) for start in starts]

    def fill(piece: tuple[slice, slice]) -> None:
        draws, rows = piece
        chunk, some = shared[draws], paths.some_rows(rows)
        a, b, k = straight_line_terms(some, chunk[:, 2], chunk[:, 3])
        middle, spread = chunk[:, :1], np.exp(chunk[:, 1:2])
        at, width = peak(a, b, middle, spread)
        log_top, mass, _ = _about_peak(a, b, middle, spread, at, width, _COARSE)
        total = mass.sum(axis=1) * (_COARSE[1] - _COARSE[0]) * width
        out[draws, rows] = (
            k + log_top + np.log(total) - np.log(spread * np.sqrt(2 * np.pi)) + some.log_weight
        )

    side_by_side(fill, pieces)
    return out


def some_at_once(n_rows: int, n_steps: int) -> Iterator[slice]:
    """Some rows at a time, as many as go well with so many steps each."""
    most = max(1, CELLS_AT_ONCE // n_steps)
    return (slice(at, min(at + most, n_rows)) for at in range(0, n_rows, most))


def log_likelihood(paths: Paths, shared: Floats) -> Floats:
    """Log-likelihood of all readings for each draw of what the paths share, shape (n_draws,)."""
    if not len(paths):
        return np.zeros(len(shared))
    rows = log_marginals(paths, shared)
    if len(paths) == rows.shape[1]:
        return np.asarray(rows.sum(axis=1))
    top = np.maximum.reduceat(rows, paths.first, axis=1)
    inside = np.exp(rows - top[:, paths.path])
    return np.asarray((top + np.log(np.add.reduceat(inside, paths.first, axis=1))).sum(axis=1))


def drawn_log_rate(a: Floats, b: Floats, middle: Floats, spread: Floats, pick: Floats) -> Floats:
    """A log rate of each cell by the inverse of its distribution, `pick` being uniform."""
    found = np.empty(a.shape)
    for rows in some_at_once(a.shape[1], len(_FINE)):
        found[:, rows] = _drawn_log_rate(a[:, rows], b[:, rows], middle, spread, pick[:, rows])
    return found


def _drawn_log_rate(a: Floats, b: Floats, middle: Floats, spread: Floats, pick: Floats) -> Floats:
    at, width = peak(a, b, middle, spread)
    _, mass, log_rates = _about_peak(a, b, middle, spread, at, width, _FINE)
    total = np.cumsum((mass[:, 1:] + mass[:, :-1]) / 2, axis=1)
    wanted = pick * total[:, -1]
    cell = np.minimum((total < wanted[:, None]).sum(axis=1), total.shape[1] - 1)[:, None]
    after = np.take_along_axis(total, cell, axis=1)[:, 0]
    left = np.take_along_axis(mass, cell, axis=1)[:, 0]
    right = np.take_along_axis(mass, cell + 1, axis=1)[:, 0]
    before = after - (left + right) / 2
    share = np.clip((wanted - before) / np.maximum(after - before, 1e-300), 0.0, 1.0)
    low = np.take_along_axis(log_rates, cell, axis=1)[:, 0]
    high = np.take_along_axis(log_rates, cell + 1, axis=1)[:, 0]
    return np.asarray(low + share * (high - low))


def _about_peak(
    a: Floats,
    b: Floats,
    middle: Floats,
    spread: Floats,
    at: Floats,
    width: Floats,
    grid: Floats,
) -> tuple[Floats, Floats, Floats]:
    """Log height where highest, mass about it relative to that, and log rates.

    The last two of shape (n_draws, n_steps, n_rows): the steps of a row are apart, so that
    rows are dealt with in long runs. The grid reaches further out than its steps by a
    hyperbolic sine, for the long tail that a belief has where a few readings cut the other
    side short; the mass has its Jacobian.
    """
    away = (np.sinh(_STRETCH * grid) / _STRETCH)[:, None]
    log_rates = at[:, None] + width[:, None] * away
    height = _height(log_rates, a[:, None], b[:, None], middle[:, None], spread[:, None])
    top = height.max(axis=1)
    height -= top[:, None]
    mass = np.exp(height, out=height)
    mass *= np.cosh(_STRETCH * grid)[:, None]
    return top, mass, log_rates
