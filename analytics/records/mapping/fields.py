"""What a column of somebody's export may hold, by the shape of the export."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from analytics.records.tables import Column, Table

Holds = Literal[
    "text",
    "date",
    "number",
    "size",
    "kind",
    "position",
    "reason",
    "action",
    "condition",
    "found",
    "lay_up",
    "water",
]
"""How the cells of a field are read: as they stand, as dates, numbers or sizes, or by the word
list of that name."""


@dataclass(frozen=True)
class Field:
    """Something that a column may hold.

    Attributes
    ----------
    name : str
        Where the plain layout has such a column, its name there.
    holds : str
        How its cells are read.
    says : str
        What it is, in a few words, for people who choose columns.
    """

    name: str
    says: str
    holds: Holds = "text"


@dataclass(frozen=True)
class Shape:
    """What the rows of an export are, and what its columns may hold.

    Attributes
    ----------
    name, row_is : str
    fields : tuple of Field
    needed : tuple of tuple of str
        Of each group one field must have a column or a fixed text.
    vital : tuple of str
        Fields whose cell, where it stands and cannot be read, rejects its row.
    """

    name: str
    row_is: str
    fields: tuple[Field, ...]
    needed: tuple[tuple[str, ...], ...]
    vital: tuple[str, ...]

    @cached_property
    def by_name(self) -> dict[str, Field]:
        """The fields by their names."""
        return {field.name: field for field in self.fields}

    @cached_property
    def as_table(self) -> Table:
        """The shape as a table, for what looks at tables."""
        needed = {name for group in self.needed for name in group}
        columns = tuple(
            Column(
                field.name,
                "number" if field.holds == "number" else "text",
                required=field.name in needed,
            )
            for field in self.fields
        )
        return Table(f"{self.name}.csv", self.row_is, columns, "")


_BOAT = Field("boat", "the boat's name")
_HULL = Field("hull_no", "the boat's hull number or other lasting mark")
_POSITION = Field("position", "which shaft: port, starboard or the only one", "position")
_KIND = Field("kind", "what the part is, as a code or in words", "kind")
_PART_NO = Field("part_no", "the part's number in the stores")
_SIZE = Field("size", "the shaft size", "size")
_LOT = Field("lot", "the maker's lot or date code")
_SERIAL = Field("serial", "the mark of the one part, which goes with it to another boat")
_QUANTITY = Field("quantity", "how many", "number")
_JOB = Field("job", "the number of the job")
_PERSON = Field("person", "who did or saw it; masked in whatever is shown")
_NOTE = Field("note", "remarks")
_INVOICE = Field("invoice_on", "the date of an invoice, not of the fitting", "date")
_FOUND = Field("found", "seen afloat or ashore", "found")
_BASE = Field("base", "where the boat lies, where no list of boats says so")
_BUILT = Field("built_on", "when the boat was built, where no list of boats says so", "date")

BOATS = Shape(
    "boats",
    "a boat",
    (
        _BOAT,
        _HULL,
        Field("was_named", "the name it had before"),
        Field("renamed_on", "when it got its present name", "date"),
        Field("base", "where it lies"),
        Field("model", "its model or class"),
        Field("built_on", "when it was built", "date"),
        Field("joined_on", "since when it has been in these records", "date"),
        Field("left_on", "when it left the fleet", "date"),
        Field("lay_up", "kept ashore or afloat out of season", "lay_up"),
        Field("water", "salt, brackish or fresh", "water"),
        Field("hours_per_season", "engine hours of a season", "number"),
        Field("shaft_size", "the size of its shafts", "size"),
        Field("shafts", "how many shafts or engines", "number"),
    ),
    (("boat", "hull_no"),),
    ("joined_on", "left_on"),
)
LIVES = Shape(
    "lives",
    "one part from its fitting to its removal",
    (
        _BOAT,
        _HULL,
        _POSITION,
        _KIND,
        _PART_NO,
        _SIZE,
        _LOT,
        _SERIAL,
        _QUANTITY,
        Field("fitted_on", "when it was fitted", "date"),
        _INVOICE,
        Field("removed_on", "when it was removed; blank while it is fitted", "date"),
        Field("reason", "why it was removed, as a code or in words", "reason"),
        _FOUND,
        Field("last_sound_on", "when it was last seen sound", "date"),
        Field("fitted_hours", "engine hours at its fitting", "number"),
        Field("removed_hours", "engine hours at its removal", "number"),
        _BASE,
        _BUILT,
        _JOB,
        _PERSON,
        _NOTE,
    ),
    (("boat", "hull_no"), ("kind",), ("fitted_on", "removed_on", "invoice_on")),
    ("position", "kind", "fitted_on", "removed_on"),
)
EVENTS = Shape(
    "events",
    "a job or event: something fitted, failed, removed or looked at",
    (
        _BOAT,
        _HULL,
        Field("on", "the date of the job", "date"),
        Field("until", "the date on which the job was done, where it took days", "date"),
        _POSITION,
        _KIND,
        Field("action", "what was done", "action"),
        Field("reason", "why, as a code or in words", "reason"),
        Field("condition", "how the part was found", "condition"),
        _FOUND,
        Field("hours", "engine hours on that day", "number"),
        _PART_NO,
        _SIZE,
        _LOT,
        _SERIAL,
        _QUANTITY,
        Field("to_boat", "the boat that the part went to"),
        Field("last_sound_on", "when it was last seen sound", "date"),
        _INVOICE,
        _JOB,
        Field("price", "what it cost", "number"),
        _BASE,
        _BUILT,
        _PERSON,
        _NOTE,
    ),
    (("boat", "hull_no"), ("on", "invoice_on"), ("kind",)),
    ("on", "position", "kind", "action"),
)
ISSUED = Shape(
    "issued",
    "parts taken from the stores for a job",
    (
        _JOB,
        Field("on", "the date of issue", "date"),
        _BOAT,
        _POSITION,
        _KIND,
        _PART_NO,
        _SIZE,
        _LOT,
        _QUANTITY,
        Field("price", "what one costs", "number"),
        Field("currency", "the code of its currency"),
        _PERSON,
        _NOTE,
    ),
    (("job",), ("kind", "part_no")),
    ("kind",),
)
HOURS = Shape(
    "hours",
    "an hour-meter reading",
    (
        _BOAT,
        _HULL,
        _POSITION,
        Field("read_on", "the date of the reading", "date"),
        Field("hours", "what the meter showed", "number"),
        _PERSON,
        _NOTE,
    ),
    (("boat", "hull_no"), ("read_on",), ("hours",)),
    ("position", "read_on", "hours"),
)
READINGS = Shape(
    "readings",
    "an inspection or a measurement of condition",
    (
        _BOAT,
        _HULL,
        _POSITION,
        _KIND,
        Field("read_on", "the date of the inspection", "date"),
        Field("condition", "what was found", "condition"),
        Field("measure", "what was measured"),
        Field("value", "the number read", "number"),
        Field("unit", "its unit"),
        _PERSON,
        _NOTE,
    ),
    (("boat", "hull_no"), ("kind",), ("read_on",), ("condition", "value")),
    ("position", "kind", "read_on", "value"),
)
LIFTS = Shape(
    "lifts",
    "a past haul-out",
    (
        _BOAT,
        _HULL,
        Field("lifted_on", "when it came out of the water", "date"),
        Field("launched_on", "when it went back", "date"),
        Field("yard", "where"),
        Field("reason", "why it was lifted"),
        _PERSON,
        _NOTE,
    ),
    (("boat", "hull_no"), ("lifted_on",)),
    ("lifted_on",),
)
PRICES = Shape(
    "prices",
    "the cost of a kind of part",
    (
        _KIND,
        _PART_NO,
        _SIZE,
        Field("part_price", "its price", "number"),
        Field("currency", "the code of its currency"),
        Field("tax", "net or gross"),
        Field("labour_hours", "hours of work to renew it", "number"),
        Field("shared_hours", "hours of work where the shaft is drawn anyway", "number"),
        Field("lead_time_days", "days from order to delivery", "number"),
        Field("shelf_life_years", "years it may be stored", "number"),
        _NOTE,
    ),
    (("kind", "part_no"), ("part_price",)),
    ("kind", "part_price"),
)

SHAPES = {
    shape.name: shape for shape in (BOATS, LIVES, EVENTS, ISSUED, HOURS, READINGS, LIFTS, PRICES)
}
"""Every shape by its name."""
