"""A belief tried is the belief that fleet.toml would give."""

from __future__ import annotations

import tomllib
from dataclasses import asdict, fields, replace

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from analytics.ageing.fit import Ageing, kind_ageing
from analytics.ageing.groups.lots import of_a_lot_apart
from analytics.ageing.likelihood import Parameters
from analytics.ageing.own_belief import prior_lines, read_prior, widened_for_lot, with_prior
from analytics.records.kinds import KINDS, Prior
from tests.analytics.ageing.folders import fleet_of

PARTS = [
    *(f"B{i},,bellows,,,2012-04-01,201{8 + i % 2}-06-0{1 + i},failed" for i in range(5)),
    *(f"B{i},,bellows,,,2019-07-01" for i in range(9)),
]
OTHER = Prior(
    shape=3.0,
    shape_factor=2.0,
    at=6.0,
    worn_out=(0.05, 0.6),
    early=(0.01, 0.1),
    accidents=0.02,
    accident_years=25.0,
)

shares = st.floats(0.001, 0.998).map(lambda low: (low, low + 0.001))
priors = st.builds(
    Prior,
    shape=st.floats(0.1, 50),
    shape_factor=st.floats(1.001, 50),
    at=st.floats(1e-3, 1e6),
    worn_out=shares,
    early=shares,
    accidents=st.floats(1e-6, 10),
    accident_years=st.floats(1e-6, 1e5),
)


@given(prior=priors, name=st.sampled_from(["bellows", "cutless_bearing", "own.kind", "Å kind"]))
def test_the_lines_give_back_the_belief_to_the_last_bit(prior: Prior, name: str) -> None:
    read, findings = read_prior(name, prior_lines(name, prior))
    assert findings == ()
    assert read == prior


def test_the_lines_are_toml_in_one_section() -> None:
    (section,) = tomllib.loads(prior_lines("bellows", KINDS["bellows"].prior))["kinds"].items()
    name, keys = section
    assert name == "bellows"
    assert keys.keys() == asdict(OTHER).keys()
    assert keys["worn_out"] == [0.02, 0.4]


def test_wrong_values_are_told_and_the_default_stands() -> None:
    prior, findings = read_prior("bellows", "[kinds.bellows]\nworn_out = [0.5, 0.1]\nshape = -1\n")
    assert prior == KINDS["bellows"].prior
    assert {one.field for one in findings} == {"kinds.bellows.worn_out", "kinds.bellows.shape"}
    assert all(one.expected for one in findings)


@pytest.mark.parametrize("family", ["", 'family = "lognormal"\n'])
def test_trying_a_belief_is_having_it_in_the_file(family: str) -> None:
    head = f"[kinds.bellows]\n{family}"
    now = fleet_of(PARTS, head).lives
    fitted = kind_ageing(now, now.table, seed=3)
    tried = with_prior(fitted, now, OTHER, seed=3)
    lines = prior_lines("bellows", OTHER).split("\n", 1)[1]
    kept = fleet_of(PARTS, head + lines).lives
    in_file = kind_ageing(kept, kept.table, seed=3)
    for name in ("log_shape", "log_scale", "early"):
        ours, theirs = (getattr(one.posterior.parameters, name) for one in (tried, in_file))
        assert np.array_equal(ours, theirs)
    assert np.array_equal(tried.posterior.accidents, in_file.posterior.accidents)
    assert fitted.kind.prior == KINDS["bellows"].prior, "what is in force has not changed"


def same(one: Ageing, other: Ageing) -> bool:
    """Whether two fits are the same to the last bit."""
    for ours, theirs in ((one.posterior, other.posterior), (one.prior, other.prior)):
        if not np.array_equal(ours.accidents, theirs.accidents):
            return False
        for part in fields(Parameters):
            values = [getattr(of.parameters, part.name) for of in (ours, theirs)]
            if not np.array_equal(*(np.array(value, dtype=object) for value in values)):
                return False
    pd.testing.assert_frame_equal(one.table, other.table)
    return (one.kind, one.grade, one.seed) == (other.kind, other.grade, other.seed)


@pytest.mark.parametrize("group", ["all", "lot L1"])
@pytest.mark.parametrize("settings", ["", '[kinds.bellows]\napart = ["L1"]\n'])
def test_the_belief_in_force_gives_what_is_in_force(group: str, settings: str) -> None:
    lives = fleet_of(PARTS, settings).lives
    fitted = kind_ageing(lives, lives.table.assign(group=group), seed=4)
    again = with_prior(fitted, lives, replace(fitted.kind.prior))
    assert same(fitted, again)
    other = with_prior(fitted, lives, OTHER)
    assert other.kind.prior == OTHER, "taken as it stands, and not made wider"
    assert not same(fitted, other)
    assert same(other, with_prior(other, lives, OTHER))


def test_only_a_lot_that_was_found_is_believed_in_more_widely() -> None:
    lives = fleet_of(PARTS).lives
    lot = kind_ageing(lives, lives.table.assign(group="lot L1"))
    assert lot.kind.prior == of_a_lot_apart(KINDS["bellows"]).prior
    assert widened_for_lot(lot.kind, "lot L1")
    assert not widened_for_lot(lot.kind, "all")
    assert not widened_for_lot(replace(lot.kind, apart=("L1",)), "lot L1")
