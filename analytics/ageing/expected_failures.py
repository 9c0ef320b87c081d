"""Failures seen and failures expected, stretch of age by stretch of age.

For each life the fitted hazard says how many failures were to be expected while
it was watched, with the life's own groups, entry and windows. Seen less expected
is the slope of the log-likelihood by the log of a factor on the hazard in that
stretch, so it is 0 on average where the model is right, whatever the windows::

    failed in (a, b]     u_k = -E_k(a) + d_k / (exp(d) - 1),   d = H(b) - H(a)
    sound at a           u_k = -E_k(a)
    entered at e         u_k + E_k(e)

with E_k(a) the cumulative hazard up to age a that falls in stretch k and d_k the
part of d in it. An exact age gives 1 in its own stretch. Where the day of fitting
is a window the terms are averaged over it by what each day explains.

The curve was fitted to the same failures and leans on a prior, so seen and
expected are nearer than chance alone would have them: by just the spread of the
difference over the posterior. The variance of the mean difference is therefore
the information less that spread (linearised; exact for a normal prior and a
normal likelihood). With no prior it is the score test with estimated parameters
(Rao 1948, Moran 1970; both from memory).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt
import pandas as pd
from scipy.stats import chi2

from analytics.ageing.clocks import CENSORED, EXACT, HALF_DAY, Nodes
from analytics.ageing.likelihood import cumulative_hazard
from analytics.ageing.nonparametric.bands import LEVEL, normal_quantile
from analytics.ageing.nonparametric.kaplan_meier import WIDE_START_YEARS
from analytics.ageing.posterior import Posterior
from analytics.usage import DAYS_PER_YEAR, day_numbers

Floats = npt.NDArray[np.float64]

MOST_STRETCHES = 6
PER_STRETCH = 5.0
"""Failures in a stretch of age, about: fewer say nothing (planning default)."""

DRAWS, FEWEST_DRAWS = 300, 40
"""Draws of the posterior that are looked at, and where lives are very many."""

FREE = 0.25
"""Share of its information that a direction must have kept from the fit to be compared at all."""

_GRID, _DRAWS_FOR_EDGES = 60, 24

_NEAR = 1e-4
"""An exact age is a window that begins this share of it earlier."""


@dataclass(frozen=True)
class Stretches:
    """Failures seen and expected by age.

    Attributes
    ----------
    edges : ndarray, shape (k + 1,)
        Ages between which each stretch lies; the last is infinite.
    seen, expected : ndarray, shape (k,)
        Failures, those known to a window shared out by the fitted curve.
    spread : ndarray, shape (k, k)
        Covariance of seen less expected, if the model is right.
    information : ndarray, shape (k, k)
        The same, had the curve not been fitted to these lives.
    """

    edges: Floats
    seen: Floats
    expected: Floats
    spread: Floats
    information: Floats

    def chance(self) -> float:
        """Chance of a difference as great as this or greater where the model is right."""
        scale = np.sqrt(np.maximum(np.diag(self.information), 1e-12))
        kept, along = np.linalg.eigh(self.spread / np.outer(scale, scale))
        free = kept > FREE
        if not free.any():
            return 1.0
        moved = along.T[free] @ ((self.seen - self.expected) / scale)
        return float(chi2.sf((moved**2 / kept[free]).sum(), int(free.sum())))

    def worst(self) -> tuple[int, int]:
        """First and last of the neighbouring stretches that differ most for their spread."""
        k, best, found = len(self.seen), -1.0, (0, 0)
        apart = self.seen - self.expected
        least = FREE * np.diag(self.information)
        for first in range(k):
            for last in range(first, k):
                run = slice(first, last + 1)
                variance = self.spread[run, run].sum()
                if variance > least[run].sum():
                    size = abs(apart[run].sum()) / np.sqrt(variance)
                    if size > best:
                        best, found = size, (first, last)
        return found

    def table(self, level: float = LEVEL) -> pd.DataFrame:
        """A row per stretch: `age_from`, `age_to`, `seen`, `expected`, `expected_low`, `_high`.

        The limits are those between which as many as were seen would lie, at this
        level, were the model right; roughly so, and never nearer than the fit can
        have drawn them.
        """
        variance = np.maximum(np.diag(self.spread), FREE * np.diag(self.information))
        reach = normal_quantile(level) * np.sqrt(np.maximum(variance, 0.0))
        return pd.DataFrame(
            {
                "age_from": self.edges[:-1],
                "age_to": self.edges[1:],
                "seen": self.seen,
                "expected": self.expected,
                "expected_low": np.maximum(self.expected - reach, 0.0),
                "expected_high": self.expected + reach,
            }
        )


def stretches(
    posterior: Posterior,
    nodes: Nodes,
    table: pd.DataFrame,
    edges: Floats | None = None,
    seed: int = 0,
) -> Stretches | None:
    """Failures seen and expected of some lives.

    Parameters
    ----------
    posterior : Posterior
    nodes : Nodes
        Ages of the lives, one row each.
    table : DataFrame
        The lives, for the groups of each.
    edges : ndarray, optional
        Ages at which stretches begin, from 0. If left out: such that about as
        many failures are expected in each, at round ages.
    seed : int
        Source of chance for groups that the fit has not seen; those of its own lives
        need none.

    Returns
    -------
    Stretches or None
        None where nothing was watched.
    """
    if not nodes.n_lives:
        return None
    lives = Watched.of(posterior, nodes, table, seed)
    if edges is None:
        edges = _equal_stretches(lives)
    bounds = np.append(edges, np.inf)
    number, k = len(lives.chosen), len(edges)
    apart, seen = np.empty((number, k)), np.empty((number, k))
    information = np.zeros((k, k))
    for draw in range(number):
        apart[draw], seen[draw], informed = lives.slopes(draw, edges)
        information += informed / number
    codes = posterior.parameters.codes
    spread = information - _varying(apart, None if codes is None else codes[lives.chosen])
    observed = seen.mean(axis=0)
    return Stretches(bounds, observed, observed - apart.mean(axis=0), spread, information)


def _varying(apart: Floats, codes: npt.NDArray[np.int64] | None) -> Floats:
    """Covariance over the draws, each family's about its own mean."""
    moved = apart.copy()
    groups = np.zeros(len(apart), dtype=np.int64) if codes is None else codes
    for code in np.unique(groups):
        moved[groups == code] -= apart[groups == code].mean(axis=0)
    return np.asarray(moved.T @ moved / max(len(apart) - 1, 1))


def some_draws(posterior: Posterior, nodes: int) -> npt.NDArray[np.int64]:
    """Draws spread evenly over all: fewer where ages are very many."""
    number = int(np.clip(2_000_000 // max(nodes, 1), FEWEST_DRAWS, DRAWS))
    return np.unique(np.linspace(0, len(posterior) - 1, number).astype(np.int64))


def shifts(
    posterior: Posterior, table: pd.DataFrame, chosen: npt.NDArray[np.int64], seed: int = 0
) -> Floats | None:
    """Life factor of each life in some draws, as a logarithm; None where none were looked at.

    The seed is for groups that the fit has not seen: those of its own lives need none.
    """
    factors = posterior.factors
    if factors is None:
        return None
    few = replace(
        factors,
        effects=tuple(of_field[chosen] for of_field in factors.effects),
        spreads=factors.spreads[chosen],
        centres=factors.centres[chosen],
    )
    return few.of(table, seed)


@dataclass(frozen=True)
class Watched:
    """Lives, and the cumulative hazard of each at its own ages, draw by draw.

    Attributes
    ----------
    posterior : Posterior
    nodes : Nodes
    chosen : ndarray of int, shape (n_draws,)
        Draws of the posterior that are looked at.
    shift : ndarray, shape (n_draws, n_lives), or None
        Life factor of each life, as a logarithm.
    lower : ndarray, shape (n_nodes,)
        Age last sound; for an exact failure just before it.
    rate : ndarray, shape (n_lives,)
        Years in a unit of the clock.
    """

    posterior: Posterior
    nodes: Nodes
    chosen: npt.NDArray[np.int64]
    shift: Floats | None
    lower: Floats
    rate: Floats

    @classmethod
    def of(cls, posterior: Posterior, nodes: Nodes, table: pd.DataFrame, seed: int = 0) -> Watched:
        """Some lives, with the groups that a table gives each of them."""
        chosen = some_draws(posterior, len(nodes.life))
        shift = shifts(posterior, table, chosen, seed)
        exact = nodes.outcome[nodes.life] == EXACT
        before = np.maximum(nodes.upper * (1 - _NEAR), np.minimum(nodes.entry, nodes.upper))
        # A failure at the very age of entry had no time to be watched for: let it have had some.
        before = np.where(before < nodes.upper, before, nodes.upper * (1 - _NEAR))
        last = np.append(nodes.first[1:], len(nodes.life)) - 1
        age = nodes.upper[last]
        # Years in a unit of the clock, by the life's own mean rate: only early failures need it.
        rate = np.where(age > 0, nodes.upper_years[last] / np.where(age > 0, age, 1.0), 1.0)
        return cls(posterior, nodes, chosen, shift, np.where(exact, before, nodes.lower), rate)

    def hazard(self, draw: int, ages: Floats, life: npt.NDArray[np.int64]) -> Floats:
        """Cumulative hazard of some lives at some ages."""
        theta = self.posterior.parameters.part(self.chosen[draw : draw + 1])
        moved = None if self.shift is None else self.shift[draw, life][None, :]
        return np.asarray(
            cumulative_hazard(
                self.posterior.family,
                theta,
                ages,
                ages * self.rate[life],
                self.posterior.early_years,
                moved,
            )[0]
        )

    def slopes(
        self, draw: int, edges: Floats, *, informed: bool = True
    ) -> tuple[Floats, Floats, Floats]:
        """Seen less expected, seen, and the information (if asked for), each by stretch."""
        nodes, life = self.nodes, self.nodes.life
        within = self._within(draw, edges)
        sound, hazard_sound = within(self.lower)
        censored = nodes.outcome[life] == CENSORED
        reached, hazard_reached = within(np.where(censored, self.lower, nodes.upper))
        d = np.maximum(reached - sound, 0.0)
        total = np.where(censored, 1.0, np.maximum(hazard_reached - hazard_sound, 1e-300))
        with np.errstate(over="ignore"):
            inverse = np.where(censored, 0.0, 1.0 / np.expm1(total))
        slope = d * inverse[:, None] - sound
        entered, hazard_entry = within(nodes.entry)

        single = np.diff(np.append(nodes.first, len(life))) == 1
        at = np.flatnonzero(single[life])
        count = nodes.count[life[at], None]
        first, second = (d * inverse[:, None])[at], (1.0 + inverse[at]) * inverse[at]
        information = np.zeros((0, 0))
        if informed:
            information = np.diag(((sound[at] - first - entered[at]) * count).sum(axis=0))
            information += (d[at] * count * second[:, None]).T @ d[at]
        with np.errstate(invalid="ignore", divide="ignore"):
            share = np.where(d > 0, d / total[:, None], 0.0)
        if single.all():
            return (
                ((slope + entered) * nodes.count[life, None]).sum(axis=0),
                (share * (~censored * nodes.count[life])[:, None]).sum(axis=0),
                information,
            )
        by_end = self._days(hazard_sound, total)
        entry_weight = nodes.weight if nodes.entry_weight is None else nodes.entry_weight
        by_entry = _shares(np.log(entry_weight) - hazard_entry, nodes)
        own = np.add.reduceat(
            slope * by_end[:, None] + entered * by_entry[:, None], nodes.first, axis=0
        )
        seen = np.add.reduceat(share * (by_end * ~censored)[:, None], nodes.first, axis=0)
        windowed = own[~single] * nodes.count[~single, None]
        if informed:
            information += windowed.T @ own[~single]
        return (
            (own * nodes.count[:, None]).sum(0),
            (seen * nodes.count[:, None]).sum(0),
            information,
        )

    def days(self, draw: int) -> Floats:
        """How likely each day of fitting is by how its life ended, shape (n_nodes,)."""
        life = self.nodes.life
        sound = self.hazard(draw, self.lower, life)
        within = self.hazard(draw, self.nodes.upper, life) - sound
        return self._days(sound, np.maximum(within, 1e-300))

    def _days(self, hazard_sound: Floats, within: Floats) -> Floats:
        """The same from the cumulative hazard by the age last sound and that until the end."""
        nodes = self.nodes
        outcome = nodes.outcome[nodes.life]
        failing = np.where(outcome == CENSORED, 0.0, np.log(-np.expm1(-within)))
        # Of an exact age it is the density that counts: per unit of its own small window.
        exact = outcome == EXACT
        window = np.where(exact, np.log(np.where(exact, nodes.upper - self.lower, 1.0)), 0.0)
        return _shares(np.log(nodes.weight) + failing - hazard_sound - window, nodes)

    def _within(self, draw: int, edges: Floats) -> Callable[[Floats], tuple[Floats, Floats]]:
        """Makes of an age of every node the cumulative hazard by then, by stretch and in all."""
        life, lives = self.nodes.life, np.arange(self.nodes.n_lives)
        # It only rises with age, so that up to the end of a stretch is the lesser of the two.
        ends = [self.hazard(draw, np.full(len(lives), edge), lives)[life] for edge in edges[1:]]

        def of(ages: Floats) -> tuple[Floats, Floats]:
            total = self.hazard(draw, ages, life)
            reached = np.column_stack([*(np.minimum(total, end) for end in ends), total])
            return np.diff(reached, axis=1, prepend=0.0), total

        return of


def _shares(log_weight: Floats, nodes: Nodes) -> Floats:
    top = np.maximum.reduceat(log_weight, nodes.first)
    weight = np.exp(log_weight - np.where(np.isfinite(top), top, 0.0)[nodes.life])
    return np.asarray(weight / np.add.reduceat(weight, nodes.first)[nodes.life])


def _equal_stretches(lives: Watched) -> Floats:
    """Ages at which stretches begin, of about as many failures expected each.

    Not of as many seen: stretches that end where failures happen to lie are off by that alone.
    """
    nodes = lives.nodes
    failed = float(nodes.count[nodes.outcome != CENSORED].sum())
    number = int(np.clip(failed // PER_STRETCH, 1, MOST_STRETCHES))
    if number == 1:
        return np.zeros(1)
    grid = np.linspace(0.0, float(nodes.upper.max()), _GRID + 1)
    expected = np.zeros(_GRID)
    for draw in range(0, len(lives.chosen), max(1, len(lives.chosen) // _DRAWS_FOR_EDGES)):
        apart, seen, _ = lives.slopes(draw, grid[:-1], informed=False)
        expected += np.maximum(seen - apart, 0.0)
    so_far = np.concatenate([[0.0], np.cumsum(expected)])
    at = np.interp(np.arange(1, number) / number * so_far[-1], so_far, grid)
    return np.unique([0.0, *(float(f"{age:.2g}") for age in at)])


def accident_stretches(table: pd.DataFrame) -> Stretches | None:
    """Accidents seen, and those expected if they came at one rate at every age.

    Given how many there were in all, they fall as the time watched does. Ages are
    calendar years since fitting; lives whose fitting is known to less than
    `WIDE_START_YEARS` are left out.

    Parameters
    ----------
    table : DataFrame
        The lives.

    Returns
    -------
    Stretches or None
        None where there are too few accidents for two stretches of age.
    """
    entry, exit, outcome = calendar_ages(table)
    ended = outcome == "accident"
    total = int(ended.sum())
    number = int(min(total // PER_STRETCH, MOST_STRETCHES))
    if number < 2:
        return None
    grid = np.linspace(0.0, float(exit.max()), 201)
    so_far = np.array([(np.minimum(exit, age) - np.minimum(entry, age)).sum() for age in grid])
    at = np.interp(np.arange(1, number) / number * so_far[-1], so_far, grid)
    edges = np.unique([0.0, *(float(f"{age:.2g}") for age in at)])
    cut = [*np.interp(edges, grid, so_far), so_far[-1]]
    share = np.diff(cut) / so_far[-1]
    seen = np.histogram(exit[ended], [*edges, np.inf])[0].astype(np.float64)
    return Stretches(
        edges=np.append(edges, np.inf),
        seen=seen,
        expected=total * share,
        spread=total * (np.diag(share) - np.outer(share, share)),
        information=np.diag(total * share),
    )


def calendar_ages(table: pd.DataFrame) -> tuple[Floats, Floats, npt.NDArray[np.object_]]:
    """Years since fitting at entry and end, and how each ended, of lives of known age."""
    first, last = day_numbers(table["start_lo"]), day_numbers(table["start_hi"])
    known = last - first <= WIDE_START_YEARS * DAYS_PER_YEAR
    start = (first + last) / 2
    entry = np.fmax(day_numbers(table["seen_from"]), start) - start
    exit = (day_numbers(table["end_lo"]) + day_numbers(table["end_hi"])) / 2 - start
    outcome = table["outcome"].to_numpy(dtype=object)
    # What failed on its first day took some time all the same.
    ended = np.isin(outcome, ("failed", "accident"))
    exit = np.maximum(exit, entry + np.where(ended, HALF_DAY, 0.0))
    used = known & (exit > entry)
    return entry[used] / DAYS_PER_YEAR, exit[used] / DAYS_PER_YEAR, outcome[used]
