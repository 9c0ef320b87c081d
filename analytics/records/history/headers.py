"""Headers of one source in two exports: which were renamed, dropped or added."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from analytics.records.decided.marks import same_text

Slot = tuple[str, int]
"""A header as `marks.same_text` has it, and which of those of this name it is, from 0."""

Texts = NDArray[Any]
Hashes = NDArray[np.uint64]
Places = NDArray[np.intp]

ALIKE = 0.9
"""A column under another name is the same one where this share of its cells is the same."""


@dataclass(frozen=True)
class HeaderChange:
    """One header that is not as it was.

    Attributes
    ----------
    source : str
    what : {"renamed", "dropped", "added"}
    before, now : str
        The header; blank where there was, or is, none.
    """

    source: str
    what: Literal["renamed", "dropped", "added"]
    before: str
    now: str


def slots(header: Sequence[str]) -> list[Slot]:
    """The slot of each header of one file."""
    times: Counter[str] = Counter()
    found = []
    for text in header:
        name = same_text(text)
        found.append((name, times[name]))
        times[name] += 1
    return found


def renamed(
    before: Mapping[Slot, Texts],
    now: Mapping[Slot, Texts],
    dropped: Sequence[Slot],
    added: Sequence[Slot],
) -> dict[Slot, Slot]:
    """Which of the headers dropped goes on under which of those added.

    Rows that are the same in every column that both exports have are compared
    cell by cell. Where there are none, the texts of the columns as a whole are.

    Parameters
    ----------
    before, now : mapping of Slot to ndarray of str
        The columns of the two exports, cells stripped.
    dropped, added : sequence of Slot
        In the order in which they stand.

    Returns
    -------
    dict of Slot to Slot
        The header before, by that of now.
    """
    common = sorted(before.keys() & now.keys())
    at_before, at_now = _rows_alike(
        [before[slot] for slot in common], [now[slot] for slot in common]
    )
    candidates = []
    for at, old in enumerate(dropped):
        for place, new in enumerate(added):
            if len(at_before):
                share = _share_alike(before[old][at_before], now[new][at_now])
            else:
                share = _share_in_common(before[old], now[new])
            if share >= ALIKE:
                candidates.append((-share, abs(at - place), old, new))
    found: dict[Slot, Slot] = {}
    for _, _, old, new in sorted(candidates):
        if new not in found and old not in found.values():
            found[new] = old
    return found


def row_hashes(columns: Sequence[Texts]) -> Hashes:
    """One number for each row, the same for the same cells and, by all odds, for no others."""
    frame = pd.DataFrame(dict(enumerate(columns)))
    # Not by categories, which end a text where a zero character stands.
    hashes = pd.util.hash_pandas_object(frame, index=False, categorize=False)
    return np.asarray(hashes, dtype=np.uint64)


def _rows_alike(before: Sequence[Texts], now: Sequence[Texts]) -> tuple[Places, Places]:
    """Places of rows that are the same in these columns, and the only ones that are."""
    if not before:
        return np.array([], dtype=int), np.array([], dtype=int)
    once = []
    for columns in (before, now):
        hashes, first, times = np.unique(row_hashes(columns), return_index=True, return_counts=True)
        once.append((hashes[times == 1], first[times == 1]))
    _, at_before, at_now = np.intersect1d(
        once[0][0], once[1][0], assume_unique=True, return_indices=True
    )
    return once[0][1][at_before], once[1][1][at_now]


def _share_alike(before: Texts, now: Texts) -> float:
    filled = (before != "") | (now != "")
    return float((before == now)[filled].mean()) if filled.any() else 0.0


def _share_in_common(before: Texts, now: Texts) -> float:
    old, new = Counter(filter(None, before)), Counter(filter(None, now))
    return (old & new).total() / max(old.total(), new.total(), 1)
