"""Where the fitted curve, the records' own curve and the prior tell different stories."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from analytics import job
from analytics.ageing.agreement import disagreement, parts_company
from analytics.ageing.clocks import Nodes, collapsed
from analytics.ageing.expected_failures import stretches
from analytics.ageing.families import FAMILIES
from analytics.ageing.fit import Ageing
from analytics.ageing.posterior import posterior_of
from analytics.ageing.prior import prior_rows
from analytics.records.kinds import KINDS
from analytics.sample import TARNWICK, invent_fleet, without_bad_lot, without_life_factors
from tests.analytics.ageing.drawn_lives import failures, watched, wear
from tests.analytics.ageing.folders import fleet_of

APART = "Records and fitted curve disagree"

KIND = replace(KINDS["bellows"], causes=("wear_out",))


def test_the_bad_lot_of_the_sample_does_not_live_by_the_curve_of_the_others(
    sample_ageing: Mapping[tuple[str, str], Ageing],
) -> None:
    others, lot = (sample_ageing["bellows", group] for group in ("all", "lot QT-18"))
    assert disagreement(others) is None
    assert disagreement(lot) is None
    by_others = replace(others.posterior, factors=None)
    told = disagreement(replace(lot, posterior=by_others)) or ""
    assert told.startswith(f"{APART} over all ages, where about 8 failed and ")
    assert "these lives ended sooner than the curve allows. Of 100 new parts, 0 reach" in told
    assert "by the records' own curve (" in told


def told_of(nodes: Nodes, rng: np.random.Generator) -> bool:
    posterior = posterior_of(KIND, collapsed(nodes), 0, 0.0, rng)
    found = stretches(posterior, nodes, pd.DataFrame())
    return found is not None and parts_company(found)


@pytest.mark.parametrize("every", [0.0, 1.0])
def test_a_right_curve_is_seldom_called_wrong_and_a_mixed_lot_mostly_is(every: float) -> None:
    # Truths drawn from the prior itself, then one lot in four that lasts a third as long.
    rows = prior_rows(FAMILIES["weibull"], KIND.prior, False, 30, np.random.default_rng(0))
    truths = np.exp(rows[:, :2])
    right = wrong = 0
    for seed, (shape, scale) in enumerate(truths):
        rng = np.random.default_rng([seed, 11])
        nodes = watched(wear(1600, rng, shape=shape, scale=scale), 120, rng, every=every)
        if failures(nodes) >= 5:
            right += told_of(nodes, rng)
        mixed = wear(1600, rng, shape=KIND.prior.shape, scale=9.0, bad=0.25)
        wrong += told_of(watched(mixed, 120, rng, every=every), rng)
    assert right <= 3
    assert wrong >= 12


def test_a_right_model_is_left_alone() -> None:
    scenario = without_bad_lot(without_life_factors(TARNWICK))
    told = []
    for seed in range(2):
        invented = invent_fleet(scenario, boats=120, seed=900 + seed)
        files = {name: text.encode() for name, text in invented.files.items()}
        fitted = job.how_it_ages(job.open_fleet(files), seed)
        told += [disagreement(one) for one in fitted.values()]
    # Two fleets of six kinds each whose truth is the model itself: at most one false alarm.
    assert len(told) == 12
    assert np.sum([one is not None for one in told]) <= 1


def test_few_failures_are_held_against_nothing() -> None:
    rows = [f"A{n},single,bellows,,,2012-01-01" for n in range(9)]
    fitted = job.how_it_ages(fleet_of([*rows, "B,single,bellows,,,2012-01-01,2013-01-01,failed"]))
    assert disagreement(fitted["bellows", "all"]) is None


def test_accidents_of_one_age_are_told_with_their_share() -> None:
    lost = [f"A{n},single,bellows,,,2012-01-01,2012-0{1 + n % 6}-20,accident" for n in range(14)]
    failed = [f"B{n},single,bellows,,,2012-01-01,20{16 + n},failed" for n in range(6)]
    going = [f"C{n},single,bellows,,,2010-01-01" for n in range(30)]
    fitted = job.how_it_ages(fleet_of([*lost, *failed, *going]))["bellows", "all"]
    told = disagreement(fitted) or ""
    assert told.startswith("Accidents do not come at one rate at every age: ")
    # All 14 of 50 were lost young, before any of the six failed.
    assert "28 in 100 were lost to one by the records' own count (Aalen-Johansen)" in told
