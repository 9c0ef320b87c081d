"""The measure of coverage itself, on a few small fleets: it passes what is right and fails what is
too narrow. The full run is by hand, see `coverage`."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest
from scipy.stats import binom

from analytics.ageing.clocks import CENSORED, EXACT, INTERVAL, nodes_of
from analytics.records.kinds import KINDS, unknown_kind
from tests.benchmarks.coverage_answers import Asked, answer
from tests.benchmarks.coverage_fleets import TODAY, Design, invent, one_truth, scale_for
from tests.benchmarks.coverage_tables import RISKS, falls_short, held, tables, uniform

DESIGN = Design(lives=40, watched=6.0)
BELIEVED = replace(KINDS["bellows"], causes=("wear_out",), family="weibull")
FLEETS = 24
FIGURES = ("life", "shape", "scale", *RISKS)


def measured(narrowed: float, fleets: int = FLEETS) -> pd.DataFrame:
    asked = (
        Asked("prior 40", BELIEVED, DESIGN, None, (5, i), narrowed=narrowed) for i in range(fleets)
    )
    return pd.DataFrame([answer(one) for one in asked])


@pytest.mark.slow
def test_the_program_passes_and_intervals_half_as_wide_do_not() -> None:
    right, narrow = measured(1.0), measured(0.5)
    assert right["failures"].tolist() == narrow["failures"].tolist()
    assert not falls_short(right, FIGURES, 0.90)
    assert falls_short(narrow, FIGURES, 0.90)
    assert held(narrow, FIGURES)[0] < held(right, FIGURES)[0] - 0.15
    ranks = [frame["life rank"] for frame in (right, narrow)]
    # Half as wide, the truth lies beyond nearly all draws too often: the outer tenths hold more.
    outside = [int(((some < 0.1) | (some > 0.9)).sum()) for some in ranks]
    assert binom.sf(outside[0] - 1, FLEETS, 0.2) > 0.01
    assert outside[1] > outside[0]


def test_uneven_ranks_are_told_from_uniform_ones() -> None:
    rng = np.random.default_rng(1)
    assert uniform(rng.random(600)) > 0.01
    # A posterior half as wide as it should be: ranks of a normal truth pile up at both ends.
    assert uniform(rng.beta(0.5, 0.5, 600)) < 1e-6
    assert uniform(rng.beta(1.4, 1.0, 600)) < 1e-3


def test_shares_are_of_fleets_and_carry_their_error() -> None:
    rows = pd.DataFrame({"a held": [1.0, 1.0, 0.0, 1.0], "b held": [1.0, 0.0, 0.0, np.nan]})
    mean, error, n = held(rows, ("a", "b", "no such figure"))
    # Means of the fleets: 1, 0.5, 0, 1.
    assert (mean, n) == (0.625, 4)
    assert error == pytest.approx(np.std([1, 0.5, 0, 1]) / 2)
    assert held(rows[:0], ("a",))[2] == 0
    sure = held(pd.DataFrame({"a held": [1.0] * 50}), ("a",))
    assert sure[0] == 1.0
    assert sure[1] > 0


def test_fleets_are_recorded_as_stated() -> None:
    kind = replace(unknown_kind("part"), causes=("wear_out",))
    design = Design(lives=4000, watched=5.0)
    fleet = invent(kind, one_truth(kind, 2.5, 9.0), design, np.random.default_rng(3))
    nodes = nodes_of(fleet.lives, fleet.lives.table)
    table = fleet.lives.table
    width = (table["start_hi"] - table["start_lo"]).dt.days
    assert (width == 0).mean() == pytest.approx(0.5, abs=0.001)
    assert (width == 364).mean() == pytest.approx(0.25, abs=0.001)
    assert (nodes.entry[nodes.first] > 0).mean() > 0.5
    found = np.bincount(nodes.outcome, minlength=3)
    assert found[INTERVAL] / (found[INTERVAL] + found[EXACT]) == pytest.approx(0.27, abs=0.06)
    assert found[CENSORED] > 1000
    # Nothing happens before a part is first seen, or after today.
    assert (table["end_lo"] >= table["seen_from"]).all()
    assert (table["end_hi"].astype("int64") // (86_400 * 10**9) <= TODAY).mean() == 1.0
    assert (
        fleet.start >= fleet.lives.table["start_lo"].astype("int64") // (86_400 * 10**9) - 1
    ).all()


@pytest.mark.parametrize("shape", [1.3, 6.0])
def test_a_scale_is_found_for_the_failures_wanted(shape: float) -> None:
    kind = replace(unknown_kind("part"), causes=("wear_out",))
    design = Design(lives=600, watched=5.0, inspected=0.0)
    truth = one_truth(kind, shape, scale_for(kind, shape, 30.0, design))
    rng = np.random.default_rng(4)
    found = [invent(kind, truth, design, rng).failures for _ in range(20)]
    # Twenty Poisson-like counts: their mean is known to about 1.2; the table adds as much.
    assert np.mean(found) == pytest.approx(30.0, abs=5.0)


def test_the_tables_tell_bands_and_both_methods() -> None:
    kind = replace(unknown_kind("part"), causes=("wear_out",), family="weibull")
    asked = [Asked("fixed 40", kind, DESIGN, 2.5, (6, i)) for i in range(6)]
    text = tables([answer(one) for one in asked])
    assert "| 2.5 |" in text
    assert "ML exists" in text
    assert "±" in text
