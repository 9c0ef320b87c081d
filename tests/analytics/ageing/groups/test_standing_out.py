"""Groups and lots that stand out: found where they were put in, and not where they were not."""

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pandas as pd
import pytest

from analytics.ageing.fit import Ageing, kind_ageing
from analytics.ageing.groups.standing_out import COLUMNS, StandingOut, standing_out
from analytics.job import Fleet, open_fleet
from analytics.sample import TARNWICK, Scenario, invent_fleet, without_bad_lot, without_life_factors
from tests.analytics.ageing.folders import fleet_of


def of_kind(fleet: Fleet, kind: str) -> tuple[Ageing, StandingOut]:
    table = fleet.lives.table[fleet.lives.table["kind"] == kind]
    fitted = kind_ageing(fleet.lives, table)
    return fitted, standing_out(fitted)


def invented(scenario: Scenario, boats: int, seed: int, kind: str) -> Fleet:
    """The lives of one kind of an invented fleet."""
    text = invent_fleet(scenario, boats=boats, seed=seed).files
    header, *rows = text["parts.csv"].splitlines()
    chosen = [row for row in rows if f",{kind}," in row]
    files = {name: text[name].encode() for name in ("fleet.toml", "boats.csv", "hours.csv")}
    files["lifts.csv"] = text["lifts.csv"].encode()
    return open_fleet(files | {"parts.csv": "\n".join([header, *chosen]).encode()})


@pytest.fixture(scope="module")
def bellows() -> tuple[Ageing, StandingOut]:
    return of_kind(invented(TARNWICK, 90, 7, "bellows"), "bellows")


def row(found: StandingOut, field: str, level: str) -> pd.Series:
    table = found.table
    return table[(table["field"] == field) & (table["level"] == level)].iloc[0]


def test_the_bad_lot_is_named_without_being_told(bellows: tuple[Ageing, StandingOut]) -> None:
    assert TARNWICK.bad_lot is not None
    (lot,) = bellows[1].bad_lots
    assert lot.lot == TARNWICK.bad_lot.code == "QT-18"
    assert lot.chance > 0.99
    # Its life is put in at 4.5 years, that of the others at 14 years of shape 5.
    assert lot.factor_low < 4.5 / 14.0 < lot.factor_high
    assert lot.shape_of_others == pytest.approx(TARNWICK.kind("bellows").shape, rel=0.25)
    # The wear-out of sound rubber is hidden while the lot is counted with it.
    assert lot.shape_with_it < 0.75 * lot.shape_of_others
    assert lot.tried <= lot.looked_at


def test_a_lot_of_another_shape_is_told_from_one_that_lasts_shorter() -> None:
    rng = np.random.default_rng(8)
    others = (10.0 * rng.weibull(5.0, 120), "L1")
    for lot, shape, scale, other_shape in (("L2", 1.2, 6.0, True), ("L3", 5.0, 5.0, False)):
        rows = []
        for years, name in (others, (scale * rng.weibull(shape, 50), lot)):
            for number, life in enumerate(years):
                fitted = date(2010, 3, 1) + timedelta(days=13 * number)
                failed = fitted + timedelta(days=max(1, round(365.25 * life)))
                end = f"{failed},failed,afloat" if failed < date(2024, 6, 30) else ",,"
                rows.append(f"{name}-{number:03d},single,bellows,,{name},{fitted},{end}")
        fleet = fleet_of(rows, '[kinds.bellows]\ncauses = ["wear_out"]\n')
        _, found = of_kind(fleet, "bellows")
        tried = {one.lot: one for one in found.lots}[lot]
        assert tried.sure
        assert (tried.chance_shape > 0.99) == other_shape
        assert tried.shape_low < shape < tried.shape_high
        assert tried.factor_low < scale / 10.0 < tried.factor_high
        assert tried.shape_of_others == pytest.approx(5.0, rel=0.2)


def test_the_warm_base_shortens_the_life_of_bellows(bellows: tuple[Ageing, StandingOut]) -> None:
    found = row(bellows[1], "base", "Quillhaven")
    # Warm and afloat: .88 times .82 of the life at the other two.
    others = 1 - found["lives"] / bellows[0].lives
    assert found["factor_low"] < (0.88 * 0.82) ** others < found["factor_high"]
    assert found["factor_high"] < 1.0
    assert found["shares_with"] == "lay_up, water"
    # At the only base with boats afloat in winter, the lay-up is the base under another name.
    afloat = row(bellows[1], "lay_up", "afloat")
    assert afloat["factor"] == found["factor"]
    assert (afloat["lives"], afloat["failures"]) == (found["lives"], found["failures"])


@pytest.mark.slow
def test_silt_is_found_in_bearings() -> None:
    fitted, found = of_kind(invented(TARNWICK, 90, 7, "cutless_bearing"), "cutless_bearing")
    first = found.table.iloc[0]
    assert (first["field"], first["level"]) == ("base", "Sandrick Lagoon")
    assert first["chance_shorter"] > 0.99
    # 0.60 of the others' life is 0.60 ** (1 - its share of the lives) of the mean log life.
    others = 1 - first["lives"] / fitted.lives
    assert first["factor_low"] < 0.60**others < first["factor_high"]


def test_the_table_says_how_many_were_looked_at(bellows: tuple[Ageing, StandingOut]) -> None:
    fitted, found = bellows
    assert list(found.table.columns) == COLUMNS
    assert set(found.table["tried"]) == {len(found.table)} == {found.tried}
    assert found.table["chance_shorter"].is_monotonic_decreasing
    assert (found.table["factor_low"] <= found.table["factor"]).all()
    assert (found.table["factor"] <= found.table["factor_high"]).all()
    bases = found.table[found.table["field"] == "base"]
    assert bases["lives"].sum() == fitted.lives
    assert bases["failures"].sum() == fitted.failures


@pytest.mark.slow
def test_where_nothing_differs_next_to_nothing_stands_out() -> None:
    scenario = replace(without_bad_lot(without_life_factors(TARNWICK)), defects=())
    striking, looked_at = 0, 0
    for seed in range(2):
        for kind in ("bellows", "lip_seal", "cutless_bearing"):
            _, found = of_kind(invented(scenario, 60, seed, kind), kind)
            assert not found.bad_lots
            striking += int((found.table["chance_shorter"] > 0.9).sum())
            looked_at += found.tried
    # Without shrinkage one level in twenty would come out beyond a 95 % point by luck alone.
    assert looked_at > 200
    assert striking <= 2


def test_a_kind_without_groups_has_nothing_to_stand_out(
    bellows: tuple[Ageing, StandingOut],
) -> None:
    alike = replace(bellows[0], posterior=replace(bellows[0].posterior, factors=None))
    found = standing_out(alike)
    assert found.table.empty
    assert found.tried == 0
    # Lots are still tried apart, as they are in the table of lives.
    assert [lot.lot for lot in found.bad_lots] == ["QT-18"]


def test_too_few_failures_try_no_lot(bellows: tuple[Ageing, StandingOut]) -> None:
    few = replace(bellows[0], grade="too few failures to say")
    assert standing_out(few).lots == ()


def test_the_same_numbers_every_time(bellows: tuple[Ageing, StandingOut]) -> None:
    again = standing_out(bellows[0])
    pd.testing.assert_frame_equal(again.table, bellows[1].table)
    assert again.lots == bellows[1].lots
    assert np.isfinite([lot.chance_shape for lot in again.lots]).all()
