"""Hours that a year to come may bring each shaft line, as a table."""

from __future__ import annotations

import numpy as np
import pandas as pd

from analytics.ageing.hours_run import Z90
from analytics.usage import ShaftHours

HOURS_COLUMNS = [
    *("boat", "position", "basis", "readings"),
    *("hours_a_year", "hours_expected", "expected_low", "expected_high"),
]


def usual_hours_table(usage: ShaftHours) -> pd.DataFrame:
    """Shaft hours a year of every line: as run so far, and what a year to come may bring.

    Columns: `boat`, `position`, `basis` ("meter", "hours_per_season" or "fleet": where the
    rate comes from), `readings`, `hours_a_year` (shaft hours a year so far),
    `hours_expected` (a year to come) and its 90 % range `expected_low` to `expected_high`.
    """
    width = np.sqrt(np.log1p(usage.rate_spread**2 + usage.year_spread**2))
    low, high = (usage.rate * np.exp(sign * Z90 * width - width**2 / 2) for sign in (-1.0, 1.0))
    table = pd.DataFrame(usage.lines.keys(), columns=["boat", "position"])
    table["basis"] = usage.basis
    table["readings"] = [len(read) for read in usage.read]
    table["hours_a_year"], table["hours_expected"] = usage.past_rate, usage.rate
    table["expected_low"], table["expected_high"] = low, high
    return table[HOURS_COLUMNS]
