"""One life while it is being put together, and its row in the plain layout."""

from __future__ import annotations

from analytics.records.events.rows import Rows
from analytics.records.events.windows import UNKNOWN, written

LIFE_COLUMNS = (
    "boat",
    "position",
    "kind",
    "part_no",
    "size",
    "lot",
    "serial",
    "fitted_on",
    "here_since",
    "removed_on",
    "reason",
    "found",
    "last_sound_on",
    "fitted_hours",
    "removed_hours",
    "note",
)
"""Columns of a row. The two of hours stay blank: every hour told is a reading of its own."""

# Of two entries of one end, the one that says more of the part stands.
REASONS_BY_WEIGHT = (
    "failed",
    "accident",
    "replaced_sound",
    "other_work",
    "boat_left",
    "unknown",
    "",
)

_LONGEST_NOTE = 500
"""Characters beyond which no further remark is added to one life."""


class Life:
    """A part in a place, from the event that put it there or first told of it."""

    __slots__ = (
        "arrives",
        "began_after_end",
        "begin_event",
        "begin_line",
        "begun_by",
        "end_event",
        "end_hi",
        "end_line",
        "end_lo",
        "ended_by",
        "fit_hi",
        "fit_lo",
        "found",
        "leaves",
        "lines",
        "lot",
        "note",
        "part_no",
        "reason",
        "serial",
        "size",
        "sound_hi",
        "sound_line",
        "sound_lo",
    )

    def __init__(self, begun_by: str, begin_event: int, begin_line: int) -> None:
        self.begun_by, self.begin_event, self.begin_line = begun_by, begin_event, begin_line
        self.fit_lo = self.fit_hi = UNKNOWN
        self.began_after_end = False
        self.part_no = self.size = self.lot = self.serial = self.note = ""
        self.ended_by = self.reason = self.found = ""
        self.end_event = self.end_line = -1
        self.end_lo = self.end_hi = UNKNOWN
        self.sound_lo = self.sound_hi = UNKNOWN
        self.sound_line = -1
        self.arrives = self.leaves = -1
        self.lines: list[int] = []

    def describe(self, rows: Rows, i: int) -> None:
        """Take from an event what is not known of the part yet."""
        self.part_no = self.part_no or rows.part_no[i]
        self.size = self.size or rows.size[i]
        self.lot = self.lot or rows.lot[i]
        self.serial = self.serial or rows.serial[i]

    def another_part(self, rows: Rows, i: int) -> bool:
        """True where an event's serial or lot is not this part's."""
        serial, lot = rows.serial[i], rows.lot[i]
        return bool(
            (serial and self.serial and serial != self.serial)
            or (lot and self.lot and lot != self.lot)
        )

    def remark(self, note: str) -> None:
        """Add a remark that is not there yet."""
        if note and len(self.note) < _LONGEST_NOTE and note not in self.note:
            self.note = f"{self.note}; {note}" if self.note else note

    def seen_sound(self, lo: int, hi: int, line: int) -> None:
        """Keep the latest day on which it was sound."""
        if lo != UNKNOWN and (lo, hi) > (self.sound_lo, self.sound_hi):
            self.sound_lo, self.sound_hi, self.sound_line = lo, hi, line

    def weigh(self, reason: str) -> bool:
        """Let the weightier of two reasons for one end stand; True where both say something."""
        said = {self.reason, reason} - {"", "unknown"}
        self.reason = min(self.reason, reason, key=REASONS_BY_WEIGHT.index)
        return len(said) == 2

    def settle(self) -> None:
        """Cut what is known of its dates to what its end leaves possible."""
        if self.end_lo == UNKNOWN:
            return
        if self.fit_lo != UNKNOWN:
            self.fit_hi = min(self.fit_hi, self.end_hi)
            self.fit_lo = min(self.fit_lo, self.fit_hi)
        if self.sound_lo != UNKNOWN:
            self.sound_hi = min(self.sound_hi, self.end_hi)
            self.sound_lo = min(self.sound_lo, self.sound_hi)

    def row(self, rows: Rows, i: int) -> dict[str, str]:
        """Its row, the place being that of an event."""
        return {
            "boat": rows.boat[i],
            "position": rows.position[i],
            "kind": rows.kind[i],
            "part_no": self.part_no,
            "size": self.size,
            "lot": self.lot,
            "serial": self.serial,
            "fitted_on": written(self.fit_lo, self.fit_hi),
            "here_since": "",
            "removed_on": written(self.end_lo, self.end_hi),
            "reason": self.reason,
            "found": self.found,
            "last_sound_on": written(self.sound_lo, self.sound_hi),
            "fitted_hours": "",
            "removed_hours": "",
            "note": self.note,
        }

    def sources(self) -> tuple[int, ...]:
        """The lines that made it: of its end, of its beginning, of the last day sound, others."""
        end, begin, sound = self.end_line, self.begin_line, self.sound_line
        if sound < 0 and not self.lines and begin >= 0 and begin != end:
            return (end, begin) if end >= 0 else (begin,)
        lines = (end, begin, sound, *self.lines)
        return tuple(dict.fromkeys(line for line in lines if line >= 0))
