"""An invented fleet of any size: a fleet folder to try everything on, and the truth behind it."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from analytics.sample.boats import Boat, deal_berths, draw_boat
from analytics.sample.chance import Chance
from analytics.sample.clearances import (
    READING_COLUMNS,
    ClearanceRow,
    clearance_rows,
    gauge_of,
)
from analytics.sample.defects import plant
from analytics.sample.lives import live_through, recorded
from analytics.sample.records import (
    BOAT_COLUMNS,
    PART_COLUMNS,
    PartRow,
    Reading,
    boat_row,
    charter_rows,
    iso,
    lift_rows,
    meter_readings,
    part_rows,
    slot_rows,
    whole,
)
from analytics.sample.scenario import Scenario
from analytics.sample.stock import STOCK_COLUMNS, stock_rows
from analytics.sample.tarnwick import TARNWICK
from analytics.sample.truth import truth_text
from analytics.sample.writing import (
    PRICE_COLUMNS,
    csv_text,
    price_rows,
    settings_text,
    write_files,
)


@dataclass(frozen=True)
class InventedFleet:
    """A fleet folder that nobody owns.

    `files` maps the name of each file to its text (UTF-8, line feeds); `truth.json` among them
    says what every part really did. `scenario` and `seed` make the same files again.
    """

    files: dict[str, str]
    scenario: Scenario
    seed: int


def invent_fleet(
    scenario: Scenario = TARNWICK,
    *,
    boats: int = 60,
    seed: int = 0,
    progress: Callable[[int, int], None] | None = None,
) -> InventedFleet:
    """Invent a fleet and its records.

    Each boat is simulated from its building on, and a life is recorded only if it was still in
    place when the boat came under the records: so the left truncation is real.

    Parameters
    ----------
    scenario
        What is true.
    boats
        Number of boats, at least one. Shares of the scenario are met by largest remainder.
    seed
        Not negative. The same seed gives the same bytes.
    progress
        Called with (boats done, boats wanted) after each boat.

    Raises
    ------
    ValueError
        If `boats` or `seed` is out of range.
    """
    if boats < 1:
        raise ValueError(f"boats is {boats}; ask for at least one")
    if seed < 0:
        raise ValueError(f"seed is {seed}; give zero or a positive whole number")
    fleet_seeds, office_seeds, boat_seeds = np.random.SeedSequence(seed).spawn(3)
    office = Chance(office_seeds)
    records = _Records()
    for done, berth in enumerate(deal_berths(scenario, boats, fleet_seeds, boat_seeds), start=1):
        boat = draw_boat(scenario, berth)
        living, writing = Chance(berth.seeds.lives), Chance(berth.seeds.records)
        records.add(scenario, boat, living, writing, gauge_of(seed, done))
        if progress is not None:
            progress(done, boats)
    records.sort()
    slots = slot_rows(scenario, sum(boat.left is None for boat in records.boats), office)
    defects = plant(
        scenario.defects,
        records.parts,
        records.readings,
        [boat.name for boat in records.boats],
        office,
    )
    files = {
        "fleet.toml": settings_text(scenario),
        "boats.csv": csv_text(
            BOAT_COLUMNS, ([row[name] for name in BOAT_COLUMNS] for row in records.boat_rows)
        ),
        "parts.csv": csv_text(
            PART_COLUMNS, ([row.text[name] for name in PART_COLUMNS] for row in records.parts)
        ),
        "hours.csv": csv_text(
            ("boat", "position", "read_on", "hours"),
            (
                (one.boat.name, one.line.position, iso(one.day), whole(one.hours))
                for one in records.readings
            ),
        ),
        "readings.csv": csv_text(
            READING_COLUMNS,
            ([row.text[name] for name in READING_COLUMNS] for row in records.clearances),
        ),
        "lifts.csv": csv_text(
            ("boat", "lifted_on", "launched_on", "yard", "reason"), records.lifts
        ),
        "prices.csv": csv_text(PRICE_COLUMNS, price_rows(scenario)),
        "stock.csv": csv_text(STOCK_COLUMNS, stock_rows(scenario, records.boats, seed)),
        "slots.csv": csv_text(("week", "slots", "note"), slots),
        "bookings.csv": csv_text(("boat", "from", "to"), records.charters),
        "truth.json": truth_text(
            scenario,
            seed,
            records.boats,
            records.parts,
            records.readings,
            records.clearances,
            defects,
        ),
    }
    return InventedFleet(files=files, scenario=scenario, seed=seed)


def write_fleet(fleet: InventedFleet, folder: Path) -> list[Path]:
    """Write an invented fleet into a new or empty folder, or over an earlier invented one.

    Raises
    ------
    ValueError
        If the folder holds anything else; the message says what to do.
    """
    return write_files(fleet.files, folder)


class _Records:
    """The rows of all boats while they are being written."""

    def __init__(self) -> None:
        self.boats: list[Boat] = []
        self.boat_rows: list[dict[str, str]] = []
        self.parts: list[PartRow] = []
        self.readings: list[Reading] = []
        self.clearances: list[ClearanceRow] = []
        self.lifts: list[tuple[str, str, str, str, str]] = []
        self.charters: list[tuple[str, str, str]] = []

    def add(
        self, scenario: Scenario, boat: Boat, living: Chance, writing: Chance, gauge: Chance
    ) -> None:
        self.boats.append(boat)
        self.boat_rows.append(boat_row(scenario, boat, writing))
        for line in boat.lines:
            lives = recorded(boat, live_through(scenario, boat, line, living))
            self.parts += part_rows(scenario, boat, line, lives, writing)
            self.readings += meter_readings(scenario, boat, line, writing)
            self.clearances += clearance_rows(scenario, boat, line, lives, gauge)
        self.lifts += lift_rows(boat)
        self.charters += charter_rows(scenario, boat, writing)

    def sort(self) -> None:
        """Into the order of boats' names; within a boat the order of writing stays."""
        self.boats.sort(key=lambda boat: boat.name)
        self.boat_rows.sort(key=lambda row: row["boat"])
        self.parts.sort(key=lambda row: row.boat.name)
        self.readings.sort(key=lambda reading: reading.boat.name)
        self.clearances.sort(key=lambda row: row.boat.name)
        self.lifts.sort(key=lambda row: row[0])
        self.charters.sort(key=lambda row: row[0])
