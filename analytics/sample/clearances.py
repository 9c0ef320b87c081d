"""Clearances of bearings as the yards measured them at lifts: the rows of readings.csv.

A bearing wears along a straight line of its own: from its clearance when fitted to the renew
limit of its size in just the hours of its true life. So a shaft in silt, or out of line, wears
faster, and a bearing that failed by wear was past its limit when it came out. All chances come
from a stream that nothing else draws from.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date

import numpy as np

from analytics.sample.boats import Boat, Lift, Line
from analytics.sample.chance import Chance
from analytics.sample.lives import NEVER, Life
from analytics.sample.records import iso
from analytics.sample.scenario import Clearances, Scenario

READING_COLUMNS = ("boat", "position", "kind", "read_on", "measure", "value")

_OWN_STREAM = 4
"""The fleet and its mess draw from the streams before this one."""


@dataclass(frozen=True, slots=True)
class ClearanceRow:
    """A row of readings.csv, the life behind it and the clearance that was truly there, in mm."""

    text: Mapping[str, str]
    boat: Boat
    life: Life
    true_mm: float


def gauge_of(seed: int, boat: int) -> Chance:
    """The stream of one boat, by its number in the order of dealing."""
    return Chance(np.random.SeedSequence(seed, spawn_key=(_OWN_STREAM, boat)))


def clearance_rows(
    scenario: Scenario, boat: Boat, line: Line, lives: list[Life], chance: Chance
) -> list[ClearanceRow]:
    """The readings of one shaft line, of the bearings whose lives were recorded, by day.

    A bearing that failed early has come off its shell: there is nothing to measure.
    """
    habits = scenario.clearances
    if habits is None:
        return []
    measured = chance.happens(habits.share_of_lines)
    rows: list[ClearanceRow] = []
    for life in lives:
        if life.kind.name != habits.kind:
            continue
        size = boat.boat_class.shaft_mm
        new = max(0.0, chance.normal(habits.new_mm[size], habits.new_sd))
        for lift in _lifts_of(scenario, boat, life):
            taken = chance.happens(habits.share_of_lifts)
            error = chance.normal(0.0, habits.error_sd)
            loose = life.cause == "early" and life.fails_on <= lift.lifted
            if not measured or not taken or loose:
                continue
            true = _clearance(habits, line, life, size, new, lift.lifted)
            text = {
                "boat": boat.name,
                "position": line.position,
                "kind": life.kind.name,
                "read_on": iso(lift.lifted),
                "measure": "clearance_mm",
                "value": f"{max(0.0, true + error):.2f}",
            }
            rows.append(ClearanceRow(text, boat, life, true))
    return rows


def _clearance(
    habits: Clearances, line: Line, life: Life, size: int, new: float, day: int
) -> float:
    hours = line.hours.at(day) - line.hours.at(life.fitted_on)
    return new + (habits.renew_mm[size] - new) * hours / life.wear_out


def _lifts_of(scenario: Scenario, boat: Boat, life: Life) -> Iterator[Lift]:
    """Lifts at which a bearing was in place, and was found out if it was worn."""
    habits = scenario.clearances
    first_year = habits.first_year if habits else 0
    ended = NEVER if life.ended_on is None else life.ended_on
    for lift in boat.lifts:
        late = date.fromordinal(lift.lifted).year >= first_year and lift.lifted >= boat.seen_from
        if late and life.fitted_on < lift.lifted <= ended:
            yield lift
