"""A fleet of two boats and a yard of three weeks, small enough to plan by hand."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any

from analytics import job
from analytics.ageing.fit import FleetAgeing
from analytics.decisions.haul_outs import HaulOuts
from analytics.records.wishes import Wish
from tests.analytics.records.fleet_folder import files, part

WREN, FINCH = "Penny Wren", "Grey Finch"
WEEKS = (date(2021, 1, 4), date(2021, 1, 11), date(2021, 1, 18))
SLOTS = tuple({"week": str(week), "slots": "1", "note": ""} for week in WEEKS)
SETTINGS = """
as_of = 2020-12-31
records_from = 2005-01-01
season_start = "04-01"
season_end = "10-31"
lift_on = "01-15"
currency = "EUR"
[rates]
labour_per_hour = 50
lift_and_launch = 400
tow = 900
lost_day = 300
lost_days = 4
[kinds.bellows]
limit = 8
"""
PRICES = (
    {"kind": "bellows", "part_price": "100", "labour_hours": "6", "shared_hours": "1"},
    {"kind": "face_seal", "part_price": "300", "labour_hours": "7", "shared_hours": "2"},
)


def life(boat: str, kind: str, fitted: str, removed: str = "", reason: str = "") -> dict[str, str]:
    return part(boat=boat, kind=kind, fitted_on=fitted, removed_on=removed, reason=reason)


def lives() -> list[dict[str, str]]:
    """Bellows of the Wren past their limit of eight years, those of the Finch of last year."""
    past = [
        life(boat, "bellows", f"{year}-03-01", f"{year + 5}-07-01", "failed")
        for boat, year in ((WREN, 2005), (FINCH, 2006), (FINCH, 2011))
    ]
    return [
        *past,
        life(WREN, "bellows", "2012-03-01"),
        life(WREN, "face_seal", "2019-03-01"),
        life(FINCH, "bellows", "2020-02-01"),
        life(FINCH, "face_seal", "2020-02-01"),
    ]


def folder(
    *,
    settings: str = SETTINGS,
    parts: Iterable[Mapping[str, str]] | None = None,
    **others: Any,
) -> dict[str, bytes]:
    tables = {"slots": SLOTS, "prices": PRICES, **others}
    given = {name: rows for name, rows in tables.items() if rows is not None}
    boats = given.pop("boats", ({"boat": WREN, "base": "North"}, {"boat": FINCH, "base": "South"}))
    chosen = lives() if parts is None else list(parts)
    return files(*chosen, boats=boats, settings=settings, **given)


_FITTED: dict[str, tuple[FleetAgeing, job.YardGround]] = {}
"""By what they depend on: weeks, charters and wishes change neither curves nor worth."""


def planned(wishes: tuple[Wish, ...] | None = None, **given: Any) -> HaulOuts:
    fleet = job.open_fleet(folder(**given))
    weeks = ("slots", "bookings")
    key = repr(sorted((name, rows) for name, rows in given.items() if name not in weeks))
    if key not in _FITTED:
        ageing = job.how_it_ages(fleet)
        _FITTED[key] = ageing, job.yard_ground_of(fleet, ageing)
    ageing, ground = _FITTED[key]
    return job.haul_outs_of(fleet, ageing, wishes=wishes, ground=ground)


_SAMPLE: list[job.YardGround] = []


def sample_ground(sample: job.Fleet, ageing: FleetAgeing) -> job.YardGround:
    """What the plan of the sample fleet rests on, worked out once for all tests."""
    if not _SAMPLE:
        _SAMPLE.append(job.yard_ground_of(sample, ageing))
    return _SAMPLE[0]
