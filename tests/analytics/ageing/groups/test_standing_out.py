"""Groups and lots that stand out: found where they were put in, and not where they were not."""

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from analytics.ageing.fit import Ageing, kind_ageing
from analytics.ageing.groups.standing_out import (
    COLUMNS,
    StandingOut,
    factors_table,
    standing_out,
)
from analytics.job import Fleet, open_fleet
from analytics.sample import TARNWICK, Scenario, invent_fleet, without_bad_lot, without_life_factors


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
def fleet() -> Fleet:
    return invented(TARNWICK, 90, 7, "bellows")


@pytest.fixture(scope="module")
def bellows(fleet: Fleet) -> tuple[Ageing, StandingOut]:
    return of_kind(fleet, "bellows")


def row(found: StandingOut, field: str, level: str) -> pd.Series:
    table = found.table
    return table[(table["field"] == field) & (table["level"] == level)].iloc[0]


def test_the_bad_lot_is_named_without_being_told(bellows: tuple[Ageing, StandingOut]) -> None:
    (lot,) = bellows[1].bad_lots
    assert TARNWICK.bad_lot is not None
    assert lot.lot == TARNWICK.bad_lot.code
    first = bellows[1].shorter.iloc[0]
    assert (first["field"], first["level"]) == ("lot", lot.lot)
    assert bellows[1].by_luck < 1
    # What is less sure is told apart from it, and once under all its names.
    less = bellows[1].less_sure
    assert (less["factor_high"] < 1).all()
    assert not set(less["level"]) & set(bellows[1].shorter["level"])
    assert not {"lay_up", "water"} <= set(less["field"])


def test_the_warm_base_shortens_the_life_of_bellows(bellows: tuple[Ageing, StandingOut]) -> None:
    found = row(bellows[1], "base", "Quillhaven")
    # Warm and afloat: .88 times .82 of the life at the other two.
    assert found["factor_low"] < 0.88 * 0.82 < found["factor_high"]
    assert found["chance_shorter"] > 0.75
    assert found["shares_with"] == "lay_up, water"
    # At the only base with boats afloat in winter, the lay-up is the base under another name.
    afloat = row(bellows[1], "lay_up", "afloat")
    assert afloat["factor"] == found["factor"]
    assert (afloat["lives"], afloat["failures"]) == (found["lives"], found["failures"])


def test_without_the_bad_lot_the_warm_base_shows_more_clearly(fleet: Fleet) -> None:
    table = fleet.lives.table
    found = factors_table(kind_ageing(fleet.lives, table[table["lot"] != "QT-18"]))
    warm = found[found["level"] == "Quillhaven"].iloc[0]
    assert warm["factor_low"] < 0.88 * 0.82 < warm["factor_high"] < 1.0


@pytest.mark.slow
def test_silt_is_found_in_bearings() -> None:
    fitted, found = of_kind(invented(TARNWICK, 90, 7, "cutless_bearing"), "cutless_bearing")
    first = found.table.iloc[0]
    assert (first["field"], first["level"]) == ("base", "Sandrick Lagoon")
    assert first["chance_shorter"] > 0.99
    assert first["factor_low"] < 0.60 < first["factor_high"]
    # The water is brackish there and nowhere else: one finding under two names.
    assert "water brackish" in first["same_lives_as"]
    named = found.shorter
    assert ("base", "Sandrick Lagoon") in set(zip(named["field"], named["level"], strict=True))
    assert not set(named["field"]) & {"water", "lay_up"}
    assert named["lives"].max() < fitted.lives


def test_the_table_says_how_many_were_looked_at(bellows: tuple[Ageing, StandingOut]) -> None:
    fitted, found = bellows
    assert list(found.table.columns) == COLUMNS
    # A set of lives that two columns name is looked at once.
    twins = found.table["same_lives_as"] != ""
    assert 0 < twins.sum() < len(found.table)
    assert set(found.table["tried"]) == {found.tried}
    assert len(found.table) - twins.sum() < found.tried < len(found.table)
    assert found.too_small > 0
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


def test_a_base_is_told_before_the_lay_up_that_it_settles(
    bellows: tuple[Ageing, StandingOut],
) -> None:
    table = bellows[1].table
    assert set(table.loc[~table["own_factor"].astype(bool), "field"]) == {"lay_up", "water"}
    # The lay-up looks surer than the base: it is the base under another name all the same.
    chances = {"base": 0.95, "lay_up": 0.99, "water": 0.92}
    surer = table.assign(
        chance_shorter=table["field"].map(chances).where(table["factor"] < 0.9, 0.1).fillna(0.1)
    ).sort_values("chance_shorter", ascending=False, ignore_index=True)
    named = replace(bellows[1], table=surer).shorter
    assert named[["field", "level"]].to_numpy().tolist() == [["base", "Quillhaven"]]


def test_a_factor_is_of_the_level_beside_all_other_lives(
    bellows: tuple[Ageing, StandingOut],
) -> None:
    # The same from the effect of every life of every draw, without short cuts.
    fitted, found = bellows
    factors = fitted.posterior.factors
    assert factors is not None
    by_name = {field.name: field for field in (*factors.fields, *factors.carried)}
    for field, level in (("base", "Quillhaven"), ("water", "brackish"), ("lot", "QT-18")):
        chosen = by_name[field]
        names = (field, *chosen.shares_with)
        total = sum(factors.by_life(one) for one in factors.fields if one.name in names)
        assert isinstance(total, np.ndarray)
        inside = chosen.codes == chosen.levels.index(level)
        draws = np.exp(total[:, inside].mean(axis=1) - total[:, ~inside].mean(axis=1))
        told = row(found, field, level)
        np.testing.assert_allclose(
            told[["factor_low", "factor", "factor_high"]].astype(float),
            np.quantile(draws, (0.05, 0.5, 0.95)),
        )
        assert told["chance_shorter"] == pytest.approx((draws < 0.9).mean())
        assert told["chance_longer"] == pytest.approx((draws > 1 / 0.9).mean())


def test_too_few_failures_try_no_lot(bellows: tuple[Ageing, StandingOut]) -> None:
    few = replace(bellows[0], grade="too few failures to say")
    assert standing_out(few).lots == ()


def test_the_same_numbers_every_time(bellows: tuple[Ageing, StandingOut]) -> None:
    again = standing_out(bellows[0])
    pd.testing.assert_frame_equal(again.table, bellows[1].table)
    assert again.lots == bellows[1].lots
    assert np.isfinite([lot.chance_shape for lot in again.lots]).all()
