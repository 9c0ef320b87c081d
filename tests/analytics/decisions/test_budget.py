"""The parts budget: counts and money of the simulated futures, added up by hand."""

from dataclasses import replace
from datetime import date

import numpy as np
import pandas as pd
import pytest

from analytics.decisions.budget import BUDGET_COLUMNS, MONEY_COLUMNS, Budget, parts_budget
from analytics.decisions.prices import price_list
from analytics.decisions.spares import SPARES_COLUMNS
from analytics.job import Fleet, budget_of, futures_of, how_it_ages
from analytics.outlook.futures import Futures
from tests.analytics.ageing.folders import fleet_of

MONEY = 'currency = "GBP"\n[rates]\nlabour_per_hour = 10\nemergency_multiplier = 2\n'


@pytest.fixture(scope="module")
def fleet() -> Fleet:
    return fleet_of(
        [
            "A,single,bellows,P1,,2018-01-01",
            "B,single,bellows,P2,,2015-01-01",
            "C,single,cutless_bearing,P3,,2015-01-01",
            "D,single,gland_hose,,,2010-01-01",
        ],
        MONEY,
        prices=["bellows,P1,100,3,20", "bellows,P2,200,4,", "cutless_bearing,P3,50,6,30"],
    )


def made(fleet: Fleet) -> Futures:
    """Four futures of one season: planned and unplanned of P1, P2, P3 and the hose."""
    season = fleet.records.settings.seasons.season(2025)
    items = pd.DataFrame(
        {"kind": ["bellows", "bellows", "cutless_bearing", "gland_hose"],
         "part_no": ["P1", "P2", "P3", ""]}
    )  # fmt: skip
    planned = np.array([[[0, 1, 0, 1]], [[0, 1, 0, 0]], [[1, 0, 0, 0]], [[0, 0, 0, 0]]])
    unplanned = np.array([[[2, 0, 0, 0]], [[0, 0, 1, 0]], [[0, 0, 0, 0]], [[1, 0, 0, 0]]])
    return Futures((season,), items, planned.astype(np.int32), unplanned.astype(np.int32))


@pytest.fixture(scope="module")
def by_hand(fleet: Fleet) -> Budget:
    return parts_budget(fleet.lives, made(fleet), price_list(fleet.records))


def line(budget: Budget, kind: str, part_no: str) -> pd.Series:
    lines = budget.lines
    return lines[(lines["kind"] == kind) & (lines["part_no"] == part_no)].iloc[0]


def test_money_of_each_future_by_hand(by_hand: Budget) -> None:
    # P1 130 planned, 160 out of turn; P2 240 planned; P3 110 either way; the hose has no price.
    assert by_hand.totals.tolist() == [[320 + 240], [240 + 110], [130], [160]]
    assert by_hand.unpriced == ("gland_hose",)


def test_lines_by_hand(by_hand: Budget) -> None:
    assert list(by_hand.lines.columns) == [*BUDGET_COLUMNS, *MONEY_COLUMNS]
    one = line(by_hand, "bellows", "P1")
    assert (one["planned"], one["unplanned"], one["quantity_mean"]) == (0.25, 0.75, 1.0)
    # Quantities 2, 0, 1, 1: half need at most one, four fifths at most two.
    assert (one["quantity_p50"], one["quantity_p80"], one["quantity_p95"]) == (1, 2, 2)
    assert one["cost_mean"] == (320 + 0 + 130 + 160) / 4
    assert (one["planned_cost"], one["unplanned_cost"]) == (130 / 4, 480 / 4)
    assert one["currency"] == "GBP"
    bellows = line(by_hand, "bellows", "all")
    assert bellows["quantity_mean"] == (3 + 1 + 1 + 1) / 4
    assert bellows["cost_mean"] == (560 + 240 + 130 + 160) / 4
    assert line(by_hand, "gland_hose", "")["quantity_mean"] == 0.25
    assert np.isnan(line(by_hand, "gland_hose", "")["cost_mean"])
    # Parts of P1: 2, 0, 1 and 1 of them at 100; the rest of the 610 is labour.
    assert (one["parts_cost"], one["labour_cost"]) == (100.0, 210 / 4)
    assert one["contingency"] == one["cost_p80"] - one["cost_mean"]


def test_spares_of_the_first_season(by_hand: Budget) -> None:
    assert list(by_hand.spares.columns) == SPARES_COLUMNS
    one = by_hand.spares.iloc[0]
    assert (one["expected"], one["p80"], one["p95"]) == (1.0, 2, 2)
    # Twenty days before the lift of 2025-01-15; no lead time, no day.
    assert one["order_by"] == date(2024, 12, 26)
    assert by_hand.spares.iloc[1]["order_by"] is None
    assert (one["planned"], one["unplanned"], one["part_price"]) == (0.25, 0.75, 100.0)
    assert (one["cost_p80"], one["late"]) == (200.0, False)
    # Records end on 2024-06-30, in a season that runs to the end of October.
    assert by_hand.period == (date(2024, 11, 1), date(2025, 10, 31))


@pytest.fixture(scope="module")
def simulated(fleet: Fleet) -> tuple[Futures, Budget]:
    futures = futures_of(fleet, how_it_ages(fleet), seasons=4, n_futures=800)
    return futures, budget_of(fleet, futures)


def test_every_line_adds_up(simulated: tuple[Futures, Budget]) -> None:
    futures, budget = simulated
    lines = budget.lines
    np.testing.assert_allclose(lines["planned"] + lines["unplanned"], lines["quantity_mean"])
    np.testing.assert_allclose(lines["planned_cost"] + lines["unplanned_cost"], lines["cost_mean"])
    assert (lines["quantity_p50"] <= lines["quantity_p80"]).all()
    assert (lines["quantity_p80"] <= lines["quantity_p95"]).all()
    counts = futures.planned + futures.unplanned
    for at, season in enumerate(futures.seasons):
        of_season = lines[lines["season"] == season.year]
        fleet_line = of_season[of_season["kind"] == "all"].iloc[0]
        single = of_season[of_season["part_no"] != "all"]
        kinds = of_season[(of_season["part_no"] == "all") & (of_season["kind"] != "all")]
        for name in ("planned", "unplanned", "quantity_mean", "cost_mean"):
            assert single[name].sum() == pytest.approx(fleet_line[name])
            assert kinds[name].sum() == pytest.approx(fleet_line[name])
        assert fleet_line["quantity_mean"] == pytest.approx(counts[:, at].sum(axis=1).mean())


def test_a_totals_points_are_those_of_the_simulated_totals(
    simulated: tuple[Futures, Budget],
) -> None:
    futures, budget = simulated
    fleet_lines = budget.fleet()
    assert budget.totals.shape == (800, 4)
    for at in range(len(futures.seasons)):
        points = np.quantile(budget.totals[:, at], (0.5, 0.8, 0.95))
        told = fleet_lines.loc[at, ["cost_p50", "cost_p80", "cost_p95"]].astype(float)
        np.testing.assert_allclose(told, points)
    # Percentiles of lines do not add up to those of their sum.
    lines = budget.lines
    single = lines[lines["part_no"] != "all"].groupby("season")["cost_p95"].sum()
    assert (single.to_numpy() != fleet_lines["cost_p95"].to_numpy()).any()


def test_a_dearer_part_moves_money_and_no_count(fleet: Fleet, by_hand: Budget) -> None:
    prices = price_list(fleet.records)
    dearer = replace(
        prices, by_part_no={**prices.by_part_no, "P1": replace(prices.of("", "P1"), part=1100.0)}
    )
    moved = parts_budget(fleet.lives, made(fleet), dearer)
    assert moved.totals.tolist() == [[2320 + 240], [350], [1130], [1160]]
    assert (moved.lines["quantity_mean"] == by_hand.lines["quantity_mean"]).all()


def test_nothing_in_service_needs_no_budget() -> None:
    fleet = fleet_of(["A,single,bellows,P1,,2015-01-01,2020-01-01,failed,afloat"])
    futures = futures_of(fleet, how_it_ages(fleet), seasons=2, n_futures=10)
    budget = budget_of(fleet, futures)
    assert budget.totals.tolist() == [[0.0, 0.0]] * 10
    assert budget.fleet()["quantity_mean"].tolist() == [0.0, 0.0]
