"""What is known of the shaft hours of each life, whatever clock ages it: a table to read."""

from __future__ import annotations

import numpy as np
import pandas as pd

from analytics.ageing.hours_run import hours_run
from analytics.lives import Lives
from analytics.usage import day_numbers

UNDATED = "fitting not dated"
"""The window of fitting holds more hours than a twentieth of the life."""

COLUMNS = [
    *("life", "boat", "position", "kind", "outcome", "start_lo", "start_hi", "end_lo", "end_hi"),
    *("hours", "hours_low", "hours_high", "known", "source"),
]

_WIDE = 0.05


def hours_known_table(lives: Lives, table: pd.DataFrame) -> pd.DataFrame:
    """Shaft hours of some lives from fitting to end, with their bounds.

    Parameters
    ----------
    lives : Lives
        For the shaft hours.
    table : DataFrame
        Rows of `lives.table`.

    Returns
    -------
    DataFrame
        `COLUMNS`: the life and its windows, `hours` from the middle of the window of
        fitting to that of the end, `hours_low` to `hours_high` (all that the windows and
        the readings leave open; where no reading bounds them, the 90 % range of usual
        use), and in `known` where they come from: "read at a service", "between readings",
        "from usual use", or "fitting not dated".
    """
    line = lives.usage.line_of(table["boat"], table["position"])
    start_lo, start_hi, end_lo, end_hi = (
        day_numbers(table[name]) for name in ("start_lo", "start_hi", "end_lo", "end_hi")
    )
    start = (start_lo + start_hi) / 2
    middle = hours_run(lives.usage, line, start, (end_lo + end_hi) / 2)
    least = hours_run(lives.usage, line, start_hi, end_lo)
    most = hours_run(lives.usage, line, start_lo, end_hi)
    in_window = hours_run(lives.usage, line, start_lo, start_hi)
    found = table.copy()
    found["hours"] = middle.mean
    found["hours_low"] = np.minimum(least.low, middle.mean)
    found["hours_high"] = np.maximum(most.high, middle.mean)
    undated = (start_hi - start_lo > 1) & (in_window.mean > _WIDE * middle.mean)
    found["known"] = np.where(undated, UNDATED, middle.known())
    return found[COLUMNS].reset_index(drop=True)
