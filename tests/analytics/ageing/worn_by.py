"""Small invented fleets whose parts wear by the clock that a test names."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Literal

import numpy as np

from analytics.job import Fleet
from tests.analytics.ageing.folders import fleet_of

FIRST, YEARS = date(2012, 1, 1), 12
DAYS = int(YEARS * 365.25)
HEAD = f"as_of = {FIRST + timedelta(days=DAYS)}\nrecords_from = {FIRST}\nshaft_share = 1.0\n"


def worn_by(
    clock: Literal["years", "hours"],
    *,
    seed: int = 0,
    boats: int = 30,
    apart: float = 0.5,
    unit: float = 1.0,
    reading_every: float = 1.0,
    found: str = "afloat",
    kind: str = "packed_gland",
) -> Fleet:
    """Boats that run 300 hours a year on the mean, parts renewed whenever they fail.

    Lives are Weibull, shape 3, about 3 years or 900 hours.

    Parameters
    ----------
    apart : float
        Standard deviation of the log of a boat's hours; each boat runs evenly.
    unit : float
        What an hour is written as.
    reading_every : float
        Years between readings; 0 leaves the hours out.
    """
    rng = np.random.default_rng(seed)
    parts, hours = [], []
    for number in range(boats):
        a_year = 300.0 * float(np.exp(apart * rng.standard_normal()))
        boat, began = f"B{number:02d}", 0
        while True:
            life = 3.0 * rng.weibull(3.0) / 0.893
            if clock == "hours":
                life *= 300.0 / a_year
            ended = began + max(int(life * 365.25), 1)
            fitted = FIRST + timedelta(days=began)
            if ended >= DAYS:
                parts.append(f"{boat},single,{kind},,,{fitted}")
                break
            gone = FIRST + timedelta(days=ended)
            parts.append(f"{boat},single,{kind},,,{fitted},{gone},failed,{found}")
            began = ended
        if reading_every:
            step = int(365.25 * reading_every)
            hours += [
                f"{boat},single,{FIRST + timedelta(days=day)},{a_year * day / 365.25 * unit:.2f}"
                for day in range(0, DAYS + 1, step)
            ]
    return fleet_of(parts, head=HEAD, hours=hours)
