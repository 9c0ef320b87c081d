"""Events of a table sorted by place and date, and taken from it a stretch at a time."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import pandas as pd

from analytics.records.events.windows import Days, day_numbers

TEXTS = (
    "boat",
    "position",
    "kind",
    "action",
    "reason",
    "condition",
    "found",
    "part_no",
    "size",
    "lot",
    "serial",
    "to_boat",
    "job",
    "note",
    "flags",
)
DATES = ("on_lo", "on_hi", "sound_lo", "sound_hi", "fit_lo", "fit_hi")
COLUMNS = ("line", *TEXTS, *DATES, "hours")
"""Columns of a table of events."""

PLACE_ACTIONS = (
    "failed",
    "removed",
    "moved",
    "replaced",
    "refurbished",
    "fitted",
    "bought",
    "seen",
)
"""Actions that tell of the part in a place, in the order in which those of one day are taken."""

_STRETCH = 50_000


@dataclass(slots=True)
class Rows:
    """A stretch of sorted events, column by column; days are numbers."""

    line: list[int]
    boat: list[str]
    position: list[str]
    kind: list[str]
    deed: list[str]
    """The action; of a part seen failed it is ``failed``."""
    reason: list[str]
    condition: list[str]
    found: list[str]
    part_no: list[str]
    size: list[str]
    lot: list[str]
    serial: list[str]
    job: list[str]
    note: list[str]
    flags: list[str]
    lo: list[int]
    hi: list[int]
    sound_lo: list[int]
    sound_hi: list[int]
    fit_lo: list[int]
    fit_hi: list[int]
    link: list[int]
    """Number of the move that the event is the going or the coming of, -1 for none."""
    places: list[tuple[int, int]]
    """First event of each place, and the one after its last."""


def stretches(events: pd.DataFrame, link: Days) -> Iterator[Rows]:
    """Events in the order of place and day, in stretches of whole places.

    Parameters
    ----------
    events : DataFrame
        Columns `COLUMNS`, with known dates and `PLACE_ACTIONS` alone.
    link : ndarray of int
        Of each event the number of the move that it is part of, -1 for none.
    """
    if events.empty:
        return
    deed = events["action"].to_numpy(dtype=object).copy()
    deed[(deed == "seen") & (events["condition"] == "failed").to_numpy()] = "failed"
    days = {name: day_numbers(events[name]) for name in DATES}
    place = _places(events)
    order = _order(events, place, deed, days)
    place = place[order]
    starts = np.append(np.flatnonzero(np.diff(place, prepend=-1)), len(place))
    texts = {name: events[name].to_numpy(dtype=object) for name in TEXTS if name != "to_boat"}
    texts["action"] = deed
    numbers = days | {
        "line": events["line"].to_numpy(dtype=np.int64),
        "link": link,
    }
    first = 0
    while first < len(starts) - 1:
        after = int(np.searchsorted(starts, starts[first] + _STRETCH, side="right")) - 1
        after = max(after, first + 1)
        taken = order[starts[first] : starts[after]]
        bounds = (starts[first : after + 1] - starts[first]).tolist()
        column = {name: one[taken].tolist() for name, one in (texts | numbers).items()}
        yield Rows(
            deed=column.pop("action"),
            lo=column.pop("on_lo"),
            hi=column.pop("on_hi"),
            places=list(pairwise(bounds)),
            **column,
        )
        first = after


def _places(events: pd.DataFrame) -> Days:
    place = np.zeros(len(events), dtype=np.int64)
    for name in ("boat", "position", "kind"):
        codes, values = pd.factorize(events[name], sort=True)
        place = place * max(len(values), 1) + codes
    return place


def _order(
    events: pd.DataFrame,
    place: Days,
    deed: np.ndarray[tuple[int], np.dtype[np.object_]],
    days: dict[str, Days],
) -> Days:
    """By place, first day, action and last day; then by content, so that lines never decide."""
    rank = pd.Categorical(deed, categories=PLACE_ACTIONS).codes
    keys = (days["on_hi"], rank, days["on_lo"], place)
    order: Days = np.lexsort(keys)
    same = np.ones(len(order) - 1, dtype=bool)
    for key in keys:
        same &= np.diff(key[order]) == 0
    alike = np.flatnonzero(np.append(same, False) | np.append(False, same))
    if len(alike):
        run = np.cumsum(~np.append(False, same))[alike]
        tied = order[alike]
        content = [events["line"].to_numpy(dtype=np.int64)[tied]]
        content += [pd.factorize(events[name].iloc[tied], sort=True)[0] for name in TEXTS]
        content += [days[name][tied] for name in DATES[2:]]
        content.append(np.nan_to_num(events["hours"].to_numpy(dtype=np.float64)[tied], nan=-1.0))
        order[alike] = tied[np.lexsort((*content, run))]
    return order
