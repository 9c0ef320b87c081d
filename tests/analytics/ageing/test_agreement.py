"""Where the fitted curve, the records' own curve and the prior tell different stories."""

from __future__ import annotations

import numpy as np

from analytics import job
from analytics.ageing.agreement import disagreement
from analytics.ageing.fit import kind_ageing
from analytics.sample import TARNWICK, invent_fleet, without_bad_lot, without_life_factors
from tests.analytics.ageing.folders import fleet_of

STEPS = "Records and fitted curve disagree: these lives ended sooner"
FLAT = "Flatter than is believed"


def test_the_bad_lot_of_the_sample_is_noticed(
    sample_files: dict[str, bytes],
    sample: job.Fleet,
    sample_ageing: dict[tuple[str, str], object],
) -> None:
    table = sample.lives.table
    alike = kind_ageing(sample.lives, table[table["kind"] == "bellows"], factors=False)
    assert (disagreement(alike) or "").startswith(FLAT)
    # With a life factor for each lot the bad one no longer flattens the curve of the others.
    assert disagreement(sample_ageing["bellows", "all"]) is None
    settings = sample_files["fleet.toml"].replace(
        b"[kinds.bellows]", b'[kinds.bellows]\napart = ["QT-18"]'
    )
    apart = job.how_it_ages(job.open_fleet(sample_files | {"fleet.toml": settings}))
    assert disagreement(apart["bellows", "all"]) is None
    assert (disagreement(apart["bellows", "lot QT-18"]) or "").startswith(STEPS)


def test_a_right_model_is_left_alone() -> None:
    scenario = without_bad_lot(without_life_factors(TARNWICK))
    told = []
    for seed in range(4):
        invented = invent_fleet(scenario, boats=120, seed=900 + seed)
        files = {name: text.encode() for name, text in invented.files.items()}
        fitted = job.how_it_ages(job.open_fleet(files), seed)
        told += [disagreement(one) for one in fitted.values()]
    # Four fleets of six kinds each whose truth is the model itself: at most one false alarm.
    assert len(told) == 24
    assert np.sum([one is not None for one in told]) <= 1


def test_few_failures_are_held_against_nothing() -> None:
    rows = [f"A{n},single,bellows,,,2012-01-01" for n in range(9)]
    fitted = job.how_it_ages(fleet_of([*rows, "B,single,bellows,,,2012-01-01,2013-01-01,failed"]))
    assert disagreement(fitted["bellows", "all"]) is None
