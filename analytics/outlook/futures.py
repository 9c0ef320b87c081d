"""Simulated futures: what fails, what is renewed and when, over the coming seasons.

In each future the parameters are one draw of the posterior, the same draw for
every part; undated parts get a day of fitting, one for each draw; each part then fails when its
causes say, and is renewed when it fails or, at the lay-up lift, once it has
reached its limit. New parts age in the same way: what is known of a place or a
base stays with it, the lot of a new part is one that nobody has seen. A failure that shows only
ashore is found, and renewed, at the next lift. Each future draws how many hours each
boat has run and will run, against what is expected of her and given that her part has
lasted; the spread is that of the first season, and her hours stay so for all of them.

Every place has chance of its own (see `place_chance`), and accidents befall a place whatever
is fitted there: the same futures can be looked at under another policy.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import cached_property
from itertools import islice
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.ageing.fit import FleetAgeing
from analytics.ageing.wear.fleet_wear import FleetOwnLives
from analytics.lives import IN_SERVICE, Lives
from analytics.outlook.clock_ahead import CalendarAhead
from analytics.outlook.places_ahead import Asked, SomePlaces, some_places
from analytics.outlook.policy import Policy, limits_as_set
from analytics.outlook.renewals import ACCIDENT, FAILED, PLANNED, WORN, Renewals
from analytics.records.seasons import Season
from analytics.usage import day_number

__all__ = ["ACCIDENT", "FAILED", "HOW", "PLANNED", "WORN", "Futures", "simulated_futures"]

Bools = npt.NDArray[np.bool_]
Counts = npt.NDArray[np.int32]
Progress = Callable[[str, int, int], None]

N_FUTURES = 2000

HOW = ("planned", "failed", "found worn", "accident")
"""Words for `PLANNED`, `FAILED`, `WORN` and `ACCIDENT`."""

PARTS_COLUMNS = ["boat", "position", "kind", "group", "part_no", "size", "base", "source"]

_AT_ONCE = 1 << 20
"""Renewals counted in one go."""

_WORKERS = 2


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
        Future f has draw f % n_draws of the posterior: futures of one draw have the same curves,
        days of fitting and hours run, and differ by luck alone.
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
        if not len(self.day):
            return np.empty(0, dtype=np.int16)
        first = int(self.day.min())
        ends = [day_number(season.end) for season in self.seasons[:-1]]
        of_day = np.searchsorted(ends, np.arange(first, int(self.day.max()) + 1)).astype(np.int16)
        return of_day[self.day - first]

    @cached_property
    def items(self) -> pd.DataFrame:
        """Columns `kind, part_no`: what the last axis of `planned` and `unplanned` stands for."""
        items = self.parts[["kind", "part_no"]].drop_duplicates()
        return items.sort_values(["kind", "part_no"], ignore_index=True)

    @cached_property
    def item(self) -> npt.NDArray[np.int64]:
        """Which of `items` each part is, shape (n_parts,)."""
        number = {key: i for i, key in enumerate(self.items.itertuples(index=False, name=None))}
        keys = zip(self.parts["kind"], self.parts["part_no"], strict=True)
        return np.array([number[key] for key in keys], dtype=np.int64)

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
        found = np.zeros(int(np.prod(shape)), dtype=np.int32)
        for begin in range(0, len(self.day), _AT_ONCE):
            some = slice(begin, begin + _AT_ONCE)
            these = np.flatnonzero(chosen[some]) + begin
            at = np.ravel_multi_index(
                (self.future[these], self.season[these], group[self.part[these]]), shape
            )
            np.add.at(found, at, 1)
        return found.reshape(shape)

    def _by_item(self, chosen: Bools) -> Counts:
        return self.counts(self.item, len(self.items), chosen)


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
        Source of chance; each place has a stream of its own.
    progress : callable, optional
        Called before each lot of places of a kind; what it raises ends the simulation.
    own : mapping, optional
        From `fleet_own_lives`: parts that their own readings move.
    policy : mapping, optional
        When sound parts are renewed; the limits as set where it is silent.

    Returns
    -------
    Futures
    """
    parts: list[pd.DataFrame] = []
    work: list[SomePlaces] = []
    before, n_draws = 0, 1
    for (name, group), fitted in ageing.items():
        rows = fitted.table[fitted.table["outcome"] == IN_SERVICE]
        if rows.empty:
            continue
        parts.append(rows.assign(group=group)[PARTS_COLUMNS])
        n_draws = len(fitted.posterior)
        limits = (policy or {}).get((name, group)) or limits_as_set(fitted.kind, len(rows))
        renewed_as = ageing.get((name, "all"), fitted).posterior
        moved = (own or {}).get((name, group))
        work += some_places(lives, fitted, renewed_as, moved, limits, before)
        before += len(rows)
    asked = Asked(lives, seasons[0], CalendarAhead(lives, seasons), n_futures, seed)
    found = [one for some in _worked_out(work, asked, progress) for one in some]
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


def _worked_out(
    work: list[SomePlaces], asked: Asked, progress: Progress | None
) -> Iterator[list[Renewals]]:
    """The renewals of each lot of places, in their order, two lots at a time."""
    with ThreadPoolExecutor(_WORKERS) as pool:
        # One more than are worked on, so that no worker waits.
        coming = iter(work)
        waiting = [pool.submit(_renewals, some, asked) for some in islice(coming, _WORKERS + 1)]
        try:
            done, total = 0, sum(some.told for some in work)
            for some in work:
                if progress and some.told:
                    name = some.fitted.kind.name.replace("_", " ")
                    progress(f"simulating {name}", done, total)
                    done += 1
                yield waiting.pop(0).result()
                waiting += [pool.submit(_renewals, one, asked) for one in islice(coming, 1)]
        finally:
            for left in waiting:
                left.cancel()


def _renewals(some: SomePlaces, asked: Asked) -> list[Renewals]:
    with np.errstate(divide="ignore", over="ignore", invalid="ignore"):
        return [one for one in some.places(asked).renewals() if len(one.day)]


def _joined(pieces: list[npt.NDArray[Any]], dtype: type[Any]) -> npt.NDArray[Any]:
    return np.concatenate(pieces) if pieces else np.empty(0, dtype=dtype)
