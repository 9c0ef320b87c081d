"""Years in store: when what lies there expires, when it is used, and how much more to buy.

What is in store is used first in, first out: each renewal takes the part that expires first
among those still good. Storage life says nothing of how long a part lasts once it is fitted.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from math import ceil, inf, isnan

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.decisions.prices import PriceList
from analytics.decisions.stock_items import POOLED, Items
from analytics.outlook.futures import Futures
from analytics.records.settings import FILE as SETTINGS_FILE
from analytics.records.settings import Settings
from analytics.records.tables import PRICES
from analytics.usage import DAYS_PER_YEAR, day_number

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]

ALL_NUMBERS = "all"
"""Stands for every part number of a kind in the table of storage lives."""

STORAGE_COLUMNS = ["kind", "part_no", "years", "longer", "said_by"]

LAST_DAY = date(9999, 1, 1)
"""Expiry of what keeps without end."""

MOST_SEASONS = 12
"""Seasons simulated at most: what is good for longer is not followed to its end."""


@dataclass(frozen=True)
class StorageLife:
    """How long a part may lie in store before it is fitted.

    Attributes
    ----------
    years : float
        Infinite where nobody gives a limit.
    longer : float
        Years more that an inspection may grant; they are never counted on.
    said_by : str
        Whose number it is.
    """

    years: float
    longer: float
    said_by: str

    def expires_on(self, made_on: date) -> date:
        """Last day on which a part made on a day may be fitted."""
        if self.years == inf:
            return LAST_DAY
        days = int(self.years * DAYS_PER_YEAR)
        return min(made_on + timedelta(days=min(days, 2_000_000)), LAST_DAY)


def storage_life(settings: Settings, prices: PriceList, kind: str, part_no: str) -> StorageLife:
    """Storage life of a part: that of the price list, else that of its kind."""
    listed, of_kind = prices.of(kind, part_no).shelf_life_years, settings.kind(kind)
    if not isnan(listed):
        return StorageLife(listed, 0.0, PRICES.file)
    if of_kind.storage_years is None:
        return StorageLife(inf, 0.0, f"no limit in {PRICES.file} or {SETTINGS_FILE}")
    return StorageLife(of_kind.storage_years, of_kind.storage_longer, of_kind.storage_from)


def storage_table(settings: Settings, prices: PriceList, items: Items) -> pd.DataFrame:
    """Storage life of every item in service, `STORAGE_COLUMNS`; NaN years where there is no limit.

    One line for a kind whose part numbers all keep equally long.
    """
    by_kind: dict[str, dict[str, StorageLife]] = {}
    for kind, part_no, _ in items.keys:
        life = storage_life(settings, prices, kind, part_no)
        by_kind.setdefault(kind, {})[part_no] = life
    rows = []
    for kind, lives in by_kind.items():
        alike = len(set(lives.values())) == 1
        for part_no, life in list(lives.items())[: 1 if alike else None]:
            years = life.years if life.years < inf else float("nan")
            number = ALL_NUMBERS if alike else part_no
            rows.append(dict(zip(STORAGE_COLUMNS, (kind, number, years, life.longer, life.said_by),
                                 strict=True)))  # fmt: skip
    return pd.DataFrame(rows, columns=STORAGE_COLUMNS)


def seasons_to_follow(
    settings: Settings, prices: PriceList, parts: Iterable[tuple[str, str]]
) -> int:
    """Seasons to simulate so that what is bought now is followed until it expires.

    Enough for every lead time that begins in the first season, too; `MOST_SEASONS` at most.

    Parameters
    ----------
    parts : iterable of (kind, part number)
        Those in service.
    """
    named = list(parts)
    keeps = [storage_life(settings, prices, kind, part_no).years for kind, part_no in named]
    leads = [prices.of(kind, part_no).lead_time_days / 365 for kind, part_no in named]
    longest = max((years for years in [*keeps, *leads] if years < inf), default=0.0)
    return int(min(max(2, ceil(longest) + 1), MOST_SEASONS))


class Uses:
    """The days on which the simulated futures want an item, at a base or anywhere.

    Parameters
    ----------
    futures : Futures
    items : Items
    """

    def __init__(self, futures: Futures, items: Items) -> None:
        self._items, self.n_futures = items, futures.n_futures
        self.until = int(day_number(futures.seasons[-1].end))
        self._first = int(futures.day.min(initial=self.until))
        self._days = int(futures.day.max(initial=self._first)) - self._first + 1
        # Item, future, day and base as figures of one number: sorted in place, many millions of
        # renewals take seconds and no second copy.
        key = items.item[futures.part] * self.n_futures
        key += futures.future
        key *= self._days
        key += futures.day - self._first
        key *= len(items.bases)
        key += items.base[futures.part]
        key.sort()
        self._keys = key
        per_item = self.n_futures * self._days * len(items.bases)
        self._ends = np.searchsorted(key, np.arange(len(items) + 1) * per_item)

    def of(self, item: int, base: str) -> Floats:
        """Days of the renewals of an item in order, infinite after the last one of each future.

        Returns
        -------
        ndarray, shape (n_futures, most renewals in any future)
        """
        when, at = np.divmod(self._keys[self._ends[item] : self._ends[item + 1]],
                             len(self._items.bases))  # fmt: skip
        if base != POOLED:
            when = when[at == self._items.bases.index(base)]
        future, day = np.divmod(when, self._days)
        future -= item * self.n_futures
        numbers = np.bincount(future, minlength=self.n_futures)
        days = np.full((self.n_futures, int(numbers.max(initial=0))), np.inf)
        begins = np.concatenate(([0], np.cumsum(numbers)[:-1]))
        days[future, np.arange(len(future)) - begins[future]] = day + self._first
        return days


@dataclass(frozen=True)
class Used:
    """What becomes of parts in store, in the order in which they expire.

    Attributes
    ----------
    on : ndarray, shape (n_futures, n_units)
        The day each is fitted; infinite where it is not, by the end of what was simulated.
    expired : ndarray of bool, shape (n_futures, n_units)
        Whether it expires before anybody wants it.
    """

    on: Floats
    expired: Bools

    def up_by(self, chance: float) -> float:
        """Day by which all of it is used, in this share of the futures.

        Infinite where in too many of them some expires, or is still there on the last day
        simulated.
        """
        if not self.on.shape[1]:
            return float("nan")
        return float(np.quantile(self.on.max(axis=1), chance, method="inverted_cdf"))


def used_up(days: Floats, expiries: Sequence[float], until: float) -> Used:
    """Take parts from the store as they are wanted, the first to expire first.

    Parameters
    ----------
    days : ndarray, shape (n_futures, n)
        When an item is wanted, from `Uses.of`.
    expiries : sequence of float
        Last day on which each part may be fitted, in ascending order.
    until : float
        Last day simulated: what expires later and is not used by then counts as neither.
    """
    n_futures = len(days)
    padded = np.concatenate([days, np.full((n_futures, 1), np.inf)], axis=1)
    next_wanted = np.zeros(n_futures, dtype=np.int64)
    on = np.full((n_futures, len(expiries)), np.inf)
    rows = np.arange(n_futures)
    for unit, expiry in enumerate(expiries):
        day = padded[rows, next_wanted]
        taken = day <= expiry
        on[taken, unit] = day[taken]
        next_wanted += taken
    ends = np.asarray(expiries, dtype=np.float64)
    return Used(on, np.isinf(on) & (ends <= until)[None, :])


def most_to_buy(days: Floats, used: Used, arrives: float, expires: float) -> int:
    """How many new parts, all made on arrival, the median future still uses before they expire.

    Parameters
    ----------
    days : ndarray, shape (n_futures, n)
        When the item is wanted.
    used : Used
        What lies in store already, and is used first.
    arrives, expires : float
        From which day the new parts are there, and on which they are good for the last time.
    """
    wanted = ((days >= arrives) & (days <= expires)).sum(axis=1)
    from_store = ((used.on >= arrives) & (used.on <= expires)).sum(axis=1)
    left = np.sort(wanted - from_store)[::-1]
    # Half the futures or more use at least so many.
    return int(left[(len(left) + 1) // 2 - 1])
