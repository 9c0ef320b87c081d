"""Whether the interval of a part's risk holds the risk that the part truly has.

The invented fleet ages by bases, venting, alignment, oil and one bad lot, most of which no record
names. What a part's chance of failing in the coming season truly is, given that it is still sound,
follows from its own scale in truth.json.
"""

from __future__ import annotations

import json
from datetime import date

import numpy as np
import pytest

from analytics import job
from analytics.ageing.fit import FleetAgeing, kind_ageing
from analytics.job import Fleet
from analytics.outlook.season import SeasonRisk
from analytics.sample import TARNWICK, InventedFleet, invent_fleet
from analytics.usage import DAYS_PER_YEAR, day_number

ROW, FITTED, SCALE, BAD_LOT = 0, 4, 5, 9
"""Columns of a part in truth.json."""


def true_risks(invented: InventedFleet, fleet: Fleet, risk: SeasonRisk) -> np.ndarray:
    """Chance in the season of each row of `risk.parts`, NaN for parts that may still fail early."""
    truth = {part[ROW]: part for part in json.loads(invented.files["truth.json"])["parts"]}
    now = day_number(fleet.lives.as_of)
    begin, end = day_number(risk.season.start), day_number(risk.season.end) + 1
    usage, found = fleet.lives.usage, []
    for row in risk.parts.itertuples():
        part, kind = truth[int(row.source.split(":")[1])], TARNWICK.kind(row.kind)
        fitted = day_number(date.fromisoformat(part[FITTED]))
        days = np.array([fitted, now, begin, end])
        line = usage.line_of([row.boat] * 4, [row.position] * 4)
        age = usage.hours_at(line, days) if row.clock == "hours" else days / DAYS_PER_YEAR
        assert TARNWICK.bad_lot is not None
        shape = TARNWICK.bad_lot.shape if part[BAD_LOT] else kind.shape
        worn = ((age - age[0]) / part[SCALE]) ** shape
        hazard = worn - worn[1] + kind.accidents_per_year * (days - now) / DAYS_PER_YEAR
        chance = np.exp(-hazard[2]) - np.exp(-hazard[3])
        found.append(chance if now - fitted > 100 else np.nan)
    return np.array(found)


def share_inside(invented: InventedFleet, fleet: Fleet, ageing: FleetAgeing) -> list[bool]:
    risk = job.boats_at_risk(fleet, ageing)
    true = true_risks(invented, fleet, risk)
    # Whether a bearing that shows nothing afloat is still sound is itself not known.
    asked = np.isfinite(true) & (risk.parts["kind"] != "cutless_bearing").to_numpy()
    low, high = (risk.parts[name].to_numpy() for name in ("risk_low", "risk_high"))
    return ((low <= true) & (true <= high))[asked].tolist()


@pytest.mark.slow
def test_nine_parts_in_ten_have_their_true_risk_inside_their_interval() -> None:
    alike, grouped = [], []
    for seed in range(2):
        invented = invent_fleet(TARNWICK, boats=60, seed=seed)
        fleet = job.open_fleet({name: text.encode() for name, text in invented.files.items()})
        table = fleet.lives.table
        as_one = {
            (kind, "all"): kind_ageing(fleet.lives, table[table["kind"] == kind], factors=False)
            for kind in sorted(set(table["kind"]))
        }
        alike += share_inside(invented, fleet, as_one)
        grouped += share_inside(invented, fleet, job.how_it_ages(fleet))
    assert len(grouped) > 250
    # Parts of a fleet stray together, so that their share strays more than that of single ones.
    assert 0.85 <= np.mean(grouped) <= 0.98
    # All parts taken as alike, half of them are told the wrong risk with confidence.
    assert np.mean(alike) < 0.6
