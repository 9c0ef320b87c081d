"""Survival from ages known to windows, without a family: the estimate of Turnbull.

Failures found at haul-outs lie between two ages. The estimate puts chance on the
few intervals in which the records can tell it to lie, and says nothing of where
in them: survival is known before and after each, and anywhere between the two
inside. Delayed entry is part of the likelihood. Turnbull 1976, J. R. Stat. Soc. B
38, 290-295 (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.ageing.nonparametric.concave import highest
from analytics.ageing.nonparametric.innermost import Observed, given, innermost, observed, on_grid
from analytics.ageing.nonparametric.spells import age_windows, lives_of_kind
from analytics.lives import Lives

Floats = npt.NDArray[np.float64]

MOST_STEPS = 200
"""Steps after which the search ends; some ten are usual."""

TOO_MANY = 1_000
"""Ages that must all hold chance and are entangled with windows, above which ages are rounded
unless a step is given: the time needed grows with their cube."""

GRID = 1_000
"""About as many multiples of the step that is then chosen reach the oldest age."""

AS_GOOD = 1e-7
"""Relative gradient below which hazard on an interval costs no likelihood."""


@dataclass(frozen=True)
class Turnbull:
    """Survival from ages known to windows.

    Attributes
    ----------
    age_from, age_to : ndarray, shape (m,)
        Chance lies somewhere in (age_from, age_to], at just that age where they are equal.
    mass : ndarray, shape (m,)
        Share that fails there, of all that start at age 0.
    hazard : ndarray, shape (m,)
        Share that fails there of those that reach it; says something even where
        `mass` is 0 because the curve has ended before.
    lives, failures : float
        By weight.
    oldest : float
        Greatest age at which a life was known to be sound: what is left has failed after it.
    step : float
        What ages were rounded to (failures outward); 0 where they were not.
    steps : int
        Newton steps.
    converged : bool
    short_of_best : float
        No curve whatever has a log-likelihood that is higher by more than this.
    left_out : int
        Lives of the records that could not be used.
    after, across : float
        Age on which survival is conditional, and lives whose windows of failure reach across it.
    unit : str
        "years" or "hours".
    """

    age_from: Floats
    age_to: Floats
    mass: Floats
    hazard: Floats
    lives: float
    failures: float
    oldest: float
    step: float
    steps: int
    converged: bool
    short_of_best: float
    left_out: int
    after: float
    across: float
    unit: str

    @property
    def survival_after(self) -> Floats:
        """Share still sound after each interval, shape (m,)."""
        return np.asarray(np.cumprod(1.0 - self.hazard), dtype=np.float64)

    @property
    def left_over(self) -> float:
        """Share that outlives the last interval."""
        return float(self.survival_after[-1]) if len(self.mass) else 1.0

    @property
    def ended_at(self) -> float | None:
        """Age at which the curve ends at 0 though lives were watched at later ages; or None."""
        if self.left_over > 0 or not len(self.mass):
            return None
        at = float(self.age_to[np.flatnonzero(self.survival_after <= 0)[0]])
        return at if at < max(self.oldest, float(self.age_to[-1])) else None

    def table(self) -> pd.DataFrame:
        """A row per interval that holds chance, ages in the clock's unit.

        Returns
        -------
        DataFrame
            `age_from_UNIT`, `age_to_UNIT`, `share_failing`,
            `share_failing_of_those_that_reach_it`, `survival_before`, `survival_after`.
        """
        after = self.survival_after
        return pd.DataFrame(
            {
                f"age_from_{self.unit}": self.age_from,
                f"age_to_{self.unit}": self.age_to,
                "share_failing": self.mass,
                "share_failing_of_those_that_reach_it": self.hazard,
                "survival_before": np.concatenate([[1.0], after[:-1]])[: len(after)],
                "survival_after": after,
            }
        )

    def survival_between(self, ages: npt.ArrayLike) -> tuple[Floats, Floats]:
        """Least and greatest share still sound at some ages that the estimate allows.

        The two differ inside an interval that holds chance, and past the oldest
        age known to be sound. They are what the records leave open, not limits
        of chance: see `turnbull_band`.

        Returns
        -------
        least, greatest : ndarray, shape (k,)
        """
        at = np.atleast_1d(np.asarray(ages, dtype=np.float64))
        survival = np.concatenate([[1.0], self.survival_after])
        # An exact age belongs to "begun" only once it is reached.
        begins = np.where(self.age_from == self.age_to, self.age_from, np.nextafter(
            self.age_from, np.inf
        ))  # fmt: skip
        least = survival[np.searchsorted(begins, at, side="right")]
        greatest = survival[np.searchsorted(self.age_to, at, side="right")]
        return np.where(at > self.oldest_told, 0.0, least), greatest

    @property
    def oldest_told(self) -> float:
        """Age past which survival has only an upper bound."""
        return max(self.oldest, float(self.age_to[-1]) if len(self.mass) else 0.0)

    def told(self) -> list[str]:
        """What a reader must know of how the estimate came about, in sentences."""
        said = []
        if self.step:
            said.append(
                f"Ages were rounded to multiples of {self.step:g} {self.unit}, windows of failure "
                "outward."
            )
        if not self.converged:
            said.append(
                f"The search was ended after {self.steps} steps: a curve may exist whose "
                f"log-likelihood is higher by up to {self.short_of_best:.2g}."
            )
        if self.ended_at is not None:
            said.append(
                f"The curve ends at {self.ended_at:.3g} {self.unit} because all of the few lives "
                "watched there failed, though others lived longer. Read it from a later age on."
            )
        if self.across:
            said.append(
                f"{_lives(self.across)} left out: not known to have failed before or after "
                f"{self.after:g} {self.unit}."
            )
        if self.left_out:
            said.append(
                f"{_lives(self.left_out)} left out: the age when first watched is not known well "
                "enough, or the failure came on the first day watched."
            )
        return said


def turnbull(
    lower: npt.ArrayLike,
    upper: npt.ArrayLike,
    entry: npt.ArrayLike | None = None,
    weight: npt.ArrayLike | None = None,
    *,
    unit: str = "years",
    after: float = 0.0,
    step: float | None = None,
    most_steps: int = MOST_STEPS,
) -> Turnbull:
    """Estimate survival from ages known to windows.

    Parameters
    ----------
    lower, upper : array_like, shape (n,)
        Failed in (lower, upper]; at just that age where they are equal; not yet
        where `upper` is infinite.
    entry : array_like, optional
        Age from which each life was watched; 0 if left out. A life is in the
        records only because it was sound then.
    weight : array_like, optional
        Lives that each row stands for.
    unit : str
        Of the ages, for names and sentences.
    after : float
        Start the curve at this age, given that it is reached: the way out where
        too few lives were watched at young ages. Windows of failure that reach
        across it are left out, since it is not known whether they count.
    step : float, optional
        Round ages to multiples of this; 0 for not at all. If left out, not at
        all unless more than `TOO_MANY` ages must hold chance and are entangled
        with windows, and then to a step that `step` of the result states.
    most_steps : int
        Newton steps after which the search ends, told in the result.

    Raises
    ------
    ValueError
        If ages are missing or out of order (see `innermost.observed`), or `step`
        is negative, or 0 where the ages are too many to do without.
    """
    return estimate(
        observed(lower, upper, entry, weight),
        unit=unit,
        after=after,
        step=step,
        most_steps=most_steps,
    )


def estimate(
    seen: Observed,
    *,
    unit: str = "years",
    after: float = 0.0,
    step: float | None = None,
    most_steps: int = MOST_STEPS,
) -> Turnbull:
    """Estimate survival from checked ages; see `turnbull`."""
    reaching = (seen.lower < after) & (after < seen.upper) & np.isfinite(seen.upper)
    across = float(seen.weight[reaching].sum())
    seen, step = prepared(seen, after, step)
    cells = innermost(seen)
    found = highest(cells, most_steps)
    # Where the likelihood is as high with the chance in one interval as in another that the records
    # cannot tell from it, the two are one.
    may_hold = np.flatnonzero((found.hazard > 0) | (np.abs(found.gradient) < AS_GOOD))
    first = np.flatnonzero(~cells.alike(may_hold))
    last = np.append(first[1:], len(may_hold))[: len(first)] - 1
    age_from, age_to = cells.age_from[may_hold[first]], cells.age_to[may_hold[last]]
    total = np.add.reduceat(found.hazard[may_hold], first) if len(first) else np.empty(0)
    held = total > 0
    hazard = -np.expm1(-total[held])
    survival = np.concatenate([[1.0], np.cumprod(1.0 - hazard)])
    return Turnbull(
        age_from=age_from[held],
        age_to=age_to[held],
        mass=survival[:-1] * hazard,
        hazard=hazard,
        lives=seen.lives,
        failures=seen.failures,
        oldest=float(seen.lower[seen.lower > seen.entry].max(initial=0.0)),
        step=step,
        steps=found.steps,
        converged=found.converged,
        short_of_best=found.short_of_best,
        left_out=0,
        after=after,
        across=across,
        unit=unit,
    )


def from_lives(
    lives: Lives,
    kind: str,
    group: str | None = None,
    *,
    after: float = 0.0,
    step: float | None = None,
    most_steps: int = MOST_STEPS,
) -> Turnbull:
    """Survival of one kind, or of one group of it, on its own clock.

    How a fitting known to a window is taken is said in `spells.age_windows`;
    every end that is not a failure is a life not yet failed.

    Raises
    ------
    ValueError
        If there is no such life.
    """
    table = lives_of_kind(lives, kind, group)
    return from_table(lives, table, after=after, step=step, most_steps=most_steps)


def from_table(
    lives: Lives,
    table: pd.DataFrame,
    *,
    after: float = 0.0,
    step: float | None = None,
    most_steps: int = MOST_STEPS,
) -> Turnbull:
    """Survival of some lives of one kind; see `from_lives`.

    Parameters
    ----------
    lives : Lives
        The whole fleet, for the shaft hours.
    table : DataFrame
        Rows of `lives.table` of one kind, at least one.
    """
    seen, left_out, unit = seen_in(lives, table)
    found = estimate(seen, unit=unit, after=after, step=step, most_steps=most_steps)
    return replace(found, left_out=left_out)


def seen_lives(lives: Lives, kind: str, group: str | None = None) -> tuple[Observed, int, str]:
    """Ages of one kind as windows, the number of lives left out, and the clock's unit."""
    return seen_in(lives, lives_of_kind(lives, kind, group))


def seen_in(lives: Lives, table: pd.DataFrame) -> tuple[Observed, int, str]:
    """The same of some lives of one kind, rows of `lives.table`."""
    ages = age_windows(lives, table)
    return observed(ages.lower, ages.upper, ages.entry), ages.left_out, ages.unit


def prepared(seen: Observed, after: float, step: float | None) -> tuple[Observed, float]:
    """Lives from an age on, rounded where that is asked or needed, and the step; see `turnbull`."""
    if step is not None and not (np.isfinite(step) and step >= 0):
        raise ValueError(f"step is {step:g}: give an age to round to, or 0 for not at all")
    if after > 0:
        seen = given(seen, after)
    if step is None:
        step = _step(seen) if innermost(seen).must_hold > TOO_MANY else 0.0
    return (on_grid(seen, step) if step else seen), step


def _lives(number: float) -> str:
    return "1 life was" if number == 1 else f"{number:g} lives were"


def _step(seen: Observed) -> float:
    """A round number of which about `GRID` reach the oldest age."""
    reach = max(float(seen.upper[np.isfinite(seen.upper)].max()), float(seen.lower.max()))
    rough = reach / GRID
    power = 10.0 ** np.floor(np.log10(rough))
    return float(next(power * part for part in (1, 2, 2.5, 5, 10) if power * part >= rough))
