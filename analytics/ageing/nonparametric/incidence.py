"""What parts end by, and by which age: Aalen-Johansen with delayed entry.

A part taken out for other work can no longer fail. Counting each cause as if the
others did not exist adds up to more than all parts; here the shares of all
causes and of those still in place add up to 1 at every age.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.ageing.nonparametric.bands import LEVEL, Departure, departure, share_limits
from analytics.ageing.nonparametric.risk_sets import risk_sets
from analytics.ageing.nonparametric.spells import At, lives_of_kind, watched_ages
from analytics.lives import IN_SERVICE, Lives
from analytics.records.tables import REASONS

Floats = npt.NDArray[np.float64]

NOT_AN_END = ("boat_left", IN_SERVICE)
"""Outcomes after which the part went on, unwatched."""

CAUSES = tuple(reason for reason in REASONS if reason not in NOT_AN_END)


@dataclass(frozen=True)
class Incidence:
    """Share of parts ended by each cause, by age.

    Attributes
    ----------
    causes : tuple of str
    ages : ndarray, shape (k,)
        Ages at which lives ended; shares step up there and hold until the next.
    watched : ndarray, shape (k,)
        Lives watched just before each age.
    ended : ndarray, shape (k, causes)
        Lives that ended at it.
    in_place : ndarray, shape (k,)
        Share not ended by any cause.
    share, error, low, high : ndarray, shape (k, causes)
        Share ended by each cause, its standard error and its limits.
    level : float
    lives : float
    oldest : float
        Greatest age watched: nothing is known past it.
    windowed, left_out : int
        Lives of the records whose age at the end is a window; lives not used.
    unit : str
        "years" or "hours".
    """

    causes: tuple[str, ...]
    ages: Floats
    watched: Floats
    ended: Floats
    in_place: Floats
    share: Floats
    error: Floats
    low: Floats
    high: Floats
    level: float
    lives: float
    oldest: float
    windowed: int
    left_out: int
    unit: str

    def table(self) -> pd.DataFrame:
        """A row per age and cause.

        Returns
        -------
        DataFrame
            `age_UNIT`, `cause`, `watched`, `ended`, `share`, `share_error`,
            `share_low`, `share_high`, `share_in_place`.
        """
        k, n = len(self.ages), len(self.causes)
        return pd.DataFrame(
            {
                f"age_{self.unit}": np.repeat(self.ages, n),
                "cause": list(self.causes) * k,
                "watched": np.repeat(self.watched, n),
                "ended": self.ended.ravel(),
                "share": self.share.ravel(),
                "share_error": self.error.ravel(),
                "share_low": self.low.ravel(),
                "share_high": self.high.ravel(),
                "share_in_place": np.repeat(self.in_place, n),
            }
        )

    def at(self, ages: npt.ArrayLike, cause: str) -> pd.DataFrame:
        """Share ended by a cause at some ages: `age_UNIT`, `share`, `share_low`, `share_high`.

        NaN past the oldest age watched; a share of 0 has no limits.

        Raises
        ------
        ValueError
            If the cause is none of `causes`.
        """
        if cause not in self.causes:
            raise ValueError(f"{cause} is no cause here; there are {', '.join(self.causes)}")
        k = self.causes.index(cause)
        asked = np.atleast_1d(np.asarray(ages, dtype=np.float64))
        step = np.searchsorted(self.ages, asked, side="right")
        columns = {f"age_{self.unit}": asked}
        for name, values, before in (
            ("share", self.share, 0.0),
            ("share_low", self.low, np.nan),
            ("share_high", self.high, np.nan),
        ):
            found = np.concatenate([[before], values[:, k]])[step]
            columns[name] = np.where(asked > self.oldest, np.nan, found)
        return pd.DataFrame(columns)


def incidence(
    exit: npt.ArrayLike,
    outcome: Sequence[str],
    causes: Sequence[str],
    entry: npt.ArrayLike | None = None,
    weight: npt.ArrayLike | None = None,
    *,
    level: float = LEVEL,
    unit: str = "years",
) -> Incidence:
    """Share of lives ended by each cause, by age.

    Parameters
    ----------
    exit : array_like, shape (n,)
        Age at the end of watching.
    outcome : sequence of str, shape (n,)
        A cause, or anything else for a life that went on.
    causes : sequence of str
        The outcomes that end a life, at least one, each once.
    entry : array_like, optional
        Age from which each life was watched, before `exit`; 0 if left out.
    weight : array_like, optional
        Lives that each row stands for.
    level : float
        Of the limits, which hold age by age and are worked out on log(-log share).
    unit : str
        Of the ages.

    Raises
    ------
    ValueError
        If there is no cause, or ages are missing or out of order.

    Notes
    -----
    Aalen & Johansen 1978. The variance is that of lives shared out at each age
    among the causes and going on (Greenwood's, for several causes; the same as in
    Marubini & Valsecchi 1995, from memory); with one cause it is Greenwood's
    own. Lives that end at one age end together; nothing is drawn by chance.
    """
    if not causes or len(set(causes)) < len(causes):
        raise ValueError("name the causes that end a life, at least one, each once")
    number = {cause: k for k, cause in enumerate(causes, start=1)}
    why = np.array([number.get(one, 0) for one in outcome], dtype=np.int64)
    sets = risk_sets(entry, exit, why, len(causes), weight)
    watched, ended = sets.watched[:, None], sets.ended
    gone = ended.sum(axis=1)
    in_place = np.cumprod(1.0 - gone / sets.watched)
    before = np.concatenate([[1.0], in_place[:-1]])[: len(in_place), None]
    share = np.cumsum(before * ended / watched, axis=0)
    error = np.sqrt(_variance(share, before, watched, ended, gone[:, None]))
    limits = [share_limits(share[:, k], error[:, k], level) for k in range(len(causes))]
    return Incidence(
        causes=tuple(causes),
        ages=sets.ages,
        watched=sets.watched,
        ended=ended,
        in_place=in_place,
        share=share,
        error=error,
        low=np.column_stack([low for low, _ in limits]),
        high=np.column_stack([high for _, high in limits]),
        level=level,
        lives=sets.lives,
        oldest=sets.oldest,
        windowed=0,
        left_out=0,
        unit=unit,
    )


def _variance(
    share: Floats, before: Floats, watched: Floats, ended: Floats, gone: Floats
) -> Floats:
    """Variance of the share ended by each cause at each age.

    With F the share by then, F_i that at an earlier age i, S_i those in place just
    before it: the sum over i of (F - F_i)^2 d / n (n - d) + S_i^2 d_k (n - d_k) / n^3
    - 2 (F - F_i) S_i d_k / n^2. The squares are written out, so that each
    sum is a running one.
    """
    stay = watched - gone
    # Where none stays, the share stands still from then on, and F - F_i is 0.
    with np.errstate(divide="ignore", invalid="ignore"):
        a = np.where(stay > 0, gone / (watched * stay), 0.0)
    b = before**2 * ended * (watched - ended) / watched**3
    c = before * ended / watched**2
    # F is measured from half its last value on, which keeps the differences of sums small.
    middle = share[-1:] / 2 if len(share) else share
    f = share - middle
    total = (
        f**2 * np.cumsum(a, axis=0)
        - 2 * f * np.cumsum(f * a + c, axis=0)
        + np.cumsum(f**2 * a + b + 2 * f * c, axis=0)
    )
    return np.asarray(np.maximum(total, 0.0))


def from_lives(
    lives: Lives,
    kind: str,
    group: str | None = None,
    *,
    causes: Sequence[str] = CAUSES,
    at: At = "middle",
    level: float = LEVEL,
) -> Incidence:
    """What the parts of one kind, or of one group of it, ended by, on its own clock.

    Parameters
    ----------
    causes : sequence of str
        Outcomes of the table of lives that end a life. Those left out count as
        going on: name them all unless that is what is asked.
    at : {"middle", "youngest", "oldest"}
        Where ages are windows, which of the ages that they allow is taken (see
        `spells.watched_ages`): the three together show what they leave open.

    Raises
    ------
    ValueError
        If there is no such life.
    """
    return from_table(lives, lives_of_kind(lives, kind, group), causes=causes, at=at, level=level)


def from_table(
    lives: Lives,
    table: pd.DataFrame,
    *,
    causes: Sequence[str] = CAUSES,
    at: At = "middle",
    level: float = LEVEL,
) -> Incidence:
    """What some lives of one kind ended by; see `from_lives`.

    Parameters
    ----------
    lives : Lives
        The whole fleet, for the shaft hours.
    table : DataFrame
        Rows of `lives.table` of one kind, at least one.
    """
    ages = watched_ages(lives, table, at)
    found = incidence(
        ages.exit, ages.table["outcome"].tolist(), causes, ages.entry, level=level, unit=ages.unit
    )
    return replace(found, windowed=ages.windowed, left_out=ages.left_out)


def against(found: Incidence, cause: str, ages: npt.ArrayLike, share: npt.ArrayLike) -> Departure:
    """Where a fitted share ended by a cause leaves its limits, in words.

    Parameters
    ----------
    found : Incidence
    cause : str
        One of its causes.
    ages, share : array_like, shape (k,)
        Fitted share ended by that cause by each age, other causes allowed for.
    """
    asked = np.asarray(ages, dtype=np.float64)
    known = found.at(asked, cause)
    named = cause.replace("_", " ")
    return departure(
        asked,
        np.asarray(share, dtype=np.float64),
        known["share_low"].to_numpy(),
        known["share_high"].to_numpy(),
        unit=found.unit,
        curve_name=f"the fitted share that ended as {named}",
        records_name="the records' own",
        below_means="more parts ended so, or sooner, than the curve allows",
        above_means="fewer parts ended so, or later, than the curve allows",
    )
