"""Hours of a year to come of every line, against the years that were read."""

from __future__ import annotations

from datetime import date

import numpy as np

from analytics import job
from analytics.outlook.hours_to_come import HOURS_COLUMNS, usual_hours_table
from analytics.usage import day_number


def test_one_year_of_the_sample_lies_in_its_range(sample: job.Fleet) -> None:
    usage = sample.lives.usage
    table = usual_hours_table(usage)
    assert list(table.columns) == HOURS_COLUMNS
    assert len(table) == len(usage.lines)
    assert (table["expected_low"] < table["hours_expected"]).all()
    assert (table["hours_expected"] < table["expected_high"]).all()
    # Years that were read, against the range that one like them should lie in.
    every = np.arange(len(table))
    years = [day_number(date(year, 10, 31)) for year in range(2012, 2027)]
    ran = np.diff([usage.hours_at(every, np.full(len(every), day)) for day in years], axis=0)
    share = usage.past_rate / usage.rate
    low, high = table["expected_low"] * share, table["expected_high"] * share
    inside = (ran >= low.to_numpy()) & (ran <= high.to_numpy())
    assert 0.85 < inside.mean() < 0.97
