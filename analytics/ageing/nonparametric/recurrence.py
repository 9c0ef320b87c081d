"""How many replacements a position has had by then: the mean cumulative number.

Parts of one position follow each other, so the number of replacements is counted
per position, over the time since it was first watched, whatever the ages of the
parts were. Positions are watched for different times and with gaps; the mean is
that of positions watched at each moment. No model and no independence of one
part from the next is assumed: positions are independent, their histories need
not be. Nelson 1995, Technometrics 37, 147-157; Lawless & Nadeau 1995,
Technometrics 37, 158-168 (both from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.ageing.nonparametric.bands import LEVEL, Departure, departure, log_limits
from analytics.ageing.nonparametric.incidence import CAUSES
from analytics.ageing.nonparametric.spells import lives_of_kind
from analytics.lives import EMPTY_AT_MOST, Lives
from analytics.usage import DAYS_PER_YEAR, day_numbers

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]

OnDay = Literal["first", "last"]
"""Which of the possible days of a replacement is taken."""


@dataclass(frozen=True)
class MeanNumber:
    """Mean cumulative number of replacements per position.

    Attributes
    ----------
    times : ndarray, shape (k,)
        Moments of replacements; the mean steps up there and holds until the next.
    watched : ndarray, shape (k,)
        Positions watched at each.
    events : ndarray, shape (k,)
        Replacements at each.
    mean, error, low, high : ndarray, shape (k,)
        Replacements per position by then, standard error, and limits on the log scale.
    level : float
    positions : int
        Positions watched at all.
    longest : float
        Longest time watched: nothing is known past it.
    unwatched : int
        Replacements left out, because nobody watched the position when they happened.
    unit : str
        Of the times.
    """

    times: Floats
    watched: Floats
    events: Floats
    mean: Floats
    error: Floats
    low: Floats
    high: Floats
    level: float
    positions: int
    longest: float
    unwatched: int
    unit: str

    def table(self) -> pd.DataFrame:
        """A row per moment at which there were replacements.

        Returns
        -------
        DataFrame
            `UNIT_watched`, `positions_watched`, `replacements`,
            `replacements_per_position`, its `_error`, `_low` and `_high`.
        """
        return pd.DataFrame(
            {
                f"{self.unit}_watched": self.times,
                "positions_watched": self.watched,
                "replacements": self.events,
                "replacements_per_position": self.mean,
                "replacements_per_position_error": self.error,
                "replacements_per_position_low": self.low,
                "replacements_per_position_high": self.high,
            }
        )

    def at(self, times: npt.ArrayLike) -> pd.DataFrame:
        """The mean and its limits at some times; NaN past the longest watched.

        Columns `UNIT_watched`, `replacements_per_position`, its `_low` and `_high`.
        """
        asked = np.atleast_1d(np.asarray(times, dtype=np.float64))
        step = np.searchsorted(self.times, asked, side="right")
        columns = {f"{self.unit}_watched": asked}
        name = "replacements_per_position"
        for end, values, before in (
            ("", self.mean, 0.0),
            ("_low", self.low, np.nan),
            ("_high", self.high, np.nan),
        ):
            found = np.concatenate([[before], values])[step]
            columns[name + end] = np.where(asked > self.longest, np.nan, found)
        return pd.DataFrame(columns)


def mean_number(
    windows: pd.DataFrame, events: pd.DataFrame, *, level: float = LEVEL, unit: str = "years"
) -> MeanNumber:
    """Mean cumulative number of events per position.

    Parameters
    ----------
    windows : DataFrame
        `position`, `begin`, `end`: the position was watched in (begin, end].
        Windows of a position that overlap or touch count once.
    events : DataFrame
        `position`, `time`: a row per event, several at one moment allowed.
        Events in no window are left out and counted.
    level : float
        Of the limits.
    unit : str
        Of the times.

    Raises
    ------
    ValueError
        If a window does not end after it begins, or a time is missing.

    Notes
    -----
    The mean steps up by events over positions watched. Its variance is the sum
    over positions of the square of what each adds: its own events over positions
    watched, less what was to be expected of it (Lawless & Nadeau).
    """
    begin, end = (windows[name].to_numpy(dtype=np.float64) for name in ("begin", "end"))
    moments = events["time"].to_numpy(dtype=np.float64)
    if not (np.isfinite(begin) & np.isfinite(end) & (begin < end)).all():
        raise ValueError("every window must end after it begins, and both must be known")
    if not np.isfinite(moments).all():
        raise ValueError("every event needs a time")
    names, of_window = np.unique(windows["position"].to_numpy(dtype=object), return_inverse=True)
    place, begin, end = _joined(of_window.astype(np.int64), begin, end)
    known = np.isin(events["position"].to_numpy(dtype=object), names)
    of_event = np.searchsorted(names, events["position"].to_numpy(dtype=object)[known])
    inside = _window_of(place, begin, end, of_event, moments[known])
    hit, at = inside[inside >= 0], moments[known][inside >= 0]

    times = np.unique(at)
    number = np.bincount(np.searchsorted(times, at), minlength=len(times)).astype(np.float64)
    watched = (
        np.searchsorted(np.sort(begin), times, side="left")
        - np.searchsorted(np.sort(end), times, side="left")
    ).astype(np.float64)
    mean = np.cumsum(number / watched)
    error = np.sqrt(_variance(place, begin, end, hit, at, times, number, watched))
    low, high = log_limits(mean, error, level)
    return MeanNumber(
        times=times,
        watched=watched,
        events=number,
        mean=mean,
        error=error,
        low=low,
        high=high,
        level=level,
        positions=len(names),
        longest=float(end.max(initial=0.0)),
        unwatched=len(moments) - len(hit),
        unit=unit,
    )


def _joined(place: Ints, begin: Floats, end: Floats) -> tuple[Ints, Floats, Floats]:
    """Windows in order of position and time, those that overlap or touch as one."""
    order = np.lexsort((end, begin, place))
    joined: list[tuple[int, float, float]] = []
    for where, since, until in zip(
        place[order].tolist(), begin[order].tolist(), end[order].tolist(), strict=True
    ):
        if joined and joined[-1][0] == where and since <= joined[-1][2]:
            joined[-1] = (where, joined[-1][1], max(joined[-1][2], until))
        else:
            joined.append((where, since, until))
    places, begins, ends = zip(*joined, strict=True) if joined else ((), (), ())
    return np.array(places, dtype=np.int64), np.array(begins, float), np.array(ends, float)


def _window_of(place: Ints, begin: Floats, end: Floats, of_event: Ints, time: Floats) -> Ints:
    """Number of the window that holds each event, -1 where none does."""
    # Windows are in order of (position, begin): the last that begins before the event.
    keys = np.concatenate([place, of_event])
    order = np.lexsort(
        (np.repeat([1, 0], [len(place), len(of_event)]), np.append(begin, time), keys)
    )
    is_window = order < len(place)
    latest = np.cumsum(is_window) - 1
    found = np.full(len(keys), -1)
    found[order] = latest
    window = found[len(place) :]
    held = window >= 0
    held[held] = (place[window[held]] == of_event[held]) & (time[held] <= end[window[held]])
    return np.where(held, window, -1).astype(np.int64)


def _variance(
    place: Ints,
    begin: Floats,
    end: Floats,
    hit: Ints,
    at: Floats,
    times: Floats,
    number: Floats,
    watched: Floats,
) -> Floats:
    """Sum over positions of the squares of what each adds to the mean, at each time.

    What a position adds changes by -dM / Y at every event of any position while it is
    watched, and by 1 / Y more at its own. The sum of squares Q and the sum L over
    positions watched then follow from what those that enter, leave or have an
    event had added so far, so that no table of positions by times is needed.
    """
    if not len(times):
        return np.empty(0)
    moved = np.concatenate([[0.0], np.cumsum(number / watched**2)])
    to_begin = moved[np.searchsorted(times, begin, side="right")]
    to_end = moved[np.searchsorted(times, end, side="right")]

    # Own events of each window at each time, in order of window and time.
    step = np.searchsorted(times, at)
    own, count = np.unique(hit * len(times) + step, return_counts=True)
    window, step = own // len(times), own % len(times)
    jump = count / watched[step]
    before_jump = np.cumsum(jump) - jump
    per_window = np.bincount(window, jump, len(place))
    first = np.concatenate([[0.0], np.cumsum(per_window)[:-1]])

    # What a position had added when each of its windows began: by all its earlier ones.
    added = per_window - (to_end - to_begin)
    so_far = np.cumsum(added) - added
    new = np.concatenate([[True], place[1:] != place[:-1]])
    at_begin = so_far - np.repeat(so_far[new], np.diff(np.append(np.flatnonzero(new), len(place))))

    drift = number / watched**2
    # Just before its jump, after the drift of that moment.
    held = at_begin[window] + (before_jump - first[window]) - (moved[step + 1] - to_begin[window])
    own_part = np.bincount(step, 2 * held * jump + jump**2, len(times))

    # A position counts as watched from the first time after it enters to the last at its end.
    size = len(times) + 1
    enters = np.bincount(np.searchsorted(times, begin, side="right"), at_begin, size)
    leaves = np.bincount(np.searchsorted(times, end, side="right"), at_begin + added, size)
    # Events and drift at a moment cancel in the sum over positions watched.
    total = np.cumsum(enters - leaves)[: len(times)]
    squares = own_part - 2 * drift * total + watched * drift**2
    return np.asarray(np.maximum(np.cumsum(squares), 0.0))


def from_lives(
    lives: Lives,
    kind: str,
    *,
    outcomes: Sequence[str] = CAUSES,
    on: OnDay = "last",
    level: float = LEVEL,
) -> MeanNumber:
    """Mean cumulative number of replacements per position of one kind, over years watched.

    Parameters
    ----------
    lives : Lives
    kind : str
    outcomes : sequence of str
        Ends of a life that count; ("failed",) for failures alone. The position is
        watched all the same.
    on : {"first", "last"}
        Where the day of the end is a window: its last day, on which the part was
        out for certain, or its first.

    Raises
    ------
    ValueError
        If there is no such life.

    Notes
    -----
    A position counts from the day on which its boat was first watched, or its
    first known part fitted for certain, whichever is later, and until its last
    part ended or was last watched. Where more than `lives.EMPTY_AT_MOST` days
    lie between the end of a part and the last possible day on which the next
    was fitted, nobody watched in between; the years watched run on meanwhile.
    """
    return from_table(lives_of_kind(lives, kind), outcomes=outcomes, on=on, level=level)


def from_table(
    table: pd.DataFrame,
    *,
    outcomes: Sequence[str] = CAUSES,
    on: OnDay = "last",
    level: float = LEVEL,
) -> MeanNumber:
    """Mean cumulative number of replacements of some lives of one kind; see `from_lives`.

    Parameters
    ----------
    table : DataFrame
        Rows of `lives.table` of one kind: every life of each position in it, or the
        count of a position has gaps.
    """
    end = day_numbers(table["end_hi" if on == "last" else "end_lo"])
    fitted = day_numbers(table["start_hi"])
    seen = day_numbers(table["seen_from"])
    # A part in place when the boat was first watched was there from then on, whenever fitted.
    since = np.fmin(np.fmax(fitted, seen), end)
    frame = pd.DataFrame(
        {
            "position": table["boat"].astype(str) + "\x1f" + table["position"].astype(str),
            "begin": since,
            "end": end,
            "counts": table["outcome"].isin(list(outcomes)).to_numpy(),
        }
    ).sort_values(["position", "end", "begin"], kind="stable", ignore_index=True)
    by_place = frame.groupby("position", sort=False)
    before = by_place["end"].shift()
    short = (frame["begin"] - before) <= EMPTY_AT_MOST
    frame["begin"] = np.where(short, np.fmin(before, frame["begin"]), frame["begin"])
    first = by_place["begin"].transform("min")
    for name in ("begin", "end"):
        frame[name] = (frame[name] - first) / DAYS_PER_YEAR
    windows = frame[frame["begin"] < frame["end"]]
    events = frame.loc[frame["counts"], ["position", "end"]].rename(columns={"end": "time"})
    return mean_number(windows[["position", "begin", "end"]], events, level=level)


def against(found: MeanNumber, times: npt.ArrayLike, expected: npt.ArrayLike) -> Departure:
    """Where the number of replacements that a model expects leaves the limits, in words.

    Parameters
    ----------
    found : MeanNumber
    times, expected : array_like, shape (k,)
        Replacements per position expected by each time.
    """
    asked = np.asarray(times, dtype=np.float64)
    known = found.at(asked)
    return departure(
        asked,
        np.asarray(expected, dtype=np.float64),
        known["replacements_per_position_low"].to_numpy(),
        known["replacements_per_position_high"].to_numpy(),
        unit=found.unit,
        curve_name="the expected number of replacements",
        records_name="the records' own",
        below_means="positions needed more replacements than expected",
        above_means="positions needed fewer replacements than expected",
    )
