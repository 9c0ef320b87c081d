"""What readings say of a new bearing, on a shaft of which nothing is known."""

from __future__ import annotations

from zlib import crc32

import numpy as np
import numpy.typing as npt
import pandas as pd
from scipy.special import ndtri

from analytics.ageing.wear.hours_to_limit import BAND, Wear, size_factor
from analytics.ageing.wear.straight_lines import PER, Z90
from analytics.records.wear_limits import WearLimit

Floats = npt.NDArray[np.float64]


def new_bearing_hours(wear: Wear, limit: WearLimit, seed: int = 0) -> Floats:
    """Hours to the renew limit of a new bearing on a random shaft, a draw for each of `shared`.

    Raises
    ------
    ValueError
        If new bearings of that size are fitted past their limit.
    """
    rng = np.random.default_rng([seed, crc32(f"new|{wear.kind}|{limit.size}".encode())])
    middle, spread = _new(limit)
    shared, n = wear.shared, len(wear.shared)
    fitted = middle + shared.offset + spread * rng.standard_normal(n)
    log_rate = shared.log_rate + np.exp(shared.log_spread) * rng.standard_normal(n)
    rate = size_factor(limit) * np.exp(log_rate)
    return np.asarray(np.maximum(limit.renew_mm - fitted, 0.0) / rate * PER)


def life_by_readings(wear: Wear, limit: WearLimit, share: float) -> Floats:
    """Hours by which a share of new bearings has reached the limit, a draw for each of `shared`.

    The hours are lognormal but for the spread of the clearance at fitting,
    which is added to first order.
    """
    middle, spread = _new(limit)
    room = np.maximum(limit.renew_mm - middle - wear.shared.offset, 1e-3)
    log_hours = np.log(room * PER / size_factor(limit)) - wear.shared.log_rate
    deviation = np.sqrt(np.exp(2 * wear.shared.log_spread) + (spread / room) ** 2)
    return np.asarray(np.exp(log_hours + ndtri(share) * deviation))


def new_bearings(wear: Wear, seed: int = 0) -> pd.DataFrame:
    """What the readings say of new bearings, a row for each size in use that has a limit.

    Returns
    -------
    DataFrame
        `size`, `limit_mm`, `limit_from`, `paths` (of that size);
        `hours_low`, `hours`, `hours_high` of one bearing on a random shaft;
        `life_10_low`, `life_10`, `life_10_high`: hours by which one in ten has
        reached the limit.
    """
    rows = []
    for limit in wear.sizes():
        one = np.quantile(new_bearing_hours(wear, limit, seed), BAND)
        tenth = np.quantile(life_by_readings(wear, limit, 0.1), BAND)
        paths = sum(other is not None and other.size == limit.size for other in wear.limits)
        rows.append([limit.size, limit.renew_mm, limit.whose_is("renew"), paths, *one, *tenth])
    names = ["size", "limit_mm", "limit_from", "paths", "hours_low", "hours", "hours_high"]
    return pd.DataFrame(rows, columns=[*names, "life_10_low", "life_10", "life_10_high"])


def _new(limit: WearLimit) -> tuple[float, float]:
    return sum(limit.new_mm) / 2, (limit.new_mm[1] - limit.new_mm[0]) / (2 * Z90)
