"""The parts budget: counts and money of the simulated futures, added up by hand."""

from dataclasses import replace
from datetime import date

import numpy as np
import pandas as pd
import pytest

from analytics.decisions.budget import (
    BUDGET_COLUMNS,
    HOW_COLUMNS,
    MONEY_COLUMNS,
    Budget,
    parts_budget,
)
from analytics.decisions.costing import renewal_costs
from analytics.decisions.prices import price_list
from analytics.job import Fleet, budget_of, futures_of, how_it_ages
from analytics.outlook.futures import ACCIDENT, FAILED, PLANNED, WORN, Futures
from analytics.papers.budget_sentences import Amounts, pieces
from tests.analytics.ageing.folders import fleet_of
from tests.analytics.decisions.costing_places import written_out

MONEY = 'currency = "GBP"\n[rates]\nlabour_per_hour = 10\nemergency_multiplier = 2\n'
LIFT, MAY = date(2025, 1, 15), date(2025, 5, 20)
ADDED_UP = ["planned", "unplanned", "quantity_mean", "cost_mean", *HOW_COLUMNS]
MONEY_ADDED_UP = [name for name in MONEY_COLUMNS if name != "contingency"]


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


P1, P2, P3, HOSE = range(4)


def made(fleet: Fleet) -> Futures:
    """Four futures of one season."""
    return written_out(
        fleet,
        [
            ("A", "single", "bellows", "P1"),
            ("B", "single", "bellows", "P2"),
            ("C", "single", "cutless_bearing", "P3"),
            ("D", "single", "gland_hose", ""),
        ],
        [
            (0, P1, MAY, FAILED),
            (0, P1, date(2025, 6, 1), ACCIDENT),
            (0, P2, LIFT, PLANNED),
            (0, HOSE, LIFT, PLANNED),
            (1, P2, LIFT, PLANNED),
            (1, P3, LIFT, WORN),
            (2, P1, LIFT, PLANNED),
            (3, P1, MAY, FAILED),
        ],
        n_futures=4,
        n_draws=2,
        sizes=("30", "30", "40", ""),
        bases=("North", "South", "South", "South"),
    )


@pytest.fixture(scope="module")
def by_hand(fleet: Fleet) -> Budget:
    return parts_budget(fleet.lives, made(fleet), price_list(fleet.records))


def line(budget: Budget, kind: str, part_no: str) -> pd.Series:
    lines = budget.lines
    return lines[(lines["kind"] == kind) & (lines["part_no"] == part_no)].iloc[0]


def test_money_of_each_future_by_hand(by_hand: Budget) -> None:
    # P1 130 planned, 160 out of turn; P2 240 planned; P3 110 at a lift; the hose has no price.
    assert by_hand.totals.tolist() == [[320 + 240], [240 + 110], [130], [160]]
    assert by_hand.unpriced == ("gland_hose",)


def test_lines_by_hand(by_hand: Budget) -> None:
    assert list(by_hand.lines.columns) == [*BUDGET_COLUMNS, *MONEY_COLUMNS, *HOW_COLUMNS]
    one = line(by_hand, "bellows", "P1")
    assert (one["planned"], one["unplanned"], one["quantity_mean"]) == (0.25, 0.75, 1.0)
    assert (one["failed"], one["found_worn"], one["accidents"]) == (0.5, 0.0, 0.25)
    # Quantities 2, 0, 1, 1: half need at most one, four fifths at most two.
    assert (one["quantity_p50"], one["quantity_p80"], one["quantity_p95"]) == (1, 2, 2)
    assert one["cost_mean"] == (320 + 0 + 130 + 160) / 4
    assert (one["committed"], one["forecast"]) == (130 / 4, 480 / 4)
    assert one["currency"] == "GBP"
    bellows = line(by_hand, "bellows", "all")
    assert bellows["quantity_mean"] == (3 + 1 + 1 + 1) / 4
    assert bellows["cost_mean"] == (560 + 240 + 130 + 160) / 4
    assert line(by_hand, "cutless_bearing", "P3")["found_worn"] == 0.25
    assert line(by_hand, "gland_hose", "")["quantity_mean"] == 0.25
    assert np.isnan(line(by_hand, "gland_hose", "")["cost_mean"])
    # Parts of P1: 2, 0, 1 and 1 of them at 100; the rest of the 610 is labour.
    assert (one["parts_cost"], one["labour_cost"]) == (100.0, 210 / 4)


def test_contingency_is_what_the_p80_is_above_the_planned_work(by_hand: Budget) -> None:
    whole = by_hand.fleet().iloc[0]
    # Planned: 240, 240, 130 and 0; the totals 560, 350, 130 and 160, of which 80 in 100 lie below
    # 350 + 0.4 * (560 - 350).
    assert whole["committed"] == 610 / 4
    assert whole["cost_p80"] == pytest.approx(434.0)
    assert whole["contingency"] == pytest.approx(434.0 - 152.5)
    assert by_hand.horizon.iloc[0]["contingency"] == pytest.approx(whole["contingency"])


def test_sizes_bases_months_and_boats_by_hand(by_hand: Budget) -> None:
    sizes = by_hand.sizes.set_index("size")
    assert sizes["cost_mean"].drop("").to_dict() == {"30": 1090 / 4, "40": 110 / 4}
    assert np.isnan(sizes.loc["", "cost_mean"])
    bases = by_hand.bases.set_index("base")
    assert bases["cost_mean"].to_dict() == {"North": 610 / 4, "South": 590 / 4}
    # South: 240, 350, 0 and 0; planned 240 and 240.
    assert bases.loc["South", "cost_p50"] == 120.0
    assert bases.loc["South", "committed"] == 120.0
    months = by_hand.months.set_index("month")
    running = [f"2024-{m:02d}" for m in range(7, 13)]
    assert list(months.index) == [*running, *(f"2025-{m:02d}" for m in range(1, 11))]
    some = months[months["quantity_mean"] > 0]
    assert some["cost_mean"].to_dict() == {
        "2025-01": (240 + 240 + 110 + 130) / 4,
        "2025-05": 320 / 4,
        "2025-06": 160 / 4,
    }
    assert some["planned"].to_dict() == {"2025-01": 1.0, "2025-05": 0.0, "2025-06": 0.0}
    boats = by_hand.boats.set_index("boat")
    assert boats.loc["A", "cost_mean"] == 610 / 4
    assert boats.loc["B", "base"] == "South"


def test_what_happens_in_every_future_is_certain(fleet: Fleet) -> None:
    some = [(f, P2, LIFT, PLANNED) for f in (0, 1, 2)]
    others = [(0, P1, MAY, FAILED)] * 4
    prices = price_list(fleet.records)
    places = [("A", "single", "bellows", "P1"), ("B", "single", "bellows", "P2")]
    failing = written_out(fleet, places, [*some, (3, P2, MAY, FAILED), *others], n_futures=4)
    budget = parts_budget(fleet.lives, failing, prices)
    # P2 is renewed in every future, three times as planned; P1 four times, but all in one future.
    assert (budget.certain_parts, budget.certain_cost) == (1, 3 * 240 / 4)
    seldom = written_out(fleet, places, [*some, *others], n_futures=4)
    assert parts_budget(fleet.lives, seldom, prices).certain_parts == 0


def test_the_first_season_year(by_hand: Budget) -> None:
    # Records end on 2024-06-30, in a season that runs to the end of October.
    assert by_hand.period == (date(2024, 7, 1), date(2025, 10, 31))


def test_the_last_days_of_a_season_still_running_keep_their_month(fleet: Fleet) -> None:
    # Watched up to 2024-06-30: what fails in August is paid with the season of 2025, in August.
    places = [("A", "single", "bellows", "P1"), ("B", "single", "bellows", "P2")]
    happens = [(0, 0, date(2024, 8, 9), FAILED), (0, 1, date(2025, 12, 3), FAILED)]
    futures = written_out(fleet, places, happens, years=(2025, 2026))
    months = parts_budget(fleet.lives, futures, price_list(fleet.records)).months
    paid = months[months["quantity_mean"] > 0]
    told = list(zip(paid["season"], paid["month"], paid["cost_mean"], strict=True))
    assert told == [(2025, "2024-08", 160.0), (2026, "2025-12", 280.0)]
    assert months["month"].is_unique
    assert (months["month"].iloc[0], len(months)) == ("2024-07", 28)


def test_the_contingency_is_never_below_nothing(fleet: Fleet) -> None:
    # Renewed in one future of six: P80 is 0, and the mean, which is what is committed, is not.
    place = [("A", "single", "bellows", "P1")]
    seldom = written_out(fleet, place, [(0, 0, LIFT, PLANNED)], n_futures=6)
    budget = parts_budget(fleet.lives, seldom, price_list(fleet.records))
    for table in (budget.lines, budget.sizes, budget.bases, budget.months, budget.horizon):
        assert (table["contingency"] == 0).all()
    line = budget.fleet().iloc[0]
    assert (line["cost_p80"], line["committed"]) == (0.0, pytest.approx(130 / 6))
    (reserve,) = (one for one in pieces(budget, "GBP") if one.label == "Contingency")
    assert reserve.amount == 0.0
    assert "which is a mean" in reserve.sentence
    assert Amounts.of(line).contingency == 0.0


@pytest.fixture(scope="module")
def simulated() -> tuple[Fleet, Futures, Budget]:
    fleet = fleet_of(
        [
            f"{boat},{side},{kind},{no}-{size},,{year}-0{1 + at % 9}-01"
            for at, (boat, size) in enumerate(zip("ABCDEFGH", "2334" * 2, strict=True))
            for side in ("port", "starboard")
            for kind, no, year in (
                ("bellows", "BE", 2012 + at),
                ("cutless_bearing", "CU", 2016 + at % 4),
                ("lip_seal", "LI", 2017 + at % 5),
            )
        ],
        MONEY + "price_increase = 0.03\nlabour_increase = 0.05\n",
        boats=[f"{boat},afloat,{base}" for boat, base in zip("ABCDEFGH", "NNSSEEWW", strict=True)],
        boat_columns="boat,lay_up,base",
        prices=["bellows,,140.37,7,28", "cutless_bearing,,61.19,8,28", "lip_seal,,98.03,5.5,28"],
    )
    futures = futures_of(fleet, how_it_ages(fleet), seasons=4, n_futures=400)
    sized = futures.parts.assign(size=futures.parts["part_no"].str[-1])
    futures = replace(futures, parts=sized)
    return fleet, futures, budget_of(fleet, futures)


def test_money_reconciles_to_the_cent(simulated: tuple[Fleet, Futures, Budget]) -> None:
    _, _, budget = simulated
    total = budget.fleet().set_index("season")
    tables = {
        "part numbers": budget.part_numbers(),
        "kinds": budget.kinds(),
        "sizes": budget.sizes,
        "bases": budget.bases,
        "months": budget.months,
        "boats": budget.boats,
    }
    assert all(len(table) > len(total) for table in tables.values())
    for name, table in tables.items():
        sums = table.groupby("season")[[*ADDED_UP, *MONEY_ADDED_UP]].sum()
        for column in sums:
            np.testing.assert_allclose(
                sums[column], total[column], atol=1e-6, rtol=0, err_msg=f"{column} of {name}"
            )
    whole = budget.horizon.iloc[0]
    for column in (*ADDED_UP, *MONEY_ADDED_UP):
        assert whole[column] == pytest.approx(total[column].sum(), abs=1e-6)
    np.testing.assert_allclose(total["planned"] + total["unplanned"], total["quantity_mean"])
    np.testing.assert_allclose(total[HOW_COLUMNS].sum(axis=1), total["unplanned"])
    np.testing.assert_allclose(total["committed"] + total["contingency"], total["cost_p80"])


def test_a_lift_shared_by_two_jobs_costs_the_parts_that_share_it_less(
    simulated: tuple[Fleet, Futures, Budget],
) -> None:
    fleet, futures, budget = simulated
    prices = price_list(fleet.records)
    shared = replace(
        prices,
        by_kind={name: replace(one, shared_hours=1.0) for name, one in prices.by_kind.items()},
    )
    cheaper = parts_budget(fleet.lives, futures, shared)
    assert cheaper.fleet()["cost_mean"].sum() < budget.fleet()["cost_mean"].sum()
    np.testing.assert_array_equal(cheaper.fleet()["parts_cost"], budget.fleet()["parts_cost"])
    costs = renewal_costs(fleet.lives, futures, shared)
    money = (costs.parts + costs.labour).sum() / futures.n_futures
    assert cheaper.fleet()["cost_mean"].sum() == pytest.approx(money)


def test_a_totals_points_are_those_of_the_simulated_totals(
    simulated: tuple[Fleet, Futures, Budget],
) -> None:
    _, futures, budget = simulated
    fleet_lines = budget.fleet()
    assert budget.totals.shape == (400, 4)
    for at in range(len(futures.seasons)):
        points = np.quantile(budget.totals[:, at], (0.5, 0.8, 0.95))
        told = fleet_lines.loc[at, ["cost_p50", "cost_p80", "cost_p95"]].astype(float)
        np.testing.assert_allclose(told, points)
    every = np.quantile(budget.totals.sum(axis=1), 0.8)
    assert budget.horizon["cost_p80"].iloc[0] == pytest.approx(every)
    # Percentiles of lines, or of seasons, do not add up to those of their sum.
    assert every != pytest.approx(fleet_lines["cost_p80"].sum(), rel=1e-3)
    single = budget.part_numbers().groupby("season")["cost_p95"].sum()
    assert (single.to_numpy() != fleet_lines["cost_p95"].to_numpy()).all()
    quantity = (futures.planned + futures.unplanned).sum(axis=2)
    for at in range(4):
        expected = np.quantile(quantity[:, at], 0.8, method="inverted_cdf")
        assert fleet_lines.loc[at, "quantity_p80"] == expected


def test_a_dearer_part_moves_money_and_no_count(fleet: Fleet, by_hand: Budget) -> None:
    prices = price_list(fleet.records)
    more = replace(prices.of("bellows", "P1"), part=1100.0)
    dearer = replace(prices, by_part_no={**prices.by_part_no, ("bellows", "P1"): more})
    moved = parts_budget(fleet.lives, made(fleet), dearer)
    assert moved.totals.tolist() == [[2320 + 240], [350], [1130], [1160]]
    assert (moved.lines["quantity_mean"] == by_hand.lines["quantity_mean"]).all()


def test_a_failure_on_the_last_day_watched_is_in_the_first_month_to_come() -> None:
    fleet = fleet_of(
        ["A,single,bellows,P1,,2018-01-01"],
        MONEY,
        head="as_of = 2024-10-31\nrecords_from = 2005-01-01\n",
        prices=["bellows,P1,100,3,20"],
    )
    place = [("A", "single", "bellows", "P1")]
    futures = written_out(fleet, place, [(0, 0, date(2024, 10, 31), FAILED)])
    months = parts_budget(fleet.lives, futures, price_list(fleet.records)).months
    assert months.loc[months["quantity_mean"] > 0, "month"].tolist() == ["2024-11"]


def test_nothing_in_service_needs_no_budget() -> None:
    fleet = fleet_of(["A,single,bellows,P1,,2015-01-01,2020-01-01,failed,afloat"])
    futures = futures_of(fleet, how_it_ages(fleet), seasons=2, n_futures=10)
    budget = budget_of(fleet, futures)
    assert budget.totals.tolist() == [[0.0, 0.0]] * 10
    assert budget.fleet()["quantity_mean"].tolist() == [0.0, 0.0]
    assert budget.bases.empty
