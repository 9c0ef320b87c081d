"""Small fleet folders written in a test, so that what is tested goes in by the front door."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from analytics.job import Fleet, open_fleet
from analytics.lives import Lives

SETTINGS = "as_of = 2024-06-30\nrecords_from = 2005-01-01\nshaft_share = 1.0\n"
PARTS = "boat,position,kind,part_no,lot,fitted_on,removed_on,reason,found,last_sound_on"


def fleet_of(
    parts: Sequence[str],
    settings: str = "",
    *,
    head: str = SETTINGS,
    boats: Sequence[str] = (),
    boat_columns: str = "boat,lay_up",
    prices: Sequence[str] = (),
    hours: Sequence[str] = (),
    lifts: Sequence[str] = (),
) -> Fleet:
    """Read a fleet of rows of parts.csv: `PARTS`, trailing commas left out.

    Without `boats`, every boat named in the rows lies afloat all year.
    """
    width = PARTS.count(",")
    rows = [row + "," * (width - row.count(",")) for row in parts]
    named = boats or [f"{name},afloat" for name in dict.fromkeys(r.split(",")[0] for r in rows)]
    files = {
        "fleet.toml": head + settings,
        "boats.csv": _csv(boat_columns, named),
        "parts.csv": _csv(PARTS, rows),
    }
    if prices:
        files["prices.csv"] = _csv("kind,part_no,part_price,labour_hours,lead_time_days", prices)
    if hours:
        files["hours.csv"] = _csv("boat,position,read_on,hours", hours)
    if lifts:
        files["lifts.csv"] = _csv("boat,lifted_on", lifts)
    return open_fleet({name: text.encode() for name, text in files.items()})


def _csv(header: str, rows: Sequence[str]) -> str:
    return "\n".join([header, *rows]) + "\n"


def of_weibull_curves(lives: Lives) -> Lives:
    """The same lives, every kind taken as of the family that invented fleets are drawn from."""
    kinds = {name: replace(kind, family="weibull") for name, kind in lives.settings.kinds.items()}
    return replace(lives, settings=replace(lives.settings, kinds=kinds))


def with_sure_hours(lives: Lives) -> Lives:
    """The same lives where every boat runs just the hours that are expected of her."""
    none = np.full(len(lives.usage.rate), 1e-9)
    usage = replace(lives.usage, year_spread=none, past_spread=none, rate_spread=none)
    return replace(lives, usage=usage)
