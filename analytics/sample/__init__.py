"""The invented fleet: seeded, of any size, with the truth beside the records."""

from analytics.sample.fleet import InventedFleet, invent_fleet, write_fleet
from analytics.sample.mess import InventedMess, mess_of, write_mess
from analytics.sample.scenario import Scenario, without_bad_lot, without_life_factors
from analytics.sample.tarnwick import TARNWICK

__all__ = [
    "TARNWICK",
    "InventedFleet",
    "InventedMess",
    "Scenario",
    "invent_fleet",
    "mess_of",
    "without_bad_lot",
    "without_life_factors",
    "write_fleet",
    "write_mess",
]
