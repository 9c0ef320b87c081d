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
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any
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
from analytics.outlook.policy import PartLimits, Policy, limits_as_set
from analytics.records.seasons import Season
from analytics.usage import DAYS_PER_YEAR, day_number, day_numbers

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]
Counts = npt.NDArray[np.int32]
Progress = Callable[[str, int, int], None]

N_FUTURES = 2000
_CELLS_AT_ONCE = 1_000_000


PLANNED, FAILED, WORN, ACCIDENT = range(4)
"""How a part comes to be renewed: at a limit, on failing, on being found worn at a lift, or
because an accident took it. All but the first are unplanned."""

HOW = ("planned", "failed", "found worn", "accident")

PARTS_COLUMNS = ["boat", "position", "kind", "group", "part_no", "size", "base", "source"]


@dataclass(frozen=True)
class Futures:
    """Every renewal of every part in each simulated future.

    Attributes
    ----------
    seasons : tuple of Season
        In order; a renewal falls in the season year (see `seasons.Season`) of its day.
    parts : DataFrame, index 0 to n_parts - 1
        `PARTS_COLUMNS`: the places whose parts are in service on the last day watched.
    n_futures, n_draws : int
        Future f has draw f % n_draws of the posterior: futures of one draw differ by luck alone.
    future, part : ndarray of int32, shape (n_renewals,)
        In which future, and in which place.
    day : ndarray of int32, shape (n_renewals,)
        Days since 1970-01-01; for what only a lift shows, the day of the lift.
    how : ndarray of int8, shape (n_renewals,)
        `PLANNED`, `FAILED`, `WORN` or `ACCIDENT`.
    """

    seasons: tuple[Season, ...]
    parts: pd.DataFrame
    n_futures: int
    n_draws: int
    future: npt.NDArray[np.int32]
    part: npt.NDArray[np.int32]
    day: npt.NDArray[np.int32]
    how: npt.NDArray[np.int8]

    @cached_property
    def season(self) -> npt.NDArray[np.int16]:
        """Which of the seasons each renewal falls in."""
        ends = [day_number(season.end) for season in self.seasons[:-1]]
        return np.searchsorted(ends, self.day).astype(np.int16)

    @cached_property
    def items(self) -> pd.DataFrame:
        """Columns `kind, part_no`: what the last axis of `planned` and `unplanned` stands for."""
        items = self.parts[["kind", "part_no"]].drop_duplicates()
        return items.sort_values(["kind", "part_no"], ignore_index=True)

    @cached_property
    def planned(self) -> npt.NDArray[np.int32]:
        """Renewals at a limit, shape (n_futures, n_seasons, n_items)."""
        return self._by_item(self.how == PLANNED)

    @cached_property
    def unplanned(self) -> npt.NDArray[np.int32]:
        """Every other renewal, shape (n_futures, n_seasons, n_items)."""
        return self._by_item(self.how != PLANNED)

    def counts(self, group: npt.NDArray[np.int64], n_groups: int, chosen: Bools) -> Counts:
        """Count renewals by future and season, and by a group of parts.

        Parameters
        ----------
        group : ndarray of int, shape (n_parts,)
            Group of each part.
        chosen : ndarray of bool, shape (n_renewals,)
            Which renewals count.

        Returns
        -------
        ndarray of int32, shape (n_futures, n_seasons, n_groups)
        """
        shape = self.n_futures, len(self.seasons), n_groups
        at = np.ravel_multi_index(
            (self.future[chosen], self.season[chosen], group[self.part[chosen]]), shape
        )
        return np.bincount(at, minlength=int(np.prod(shape))).reshape(shape).astype(np.int32)

    def _by_item(self, chosen: Bools) -> Counts:
        number = {key: i for i, key in enumerate(self.items.itertuples(index=False, name=None))}
        keys = zip(self.parts["kind"], self.parts["part_no"], strict=True)
        item = np.array([number[key] for key in keys], dtype=np.int64)
        return self.counts(item, len(number), chosen)


def simulated_futures(
    lives: Lives,
    ageing: FleetAgeing,
    seasons: Sequence[Season],
    *,
    n_futures: int = N_FUTURES,
    seed: int = 0,
    progress: Progress | None = None,
    own: FleetOwnLives | None = None,
    policy: Policy | None = None,
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
    policy : mapping, optional
        When sound parts are renewed; the limits as set where it is silent.

    Returns
    -------
    Futures
    """
    parts: list[pd.DataFrame] = []
    found: list[_Renewals] = []
    n_draws = 1
    for done, ((name, group), fitted) in enumerate(ageing.items()):
        if progress:
            progress(f"simulating {name.replace('_', ' ')}", done, len(ageing))
        rows = fitted.table[fitted.table["outcome"] == IN_SERVICE]
        if rows.empty:
            continue
        before = sum(map(len, parts))
        parts.append(rows.assign(group=group)[PARTS_COLUMNS])
        n_draws = len(fitted.posterior)
        limits = (policy or {}).get((name, group)) or limits_as_set(fitted.kind, len(rows))
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
            run = _Run(lives, fitted, renewed_as, rows, draws, effects, curves, doubt, rng, limits)
            for season in seasons:
                run.season(season)
            found += [one.moved(first, before) for one in run.renewals]
    return Futures(
        seasons=tuple(seasons),
        parts=pd.concat(parts, ignore_index=True) if parts else pd.DataFrame(columns=PARTS_COLUMNS),
        n_futures=n_futures,
        n_draws=n_draws,
        future=_joined([one.future for one in found], np.int32),
        part=_joined([one.part for one in found], np.int32),
        day=_joined([one.day for one in found], np.int32),
        how=_joined([one.how for one in found], np.int8),
    )


def _joined(pieces: list[npt.NDArray[Any]], dtype: type[Any]) -> npt.NDArray[Any]:
    return np.concatenate(pieces).astype(dtype) if pieces else np.empty(0, dtype=dtype)


@dataclass(frozen=True)
class _Renewals:
    """Some renewals of one kind in a block of futures."""

    future: npt.NDArray[np.int64]
    part: npt.NDArray[np.int64]
    day: Floats
    how: npt.NDArray[np.int8]

    def moved(self, first_future: int, first_part: int) -> _Renewals:
        return replace(self, future=self.future + first_future, part=self.part + first_part)


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
        limits: PartLimits,
    ) -> None:
        self.kind, self.rng, self.limits = fitted.kind, rng, limits
        self.renewals: list[_Renewals] = []
        self.as_of = self.now = day_number(lives.as_of)
        self.clock = ClockAhead(lives, fitted, rows, self.now, doubt)
        leaves = day_numbers(rows["leaves_on"])
        self.leaves = np.where(np.isnan(leaves), NEVER, leaves)
        self.old = FailureAges(fitted.posterior, draws, effects[0])
        self.new = FailureAges(renewed_as, draws, effects[1])
        run = None if doubt is None else doubt.run
        self.fitted_on, sound, sound_years, node = starts_of(fitted, self.old, own, rng, run)
        self.fails_on = self._first_failures(sound, sound_years, own, node)

    def season(self, season: Season) -> None:
        """Move to the end of a season, noting every renewal."""
        lift, end = day_number(season.lift_on), day_number(season.end) + 1
        # A season that follows the last without a gap has its lift on the day between them.
        if lift > self.as_of and lift >= self.now:
            self._failures_until(lift, at_lift=True)
            due = self._past_limit(lift) & (lift < self.leaves)
            self._note(due, np.full(self.fitted_on.shape, lift), planned=True)
            self._renew(due, np.full(self.fitted_on.shape, lift))
        self._failures_until(end, at_lift=False)
        self.now = max(self.now, end)

    def _failures_until(self, day: float, *, at_lift: bool) -> None:
        if self.kind.found_ashore_only:
            if at_lift:
                found = (self.fails_on <= day) & (day < self.leaves)
                self._note(found, np.full(self.fitted_on.shape, day))
                self._renew(found, np.full(self.fitted_on.shape, day))
            return
        while (failed := self.fails_on <= np.minimum(day, self.leaves)).any():
            self._note(failed, self.fails_on)
            self._renew(failed, self.fails_on.copy())

    def _note(self, which: Bools, day: Floats, *, planned: bool = False) -> None:
        future, part = np.nonzero(which)
        usual = WORN if self.kind.found_ashore_only else FAILED
        how = np.where(self.by_accident[which], ACCIDENT, usual)
        how = np.full(len(future), PLANNED) if planned else how
        self.renewals.append(_Renewals(future, part, np.floor(day[which]), how.astype(np.int8)))

    def _past_limit(self, day: float) -> Bools:
        due = np.zeros(self.fitted_on.shape, dtype=bool)
        years = (day - self.fitted_on) / DAYS_PER_YEAR
        due |= years >= self.limits.years
        if np.isfinite(self.limits.age).any():
            due |= self.clock.age(self.fitted_on, day) >= self.limits.age
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
        self.by_accident = accident <= np.minimum(worn, early)
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
        self.by_accident[which] = accident <= np.minimum(worn, early)
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
