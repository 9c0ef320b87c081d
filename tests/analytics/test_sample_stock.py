"""The store of the invented fleet: modest, of sizes in use, and in nobody else's way."""

import tomllib

import pandas as pd
import pytest

from analytics.records.reading import read_fleet
from analytics.sample import TARNWICK, InventedFleet, invent_fleet
from analytics.sample.stock import STOCK_COLUMNS
from tests.analytics.invented import rows_of


@pytest.fixture(scope="module")
def fleet() -> InventedFleet:
    return invent_fleet()


def test_only_sizes_that_a_base_has(fleet: InventedFleet) -> None:
    stock, boats = rows_of(fleet, "stock.csv"), rows_of(fleet, "boats.csv")
    parts = rows_of(fleet, "parts.csv").merge(boats[["boat", "base", "left_on"]], on="boat")
    present = parts[parts["left_on"] == ""]
    in_use = set(zip(present["base"], present["part_no"], strict=True))
    known = stock[stock["part_no"] != ""]
    assert tuple(stock.columns) == STOCK_COLUMNS
    assert set(zip(known["base"], known["part_no"], strict=True)) <= in_use
    assert len(known) == len(stock) - 1
    assert stock["quantity"].astype(int).between(1, 2).all()
    assert 10 <= len(stock) <= 40


def test_some_of_it_is_too_old_or_nearly(fleet: InventedFleet) -> None:
    stock = rows_of(fleet, "stock.csv")
    rubber = stock[stock["kind"].isin(["bellows", "lip_seal", "gland_hose"])]
    age = pd.Timestamp(TARNWICK.as_of) - pd.to_datetime(rubber["made_on"])
    years = age.dt.days / 365.25
    assert (years > 7).any()
    assert ((years > 5) & (years < 7)).any()
    assert (years < 3).sum() >= 5
    assert (years >= 0).sum() == (rubber["made_on"] != "").sum()


def test_it_is_read_without_a_finding(fleet: InventedFleet) -> None:
    records = read_fleet({name: text.encode() for name, text in fleet.files.items()})
    assert len(records.tables["stock.csv"]) == len(rows_of(fleet, "stock.csv"))
    assert not [one for one in records.findings if one.file == "stock.csv"]
    rates = tomllib.loads(fleet.files["fleet.toml"])["rates"]
    assert records.settings.rates.price_increase == rates["price_increase"] == 0.03
    shared = records.tables["prices.csv"].set_index("part_no")["shared_hours"]
    assert (shared["TR-BEL-30"], shared["TR-CUT-30"]) == (1.0, 1.5)


def test_another_seed_has_another_store(fleet: InventedFleet) -> None:
    assert invent_fleet(boats=20, seed=1).files["stock.csv"] != fleet.files["stock.csv"]
