"""What lies in store: which item each row is of, when it expires, and whether it will be used."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, timedelta
from math import inf

import numpy as np
import pandas as pd

from analytics.decisions.prices import PriceList
from analytics.decisions.stock_items import POOLED, Items
from analytics.decisions.stock_shelf import LAST_DAY, Used, Uses, storage_life, used_up
from analytics.lives import Lives
from analytics.records.vocabulary.sizes import size_of
from analytics.usage import day_number

STORE_COLUMNS = [
    *("row", "base", "kind", "part_no", "size", "quantity", "made_on", "expires_on", "state"),
    *("unused", "unused_chance", "used_up_p50", "used_up_p80"),
]

_FATE_COLUMNS = ["unused", "unused_chance", "used_up_p50", "used_up_p80"]

GOOD = "good"
ELSEWHERE = "good, at no base of these boats"
EXPIRED = "expired"
WHICH = "which part?"
NO_SUCH = "no such part in service"
AGE = "made when?"
"""States of a row of stock.csv: only what is good is counted."""


@dataclass(frozen=True)
class Store:
    """What is in store, laid to the items in service.

    Attributes
    ----------
    rows : DataFrame
        `STORE_COLUMNS`, a line for each row of stock.csv that holds something. Only rows whose
        `state` is `GOOD` count at their base, and those `ELSEWHERE` in one store for all.
        `unused` is the mean number that expires before anybody wants it, `unused_chance` the
        chance that one or more do, both where the base keeps it to itself; by `used_up_p50`
        and `used_up_p80` all of it is used in 50 and 80 of 100 futures (NaT where in too many
        of them some expires first, or is left on the last day simulated).
    units : dict of (item, base) to tuple of float
        Last good day of each part in store, ascending, by where it lies, at a base of these
        boats or not. Under `POOLED` all of it together.
    """

    rows: pd.DataFrame
    units: dict[tuple[int, str], tuple[float, ...]]

    def expiries(self, item: int, base: str) -> tuple[float, ...]:
        """Last good day of each part of an item in store."""
        return self.units.get((item, base), ())

    def central(self, item: int, bases: Collection[str]) -> dict[str, tuple[float, ...]]:
        """The same of an item where none of these bases is."""
        away = {POOLED, *bases}
        return {
            at: ends for (one, at), ends in self.units.items() if one == item and at not in away
        }


def in_store(
    lives: Lives, stock: pd.DataFrame, items: Items, prices: PriceList, uses: Uses
) -> Store:
    """Lay the rows of stock.csv to items, and follow each part until it is used or expires.

    Parameters
    ----------
    stock : DataFrame
        Checked rows of stock.csv.
    uses : Uses
        Of the same items.
    """
    rows: list[dict[str, object]] = []
    units: dict[tuple[int, str], list[float]] = {}
    which = _Matching(items)
    held = stock[stock["quantity"] > 0].sort_values("row", kind="stable")
    for _, row in held.iterrows():
        found = which.items(row["kind"], row["part_no"], row["size"])
        line = {name: row[name] for name in ("row", "base", "kind", "part_no", "size")}
        item = found[0] if len(found) == 1 else -1
        line |= {"quantity": int(row["quantity"]), "made_on": _day(row["made_on_lo"]), "item": item}
        state, expires = _state(lives, prices, items, row, found)
        rows.append(line | {"state": state, "expires_on": expires})
        if state not in (GOOD, ELSEWHERE):
            continue
        good = [day_number(expires or LAST_DAY)] * int(row["quantity"])
        for store in (POOLED, str(row["base"])):
            units.setdefault((item, store), []).extend(good)
    sorted_units = {key: tuple(sorted(listed)) for key, listed in units.items()}
    table = pd.DataFrame(rows, columns=[*STORE_COLUMNS, "item"])
    return Store(_fates(table, sorted_units, items, uses)[STORE_COLUMNS], sorted_units)


def _state(
    lives: Lives, prices: PriceList, items: Items, row: pd.Series, found: list[int]
) -> tuple[str, date | None]:
    """Whether a row counts, and when it expires (None: never, or not known)."""
    if len(found) != 1:
        return (WHICH if found else NO_SUCH), None
    kind, part_no, _ = items.keys[found[0]]
    life = storage_life(lives.settings, prices, kind, part_no)
    good = GOOD if row["base"] in items.bases else ELSEWHERE
    if life.years == inf:
        return good, None
    made = _day(row["made_on_lo"])
    if made is None:
        return AGE, None
    expires = life.expires_on(made)
    return (EXPIRED if expires <= lives.as_of else good), expires


class _Matching:
    """Finds the items that a row of stock.csv may be of."""

    def __init__(self, items: Items) -> None:
        self._by_number: dict[tuple[str, str], list[int]] = {}
        self._by_size: dict[tuple[str, str], list[int]] = {}
        self._by_kind: dict[str, list[int]] = {}
        for i, (kind, part_no, size) in enumerate(items.keys):
            # A kind in one size alone may still get another: a part without a label is asked for.
            self._by_kind.setdefault(kind, [i]).append(i)
            if part_no:
                self._by_number.setdefault((kind, _plain(part_no)), []).append(i)
            if size:
                self._by_size.setdefault((kind, _plain_size(size)), []).append(i)

    def items(self, kind: str, part_no: str, size: str) -> list[int]:
        """By part number where there is one, else by size; one item only where it is clear."""
        if part_no:
            return self._by_number.get((kind, _plain(part_no)), [])
        if size:
            return self._by_size.get((kind, _plain_size(size)), [])
        return self._by_kind.get(kind, [])


def _plain(text: str) -> str:
    return "".join(text.casefold().split())


def _plain_size(text: str) -> str:
    size = size_of(text)
    return size.text if size else _plain(text)


def _fates(
    table: pd.DataFrame, units: dict[tuple[int, str], tuple[float, ...]], items: Items, uses: Uses
) -> pd.DataFrame:
    """Beside each row that counts: how many of it expire unused, and when it is used up."""
    outcomes: dict[tuple[int, str], Used] = {}
    taken: dict[tuple[int, str, float], int] = {}
    fates: list[dict[str, object]] = []
    for _, row in table.iterrows():
        nothing: dict[str, object] = {
            "unused": float("nan"), "unused_chance": float("nan"),
            "used_up_p50": pd.NaT, "used_up_p80": pd.NaT,
        }  # fmt: skip
        if row["state"] != GOOD:
            fates.append(nothing)
            continue
        key = int(row["item"]), str(row["base"])
        if key not in outcomes:
            outcomes[key] = used_up(uses.of(*key), units[key], uses.until)
        used, expiry = outcomes[key], day_number(row["expires_on"] or LAST_DAY)
        # Rows that expire on one day follow each other as they stand in the file.
        first = int(np.searchsorted(units[key], expiry)) + taken.get((*key, expiry), 0)
        last = first + int(row["quantity"])
        taken[*key, expiry] = taken.get((*key, expiry), 0) + last - first
        mine = Used(used.on[:, first:last], used.expired[:, first:last])
        fates.append(
            {
                "unused": mine.expired.sum(axis=1).mean(),
                "unused_chance": mine.expired.any(axis=1).mean(),
                "used_up_p50": _as_day(mine.up_by(0.5)),
                "used_up_p80": _as_day(mine.up_by(0.8)),
            }
        )
    made = pd.DataFrame(fates, columns=_FATE_COLUMNS, index=table.index)
    return table.assign(**{name: made[name] for name in _FATE_COLUMNS})


def _day(value: object) -> date | None:
    return None if pd.isna(value) else pd.Timestamp(value).date()  # type: ignore[call-overload,arg-type]


def _as_day(number: float) -> object:
    return date(1970, 1, 1) + timedelta(days=int(number)) if np.isfinite(number) else pd.NaT
