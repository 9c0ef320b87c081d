"""Boats that join the fleet on a day to come, with new parts that age as their kind does.

A boat is added like one that is there: her shaft lines, her kinds of parts with their sizes
and numbers, her base and lay-up, and her usual hours. Of her own shaft lines nothing is
known, and of the lot of her new parts neither: they draw from what is known of such.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np
import pandas as pd

from analytics.ageing.clocks import CENSORED, Nodes
from analytics.ageing.fit import Ageing, FleetAgeing
from analytics.lives import IN_SERVICE, Lives
from analytics.usage import day_number
from analytics.what_if.changes import Added

LOT = "not bought yet"
"""The lot of parts that nobody has seen."""

SOURCE = "added boat"


@dataclass(frozen=True)
class Joining:
    """New parts of boats that join on one day, by the kind and group whose curve they have."""

    on: date
    ageing: FleetAgeing


def names_of(added: Sequence[Added], taken: Sequence[str]) -> list[list[str]]:
    """Names of the boats that are added, one list for each entry; none that is taken."""
    used, found = set(taken), []
    numbers: dict[str, int] = {}
    for one in added:
        names: list[str] = []
        while len(names) < one.boats:
            numbers[one.like] = number = numbers.get(one.like, 0) + 1
            name = f"Like {one.like} {number}"
            if name not in used:
                names.append(name)
                used.add(name)
        found.append(names)
    return found


def with_added(
    lives: Lives, ageing: FleetAgeing, added: Sequence[Added]
) -> tuple[Lives, tuple[Joining, ...]]:
    """The lives with the parts of further boats behind those there are, and how those age.

    Parameters
    ----------
    added : sequence of Added
        Each like a boat with parts in service.

    Returns
    -------
    Lives
        The same object where no boat is added.
    tuple of Joining
        One for each day on which boats join.
    """
    if not added:
        return lives, ()
    taken = sorted({boat for boat, _ in lives.usage.lines})
    rows: list[pd.DataFrame] = []
    lines: dict[tuple[str, str], tuple[str, str]] = {}
    for one, names in zip(added, names_of(added, taken), strict=True):
        like = _places(ageing, one.like)
        for name in names:
            rows.append(_new_parts(like, name, one))
            lines |= {(name, at): (one.like, at) for at in like["position"].unique()}
    every = pd.concat(rows, ignore_index=True)
    every["life"] = int(lives.table["life"].max()) + 1 + np.arange(len(every))
    every["source"] = [f"{SOURCE}:{number}" for number in range(1, len(every) + 1)]
    joining = tuple(
        Joining(
            day.date(),
            {
                (str(kind), str(group)): _of_new_parts(ageing[str(kind), str(group)], parts)
                for (kind, group), parts in new.groupby(["kind", "group"], sort=True)
            },
        )
        for day, new in every.groupby("start_lo", sort=True)
        if isinstance(day, pd.Timestamp)
    )
    lives = replace(lives, usage=lives.usage.with_lines(lines), table=_appended(lives.table, every))
    return lives, joining


def _places(ageing: FleetAgeing, boat: str) -> pd.DataFrame:
    """The parts of a boat in service; `group` is the one whose curve new parts have."""
    found = []
    for (kind, group), fitted in ageing.items():
        table = fitted.table
        here = table[(table["boat"] == boat) & (table["outcome"] == IN_SERVICE)]
        # The next part of a lot that was set apart is not of that lot.
        found.append(here.assign(group="all" if (kind, "all") in ageing else group))
    return pd.concat(found, ignore_index=True).drop_duplicates(["position", "kind"])


def _new_parts(like: pd.DataFrame, boat: str, one: Added) -> pd.DataFrame:
    joined = pd.Timestamp(one.joined_on)
    new = like.assign(boat=boat, lot=LOT, place_began=False)
    for day in ("start_lo", "start_hi", "seen_from", "end_lo", "end_hi"):
        new[day] = joined
    new["leaves_on"] = pd.NaT
    return new.assign(base=one.base) if one.base else new


def _appended(table: pd.DataFrame, new: pd.DataFrame) -> pd.DataFrame:
    """Rows behind a table, with its columns and their types."""
    new = new.reindex(columns=table.columns).astype(table.dtypes.to_dict())
    return pd.concat([table, new], ignore_index=True) if len(table) else new


def _of_new_parts(fitted: Ageing, new: pd.DataFrame) -> Ageing:
    """How parts of a kind age of which nothing is known but the day on which they are fitted."""
    n = len(new)
    nothing, number = np.zeros(n), np.arange(n, dtype=np.int64)
    start = np.array([day_number(day.date()) for day in new["start_lo"]])
    nodes = Nodes(
        life=number,
        first=number,
        weight=np.ones(n),
        start=start,
        entry=nothing,
        lower=nothing,
        upper=nothing,
        entry_years=nothing,
        lower_years=nothing,
        upper_years=nothing,
        outcome=np.full(n, CENSORED),
        count=np.ones(n),
    )
    return replace(fitted, table=_appended(fitted.table.iloc[:0], new), nodes=nodes)
