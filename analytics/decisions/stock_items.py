"""What can be held in store: items of one kind, part number and size, base by base."""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.outlook.futures import Futures

POOLED = "\nall bases"
"""Stands for all bases together: one store for the whole fleet. No cell begins with a new line, so
no base can be called so; `papers.spares` writes it out."""

ITEM_COLUMNS = ["kind", "part_no", "size"]


@dataclass(frozen=True)
class Items:
    """The sorts of part in service, and where each place of the futures belongs.

    Attributes
    ----------
    table : DataFrame, index 0 to n_items - 1
        `ITEM_COLUMNS`, and `ask`: True where neither part number nor size is known, so
        that nothing can be ordered before somebody asks.
    bases : tuple of str
        In alphabetical order; blank where a boat has no base.
    item, base : ndarray of int, shape (n_parts,)
        Item and base of each row of `Futures.parts`.
    """

    table: pd.DataFrame
    bases: tuple[str, ...]
    item: npt.NDArray[np.int64]
    base: npt.NDArray[np.int64]

    def __len__(self) -> int:
        return len(self.table)

    @cached_property
    def keys(self) -> list[tuple[str, str, str]]:
        """Kind, part number and size of each item."""
        return [tuple(row) for row in self.table[ITEM_COLUMNS].itertuples(index=False)]

    @property
    def stores(self) -> tuple[str, ...]:
        """All bases together, and each of them."""
        return (POOLED, *self.bases)

    def cell(self) -> npt.NDArray[np.int64]:
        """Number of the item at its base, for each part: item times the number of bases + base."""
        return self.item * len(self.bases) + self.base


def items_of(futures: Futures) -> Items:
    """Sort the parts in service into items.

    A part number is one item whatever sizes are written beside it, under the size
    written most often; parts without a number go by their size.
    """
    parts = futures.parts
    numbers, sizes = parts["part_no"], parts["size"]
    written: dict[tuple[str, str], Counter[str]] = defaultdict(Counter)
    for kind, number, size in zip(parts["kind"], numbers, sizes, strict=True):
        if number and size:
            written[kind, number][size] += 1
    # Of sizes written equally often, the first of the alphabet: never the order of the rows.
    usual = {
        key: min(counted, key=lambda size: (-counted[size], size))
        for key, counted in written.items()
    }
    keys = [
        (kind, number, usual.get((kind, number), "") if number else size)
        for kind, number, size in zip(parts["kind"], numbers, sizes, strict=True)
    ]
    listed = sorted(set(keys))
    number_of = {key: i for i, key in enumerate(listed)}
    bases = tuple(sorted(set(parts["base"])))
    base_of = {name: i for i, name in enumerate(bases)}
    table = pd.DataFrame(listed, columns=ITEM_COLUMNS)
    table["ask"] = (table["part_no"] == "") & (table["size"] == "")
    return Items(
        table=table,
        bases=bases,
        item=np.array([number_of[key] for key in keys], dtype=np.int64),
        base=np.array([base_of[name] for name in parts["base"]], dtype=np.int64),
    )
