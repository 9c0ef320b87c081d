"""Simulated futures: what fails, what is renewed and when, over the coming seasons.

In each future the parameters are one draw of the posterior, the same draw for
every part; undated parts get a day of fitting; each part then fails when its
causes say, and is renewed when it fails or, at the lay-up lift, once it has
reached its limit. New parts age in the same way: what is known of a place or a
base stays with it, the lot of a new part is one that nobody has seen. A failure that shows only
ashore is found, and renewed, at the next lift. Each future draws how many hours each
boat has run and will run, against what is expected of her and given that her part has
lasted; the spread is that of the first season, and her hours stay so for all of them.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from zlib import crc32

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.ageing.fit import Ageing, FleetAgeing
from analytics.ageing.hours_in_doubt import HoursInDoubt
from analytics.ageing.posterior import Posterior
from analytics.ageing.wear.fleet_wear import FleetOwnLives
from analytics.ageing.wear.own_lives import OwnCurves, OwnLives
from analytics.lives import IN_SERVICE, Lives
from analytics.outlook.chances import ages_ahead
from analytics.outlook.clock_ahead import ClockAhead
from analytics.outlook.failure_ages import NEVER, FailureAges, starts_of
from analytics.records.seasons import Season
from analytics.usage import DAYS_PER_YEAR, day_number, day_numbers

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]
Progress = Callable[[str, int, int], None]

N_FUTURES = 2000
_CELLS_AT_ONCE = 1_000_000


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
    own: FleetOwnLives | None = None,
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
    own : mapping, optional
        From `fleet_own_lives`: parts that their own readings move.

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
        moved = (own or {}).get((name, group))
        in_doubt = _hours_in_doubt(lives, fitted, seasons[0], seed, moved)
        step = max(1, _CELLS_AT_ONCE // len(rows))
        firsts = range(0, n_futures, step)
        for first, chunk_seed in zip(firsts, stream.spawn(len(firsts)), strict=True):
            draws = np.arange(first, min(first + step, n_futures)) % len(fitted.posterior)
            effects = (
                _effects(fitted.posterior, rows, draws, seed, renewed=False),
                _effects(renewed_as, rows, draws, seed, renewed=True),
            )
            doubt = None if in_doubt is None else in_doubt.of_draws(draws % len(fitted.posterior))
            curves = moved.part(draws) if moved else None
            rng = np.random.default_rng(chunk_seed)
            run = _Run(lives, fitted, renewed_as, rows, draws, effects, curves, doubt, rng)
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
        own: OwnCurves | None,
        doubt: HoursInDoubt | None,
        rng: np.random.Generator,
    ) -> None:
        self.kind, self.rng = fitted.kind, rng
        self.as_of = self.now = day_number(lives.as_of)
        self.clock = ClockAhead(lives, fitted, rows, self.now, doubt)
        leaves = day_numbers(rows["leaves_on"])
        self.leaves = np.where(np.isnan(leaves), NEVER, leaves)
        self.old = FailureAges(fitted.posterior, draws, effects[0])
        self.new = FailureAges(renewed_as, draws, effects[1])
        run = None if doubt is None else doubt.run
        self.fitted_on, sound, sound_years, node = starts_of(fitted, self.old, own, rng, run)
        self.fails_on = self._first_failures(sound, sound_years, own, node)

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

    def _first_failures(
        self, sound: Floats, sound_years: Floats, own: OwnCurves | None, node: npt.NDArray[np.int64]
    ) -> Floats:
        """Failure days of the parts in service, given that each was sound at age `sound`."""
        until = self.old.wear_age(self.clock.run_so_far(sound), self.rng)
        worn = self.clock.first_day_at(self.fitted_on, until)
        if own is not None:
            read = own.worn_at(node, sound, self.rng.standard_exponential(sound.shape))
            by_reading = self.clock.first_day_at(self.fitted_on, self.clock.run_so_far(read))
            worn = np.where(np.isnan(read), worn, by_reading)
        shape, place = self.fitted_on.shape, np.arange(self.fitted_on.size)
        years = self.old.early_years(sound_years, self.rng)
        early = self.clock.day_after(self.fitted_on.ravel(), years.ravel(), place).reshape(shape)
        accident = self.now + DAYS_PER_YEAR * self.old.accident_years(shape, self.rng)
        return np.maximum(np.minimum(np.minimum(worn, early), accident), self.now)

    def _renew(self, which: Bools, day: Floats) -> None:
        if not which.any():
            return
        future, part = np.nonzero(which)
        self.fitted_on[which] = start = day[which]
        fresh = self.new.of_renewals(future, part)
        nothing = np.zeros(len(future))
        place = future * which.shape[1] + part
        worn = self.clock.day_at(start, fresh.wear_age(nothing, self.rng), place)
        early = self.clock.day_after(start, fresh.early_years(nothing, self.rng), place)
        accident = start + DAYS_PER_YEAR * fresh.accident_years(nothing.shape, self.rng)
        # A renewal takes a day, so that no future stands still.
        self.fails_on[which] = np.maximum(
            np.minimum(np.minimum(worn, early), accident), start + 1.0
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


def _hours_in_doubt(
    lives: Lives, fitted: Ageing, first: Season, seed: int, own: OwnLives | None
) -> HoursInDoubt | None:
    """Factors on the hours of each part, those that the risk of the first season is taken with."""
    if fitted.kind.clock != "hours":
        return None
    begin = max(day_number(first.start), day_number(lives.as_of))
    return ages_ahead(lives, fitted, begin, day_number(first.end) + 1, seed, own).doubt
