"""Parts whose day of fitting nobody wrote down: the truth is still found."""

from __future__ import annotations

import csv
import io
from dataclasses import replace

import numpy as np
import pytest

from analytics import job
from analytics.ageing.fit import kind_ageing
from analytics.sample import TARNWICK, invent_fleet, without_bad_lot, without_life_factors
from tests.analytics.ageing.folders import of_weibull_curves


def without_dates(parts: str) -> str:
    """The same file with every `fitted_on` blank."""
    rows = list(csv.DictReader(io.StringIO(parts)))
    text = io.StringIO()
    writer = csv.DictWriter(text, rows[0].keys(), lineterminator="\n")
    writer.writeheader()
    writer.writerows(row | {"fitted_on": "", "fitted_hours": ""} for row in rows)
    return text.getvalue()


@pytest.mark.slow
def test_a_fleet_without_a_single_date_of_fitting() -> None:
    """Only removals are dated: a part was fitted when the one before it came out."""
    scenario = replace(without_bad_lot(without_life_factors(TARNWICK)), defects=())
    truth = {kind.name: kind for kind in scenario.kinds}
    covered, medians = [], []
    for seed in range(3):
        invented = invent_fleet(scenario, boats=200, seed=70 + seed)
        files = {name: text.encode() for name, text in invented.files.items()}
        files["parts.csv"] = without_dates(invented.files["parts.csv"]).encode()
        fleet = job.open_fleet(files)
        table = fleet.lives.table
        for name in ("packed_gland", "lip_seal", "cutless_bearing"):
            lives = of_weibull_curves(fleet.lives)
            fitted = kind_ageing(lives, table[table["kind"] == name], seed, factors=False)
            scale = np.exp(fitted.posterior.parameters.log_scale) / truth[name].scale
            low, high = np.quantile(scale, (0.05, 0.95))
            covered.append(low <= 1.0 <= high)
            medians.append(np.median(scale))
    # Before a window was cut to the year after the last removal, packing came out at a third.
    assert np.abs(np.log(medians)).max() < np.log(1.2)
    assert sum(covered) >= 6
