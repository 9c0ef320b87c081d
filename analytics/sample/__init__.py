"""The invented fleet: seeded, of any size, with the truth beside the records."""

from analytics.sample.fleet import InventedFleet, invent_fleet, write_fleet
from analytics.sample.scenario import Scenario, without_bad_lot, without_life_factors
from analytics.sample.tarnwick import TARNWICK

__all__ = [
    "TARNWICK",
    "InventedFleet",
    "Scenario",
    "invent_fleet",
    "without_bad_lot",
    "without_life_factors",
    "write_fleet",
]
