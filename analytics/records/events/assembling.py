"""A table of events to the lives of the parts they tell of; every line is accounted for."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from datetime import date

import pandas as pd

from analytics.records.events.aside import readable, readings_of, set_aside
from analytics.records.events.moves import (
    Spell,
    join_spells,
    link_moves,
    serials_of_several_places,
)
from analytics.records.events.place import Place
from analytics.records.events.rows import stretches
from analytics.records.events.told import Fate, Telling, Told
from analytics.records.events.windows import day_number, day_numbers
from analytics.records.kinds import KINDS, Kind

Progress = Callable[[int, int], None]
"""Called with the events done and their number; what it raises goes through."""

_TELL_EVERY = 50_000


@dataclass(frozen=True)
class Assembled:
    """The lives that events tell of.

    Attributes
    ----------
    lives : list of dict of str to str
        Rows of the plain layout, columns `life.LIFE_COLUMNS`, by place and time.
    lines : list of tuple of int
        For each life the lines that made it: first the one that findings should
        point at (of its removal if there is one, else of its fitting), then that
        of its beginning, of the last day it was seen sound, and the others.
    readings : list of dict of str to str
        Hour-meter readings in the plain layout.
    reading_lines : list of int
        The line of each.
    findings : tuple of Told
        In the order of their lines.
    fates : dict of int to Fate
        What became of each line of the events: each has one.
    """

    lives: list[dict[str, str]]
    lines: list[tuple[int, ...]]
    readings: list[dict[str, str]]
    reading_lines: list[int]
    findings: tuple[Told, ...]
    fates: dict[int, Fate]


def assemble(
    events: pd.DataFrame,
    *,
    as_of: date | None = None,
    kinds: Mapping[str, Kind] = KINDS,
    positions: Mapping[str, Collection[str]] | None = None,
    left: Collection[str] = frozenset(),
    progress: Progress | None = None,
) -> Assembled:
    """Put events together as lives, place by place.

    Parameters
    ----------
    events : DataFrame
        Columns `rows.COLUMNS`: one row for one event of one part. The serial,
        lot and part number of a replacement are those of the new part; its reason,
        condition and found those of the old one.
    as_of : date, optional
        Last day watched: later events are left out. None where nobody has said.
    kinds : mapping of str to Kind
        For the clock of refurbished parts.
    positions : mapping of str to collection of str, optional
        Positions of each boat, for parts moved to where no fitting is told of.
    left : collection of str
        Boats known to have left the fleet.
    progress : callable, optional
        Called with (done, total) every 50,000 events.

    Returns
    -------
    Assembled
        The same lives whatever the order of the rows.
    """
    telling = Telling()
    left = frozenset(left)
    last_day = None if as_of is None else day_number(as_of)
    watched = readable(events, last_day, telling)
    readings, reading_lines = readings_of(watched)
    if last_day is None:
        last_day = int(day_numbers(watched["on_hi"]).max()) if len(watched) else 0
    of_places = set_aside(watched, left, telling).copy(deep=False)
    of_places.index = pd.RangeIndex(len(of_places))
    del watched
    told_of = len(of_places)
    of_places, link = link_moves(of_places, positions or {}, telling)
    made_up = of_places["line"].iloc[told_of:].tolist()
    shared = serials_of_several_places(of_places)
    step_done = _counter(progress, len(of_places))

    lives: list[dict[str, str]] = []
    lines: list[tuple[int, ...]] = []
    spells: list[Spell] = []
    for rows in stretches(of_places, link):
        place = Place(rows, telling, kinds, left, last_day)
        for first, after in rows.places:
            for life in place.read(first, after, step_done):
                if (
                    life.leaves >= 0
                    or life.arrives >= 0
                    or (life.serial and (rows.kind[first], life.serial) in shared)
                ):
                    at = (rows.boat[first], rows.position[first])
                    spells.append(Spell(len(lives), at, rows.kind[first], life))
                lives.append(life.row(rows, first))
                lines.append(life.sources())
    join_spells(spells, lives, telling)
    if progress is not None:
        progress(len(of_places), len(of_places))
    findings, fates = telling.all_told([*events["line"].tolist(), *made_up])
    return Assembled(lives, lines, readings, reading_lines, findings, fates)


def _counter(progress: Progress | None, total: int) -> Callable[[], None]:
    """What to call after each event, so that progress is told of now and then."""
    done = 0

    def count() -> None:
        nonlocal done
        done += 1
        if progress is not None and done % _TELL_EVERY == 0:
            progress(done, total)

    return count
