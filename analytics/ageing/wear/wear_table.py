"""Bearings with readings as a table: how far they are worn, and what is left until the limit."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

import numpy as np
import pandas as pd

from analytics.ageing.wear.hours_to_limit import Wear
from analytics.usage import day_number

WEAR_COLUMNS = [
    *("boat", "position", "kind", "size", "readings", "last_read_on", "last_mm", "last_hours"),
    *("limit_mm", "watch_mm", "limit_from", "hours_run"),
    *("clearance_low", "clearance", "clearance_high", "rate_low", "rate", "rate_high"),
    *("at_limit_low", "at_limit", "at_limit_high", "hours_low", "hours", "hours_high"),
    *("date_low", "date", "date_high", "over_limit", "by_season_end"),
    *("with_failures_by_season_end", "season_end", "last_sound_on", "rests_on", "source"),
]
"""Columns of `wear_table`; ranges are 90 %.

`last_mm` (mm) at `last_hours` (shaft hours since fitting) on `last_read_on`; `limit_mm` and
`watch_mm` with whose they are in `limit_from`; `hours_run` since fitting and `clearance` (mm) on
the last day watched; `rate` in mm per 1,000 shaft hours; `at_limit`, shaft hours since fitting
when the limit is reached; `hours` and `date`, from the last day watched until then, 0 and that
day where it is passed, no date where it is not reached before 2200 (the range of dates holds how
far the boat may be from her usual hours); `over_limit` and `by_season_end`, chance (0 to 1) by
readings alone that it is passed on the last day watched and by `season_end`;
`with_failures_by_season_end`, the chance of failing by then in the outlook of the season, which
joins readings with failures and with the last day sound, and counts early failures and accidents:
empty where the outlook leaves the readings out;
`last_sound_on`, the last day on which it is known to have been in place and not called failed;
`rests_on`, what the rate comes from."""

OWN, SHARED = "own readings", "one reading and the rate shared by all bearings read"


def wear_table(
    wear: Wear | None, season_end: date, joined: Mapping[int, float] | None = None
) -> pd.DataFrame:
    """What readings say of each bearing in service that has any, by boat and side.

    Parameters
    ----------
    wear : Wear or None
        None where nothing was read.
    season_end : date
        Last day of the season asked for.
    joined : mapping of int to float, optional
        By life, the chance of failing by then in the outlook, see `outlook.season.failing_by_end`.

    Returns
    -------
    DataFrame
        `WEAR_COLUMNS`. It tells what was measured and carries lines on: it is no inspection.
    """
    if wear is None:
        return pd.DataFrame(columns=WEAR_COLUMNS)
    table = wear.parts.copy()
    last = wear.readings.sort_values(["life", "read_hi", "mm"], kind="stable")
    hours = last.groupby("life")["hours"].last()
    table["last_hours"] = hours.loc[table["life"]].to_numpy()
    by_end = (wear.days <= day_number(season_end) + 1).mean(axis=0)
    table["by_season_end"] = np.where(table["limit_mm"].isna(), np.nan, by_end)
    table["with_failures_by_season_end"] = table["life"].map(joined or {}).astype(float)
    table["season_end"] = season_end
    sound = wear.table.set_index("life")["end_lo"]
    table["last_sound_on"] = sound.loc[table["life"]].to_numpy()
    table["rests_on"] = np.where(table["readings"] > 1, OWN, SHARED)
    table = table.sort_values(["boat", "position"], kind="stable", ignore_index=True)
    return table[WEAR_COLUMNS]
