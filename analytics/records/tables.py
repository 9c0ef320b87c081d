"""The files of a fleet folder in their plain layout: which columns, what each may hold."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Literal

POSITIONS = ("single", "port", "starboard")
REASONS = ("failed", "replaced_sound", "other_work", "accident", "boat_left", "unknown")

LARGEST_NUMBER = 1e9
"""Hours, prices and days above this are taken for slips of the pen."""


def as_word(text: str) -> str:
    """A word in the plain layout's way: lower case, with underscores between its parts."""
    return text.strip().lower().replace(" ", "_").replace("-", "_")


@dataclass(frozen=True)
class Column:
    """One column of a file.

    Attributes
    ----------
    name : str
        Header, in lower case.
    holds : {"text", "word", "choice", "window", "number"}
        What a cell may be; a `word` is read by `as_word`, a `window` becomes two
        columns, `_lo` and `_hi`.
    required : bool
        True where a blank cell rejects the row.
    vital : bool
        True where a wrong cell rejects the row; elsewhere it is read as blank.
    choices : tuple[str, ...]
        The words a `choice` may be.
    """

    name: str
    holds: Literal["text", "word", "choice", "window", "number"] = "text"
    required: bool = False
    vital: bool = False
    choices: tuple[str, ...] = ()


@dataclass(frozen=True)
class Table:
    """One file of the fleet folder: its name, what a row is, and its columns."""

    file: str
    row_is: str
    columns: tuple[Column, ...]
    without: str
    """What the program cannot do, or assumes, where the file is missing."""

    @property
    def stem(self) -> str:
        """The name of the file without its suffix, and of a sheet that holds the table."""
        return self.file.removesuffix(".csv")

    @cached_property
    def identity(self) -> frozenset[str]:
        """Columns that say what a row is of and when; the others hold numbers."""
        return frozenset(column.name for column in self.columns if column.holds != "number")

    @property
    def needed(self) -> list[str]:
        """Columns without which no row can be read."""
        return [column.name for column in self.columns if column.required]


_BOAT = Column("boat", required=True)
_POSITION = Column("position", "choice", vital=True, choices=POSITIONS)

BOATS = Table(
    "boats.csv",
    "a boat",
    (
        _BOAT,
        Column("base"),
        Column("built_on", "window"),
        Column("joined_on", "window", vital=True),
        Column("left_on", "window", vital=True),
        Column("lay_up", "choice", choices=("ashore", "afloat")),
        Column("water", "choice", choices=("salt", "brackish", "fresh")),
        Column("hours_per_season", "number"),
        Column("hull_no"),
        Column("was_named"),
        Column("renamed_on", "window"),
        Column("shaft_size"),
        Column("shafts", "number"),
        Column("length_m", "number"),
        Column("beam_m", "number"),
        Column("weight_t", "number"),
        Column("draught_m", "number"),
    ),
    "nothing can be read without the list of boats",
)
PARTS = Table(
    "parts.csv",
    "one life of one part in one place",
    (
        _BOAT,
        _POSITION,
        Column("kind", "word", required=True),
        Column("part_no"),
        Column("size"),
        Column("lot"),
        Column("fitted_on", "window", vital=True),
        Column("removed_on", "window", vital=True),
        Column("reason", "choice", vital=True, choices=REASONS),
        Column("found", "choice", choices=("afloat", "ashore")),
        Column("last_sound_on", "window"),
        Column("fitted_hours", "number"),
        Column("removed_hours", "number"),
        Column("note"),
        Column("serial"),
        Column("here_since", "window", vital=True),
    ),
    "nothing can be read without the list of parts",
)
HOURS = Table(
    "hours.csv",
    "an hour-meter reading",
    (
        _BOAT,
        _POSITION,
        Column("read_on", "window", required=True, vital=True),
        Column("hours", "number", required=True, vital=True),
    ),
    "shaft hours are taken from hours_per_season",
)
READINGS = Table(
    "readings.csv",
    "a measurement of condition",
    (
        _BOAT,
        _POSITION,
        Column("kind", "word", required=True),
        Column("read_on", "window", required=True, vital=True),
        Column("measure", required=True),
        Column("value", "number", required=True, vital=True),
    ),
    "no condition readings",
)
PRICES = Table(
    "prices.csv",
    "the cost of a kind of part",
    (
        Column("kind", "word"),
        Column("part_no"),
        Column("part_price", "number", required=True, vital=True),
        Column("labour_hours", "number"),
        Column("shared_hours", "number"),
        Column("lead_time_days", "number"),
        Column("shelf_life_years", "number"),
        Column("currency"),
        Column("tax", "choice", choices=("net", "gross")),
    ),
    "quantities are given and money is not",
)
STOCK = Table(
    "stock.csv",
    "parts of one sort in store",
    (
        Column("base"),
        Column("kind", "word", required=True),
        Column("part_no"),
        Column("size"),
        Column("quantity", "number", required=True, vital=True),
        Column("made_on", "window"),
        Column("note"),
    ),
    "nothing is taken to be in store",
)
LIFTS = Table(
    "lifts.csv",
    "a past haul-out",
    (
        _BOAT,
        Column("lifted_on", "window", required=True, vital=True),
        Column("launched_on", "window"),
        Column("yard"),
        Column("reason"),
    ),
    "a failure found ashore reaches back to its fitting where last_sound_on is blank",
)
SLOTS = Table(
    "slots.csv",
    "a week of yard capacity",
    (
        Column("week", required=True),
        Column("slots", "number", required=True, vital=True),
        Column("hours", "number"),
        Column("places", "number"),
        Column("depth_m", "number"),
        Column("note"),
    ),
    "no yard capacity",
)
BOOKINGS = Table(
    "bookings.csv",
    "a charter",
    (
        _BOAT,
        Column("from", "window", required=True, vital=True),
        Column("to", "window", required=True, vital=True),
    ),
    "no charters",
)

TABLES = (BOATS, PARTS, HOURS, READINGS, PRICES, STOCK, LIFTS, SLOTS, BOOKINGS)
