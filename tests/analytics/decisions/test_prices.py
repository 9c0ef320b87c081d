"""Prices: by part number, else by kind, else not known."""

from dataclasses import astuple

import numpy as np
import pytest

from analytics.decisions.prices import UNPRICED, Price, PriceList, price_list
from analytics.records.kinds import KINDS
from analytics.records.settings import Rates
from tests.analytics.ageing.folders import fleet_of

RATES = Rates(labour_per_hour=80.0, emergency_multiplier=1.5)


def listed(*prices: str) -> PriceList:
    return price_list(fleet_of(["A,single,bellows,P1,,2020-01-01"], prices=prices).records)


def alone(part: float, hours: float, lead: float) -> Price:
    """A price whose job takes as long with the shaft drawn, and no shelf life."""
    return Price(part, hours, lead, shared_hours=hours)


def agree(one: Price, other: Price) -> None:
    """Alike, what is not known included."""
    np.testing.assert_equal(astuple(one), astuple(other))


def test_part_number_before_kind_before_nothing() -> None:
    prices = listed("bellows,,150,2,10", "bellows,P1,210,3,20", "face_seal,,300,4,30")
    agree(prices.of("bellows", "P1"), alone(210.0, 3.0, 20.0))
    agree(prices.of("bellows", "P9"), alone(150.0, 2.0, 10.0))
    agree(prices.of("bellows", ""), alone(150.0, 2.0, 10.0))
    assert prices.of("gland_hose", "") is UNPRICED


def test_a_kind_without_a_row_of_its_own_has_the_mean_of_its_numbers() -> None:
    prices = listed("bellows,P1,100,2,10", "bellows,P2,200,4,20")
    agree(prices.of("bellows", "P7"), alone(150.0, 3.0, 15.0))


def test_one_number_of_two_kinds_has_a_price_for_each() -> None:
    rows = ["bellows,P1,100,2,10", "gland_hose,P1,900,3,20", "face_seal,,300,4,30"]
    prices = listed(*rows)
    agree(prices.of("bellows", "P1"), alone(100.0, 2.0, 10.0))
    agree(prices.of("gland_hose", "P1"), alone(900.0, 3.0, 20.0))
    # The number alone decides nothing where it is of two kinds; the kind does.
    agree(prices.of("face_seal", "P1"), alone(300.0, 4.0, 30.0))
    assert prices.of("lip_seal", "P1") is UNPRICED


def test_a_number_without_a_kind_or_of_one_kind_only_is_enough() -> None:
    prices = listed(",P1,100,2,10", "bellows,P1,120,2,10", "gland_hose,P2,900,3,20")
    assert prices.of("bellows", "P1").part == 120.0
    assert prices.of("gland_hose", "P1").part == 100.0
    assert prices.of("bellows", "P2").part == 900.0


def test_of_rows_about_the_same_number_the_dearest_counts() -> None:
    for rows in (["bellows,P1,100,2,10", "bellows,P1,140,2,10"],
                 ["bellows,P1,140,2,10", "bellows,P1,100,2,10"]):  # fmt: skip
        assert listed(*rows).of("bellows", "P1").part == 140.0


def test_labour_not_given_is_none_and_lead_time_not_given_is_not_known() -> None:
    price = listed("bellows,P1,100,,").of("bellows", "P1")
    assert (price.part, price.labour_hours) == (100.0, 0.0)
    assert np.isnan(price.lead_time_days)


def test_planned_and_unplanned_by_hand() -> None:
    price = Price(part=200.0, labour_hours=3.0, lead_time_days=7.0)
    assert price.planned(RATES) == 200 + 3 * 80
    # Out of turn: labour at one and a half; a bearing is found, and done, at the lift.
    assert price.unplanned(KINDS["bellows"], RATES) == 200 + 3 * 80 * 1.5
    assert price.unplanned(KINDS["cutless_bearing"], RATES) == 200 + 3 * 80


def test_the_order_of_the_rows_does_not_matter() -> None:
    rows = ["bellows,P1,100,2,10", "bellows,P2,200,4,20", "face_seal,P3,300,4,30"]
    one, other = listed(*rows), listed(*rows[::-1])
    for name in ("by_part_no", "by_kind"):
        first, second = getattr(one, name), getattr(other, name)
        assert list(first) == list(second)
        for key in first:
            agree(first[key], second[key])


def test_no_price_is_no_number() -> None:
    assert np.isnan(UNPRICED.planned(RATES))
    assert UNPRICED.planned(RATES) == pytest.approx(np.nan, nan_ok=True)


def test_a_price_in_another_currency_is_none() -> None:
    fleet = fleet_of(["A,single,bellows,P1,,2020-01-01"], prices=["bellows,,150,2,10"])
    table = fleet.records.tables["prices.csv"]
    fleet.records.tables["prices.csv"]["currency"] = ["GBP"] * len(table)
    assert price_list(fleet.records).of("bellows", "") is UNPRICED
    fleet.records.tables["prices.csv"]["currency"] = ["eur"] * len(table)
    assert price_list(fleet.records).of("bellows", "").part == 150.0
