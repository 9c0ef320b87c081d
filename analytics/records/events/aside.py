"""Events that begin and end no life: upkeep, meters, engines, boats that left, days to come."""

from __future__ import annotations

from collections.abc import Container

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.records.events import words
from analytics.records.events.rows import PLACE_ACTIONS
from analytics.records.events.told import Telling
from analytics.records.events.windows import UNKNOWN, day_numbers, written
from analytics.records.numbers import written_number

_ASIDE = ("upkeep", "other", "meter", "engine", "left")


def readable(events: pd.DataFrame, last_day: int | None, telling: Telling) -> pd.DataFrame:
    """Events with a day, up to the last one watched, and an action that is known.

    Parameters
    ----------
    events : DataFrame
        Columns `rows.COLUMNS`.
    last_day : int or None
        Last day watched, None where nobody has said.
    telling : Telling
    """
    lo, hi = day_numbers(events["on_lo"]), day_numbers(events["on_hi"])
    undated = (lo == UNKNOWN) | (hi < lo)
    unknown = ~undated & ~events["action"].isin((*PLACE_ACTIONS, *_ASIDE)).to_numpy()
    future = ~undated & ~unknown
    future &= lo > last_day if last_day is not None else False
    for line in events.loc[undated, "line"].tolist():
        telling.leave_out(
            line, "rejected", "on", "", "the day of the event", "Fill in when.", "cell_unreadable"
        )
    for line, action in _pairs(events[unknown], "action"):
        telling.leave_out(
            line,
            "rejected",
            "action",
            action,
            "an action that is known",
            "Say what it means.",
            "words_unknown",
        )
    for line, day, last in zip(
        events.loc[future, "line"].tolist(), lo[future].tolist(), hi[future].tolist(), strict=True
    ):
        telling.leave_out(
            line,
            "ignored",
            "on",
            written(day, last),
            "a day up to the last one watched",
            "Nothing to do for planned work; else correct the date, or as_of in fleet.toml.",
            "future_date",
        )
    return _those(events, ~(undated | unknown | future))


def set_aside(events: pd.DataFrame, left: Container[str], telling: Telling) -> pd.DataFrame:
    """The events that tell of parts in places; of the others, say what they were taken for."""
    aside = ~events["action"].isin(PLACE_ACTIONS).to_numpy()
    others = events[aside]
    for line, action, boat, note, hours in zip(
        *(others[name].tolist() for name in ("line", "action", "boat", "note", "hours")),
        strict=True,
    ):
        has_hours = hours == hours  # not NaN
        if action in ("upkeep", "other"):
            words.upkeep(telling, line, note or action, has_hours)
        elif action == "meter":
            telling.say(
                line,
                "hours",
                f"{hours:g}" if has_hours else "",
                "the hours of the new meter on its first day",
                "assumed",
                "A new meter, or one set back: read as beginning on that day"
                + ("." if has_hours else ", at 0 hours."),
                "meter_replaced",
            )
        elif action == "engine":
            _engine(telling, line, has_hours)
        else:
            _boat_left(telling, line, boat, boat in left, has_hours)
    return _those(events, ~aside)


def readings_of(events: pd.DataFrame) -> tuple[list[dict[str, str]], list[int]]:
    """Rows of hours from every event that gives them, and the line of each.

    A new meter without hours begins at 0. The same reading twice is one.
    """
    hours = events["hours"].mask((events["action"] == "meter") & events["hours"].isna(), 0.0)
    given = hours.notna().to_numpy()
    table = pd.DataFrame(
        {
            "boat": events.loc[given, "boat"].to_numpy(dtype=object),
            "position": events.loc[given, "position"].to_numpy(dtype=object),
            "lo": day_numbers(events.loc[given, "on_lo"]),
            "hi": day_numbers(events.loc[given, "on_hi"]),
            "hours": hours[given].to_numpy(dtype=np.float64),
            "line": events.loc[given, "line"].to_numpy(dtype=np.int64),
        }
    )
    table = table.sort_values(list(table.columns), ignore_index=True)
    table = table.drop_duplicates(subset=["boat", "position", "lo", "hi", "hours"])
    columns = (table[name].tolist() for name in ("boat", "position", "lo", "hi", "hours"))
    rows = [
        {
            "boat": boat,
            "position": position,
            "read_on": written(lo, hi),
            "hours": written_number(read),
        }
        for boat, position, lo, hi, read in zip(*columns, strict=True)
    ]
    return rows, table["line"].tolist()


def _those(events: pd.DataFrame, kept: npt.NDArray[np.bool_]) -> pd.DataFrame:
    # Without a copy where all are: a table of a million events is large.
    return events if kept.all() else events[kept]


def _pairs(events: pd.DataFrame, name: str) -> zip[tuple[int, str]]:
    return zip(events["line"].tolist(), events[name].tolist(), strict=True)


def _engine(telling: Telling, line: int, has_hours: bool) -> None:
    field, found, sort = "action", "engine replaced", "engine_replaced"
    expected = "work on the parts of the shaft"
    remedy = "The parts of the shaft stayed: their lives go on."
    if has_hours:
        telling.say(line, field, found, expected, "noted", f"{remedy} Its hours are used.", sort)
    else:
        telling.leave_out(line, "ignored", field, found, expected, remedy, sort)


def _boat_left(telling: Telling, line: int, boat: str, known: bool, has_hours: bool) -> None:
    expected = "the day it left, in the list of boats"
    remedy = (
        "The list of boats says when, and ends its parts."
        if known
        else "The list of boats has no day of its leaving, so its parts count as still in place: "
        "fill in left_on."
    )
    if has_hours:
        telling.say(line, "boat", boat, expected, "noted", remedy, "boat_left")
    else:
        telling.leave_out(line, "ignored", "boat", boat, expected, remedy, "boat_left")
