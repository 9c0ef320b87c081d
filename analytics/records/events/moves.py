"""Parts that go on in another place: one life, told of as two spells."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from itertools import pairwise, starmap
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.records.events.life import Life
from analytics.records.events.told import Telling
from analytics.records.events.windows import UNKNOWN, Days, day_numbers

ON_THE_WAY = 90
"""Days. Common practice, no source: a part taken out is fitted elsewhere within a season."""

_BEFORE = 7
"""Days by which a fitting may be dated before the removal that it followed."""

_SORT = "part_moved"


def link_moves(
    events: pd.DataFrame, positions: Mapping[str, Collection[str]], telling: Telling
) -> tuple[pd.DataFrame, Days]:
    """Give a move and the fitting it led to one number; make the fitting up where none is told.

    Parameters
    ----------
    events : DataFrame
        Columns `rows.COLUMNS`, events of places alone, numbered from 0.
    positions : mapping of str to collection of str
        Positions of each boat.
    telling : Telling

    Returns
    -------
    DataFrame
        With the fittings made up at its end.
    ndarray of int
        The number of the move that each event is part of, -1 for none.
    """
    link = np.full(len(events), -1, dtype=np.int64)
    moving = ((events["action"] == "moved") & (events["to_boat"] != "")).to_numpy()
    if not moving.any():
        return events, link
    fittings = _Fittings(events, set(events.loc[moving, "to_boat"]))
    made: list[int] = []
    there: list[str] = []
    before: _Move | None = None
    for move in _moves(events, moving):
        if before is not None and before.is_also(move):
            link[move.event] = link[before.event]
            continue
        before = move
        link[move.event] = move.event
        fitting = fittings.taken(move)
        if fitting is not None:
            link[fitting] = move.event
            continue
        position = _same_position(move.position, positions.get(move.to_boat, ()))
        if position is None or (move.to_boat, position) == (move.boat, move.position):
            link[move.event] = -1
            _nowhere(telling, move)
        else:
            made.append(move.event)
            there.append(position)
    if not made:
        return events, link
    arrivals = _arrivals(events.loc[made], there)
    return pd.concat([events, arrivals], ignore_index=True), np.append(link, made)


def _arrivals(moves: pd.DataFrame, positions: list[str]) -> pd.DataFrame:
    """The fittings that moves led to, where nobody wrote them down."""
    blank = dict.fromkeys(("reason", "condition", "found", "flags", "to_boat"), "")
    unseen = moves["sound_lo"].mask(moves["line"].notna())
    return moves.assign(
        boat=moves["to_boat"],
        position=positions,
        action="fitted",
        hours=np.nan,
        sound_lo=unseen,
        sound_hi=unseen,
        **blank,
    )


class _Move(NamedTuple):
    boat: str
    position: str
    kind: str
    to_boat: str
    day: int
    serial: str
    lot: str
    part_no: str
    size: str
    job: str
    note: str
    line: int
    event: int

    def is_also(self, other: _Move) -> bool:
        """True where another entry is of the same move."""
        return self[:4] == other[:4] and other.day - self.day <= _BEFORE


def _moves(events: pd.DataFrame, moving: npt.NDArray[np.bool_]) -> list[_Move]:
    """The moves by place and day, then by what else they say."""
    names = _Move._fields[:-1]
    moves = events.loc[moving].assign(day=day_numbers(events.loc[moving, "on_lo"]))
    columns = (moves[name].tolist() for name in names)
    return sorted(starmap(_Move, zip(*columns, moves.index.tolist(), strict=True)))


class _Fittings:
    """Fittings on the boats that parts went to, each given to one move at most."""

    def __init__(self, events: pd.DataFrame, boats: set[str]) -> None:
        there = events[events["action"].isin(("fitted", "replaced")) & events["boat"].isin(boats)]
        self.on: dict[tuple[str, str], list[tuple[int, str, str, str, str, str, int]]] = {}
        for boat, kind, day, *told, event in zip(
            there["boat"].tolist(),
            there["kind"].tolist(),
            day_numbers(there["on_lo"]).tolist(),
            *(there[name].tolist() for name in ("position", "serial", "lot", "job", "note")),
            there.index.tolist(),
            strict=True,
        ):
            self.on.setdefault((boat, kind), []).append((day, *told, event))
        for fittings in self.on.values():
            fittings.sort()

    def taken(self, move: _Move) -> int | None:
        """The first fitting that may be the other end of a move, which no other move gets then."""
        fittings = self.on.get((move.to_boat, move.kind), [])
        k = bisect_left(fittings, (move.day - _BEFORE,))
        while k < len(fittings) and fittings[k][0] <= move.day + ON_THE_WAY:
            _, position, serial, *_, event = fittings[k]
            elsewhere = (move.to_boat, position) != (move.boat, move.position)
            if elsewhere and not (serial and move.serial and serial != move.serial):
                del fittings[k]
                return event
            k += 1
        return None


def _same_position(position: str, there: Collection[str]) -> str | None:
    if position in there:
        return position
    return next(iter(there)) if len(there) == 1 else None


def _nowhere(telling: Telling, move: _Move) -> None:
    telling.say(
        move.line,
        "to_boat",
        move.to_boat,
        "a boat of the list with the same position",
        "assumed",
        "Where the part went is not known: it counts as taken out for other work. "
        "Add its fitting there.",
        _SORT,
    )


def serials_of_several_places(events: pd.DataFrame) -> set[tuple[str, str]]:
    """Kind and serial of parts that are told of in more than one place."""
    marked = events.loc[events["serial"] != "", ["kind", "serial", "boat", "position"]]
    once = marked.drop_duplicates()
    shared = once[once.duplicated(["kind", "serial"], keep=False)]
    return set(zip(shared["kind"].tolist(), shared["serial"].tolist(), strict=True))


@dataclass(slots=True)
class Spell:
    """One life of a part that may go on elsewhere."""

    index: int
    """Of its row among the lives."""
    place: tuple[str, str]
    kind: str
    life: Life


def join_spells(spells: Iterable[Spell], lives: list[dict[str, str]], telling: Telling) -> None:
    """Let the life at the new place begin when the part was first fitted.

    Parameters
    ----------
    spells : iterable of Spell
        Lives that end or begin with a move, or whose serial occurs elsewhere.
    lives : list of dict
        Rows of all lives; those of the spells are changed.
    """
    spells = list(spells)
    pairs = _told_of(spells)
    pairs += _by_serial(spells, pairs, telling)
    # In the order of time, so that what was moved twice keeps its first day.
    pairs.sort(key=lambda pair: (pair[1].life.fit_lo, pair[0].life.end_lo, pair[1].index))
    for old, new in pairs:
        before, after = lives[old.index], lives[new.index]
        before["reason"] = "other_work"
        after["here_since"] = after["fitted_on"]
        after["fitted_on"] = before["fitted_on"]
        for name in ("part_no", "size", "lot", "serial"):
            after[name] = after[name] or before[name]
        telling.say(
            old.life.end_line if old.life.end_line >= 0 else new.life.begin_line,
            "boat",
            f"{before['boat']} to {after['boat']}",
            "one part, one life",
            "assumed",
            f"It goes on at its age, fitted {before['fitted_on'] or 'nobody knows when'}, on "
            f"{after['boat']} since {after['here_since']}.",
            _SORT,
            new.life.begin_line,
        )


Pair = tuple[Spell, Spell]


def _told_of(spells: list[Spell]) -> list[Pair]:
    going = {spell.life.leaves: spell for spell in spells if spell.life.leaves >= 0}
    coming = {spell.life.arrives: spell for spell in spells if spell.life.arrives >= 0}
    return [
        (going[link], coming[link])
        for link in sorted(going.keys() & coming.keys())
        if going[link].life.reason not in ("failed", "accident")
    ]


def _by_serial(spells: list[Spell], pairs: list[Pair], telling: Telling) -> list[Pair]:
    """Removed sound, and within 90 days fitted elsewhere under the same serial."""
    gone = {old.index for old, _ in pairs}
    come = {new.index for _, new in pairs}
    parts: dict[tuple[str, str], list[Spell]] = {}
    for spell in spells:
        if spell.life.serial:
            parts.setdefault((spell.kind, spell.life.serial), []).append(spell)
    found: list[Pair] = []
    for (_, serial), of_part in sorted(parts.items()):
        of_part.sort(key=lambda spell: (_starts(spell.life), spell.life.end_lo, spell.index))
        at_once = [new for old, new in pairwise(of_part) if _at_once(old, new)]
        for spell in at_once:
            _not_one_part(telling, spell, serial)
        if at_once:
            continue
        found += [
            (old, new)
            for old, new in pairwise(of_part)
            if old.index not in gone and new.index not in come and _goes_on(old, new)
        ]
    return found


_NEVER = 10**9


def _starts(life: Life) -> int:
    """A day by which the life had begun or, where its fitting is not known, ended."""
    if life.fit_lo != UNKNOWN:
        return life.fit_lo
    return life.end_lo if life.ended_by else _NEVER


def _at_once(old: Spell, new: Spell) -> bool:
    """True where one serial was surely in two places on one day."""
    if old.place == new.place or _starts(new.life) == _NEVER:
        return False
    starts = max(_starts(new.life), new.life.fit_hi)
    return not old.life.ended_by or old.life.end_lo - _BEFORE > starts


def _goes_on(old: Spell, new: Spell) -> bool:
    return (
        old.place != new.place
        and old.life.reason not in _FOR_GOOD
        and new.life.begun_by in ("fitted", "replaced")
        and new.life.fit_lo - old.life.end_hi <= ON_THE_WAY
    )


_FOR_GOOD = ("failed", "accident", "boat_left")


def _not_one_part(telling: Telling, spell: Spell, serial: str) -> None:
    telling.say(
        spell.life.begin_line if spell.life.begin_line >= 0 else spell.life.end_line,
        "serial",
        serial,
        "the mark of one part, which is in one place at a time",
        "ignored",
        "It stands for parts in two places at once, so no part is followed by it. "
        "Correct the serials, or add the removal.",
        _SORT,
    )
