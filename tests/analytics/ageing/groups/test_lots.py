"""Lots tried apart: found where one was put in, evidence against brute force, and set apart."""

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import numpy.typing as npt
import pandas as pd
import pytest
from scipy.special import logsumexp
from scipy.stats import norm

from analytics.ageing.clocks import Nodes
from analytics.ageing.families import FAMILIES
from analytics.ageing.fit import Ageing, kind_ageing
from analytics.ageing.groups.lot_trial import LOT_LIFE, LOT_SHAPE, Trial, trial_of
from analytics.ageing.groups.lots import (
    LOTS_COLUMNS,
    SURE,
    LotApart,
    apart_sentence,
    kind_of_group,
    lots_apart,
    lots_table,
    lots_to_set_apart,
    of_a_lot_apart,
    set_apart,
)
from analytics.ageing.likelihood import Parameters, lives_of, log_likelihood
from analytics.ageing.prior import Z90, log_prior, prior_rows
from analytics.job import Fleet
from analytics.records.kinds import KINDS
from analytics.sample import TARNWICK
from tests.analytics.ageing.folders import fleet_of
from tests.analytics.ageing.groups.grouped_fleet import WORN, worn_lives
from tests.outside.known_ages import lives_seen_through

Floats = npt.NDArray[np.float64]

WEAR_OUT_ONLY = '[kinds.bellows]\ncauses = ["wear_out"]\n'


def fitted(fleet: Fleet, factors: bool = True) -> Ageing:
    return kind_ageing(fleet.lives, fleet.lives.table, factors=factors)


def fleet_with(lots: dict[str, Floats]) -> Fleet:
    """One part a boat, fitted every 13 days, of lots with these lives in years."""
    rows = []
    for lot, lives in lots.items():
        for number, life in enumerate(lives):
            since = date(2010, 3, 1) + timedelta(days=13 * number)
            failed = since + timedelta(days=max(1, round(365.25 * life)))
            end = f"{failed},failed,afloat" if failed < date(2024, 6, 30) else ",,"
            rows.append(f"{lot or 'none'}-{number:03d},single,bellows,,{lot},{since},{end}")
    return fleet_of(rows, WEAR_OUT_ONLY)


@pytest.fixture(scope="module")
def with_a_bad_lot() -> tuple[Fleet, Ageing]:
    """Sound parts of shape 5 and ten years, without a lot or of L1; L2 lasts three."""
    rng = np.random.default_rng(3)
    sound, bad = 10.0 * rng.weibull(5.0, 90), 3.0 * rng.weibull(2.0, 12)
    fleet = fleet_with({"": sound[:60], "L1": sound[60:], "L2": bad})
    return fleet, fitted(fleet, factors=False)


def test_the_bad_lot_and_no_other(with_a_bad_lot: tuple[Fleet, Ageing]) -> None:
    tried = lots_apart(with_a_bad_lot[1])
    assert [lot.lot for lot in tried] == ["L2", "L1"]
    bad, sound = tried
    assert bad.chance > 0.999 > SURE > 0.5 > sound.chance
    assert [lot.lot for lot in lots_to_set_apart(with_a_bad_lot[1])] == ["L2"]
    assert bad.factor_low < 0.3 < bad.factor_high
    assert bad.shape_low < 2.0 < bad.shape_high
    # It hides how sharply the others wear out.
    assert bad.shape_of_others == pytest.approx(5.0, rel=0.2)
    assert bad.shape_with_it < 0.75 * bad.shape_of_others
    assert sound.factor_low < 1.0 < sound.factor_high
    assert (bad.tried, bad.looked_at) == (2, 2)


def test_a_lot_of_another_shape_is_told_from_one_that_lasts_shorter() -> None:
    rng = np.random.default_rng(8)
    others = 10.0 * rng.weibull(5.0, 120)
    for lot, shape, scale, other_shape in (("L2", 1.2, 6.0, True), ("L3", 5.0, 5.0, False)):
        fleet = fleet_with({"L1": others, lot: scale * rng.weibull(shape, 50)})
        tried = {one.lot: one for one in lots_apart(fitted(fleet, factors=False))}[lot]
        assert tried.sure
        assert (tried.chance_shape > 0.99) == other_shape
        assert tried.shape_low < shape < tried.shape_high
        assert tried.factor_low < scale / 10.0 < tried.factor_high
        assert tried.shape_of_others == pytest.approx(5.0, rel=0.2)


def test_two_failures_try_no_lot_and_three_do() -> None:
    rng = np.random.default_rng(5)
    sound = 12.0 * rng.weibull(5.0, 90)
    two = fleet_with({"": sound, "L1": np.array([0.5, 0.6])})
    three = fleet_with({"": sound, "L1": np.array([0.5, 0.6, 0.7])})
    assert lots_apart(fitted(two, factors=False)) == ()
    (lot,) = lots_apart(fitted(three, factors=False))
    assert lot.sure


@pytest.mark.parametrize("family", ["weibull", "lognormal"])
@pytest.mark.parametrize(("shape", "scale"), [(3.0, 9.0), (3.0, 5.0), (1.2, 3.0)])
def test_the_evidence_against_brute_force(family: str, shape: float, scale: float) -> None:
    rng = np.random.default_rng(17)
    life = np.append(9.0 * rng.weibull(3.0, 80), scale * rng.weibull(shape, 7))
    end = rng.uniform(4.0, 12.0, len(life))
    of_lot = np.arange(len(life)) >= 80
    nodes = lives_seen_through(np.minimum(life, end), life <= end)
    start = np.array([0.7, 2.0])
    trial = Trial(
        FAMILIES[family], WORN.prior, nodes, np.zeros(len(life)), 0.2, early=False, start=start
    )
    found = trial_of(trial, of_lot)
    alike, shorter, apart = by_brute_force(family, nodes, of_lot)
    # The others are taken as normal about their top: good to a tenth or so.
    own, theirs = np.logaddexp(found.shorter, found.apart), np.logaddexp(shorter, apart)
    assert own - found.alike == pytest.approx(theirs - alike, abs=0.15)
    assert found.apart - found.alike == pytest.approx(apart - alike, abs=0.15)
    if abs(apart - shorter) < 5:
        assert found.apart - found.shorter == pytest.approx(apart - shorter, abs=0.15)
    else:
        assert (found.apart - found.shorter) / (apart - shorter) > 0.9


def by_brute_force(
    family: str, nodes: Nodes, of_lot: npt.NDArray[np.bool_]
) -> tuple[float, float, float]:
    """Log evidence of the three accounts, each an integral over a grid of every number in it."""
    shapes, scales = np.linspace(-1.2, 2.4, 61), np.linspace(-0.6, 3.6, 141)
    grid = np.stack(np.meshgrid(shapes, scales, indexing="ij"), -1)
    rows = grid.reshape(-1, 2)

    def value(which: npt.NDArray[np.bool_]) -> Floats:
        found = log_likelihood(
            FAMILIES[family], Parameters.from_rows(rows), lives_of(nodes, which), 0.2
        )
        return found.reshape(grid.shape[:2])

    lot = value(of_lot)
    others = value(~of_lot) + log_prior(FAMILIES[family], WORN.prior, rows).reshape(lot.shape)
    apart_by = [norm.logpdf(axis[:, None] - axis, scale=wide)
                for axis, wide in ((shapes, LOT_SHAPE), (scales, LOT_LIFE))]  # fmt: skip
    steps = np.log(shapes[1] - shapes[0]), np.log(scales[1] - scales[0])
    # Given the others' curve: the lot's own scale, and its own shape and scale.
    own_scale = logsumexp(lot[:, None, :] + apart_by[1][None], axis=2) + steps[1]
    both = np.exp(apart_by[0]) @ np.exp(own_scale - own_scale.max())
    own_both = np.log(both) + own_scale.max() + steps[0]
    return (
        float(logsumexp(others + lot)),
        float(logsumexp(others + own_scale)),
        float(logsumexp(others + own_both)),
    )


@pytest.mark.parametrize("start", [(4.0, -3.0), (5.0, -9.0), (6.0, -3.0), (-3.0, 9.0)])
@pytest.mark.parametrize("family", ["weibull", "lognormal"])
def test_the_top_is_found_from_a_start_where_nothing_is_possible(
    family: str, start: tuple[float, float]
) -> None:
    # As where all parts failed on one day, which no shape is too sharp for.
    nodes, _ = worn_lives(np.zeros(60), np.random.default_rng(1))
    of = Trial(FAMILIES[family], WORN.prior, nodes, np.zeros(60), 0.25, early=False,
               start=np.array([1.0, 2.0]))  # fmt: skip
    found = replace(of, start=np.array(start)).alike
    assert found.value == pytest.approx(of.alike.value, abs=1e-3)
    np.testing.assert_allclose(found.mode, of.alike.mode, atol=0.01)


def test_set_apart_fits_the_others_and_the_lot_again(with_a_bad_lot: tuple[Fleet, Ageing]) -> None:
    fleet, whole = with_a_bad_lot
    refitted: list[int] = []

    def refit(table: pd.DataFrame) -> Ageing:
        refitted.append(len(table))
        return kind_ageing(fleet.lives, table, factors=False)

    found = set_apart(whole, refit)
    assert refitted == [90, 12]
    assert [lot.lot for lot in found.lots] == ["L2"]
    assert list(found.ageing) == ["all", "lot L2"]
    rest, lot = found.ageing["all"], found.ageing["lot L2"]
    assert set(rest.table["lot"]) == {"", "L1"}
    assert set(lot.table["group"]) == {"lot L2"} == {lot.group}
    shapes = [np.median(np.exp(one.posterior.likeliest.parameters.log_shape))
              for one in (whole, rest, lot)]  # fmt: skip
    assert shapes[2] < shapes[0] < shapes[1]
    assert shapes[1] == pytest.approx(5.0, rel=0.25)


def test_where_no_lot_is_sure_nothing_is_fitted_again() -> None:
    rng = np.random.default_rng(6)
    fleet = fleet_with({"L1": 10.0 * rng.weibull(5.0, 40), "L2": 10.0 * rng.weibull(5.0, 40)})

    def refit(table: pd.DataFrame) -> Ageing:
        raise AssertionError(len(table))

    found = set_apart(fitted(fleet, factors=False), refit)
    assert (found.ageing, found.lots) == ({}, ())


def test_what_is_believed_of_a_lot_apart_is_wider_about_the_same_middle() -> None:
    kind = KINDS["bellows"]
    wide = of_a_lot_apart(kind)
    rng = np.random.default_rng(1)
    rows, wider = (
        prior_rows(FAMILIES["weibull"], one.prior, False, 4000, rng) for one in (kind, wide)
    )
    middle, middle_of_wider = (np.median(of, axis=0) for of in (rows, wider))
    assert middle_of_wider[0] == pytest.approx(middle[0], abs=0.06)
    # 90 % of the stated shapes lie within a factor of 1.6; spoilt rubber may lie e**0.7 away.
    assert wide.prior.shape_factor == pytest.approx(np.exp(np.hypot(np.log(1.6), Z90 * LOT_SHAPE)))
    assert wider[:, 0].std() > 1.5 * rows[:, 0].std()
    # A life half that of sound parts is no longer far from what is believed.
    half = middle[1] - np.log(2)
    assert (wider[:, 1] < half).mean() > 2 * (rows[:, 1] < half).mean()
    assert (wide.prior.at, wide.prior.early) == (kind.prior.at, kind.prior.early)


def test_the_belief_is_wider_only_for_a_lot_that_nobody_named() -> None:
    kind = replace(KINDS["bellows"], apart=("L1",))
    assert kind_of_group(kind, "all") is kind
    assert kind_of_group(kind, "lot L1") is kind
    assert kind_of_group(kind, "lot L2") == of_a_lot_apart(kind)


def test_the_table_and_the_sentence_say_what_was_found(
    with_a_bad_lot: tuple[Fleet, Ageing],
) -> None:
    tried = lots_apart(with_a_bad_lot[1])
    table = lots_table(with_a_bad_lot[1], tried, {tried[0].lot})
    assert list(table.columns) == ["kind", *LOTS_COLUMNS]
    assert table["set_apart"].tolist() == [True, False]
    assert table["factor"].tolist() == [lot.factor for lot in tried]
    assert list(lots_table(with_a_bad_lot[1], ()).columns) == ["kind", *LOTS_COLUMNS]
    told = apart_sentence(tried[0], KINDS["bellows"])
    assert told.startswith("Bellows: lot L2 was set apart")
    assert "12 parts (12 failed)" in told
    assert "the cause is not known" in told
    longer = replace(tried[0], factor=2.0, chance=0.93)
    assert isinstance(longer, LotApart)
    assert "longer life" in apart_sentence(longer, KINDS["bellows"])
    assert "93 %" in apart_sentence(longer, KINDS["bellows"])


def test_the_sample_fleets_bad_lot_is_the_one_that_was_put_in(sample: Fleet) -> None:
    assert TARNWICK.bad_lot is not None
    table = sample.lives.table
    whole = kind_ageing(sample.lives, table[table["kind"] == "bellows"])
    assert [lot.lot for lot in lots_to_set_apart(whole)] == [TARNWICK.bad_lot.code]
