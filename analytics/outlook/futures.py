"""Simulated futures: what fails, what is renewed and when, over the coming seasons.

In each future the parameters are one draw of the posterior, the same draw for
every part; undated parts get a day of fitting; each part then fails when its
causes say, and is renewed when it fails or, at the lay-up lift, once it has
reached its limit. New parts age in the same way: what is known of a place or a
base stays with it, the lot of a new part is one that nobody has seen. A failure that shows only
ashore is found, and renewed, at the next lift.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from zlib import crc32

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.ageing.fit import Ageing, FleetAgeing
from analytics.ageing.likelihood import cumulative_hazard, early_cumulative_hazard
from analytics.ageing.posterior import Posterior
from analytics.lives import IN_SERVICE, Lives
from analytics.records.seasons import Season, SeasonRule
from analytics.usage import (
    DAYS_PER_YEAR,
    active_years,
    day_number,
    day_numbers,
    days_of_use,
)

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]
Progress = Callable[[str, int, int], None]

N_FUTURES = 2000
_CELLS_AT_ONCE = 1_000_000

NEVER = np.inf


@dataclass(frozen=True)
class Futures:
    """Counts of renewals in each future, season and kind of part.

    Attributes
    ----------
    seasons : tuple of Season
        In order; a count falls in the season year (see `seasons.Season`) of its day.
    items : DataFrame
        Columns `kind, part_no`: what the last axis of the counts stands for.
    planned, unplanned : ndarray of int, shape (n_futures, n_seasons, n_items)
        Renewals at a limit, and renewals because a part failed or an accident took it.
    """

    seasons: tuple[Season, ...]
    items: pd.DataFrame
    planned: npt.NDArray[np.int32]
    unplanned: npt.NDArray[np.int32]


def simulated_futures(
    lives: Lives,
    ageing: FleetAgeing,
    seasons: Sequence[Season],
    *,
    n_futures: int = N_FUTURES,
    seed: int = 0,
    progress: Progress | None = None,
) -> Futures:
    """Simulate the coming seasons for every part now in service.

    Parameters
    ----------
    seasons : sequence of Season
        Following each other, the first one ending after the last day watched.
    n_futures : int
        How many futures.
    seed : int
        Source of chance; each kind has a stream of its own.
    progress : callable, optional
        Called before each kind.

    Returns
    -------
    Futures
    """
    in_service = lives.in_service()
    items = (
        in_service[["kind", "part_no"]]
        .drop_duplicates()
        .sort_values(["kind", "part_no"], ignore_index=True)
    )
    number = {key: i for i, key in enumerate(items.itertuples(index=False, name=None))}
    shape = (n_futures, len(seasons), len(items))
    planned, unplanned = np.zeros(shape, dtype=np.int32), np.zeros(shape, dtype=np.int32)
    for done, ((name, group), fitted) in enumerate(ageing.items()):
        if progress:
            progress(f"simulating {name.replace('_', ' ')}", done, len(ageing))
        rows = fitted.table[fitted.table["outcome"] == IN_SERVICE]
        if rows.empty:
            continue
        item = np.array([number[key] for key in zip(rows["kind"], rows["part_no"], strict=True)])
        renewed_as = ageing.get((name, "all"), fitted).posterior
        stream = np.random.SeedSequence([seed, crc32(f"futures|{name}|{group}".encode())])
        step = max(1, _CELLS_AT_ONCE // len(rows))
        firsts = range(0, n_futures, step)
        for first, chunk_seed in zip(firsts, stream.spawn(len(firsts)), strict=True):
            draws = np.arange(first, min(first + step, n_futures)) % len(fitted.posterior)
            effects = (
                _effects(fitted.posterior, rows, draws, seed, renewed=False),
                _effects(renewed_as, rows, draws, seed, renewed=True),
            )
            run = _Run(
                lives, fitted, renewed_as, rows, draws, effects, np.random.default_rng(chunk_seed)
            )
            for at, season in enumerate(seasons):
                for counts, happened in zip((planned, unplanned), run.season(season), strict=True):
                    into = counts[first : first + len(draws), at]
                    for column in np.unique(item):
                        into[:, column] += happened[:, item == column].sum(axis=1)
    return Futures(tuple(seasons), items, planned, unplanned)


class _Run:
    """The parts of one kind in a block of futures, moved forward season by season.

    State, each of shape (n_futures, n_parts): the day each part was fitted and
    the day it fails. A part counts until its boat leaves.
    """

    def __init__(
        self,
        lives: Lives,
        fitted: Ageing,
        renewed_as: Posterior,
        rows: pd.DataFrame,
        draws: npt.NDArray[np.int64],
        effects: tuple[Floats, Floats],
        rng: np.random.Generator,
    ) -> None:
        self.kind, self.rng = fitted.kind, rng
        self.as_of = self.now = day_number(lives.as_of)
        self.clock = _Ahead(lives, fitted, rows, self.now)
        leaves = day_numbers(rows["leaves_on"])
        self.leaves = np.where(np.isnan(leaves), NEVER, leaves)
        self.old = _Draws(fitted.posterior, draws, effects[0])
        self.new = _Draws(renewed_as, draws, effects[1])
        self.fitted_on, sound, sound_years = _starts(fitted, self.old, rng)
        self.fails_on = self._first_failures(sound, sound_years)

    def season(self, season: Season) -> tuple[Bools | npt.NDArray[np.int32], npt.NDArray[np.int32]]:
        """Move to the end of a season; how often each part was renewed, planned and unplanned."""
        planned = np.zeros(self.fitted_on.shape, dtype=np.int32)
        unplanned = np.zeros(self.fitted_on.shape, dtype=np.int32)
        lift, end = day_number(season.lift_on), day_number(season.end) + 1
        # A season that follows the last without a gap has its lift on the day between them.
        if lift > self.as_of and lift >= self.now:
            self._failures_until(lift, unplanned, at_lift=True)
            due = self._past_limit(lift) & (lift < self.leaves)
            planned += due
            self._renew(due, np.full(self.fitted_on.shape, lift))
        self._failures_until(end, unplanned, at_lift=False)
        self.now = max(self.now, end)
        return planned, unplanned

    def _failures_until(self, day: float, unplanned: npt.NDArray[np.int32], at_lift: bool) -> None:
        if self.kind.found_ashore_only:
            if at_lift:
                found = (self.fails_on <= day) & (day < self.leaves)
                unplanned += found
                self._renew(found, np.full(self.fitted_on.shape, day))
            return
        while (failed := self.fails_on <= np.minimum(day, self.leaves)).any():
            unplanned += failed
            self._renew(failed, self.fails_on.copy())

    def _past_limit(self, day: float) -> Bools:
        due = np.zeros(self.fitted_on.shape, dtype=bool)
        years = (day - self.fitted_on) / DAYS_PER_YEAR
        if self.kind.limit_years is not None:
            due |= years >= self.kind.limit_years
        if self.kind.limit is not None:
            due |= self.clock.age(self.fitted_on, day) >= self.kind.limit
        return due

    def _first_failures(self, sound: Floats, sound_years: Floats) -> Floats:
        """Failure days of the parts in service, given that each was sound at age `sound`."""
        until = self.old.wear_age(sound, self.rng)
        worn = self.clock.day_at(self.fitted_on, until)
        early = self.clock.day_after(self.fitted_on, self.old.early_years(sound_years, self.rng))
        accident = self.now + DAYS_PER_YEAR * self.old.accident_years(
            self.fitted_on.shape, self.rng
        )
        return np.maximum(np.minimum(np.minimum(worn, early), accident), self.now)

    def _renew(self, which: Bools, day: Floats) -> None:
        if not which.any():
            return
        future, part = np.nonzero(which)
        self.fitted_on[which] = start = day[which]
        fresh = self.new.of_renewals(future, part)
        nothing = np.zeros(len(future))
        worn = self.clock.day_at_parts(start, fresh.wear_age(nothing, self.rng), part)
        early = self.clock.day_after_parts(start, fresh.early_years(nothing, self.rng), part)
        accident = start + DAYS_PER_YEAR * fresh.accident_years(nothing.shape, self.rng)
        # A renewal takes a day, so that no future stands still.
        self.fails_on[which] = np.maximum(
            np.minimum(np.minimum(worn, early), accident), start + 1.0
        )


class _Draws:
    """Failure ages from the causes of a kind, a draw of the parameters for each future.

    `effects` is what the groups of each part add to its log life, shape (n_futures,
    n_parts); with `flat`, one value per renewal, as everything else is then.
    """

    def __init__(
        self,
        posterior: Posterior,
        draws: npt.NDArray[np.int64],
        effects: Floats,
        flat: bool = False,
    ) -> None:
        self.posterior, self.draws, self.effects = posterior, draws % len(posterior), effects
        theta = posterior.parameters.part(self.draws)
        self.log_shape, log_scale, self.early = (
            values if flat else values[:, None]
            for values in (theta.log_shape, theta.log_scale, theta.early)
        )
        self.log_scale = log_scale + effects
        rate = posterior.accidents[self.draws]
        self.rate = rate if flat else rate[:, None]

    def of_renewals(self, future: npt.NDArray[np.int64], part: npt.NDArray[np.int64]) -> _Draws:
        """One value per renewal instead of one row per future."""
        return _Draws(self.posterior, self.draws[future], self.effects[future, part], flat=True)

    def wear_age(self, sound: Floats, rng: np.random.Generator) -> Floats:
        """Age at which a part wears out, given that it was sound at an age."""
        family = self.posterior.family
        reached = family.cumulative_hazard(sound, self.log_shape, self.log_scale)
        return family.age_at(
            reached + rng.standard_exponential(sound.shape), self.log_shape, self.log_scale
        )

    def early_years(self, sound_years: Floats, rng: np.random.Generator) -> Floats:
        """Years after fitting at which it fails early; never for most."""
        within = self.posterior.early_years
        reached = early_cumulative_hazard(sound_years, self.early, within)
        target = reached + rng.standard_exponential(sound_years.shape)
        early = np.broadcast_to(self.early, target.shape)
        share = -np.expm1(-target)
        years = np.full(target.shape, NEVER)
        some = share < early
        years[some] = within * share[some] / early[some]
        return years

    def accident_years(self, shape: tuple[int, ...], rng: np.random.Generator) -> Floats:
        """Years until the next accident."""
        waited = rng.standard_exponential(shape)
        rate = np.broadcast_to(self.rate, shape)
        return np.asarray(np.divide(waited, rate, out=np.full(shape, NEVER), where=rate > 0))


class _Ahead:
    """Turns ages on the kind's clock into days to come, part by part."""

    def __init__(self, lives: Lives, fitted: Ageing, rows: pd.DataFrame, now: float) -> None:
        self.by_hours = fitted.kind.clock == "hours"
        self.usage, self.now = lives.usage, now
        self.rule: SeasonRule = lives.usage.rule
        line = lives.usage.line_of(rows["boat"], rows["position"])
        self.line, self.afloat = line, lives.usage.afloat[line]
        self.rate = np.maximum(lives.usage.rate[line], 1e-6)
        self.hours_now = lives.usage.hours_at(line, np.full(len(line), now))
        self.active_now = self._active(np.full(len(line), now), np.arange(len(line)))

    def age(self, fitted_on: Floats, day: float) -> Floats:
        """Age on the clock, on one day to come, shape of `fitted_on`."""
        if not self.by_hours:
            return (day - fitted_on) / DAYS_PER_YEAR
        part = np.broadcast_to(np.arange(fitted_on.shape[1]), fitted_on.shape)
        then = self._hours(np.full(fitted_on.shape, day).ravel(), part.ravel())
        return (then - self._hours(fitted_on.ravel(), part.ravel())).reshape(fitted_on.shape)

    def day_at(self, fitted_on: Floats, age: Floats) -> Floats:
        """Day on which an age is reached, shape (n_futures, n_parts)."""
        part = np.broadcast_to(np.arange(fitted_on.shape[1]), fitted_on.shape)
        return self.day_at_parts(fitted_on.ravel(), age.ravel(), part.ravel()).reshape(age.shape)

    def day_at_parts(self, fitted_on: Floats, age: Floats, part: npt.NDArray[np.int64]) -> Floats:
        """Day on which an age is reached, one value per part named."""
        if not self.by_hours:
            return fitted_on + DAYS_PER_YEAR * age
        missing = self._hours(fitted_on, part) + age - self.hours_now[part]
        active = self.active_now[part] + missing / self.rate[part]
        # Beyond the grid of seasons nothing needs a day of its own.
        return self._day_of_use(np.minimum(active, self.active_now[part] + 200.0), part)

    def day_after(self, fitted_on: Floats, years: Floats) -> Floats:
        """Day on which so many years (of the calendar, or of use) are over, shape of both."""
        part = np.broadcast_to(np.arange(fitted_on.shape[1]), fitted_on.shape)
        flat = self.day_after_parts(fitted_on.ravel(), years.ravel(), part.ravel())
        return flat.reshape(years.shape)

    def day_after_parts(
        self, fitted_on: Floats, years: Floats, part: npt.NDArray[np.int64]
    ) -> Floats:
        """The same, one value per part named."""
        if not self.by_hours:
            return fitted_on + DAYS_PER_YEAR * years
        soon = np.isfinite(years)
        day = np.full(years.shape, NEVER)
        day[soon] = self._day_of_use(self._active(fitted_on, part)[soon] + years[soon], part[soon])
        return day

    def _day_of_use(self, active: Floats, part: npt.NDArray[np.int64]) -> Floats:
        return np.where(
            self.afloat[part],
            days_of_use(active, True, self.rule),
            days_of_use(active, False, self.rule),
        )

    def _hours(self, day: Floats, part: npt.NDArray[np.int64]) -> Floats:
        ahead = self.hours_now[part] + self.rate[part] * (
            self._active(day, part) - self.active_now[part]
        )
        past = day < self.now
        if past.any():
            ahead[past] = self.usage.hours_at(self.line[part[past]], day[past])
        return ahead

    def _active(self, day: Floats, part: npt.NDArray[np.int64]) -> Floats:
        return np.where(
            self.afloat[part],
            active_years(day, True, self.rule),
            active_years(day, False, self.rule),
        )


def _effects(
    posterior: Posterior,
    rows: pd.DataFrame,
    draws: npt.NDArray[np.int64],
    seed: int,
    *,
    renewed: bool,
) -> Floats:
    """What the groups of each part add to its log life in each future."""
    if posterior.factors is None:
        return np.zeros((len(draws), len(rows)))
    return posterior.factors.of(rows, seed, renewed=renewed)[draws % len(posterior)]


def _starts(
    fitted: Ageing, draws: _Draws, rng: np.random.Generator
) -> tuple[Floats, Floats, Floats]:
    """A day of fitting for each future and part, and the age last known sound, on both clocks.

    Undated parts get a node of their window with the chance that the records
    give it: p(s | alive) is proportional to w(s) S(c - s).
    """
    nodes, posterior = fitted.nodes, draws.posterior
    sizes = np.diff(np.append(nodes.first, len(nodes.life)))
    chosen = np.flatnonzero((fitted.table["outcome"] == IN_SERVICE).to_numpy())
    node = np.broadcast_to(nodes.first[chosen], (len(draws.draws), len(chosen))).copy()
    theta = posterior.parameters.part(draws.draws)
    for column, life in enumerate(chosen):
        if sizes[life] == 1:
            continue
        span = slice(nodes.first[life], nodes.first[life] + sizes[life])
        hazard = cumulative_hazard(
            posterior.family,
            theta,
            nodes.lower[span],
            nodes.lower_years[span],
            posterior.early_years,
            np.repeat(draws.effects[:, column, None], sizes[life], axis=1),
        )
        weight = nodes.weight[span] * np.exp(hazard.min(axis=1, keepdims=True) - hazard)
        total = np.cumsum(weight, axis=1)
        picked = (rng.random(len(total))[:, None] * total[:, -1:] > total).sum(axis=1)
        node[:, column] += np.minimum(picked, sizes[life] - 1)
    return nodes.start[node], nodes.lower[node], nodes.lower_years[node]
