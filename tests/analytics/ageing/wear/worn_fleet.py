"""Invented fleets whose bearings wear along straight lines, written as fleet folders."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np

from analytics.ageing.wear.hours_to_limit import Wear, kind_wear
from analytics.ageing.wear.wear_readings import WearReadings, wear_readings
from analytics.job import Fleet, open_fleet
from analytics.records.wear_limits import WearSettings

SETTINGS = "as_of = 2024-06-30\nrecords_from = 2008-01-01\nshaft_share = 1.0\n"
AS_OF = date(2024, 6, 30)
HOURS_A_YEAR = 300.0
RENEW, NEW, NEW_SD = 0.75, 0.145, 0.033
"""Of 30 mm bearings; the middle and the spread of new ones as in the default limits."""

KIND = "cutless_bearing"
Truth = dict[str, float]
"""By boat, shaft hours after fitting at which the bearing in service reaches the limit."""


def folder(
    parts: list[str],
    readings: list[str],
    *,
    boats: list[str] | None = None,
    lifts: list[str] | None = None,
    settings: str = "",
    metered: bool = True,
) -> dict[str, bytes]:
    """A fleet folder; every boat runs `HOURS_A_YEAR` all year round, its meters read yearly.

    `parts`: boat, position, size, fitted_on, removed_on, reason, found. `readings`: boat, position,
    read_on, measure, value.
    """
    named = boats or [f"{one}," for one in dict.fromkeys(row.split(",")[0] for row in parts)]
    texts = {
        "fleet.toml": SETTINGS + settings,
        "boats.csv": _csv(
            "boat,shaft_size,lay_up,joined_on,hours_per_season",
            [f"{boat},afloat,2008-01-01,{HOURS_A_YEAR}" for boat in named],
        ),
        "parts.csv": _csv(
            "boat,position,kind,size,fitted_on,removed_on,reason,found",
            [_with_kind(row + "," * (6 - row.count(","))) for row in parts],
        ),
        "readings.csv": _csv(
            "boat,position,kind,read_on,measure,value", [_with_kind(row) for row in readings]
        ),
        "hours.csv": _csv("boat,read_on,hours", _meters(named) if metered else []),
        "lifts.csv": _csv("boat,lifted_on,launched_on", lifts or []),
    }
    return {name: text.encode() for name, text in texts.items()}


def worn(files: dict[str, bytes], seed: int = 0) -> tuple[Fleet, WearReadings, Wear | None]:
    """Read a folder and lay its readings on paths."""
    fleet, settings = open_fleet(files), WearSettings()
    readings = wear_readings(fleet.records, fleet.lives, settings)
    return fleet, readings, kind_wear(fleet.lives, readings, settings, KIND, seed)


def wearing_fleet(
    boats: int = 30,
    seed: int = 0,
    *,
    fail_at: float = RENEW,
    read: float = 0.5,
    settings: str = "",
) -> tuple[dict[str, bytes], Truth]:
    """Bearings that wear 0.2 mm in 1,000 h on the middle shaft, lifted yearly.

    At each lift the clearance is read with a chance of `read` and an error of 0.05 mm; a bearing
    past `fail_at` is found failed and renewed.
    """
    rng = np.random.default_rng(seed)
    parts: list[str] = []
    readings: list[str] = []
    lifts: list[str] = []
    truth: Truth = {}
    for number in range(boats):
        boat = f"Boat {number:03d}"
        fitted = date(2008, 1, 1) + timedelta(days=int(rng.integers(0, 365 * 8)))
        rate, new = 0.2 * np.exp(0.45 * rng.standard_normal()), NEW + NEW_SD * rng.standard_normal()
        for year in range(2009, AS_OF.year + 1):
            lift = date(year, 2, 15)
            lifts.append(f"{boat},{lift},{lift + timedelta(days=10)}")
            if lift <= fitted:
                continue
            mm = new + rate * (lift - fitted).days / 365.25 * HOURS_A_YEAR / 1000
            if rng.random() < read:
                shown = max(mm + 0.05 * rng.standard_normal(), 0.0)
                readings.append(f"{boat},single,{lift},clearance_mm,{shown:.2f}")
            if mm > fail_at:
                parts.append(f"{boat},single,30 mm,{fitted},{lift},failed,ashore")
                fitted = lift
                rate = 0.2 * np.exp(0.45 * rng.standard_normal())
                new = NEW + NEW_SD * rng.standard_normal()
        parts.append(f"{boat},single,30 mm,{fitted}")
        truth[boat] = (RENEW - new) / rate * 1000
    return folder(parts, readings, lifts=lifts, settings=settings), truth


def _meters(boats: list[str]) -> list[str]:
    first = date(2008, 1, 1)
    days = [*(date(year, 1, 1) for year in range(2008, AS_OF.year + 1)), AS_OF]
    return [
        f"{boat.split(',')[0]},{day},{(day - first).days / 365.25 * HOURS_A_YEAR:.1f}"
        for boat in boats
        for day in days
    ]


def _with_kind(row: str) -> str:
    boat, position, rest = row.split(",", 2)
    return f"{boat},{position},{KIND},{rest}"


def _csv(header: str, rows: list[str]) -> str:
    return "\n".join([header, *rows]) + "\n"
