"""How far the hours of boats may be from what is expected of them, draw by draw.

What a boat will run is its usual hours, which are not known exactly, and a season that
is busier or quieter than usual. Both spreads are learnt from the meters of the fleet
(`records.meters_spread`). Lognormal factors of mean 1 carry them into every draw, alike
for all parts of a boat and both her shafts. Where the hours so far and those to come
rest on one and the same rate that nobody has read, a boat that ran more will run more:
the two go together as far as they share that rate. What it says of a boat's hours that
a part of hers has lasted is in `outlook.hours_lasted`.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from zlib import crc32

import numpy as np
import numpy.typing as npt

from analytics.ageing.hours_run import hours_run
from analytics.usage import ShaftHours, active_years

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]

BUSIEST = 10.0
"""No boat runs more than so many times its usual hours."""


@dataclass(frozen=True)
class HoursInDoubt:
    """Factors on the hours of parts in service, mean 1 over the draws.

    Attributes
    ----------
    run : ndarray, shape (n_draws, n_parts)
        On the hours run so far.
    coming : ndarray, shape (n_draws, n_parts)
        On those to come.
    normal : ndarray, shape (n_draws, n_parts), or None
        Standard normal draws behind `run`; None where they are not known.
    width, follow : ndarray, shape (n_parts,), or None
        By what the logs of `run` and `coming` rise with `normal`.
    """

    run: Floats
    coming: Floats
    normal: Floats | None = None
    width: Floats | None = None
    follow: Floats | None = None

    def of_draws(self, draws: Ints) -> HoursInDoubt:
        """Some of the draws, or some of them again."""
        return HoursInDoubt(self.run[draws], self.coming[draws])

    def by_node(self, draws: slice, sizes: Ints, read: Ints | None = None) -> HoursInDoubt:
        """Some of the draws, each part's factors once for every node of its fitting window.

        Parameters
        ----------
        read : ndarray of int, optional
            Nodes of parts whose own readings pin how far they are worn. Their lives are in
            the hours that were expected so far: of those none is in doubt, and hours to
            come count by how much faster they run than those did.
        """
        run, coming = (np.repeat(one[draws], sizes, axis=1) for one in (self.run, self.coming))
        if read is not None and len(read):
            coming[:, read] /= run[:, read]
            run[:, read] = 1.0
        return HoursInDoubt(run, coming)

    def log_age(self, now: Floats, then: Floats) -> Floats:
        """Log of the factor on an age to come; taken from the log scale it does the same.

        Parameters
        ----------
        now, then : ndarray, shape (n_parts,)
            Hours expected on the last day watched and on a day not before it.

        Returns
        -------
        ndarray, shape (n_draws, n_parts)
        """
        so_far = np.minimum(now, then)
        share = np.divide(so_far, then, out=np.ones_like(then), where=then > 0)
        return np.asarray(np.log(self.run * share + self.coming * (1.0 - share)))


def hours_in_doubt(
    usage: ShaftHours,
    line: Ints,
    start: Floats,
    now: float,
    until: float | Floats,
    n: int,
    seed: int = 0,
) -> HoursInDoubt:
    """Factors on the hours of parts in service.

    Parameters
    ----------
    usage : ShaftHours
    line : ndarray of int, shape (n_parts,)
    start : ndarray, shape (n_parts,)
        Day of fitting, days since 1970-01-01.
    now : float
        Last day watched.
    until : float or ndarray, shape (n_parts,)
        Day up to which hours to come are asked for.
    n : int
        Number of draws.
    seed : int
        Each boat draws from a stream of its own, whatever the other boats.
    """
    run = hours_run(usage, line, start, np.full(len(line), now))
    share = np.divide(run.sd, run.mean, out=np.zeros_like(run.sd), where=run.mean > 0)
    ahead = spread_ahead(usage, line, now, until)
    assumed = np.divide(run.assumed, run.mean, out=np.zeros_like(run.sd), where=run.mean > 0)
    together = _together(usage, line, assumed, share, ahead)
    boat_of = {number: boat for (boat, _), number in usage.lines.items()}
    boats = [boat_of[number] for number in line.tolist()]
    alone, coming = (_normal(boats, n, seed, what) for what in ("run", "coming"))
    so_far = together * coming + np.sqrt(1.0 - together**2) * alone
    return HoursInDoubt(
        run=_lognormal(so_far, share),
        coming=_lognormal(coming, ahead),
        normal=so_far,
        width=np.sqrt(np.log1p(share**2)),
        follow=together * np.sqrt(np.log1p(ahead**2)),
    )


def _together(
    usage: ShaftHours, line: Ints, assumed: Floats, share: Floats, ahead: Floats
) -> Floats:
    """Correlation of the hours run with those to come: the rate that both rest on.

    Hours that stand in for readings are off by what their rate is off. Where the rate
    expected from now on is that same rate, it is off by the same. What is stated of the
    future and not borne out by the past is wrong, or right, by itself.
    """
    # A plan to run more or less of it leaves it the same rate.
    same = (usage.rate == usage.past_rate * usage.pace)[line]
    by_rate = np.minimum(assumed * usage.past_spread[line], share)
    both = by_rate * np.minimum(usage.rate_spread[line], ahead)
    known = same & (share > 0) & (ahead > 0)
    return np.asarray(np.divide(both, share * ahead, out=np.zeros_like(share), where=known))


def spread_ahead(usage: ShaftHours, line: Ints, now: float, until: float | Floats) -> Floats:
    """Standard deviation of the hours to come by a day, as a share of them, shape of `line`.

    It is that of the usual hours and of the years together: years differ independently,
    so that over many of them only the doubt about the usual hours stays.
    """
    ends = np.stack([np.full(len(line), now), np.zeros(len(line)) + np.maximum(until, now + 1.0)])
    years = {
        flag: np.diff(active_years(ends, flag, usage.rule), axis=0)[0] for flag in (True, False)
    }
    in_use = np.where(usage.afloat[line], years[True], years[False])
    # Within one season hours are as busy as that season: a short part of it is no surer.
    in_use = np.maximum(in_use, 1.0)
    return np.asarray(np.sqrt(usage.rate_spread[line] ** 2 + usage.year_spread[line] ** 2 / in_use))


def _normal(boats: Iterable[str], n: int, seed: int, what: str) -> Floats:
    """Standard normal draws, a column per part, alike for parts of one boat."""
    names = list(boats)
    of_boat = {
        boat: np.random.default_rng([seed, crc32(f"hours {what}|{boat}".encode())]).standard_normal(
            n
        )
        for boat in dict.fromkeys(names)
    }
    if not names:
        return np.empty((n, 0))
    return np.stack([of_boat[boat] for boat in names], axis=1)


def _lognormal(normal: Floats, share: Floats) -> Floats:
    """Factors of mean 1 with these standard deviations."""
    width = np.sqrt(np.log1p(share**2))
    return np.asarray(np.minimum(np.exp(width * normal - width**2 / 2), BUSIEST))
