"""When the simulated futures want a part that nobody ordered ahead: lead times and lifts.

A lead time is what a shelf must last for: a part taken from it is ordered again and comes
after so long. The demand over one is counted in windows that begin on the day after the last one
watched, with the season, and on the first of each month to the season's end. Those that begin in
the season are taken together, and those before it: few failures in winter must not thin out
those in summer.
Parts that only a lift shows to be worn are wanted at the lift and at no other time, so for them
the window is the next lay-up lift.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

import numpy as np
import numpy.typing as npt

from analytics.decisions.prices import PriceList
from analytics.decisions.stock_items import POOLED, Items
from analytics.lives import Lives
from analytics.outlook.futures import PLANNED, Futures
from analytics.records.seasons import Season
from analytics.usage import day_number

Floats = npt.NDArray[np.float64]
Counts = npt.NDArray[np.signedinteger[Any]]
Bools = npt.NDArray[np.bool_]

ASSUMED_LEAD_DAYS = 28.0
"""Stands in where prices.csv gives no lead time: seals from abroad take two to eight weeks at
the height of the season (common practice, no source)."""


@dataclass(frozen=True)
class Demand:
    """What the futures want of each item at each base.

    Attributes
    ----------
    items : Items
    lead : ndarray of int, shape (n_items,)
        Whole days from order to delivery.
    lead_assumed : ndarray of bool, shape (n_items,)
        Where `ASSUMED_LEAD_DAYS` stands in.
    at_lift : ndarray of bool, shape (n_items,)
        Items whose failures only a lift shows.
    windows : tuple of ndarray of int, each of shape (n_futures, n_items, n_bases)
        Unplanned renewals within a lead time from each of `window_starts`.
    before : int
        How many of the windows begin before the season.
    lift : ndarray of int, same shape
        Parts found worn, or lost to an accident, at the next lay-up lift.
    due : ndarray of int, same shape
        Planned renewals of the first season.
    unplanned : ndarray of int, same shape
        Every other renewal of the first season.
    in_season : ndarray of int, same shape
        Unplanned renewals afloat in what is left of the charter season.
    days_left : ndarray, same shape
        Days of the season left when the first of these happens; 0 where there is none.
    """

    items: Items
    lead: Counts
    lead_assumed: Bools
    at_lift: Bools
    windows: tuple[Counts, ...]
    before: int
    lift: Counts
    due: Counts
    unplanned: Counts
    in_season: Counts
    days_left: Floats

    def of(self, counted: Counts, item: int, base: str) -> Counts:
        """Counts of an item at a base, or at all of them together, shape (n_futures,)."""
        here = counted[:, item]
        if base != POOLED:
            return np.asarray(here[:, self.items.bases.index(base)], dtype=np.int64)
        # Bases are added up future by future, before anything is ranked.
        return np.asarray(here.sum(axis=1, dtype=np.int64))

    def on_shelf(self, item: int, base: str) -> list[Counts]:
        """What is wanted of the shelf, one number for each window and future.

        Windows of the season, then those before it where there are some; the shelf must suffice
        for either.
        """
        if self.at_lift[item]:
            return [self.of(self.lift, item, base)]
        wanted = [self.of(one, item, base) for one in self.windows]
        spans = wanted[self.before :], wanted[: self.before]
        return [np.concatenate(span) for span in spans if span]

    def with_due(self, item: int, base: str) -> list[Counts]:
        """The same with what is due at the first lift, for the same future."""
        due = self.of(self.due, item, base)
        return [span + np.tile(due, len(span) // len(due)) for span in self.on_shelf(item, base)]

    def days_waited(self, item: int, base: str) -> float:
        """Mean days that the first boat of the season waits for an item that is not in store."""
        left = self.days_left[:, item]
        first = left.max(axis=1) if base == POOLED else left[:, self.items.bases.index(base)]
        return float(np.minimum(first, self.lead[item]).mean())


def demand_of(lives: Lives, futures: Futures, items: Items, prices: PriceList) -> Demand:
    """Count what the futures want.

    Parameters
    ----------
    futures : Futures
        Of two seasons or more: a lead time that begins in the last month of a season
        reaches into the next.

    Raises
    ------
    ValueError
        If one season alone was simulated.
    """
    if len(futures.seasons) < 2:
        raise ValueError("one season was simulated; lead times need the one after it too")
    settings, as_of, first = lives.settings, lives.as_of, futures.seasons[0]
    given = np.array(
        [prices.of(kind, no).lead_time_days for kind, no, _ in items.keys], dtype=float
    )
    unknown = np.isnan(given)
    lead = np.ceil(np.where(unknown, ASSUMED_LEAD_DAYS, given)).astype(np.int64)
    ashore = np.array(
        [settings.kind(kind).found_ashore_only for kind in items.table["kind"]], dtype=bool
    )
    starts = window_starts(first, as_of)
    watched_from, end = int(day_number(starts[0])), int(day_number(first.end))
    item, day = items.item[futures.part], futures.day
    planned = futures.how == PLANNED
    reach = end + int(lead.max(initial=0))
    afloat = np.flatnonzero((day >= watched_from) & (day <= reach) & ~planned & ~ashore[item])
    begin = max(watched_from, int(day_number(first.start)))
    now = afloat[(day[afloat] >= begin) & (day[afloat] <= end)]
    _, next_lift, _ = needed_on(futures.seasons, as_of)
    at_lift = ~planned & ashore[item] & (day == int(day_number(next_lift)))
    this_year = futures.season == 0
    return Demand(
        items=items,
        lead=lead,
        lead_assumed=unknown,
        at_lift=ashore,
        windows=tuple(
            counted_by_item(futures, items, _within(futures, items, afloat, start, lead))
            for start in starts
        ),
        before=sum(start < first.start for start in starts),
        lift=counted_by_item(futures, items, np.flatnonzero(at_lift)),
        due=counted_by_item(futures, items, np.flatnonzero(planned & this_year)),
        unplanned=counted_by_item(futures, items, np.flatnonzero(~planned & this_year)),
        in_season=counted_by_item(futures, items, now),
        days_left=_days_left(futures, items, now, end),
    )


def window_starts(season: Season, as_of: date) -> list[date]:
    """Days on which a lead time is taken to begin: tomorrow, and the first of each month.

    From the day after the last one watched to the season's end, and the season's first day:
    parts fail before the season too, and are wanted then.
    """
    first = as_of + timedelta(days=1)
    starts = {first, max(first, season.start)}
    year, month = first.year, first.month
    while True:
        year, month = (year + 1, 1) if month == 12 else (year, month + 1)
        begin = date(year, month, 1)
        if begin > season.end:
            return sorted(starts)
        starts.add(begin)


def needed_on(seasons: Sequence[Season], as_of: date) -> tuple[date | None, date, date]:
    """Days by which parts must be there.

    Returns
    -------
    lift : date or None
        Of the first season; None where it is past and the season has begun.
    next_lift : date
        The next one ahead, of whichever season.
    begin : date
        When the season begins, or the last day watched where it has begun.
    """
    first = seasons[0]
    ahead = [lift for season in seasons if (lift := season.lift_after(as_of))]
    return first.lift_after(as_of), min(ahead, default=first.end), max(first.start, as_of)


def _within(
    futures: Futures, items: Items, chosen: npt.NDArray[np.int64], start: date, lead: Counts
) -> npt.NDArray[np.int64]:
    """Those of the renewals chosen that fall within their item's lead time from a day on."""
    since = futures.day[chosen] - int(day_number(start))
    return chosen[(since >= 0) & (since < lead[items.item[futures.part[chosen]]])]


def _shape(futures: Futures, items: Items) -> tuple[int, int, int]:
    return futures.n_futures, len(items), len(items.bases)


def _cells(futures: Futures, items: Items, chosen: npt.NDArray[np.int64]) -> Counts:
    """Number of the future, item and base of each renewal chosen, the base running fastest."""
    part = futures.part[chosen]
    n_cells = len(items) * len(items.bases)
    return futures.future[chosen].astype(np.int64) * n_cells + items.cell()[part]


def counted_by_item(futures: Futures, items: Items, chosen: npt.NDArray[np.int64]) -> Counts:
    """Renewals by future, item and base, of those chosen."""
    shape = _shape(futures, items)
    counted = np.bincount(_cells(futures, items, chosen), minlength=int(np.prod(shape)))
    # Windows by the dozen are kept at once: nobody wants 32,000 of one part in one of them.
    return np.minimum(counted, 32_767).astype(np.int16).reshape(shape)


def _days_left(futures: Futures, items: Items, chosen: npt.NDArray[np.int64], end: int) -> Floats:
    """Days from the first of these renewals to the end, both counted in, by future and cell."""
    shape = _shape(futures, items)
    left = np.zeros(int(np.prod(shape)), dtype=np.float64)
    np.maximum.at(left, _cells(futures, items, chosen), end + 1.0 - futures.day[chosen])
    return left.reshape(shape)
