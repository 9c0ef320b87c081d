"""Clearance readings laid on the lives of the bearings they were taken of.

A renewal begins a new path, so each reading belongs to one life. What cannot be
laid on one life, or is no clearance in mm or inches, is kept, marked as not
used, and told. What else a reading says (direction, wet or dry, felt by hand)
stays beside it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, cast

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.lives import Lives
from analytics.records.findings import Finding, of_rows
from analytics.records.reading import Records
from analytics.records.tables import BOATS, READINGS
from analytics.records.vocabulary.sizes import MM_PER_INCH
from analytics.records.wear_limits import WearSettings
from analytics.usage import day_numbers

Floats = npt.NDArray[np.float64]

FELT = 3.0
"""A clearance felt by hand has this many times the error of a measured one (planning default)."""

LARGEST_MM = 20.0
"""No boat's rubber bearing has a larger clearance: a slip of the pen or of the unit."""

FALL, RENEWED = 1.6448536269514722, 4.0
"""A fall of more than this many errors (of a difference) is told; of more than the second it is
taken for a renewal that nobody wrote down."""

COLUMNS = [
    *("boat", "position", "kind", "life", "size", "read_lo", "read_hi", "measure", "value"),
    *("mm", "direction", "water", "method", "error_factor", "used", "why", "row", "source"),
]

_MEASURES = {"clearance", "clearances", "play", "gap", "lift"}
_UNITS = {
    **dict.fromkeys(("mm", "millimetre", "millimetres", "millimeter", "millimeters"), 1.0),
    **dict.fromkeys(("in", "inch", "inches", "ins"), MM_PER_INCH),
    **dict.fromkeys(("thou", "thous"), MM_PER_INCH / 1000),
}
_DIRECTIONS = {
    **dict.fromkeys(("vertical", "vertically", "v", "up", "down"), "vertical"),
    **dict.fromkeys(("horizontal", "horizontally", "h", "athwart", "sideways"), "horizontal"),
}
_METHODS = {
    **dict.fromkeys(("felt", "hand", "handfelt", "feel"), "felt by hand"),
    **dict.fromkeys(("feeler", "feelers", "gauge", "gauges"), "feeler gauge"),
    **dict.fromkeys(("dial", "lift"), "dial lift"),
}


@dataclass(frozen=True)
class Measure:
    """What the text in `measure` says: a clearance, in which unit and how it was taken.

    Attributes
    ----------
    mm_per_unit : float or None
        None where no unit is given, or one that is not known.
    direction, water, method : str
        Blank where nothing is said.
    """

    mm_per_unit: float | None
    direction: str
    water: str
    method: str


def measure_of(text: str) -> Measure | None:
    """Read `measure`, such as "clearance_mm" or "clearance, vertical, dry, in"; None if none."""
    words = [word for word in re.split(r"[\W_]+", text.lower()) if word]
    if not _MEASURES & set(words):
        return None

    def first(table: dict[str, str]) -> str:
        return next((table[word] for word in words if word in table), "")

    # The unit stands last: "lift in mm" is no inch.
    units = [_UNITS[word] for word in words if word in _UNITS]
    return Measure(
        mm_per_unit=units[-1] if units else None,
        direction=first(_DIRECTIONS),
        water=first({"wet": "wet", "dry": "dry"}),
        method=first(_METHODS),
    )


@dataclass(frozen=True)
class WearReadings:
    """Clearance readings of a fleet, each with the life it was taken of.

    Attributes
    ----------
    table : DataFrame
        A row per reading, `COLUMNS`. `value` as it was written and `mm` in
        millimetres; `life` as in `Lives.table`, 0 where it is not known which;
        `used` is False, and `why` says so, where it is on no path. Ordered by
        boat, position, kind, life and day, not by row.
    findings : tuple of Finding
    """

    table: pd.DataFrame
    findings: tuple[Finding, ...]

    def used(self, kind: str) -> pd.DataFrame:
        """Readings of a kind that are on a path."""
        return self.table[self.table["used"] & self.table["kind"].eq(kind)]


def wear_readings(records: Records, lives: Lives, wear: WearSettings) -> WearReadings:
    """Lay every clearance reading on a life.

    A reading that may be of two lives, because it was taken about the day of a
    renewal, is of the new part where it lies within the range of new bearings,
    of the old one where it lies well above it, and of neither in between.

    Parameters
    ----------
    records : Records
    lives : Lives
        Made of the same records.
    wear : WearSettings
    """
    rows = records.tables[READINGS.file]
    boats = records.tables[BOATS.file]
    shafts = dict(zip(boats["boat"], boats["shaft_size"], strict=True))
    placed = _Places(lives, shafts, wear)
    days = zip(day_numbers(rows["read_on_lo"]), day_numbers(rows["read_on_hi"]), strict=True)
    table = pd.DataFrame(
        [
            placed.reading(cast("dict[str, Any]", row), lo, hi)
            for row, (lo, hi) in zip(rows.to_dict("records"), days, strict=True)
        ],
        columns=[name for name in COLUMNS if name != "source"],
    )
    table["used"] = table["used"].astype(bool)  # an empty column would be of objects
    table["source"] = [records.source(READINGS.file, int(row)) for row in table["row"]]
    # By what was read, and by the row only where nothing else tells two apart.
    order = ["boat", "position", "kind", "life", "read_lo", "read_hi", "measure", "mm", "row"]
    table = table.sort_values(order, kind="stable", ignore_index=True)[COLUMNS]
    _one_direction_a_day(table)
    broken = _broken_paths(table, wear.belief.error_mm)
    return WearReadings(table, tuple(records.located(_findings(table, broken))))


class _Places:
    """Lives by place, to look up which one a reading was taken of."""

    def __init__(self, lives: Lives, shafts: dict[str, str], wear: WearSettings) -> None:
        table = lives.table
        self._wear, self._shafts = wear, shafts
        self._life = table["life"].to_numpy()
        self._size = table["size"].to_numpy(dtype=object)
        self._start_lo = day_numbers(table["start_lo"])
        self._end_hi = day_numbers(table["end_hi"])
        places = table.groupby(["boat", "position", "kind"], sort=False).indices
        self._rows = cast("dict[tuple[str, str, str], npt.NDArray[np.int64]]", places)
        self._sides: dict[tuple[str, str], list[str]] = {}
        for boat, position, kind in sorted(self._rows):
            self._sides.setdefault((boat, kind), []).append(position)

    def reading(self, row: dict[str, Any], lo: float, hi: float) -> dict[str, Any]:
        """One row of the table."""
        boat, kind, text = str(row["boat"]), str(row["kind"]), str(row["measure"])
        position = str(row["position"] or "")
        sides = self._sides.get((boat, kind), [])
        if not position and len(sides) == 1:
            position = sides[0]
        value, measure = float(row["value"]), measure_of(text)
        unit = measure.mm_per_unit if measure else None
        mm = value * unit if unit else np.nan
        life, size, why = 0, "", ""
        if measure is None:
            why = "not a clearance"
        elif unit is None:
            why = "no unit"
        elif not 0 <= mm <= LARGEST_MM:
            why = "no clearance of a bearing"
        elif not position and sides:
            why = "no side"
        else:
            life, size, why = self._life_of((boat, position, kind), lo, hi, mm)
        felt = measure is not None and measure.method == "felt by hand"
        return {
            "boat": boat,
            "position": position,
            "kind": kind,
            "life": life,
            "size": size,
            "read_lo": row["read_on_lo"],
            "read_hi": row["read_on_hi"],
            "measure": text,
            "value": value,
            "mm": mm,
            "direction": measure.direction if measure else "",
            "water": measure.water if measure else "",
            "method": measure.method if measure else "",
            "error_factor": FELT if felt else 1.0,
            "used": not why,
            "why": why,
            "row": row["row"],
        }

    def _life_of(
        self, place: tuple[str, str, str], lo: float, hi: float, mm: float
    ) -> tuple[int, str, str]:
        rows = np.asarray(self._rows.get(place, []), dtype=np.int64)
        possible = rows[(self._start_lo[rows] <= hi) & (self._end_hi[rows] >= lo)]
        if not len(possible):
            return 0, "", "no part there then"
        if len(possible) == 1:
            chosen = int(possible[0])
            return int(self._life[chosen]), self._size_of(place[0], chosen), ""
        possible = possible[np.argsort(self._start_lo[possible], kind="stable")]
        limit = self._wear.limit_of(place[2], self._size_of(place[0], int(possible[-1])))
        if len(possible) == 2 and limit is not None:
            above = mm - limit.new_mm[1]
            if above <= 0 or above > 2 * self._wear.belief.error_mm:
                chosen = int(possible[1] if above <= 0 else possible[0])
                return int(self._life[chosen]), self._size_of(place[0], chosen), ""
        return 0, "", "old part or new"

    def _size_of(self, boat: str, row: int) -> str:
        return str(self._size[row] or self._shafts.get(boat, "") or "")


def _ways(rows: pd.DataFrame) -> pd.Series[str]:
    """How each reading was taken."""
    return rows["direction"] + "|" + rows["water"]


def _one_direction_a_day(table: pd.DataFrame) -> None:
    """Of readings in several directions on one day the largest stands: the limit is on that."""
    used = table[table["used"]]
    ways, day = _ways(used), [used["life"], used["read_lo"]]
    several = ways.groupby(day).transform("nunique") > 1
    if several.any():
        largest = used["mm"].groupby(day).transform("idxmax")
        smaller = used.index[several & (ways != ways.loc[largest].to_numpy())]
        table.loc[smaller, "used"] = False
        table.loc[smaller, "why"] = "smaller than another that day"


def _broken_paths(table: pd.DataFrame, error_mm: float) -> dict[str, list[int]]:
    """Rows where the clearance falls by more than its error; a deep fall breaks the path."""
    used = table[table["used"]]
    life, factor = used["life"].to_numpy(), used["error_factor"].to_numpy()
    later = (np.diff(life) == 0) & (np.diff(day_numbers(used["read_lo"])) > 0)
    error = error_mm * np.sqrt(factor[1:] ** 2 + factor[:-1] ** 2)
    fall = np.where(later, -np.diff(used["mm"].to_numpy()) / error, 0.0)
    rows = used["row"].to_numpy()
    renewed = np.isin(life, life[1:][fall > RENEWED])
    table.loc[used.index[renewed], "used"] = False
    table.loc[used.index[renewed], "why"] = "the clearance fell, as if renewed"
    mixed = _ways(used).groupby(used["life"]).transform("nunique").to_numpy() > 1
    return {
        "fell": rows[1:][(fall > FALL) & ~renewed[1:]].tolist(),
        "renewed": rows[1:][fall > RENEWED].tolist(),
        "mixed": rows[mixed & ~renewed].tolist(),
    }


_ASIDE = {
    "not a clearance": (
        "measure",
        "a clearance, such as clearance_mm",
        "Kept, and on no wear path. Name what was measured and its unit.",
    ),
    "no unit": (
        "measure",
        "a unit, such as clearance_mm or clearance_in",
        "Kept, and on no wear path: mm and inches are not guessed. Add the unit.",
    ),
    "no clearance of a bearing": (
        "value",
        f"0 to {LARGEST_MM:g} mm",
        "Kept, and on no wear path. Correct the value or its unit.",
    ),
    "no side": (
        "position",
        "port or starboard",
        "Kept, and on no wear path: the boat has this part on two shafts. Add the side.",
    ),
    "no part there then": (
        "read_on",
        "a day on which parts.csv has this part in this place",
        "Kept, and on no wear path. Correct the date or add the part.",
    ),
    "old part or new": (
        "read_on",
        "a reading before the renewal or after it",
        "Kept, and on no wear path: it may be of the part taken out or of the one fitted. Date "
        "the renewal and the reading to the day.",
    ),
}
_BROKEN = {
    "fell": (
        "a clearance that does not fall",
        "noted",
        "It fell by more than its error. Look at it again: another direction, wet after dry, a "
        "slip, or a renewal that is not written down. It is used as it stands.",
    ),
    "renewed": (
        "a clearance that does not fall",
        "ignored",
        "It fell as if the bearing had been renewed, and no renewal is written down. None of this "
        "life's readings is used until the renewal is added or the reading corrected.",
    ),
    "mixed": (
        "readings taken in one way",
        "noted",
        "Readings in several directions, or wet and dry, are on one path: part of its rise or "
        "fall is the way of reading.",
    ),
}


def _findings(table: pd.DataFrame, broken: dict[str, list[int]]) -> Iterable[Finding]:
    found: list[Finding] = []
    for why, (field, expected, remedy) in _ASIDE.items():
        rows = table.loc[table["why"] == why]
        first = "" if rows.empty else str(rows.sort_values("row").iloc[0][_SHOWN[field]])
        finding = Finding(READINGS.file, None, field, first, expected, "ignored", remedy)
        found += of_rows(finding, rows["row"].tolist())
    for what, (expected, done, remedy) in _BROKEN.items():
        chosen = sorted(broken.get(what, []))
        first = "" if not chosen else f"{table.loc[table['row'] == chosen[0], 'mm'].iloc[0]:.2f} mm"
        finding = Finding(READINGS.file, None, "value", first, expected, done, remedy)  # type: ignore[arg-type]
        found += of_rows(finding, chosen)
    felt = table.loc[table["used"] & (table["method"] == "felt by hand"), "row"].tolist()
    remedy = f"A clearance felt by hand counts with {FELT:g} times the error of a measured one."
    found += of_rows(
        Finding(READINGS.file, None, "measure", "felt by hand", "a gauge", "noted", remedy), felt
    )
    return found


_SHOWN = {"measure": "measure", "value": "value", "position": "position", "read_on": "read_lo"}
