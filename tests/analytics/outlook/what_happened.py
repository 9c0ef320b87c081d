"""What the invented fleet's parts would really have done in a season that is still to come."""

from __future__ import annotations

import json
from datetime import date

import numpy as np

from analytics.job import Fleet
from analytics.outlook.season import SeasonRisk
from analytics.sample import InventedFleet
from analytics.usage import DAYS_PER_YEAR, day_number

ROW, FITTED, WEAR_OUT, EARLY_DAYS = 0, 4, 6, 7
"""Columns of a part in truth.json."""


def failed_in_season(invented: InventedFleet, fleet: Fleet, risk: SeasonRisk) -> np.ndarray:
    """True for each row of `risk.parts` whose own life ends in the season, accidents apart.

    Hours to come are those that the program expects, so that this is about ageing
    and not about how much a boat is used.
    """
    truth = {part[ROW]: part for part in json.loads(invented.files["truth.json"])["parts"]}
    begin, end = day_number(risk.season.start), day_number(risk.season.end) + 1
    usage, parts = fleet.lives.usage, risk.parts
    lines = usage.line_of(parts["boat"], parts["position"])
    happened = []
    for source, clock, line in zip(parts["source"], parts["clock"], lines, strict=True):
        part = truth[int(source.split(":")[1])]
        start = day_number(date.fromisoformat(part[FITTED]))
        days = np.array([start, begin, end])
        of_line = np.full(3, line)
        if clock == "hours":
            ages = usage.hours_at(of_line, days)
            years = usage.years_of_use(of_line, days)
        else:
            ages = years = days / DAYS_PER_YEAR
        early = np.inf if part[EARLY_DAYS] is None else part[EARLY_DAYS] / DAYS_PER_YEAR
        _, worn_before, worn_after = ages - ages[0] >= part[WEAR_OUT]
        _, early_before, early_after = years - years[0] >= early
        happened.append((worn_after or early_after) and not (worn_before or early_before))
    return np.array(happened)
