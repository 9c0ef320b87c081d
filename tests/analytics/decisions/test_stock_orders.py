"""The order list: by hand, and on the invented fleet as a whole."""

from dataclasses import replace
from datetime import date

import numpy as np
import pandas as pd
import pytest

from analytics.ageing.fit import FleetAgeing
from analytics.decisions.prices import price_list
from analytics.decisions.spares import SPARES_COLUMNS
from analytics.decisions.stock import StockPlan, seasons_followed
from analytics.decisions.stock_in_store import in_store
from analytics.decisions.stock_items import POOLED, items_of
from analytics.decisions.stock_orders import NO_LIMIT, ORDER_COLUMNS, order_months
from analytics.decisions.stock_shelf import Uses, storage_life, used_up
from analytics.job import Fleet, open_fleet, spares_of
from analytics.job import futures_of as simulated_of
from analytics.outlook.futures import FAILED, PLANNED, WORN, Futures
from analytics.usage import day_number
from tests.analytics.decisions.stock_fleet import Place, fleet_of, futures_of, line, plan_of

LIFT = date(2025, 1, 15)
PLACES: list[Place] = [
    ("Wren", "single", "bellows", "B30", "30 mm", "Quay"),
    ("Otter", "single", "bellows", "B30", "30 mm", "Isle"),
]
PRICES = ["bellows,B30,200,30,7"]
YEARS = range(2025, 2033)


def every_future(*days: date, n: int = 10, part: int = 0, how: int = FAILED) -> list[tuple]:  # type: ignore[type-arg]
    return [(future, part, day, how) for future in range(n) for day in days]


def ordered(
    renewals: list[tuple],
    *stock: str,
    one_where_it_pays: bool = False,
    chance: float = 0.95,  # type: ignore[type-arg]
) -> StockPlan:
    fleet = fleet_of(PLACES, prices=PRICES, stock=stock)
    futures = futures_of(fleet, PLACES, renewals, n_futures=10, years=YEARS)
    return plan_of(fleet, futures, chance, one_where_it_pays=one_where_it_pays)


def test_an_order_by_hand() -> None:
    # One due at the lift and one more wanted in every April: one for the lift, one for the shelf.
    plan = ordered(
        [*every_future(LIFT, how=PLANNED), *every_future(date(2025, 4, 9), date(2026, 4, 9))]
    )
    order = line(plan.orders, "Quay", "B30")
    assert list(plan.orders.columns) == ORDER_COLUMNS
    assert list(plan.orders.columns)[: len(SPARES_COLUMNS)] == SPARES_COLUMNS
    assert (order["for_lift"], order["spares"], order["to_buy"]) == (1, 1, 2)
    assert (order["planned"], order["unplanned"], order["expected"]) == (1.0, 1.0, 2.0)
    assert order["needed_on"] == LIFT
    assert order["order_by"] == date(2024, 12, 16)  # thirty days before it
    assert order["late"]  # the records end on 2024-12-31
    assert order["cost"] == 400
    # Nothing happens at the other base, and nothing is bought.
    isle = line(plan.orders, "Isle", "B30")
    assert (isle["to_buy"], isle["cost"], isle["order_by"], isle["late"]) == (0, 0, None, False)
    money = plan.money.set_index("base")
    assert money.loc["Quay", ["lines", "parts", "cost", "late"]].tolist() == [1, 2, 400, 1]
    assert money.loc["Isle", ["lines", "parts", "cost", "late"]].tolist() == [0, 0, 0, 0]


def test_spares_alone_are_needed_when_the_season_begins() -> None:
    order = line(ordered(every_future(date(2025, 4, 9), date(2026, 5, 1))).orders, "Quay", "B30")
    assert (order["for_lift"], order["spares"]) == (0, 1)
    assert order["needed_on"] == date(2025, 4, 1)
    assert (order["order_by"], order["late"]) == (date(2025, 3, 2), False)


def test_what_is_in_store_and_good_is_taken_off_the_oldest_for_the_lift() -> None:
    renewals = [
        *every_future(LIFT, how=PLANNED),
        *every_future(date(2025, 4, 9), date(2026, 4, 9), date(2027, 4, 9)),
    ]
    # Expires in June 2025: good for the lift, not to the end of the season on the shelf.
    old, new = "Quay,bellows,B30,,1,2018-06-15", "Quay,bellows,B30,,1,2024-06-15"
    for stock, from_store, to_buy in (
        ((old,), 1, 1), ((new,), 1, 1), ((old, new), 2, 0), ((old, old), 1, 1), ((new, new), 2, 0),
    ):  # fmt: skip
        order = line(ordered(renewals, *stock).orders, "Quay", "B30")
        assert (order["in_store"], order["from_store"], order["to_buy"]) == (
            len(stock), from_store, to_buy,
        )  # fmt: skip
    # The lift is served from the store, so only the season's begin must be met.
    order = line(ordered(renewals, old).orders, "Quay", "B30")
    assert (order["to_buy_for_lift"], order["needed_on"]) == (0, date(2025, 4, 1))
    # At another base it is named, and not taken off.
    away = line(ordered(renewals, "Isle,bellows,B30,,2,2024-06-15").orders, "Quay", "B30")
    assert (away["to_buy"], away["elsewhere"], away["elsewhere_at"]) == (2, 2, "Isle")
    # One store for all takes it.
    pooled = line(ordered(renewals, "Isle,bellows,B30,,2,2024-06-15").orders, POOLED, "B30")
    assert (pooled["from_store"], pooled["to_buy"]) == (2, 0)


def test_nothing_is_bought_that_half_of_the_futures_would_let_expire() -> None:
    # Wanted in April 2025 in four of ten futures, and never again.
    renewals = [(future, 0, date(2025, 4, 9), FAILED) for future in range(4)]
    order = line(ordered(renewals).orders, "Quay", "B30")
    assert (order["spares"], order["most"], order["to_buy"], order["held_back"]) == (1, 0, 0, 1)
    six = [(future, 0, date(2025, 4, 9), FAILED) for future in range(6)]
    order = line(ordered(six).orders, "Quay", "B30")
    assert (order["most"], order["to_buy"], order["held_back"]) == (1, 1, 0)


def test_what_keeps_beyond_the_last_day_simulated_has_no_limit() -> None:
    # Four of ten futures want one in two seasons; it is good until 2032, and nobody knows of then.
    fleet = fleet_of(PLACES, prices=PRICES)
    renewals = [(future, 0, date(2025, 4, 9), FAILED) for future in range(4)]
    plan = plan_of(fleet, futures_of(fleet, PLACES, renewals, n_futures=10))
    order = line(plan.orders, "Quay", "B30")
    assert (order["most"], order["to_buy"], order["held_back"]) == (NO_LIMIT, 1, 0)


def test_a_failure_before_the_season_is_held_for_and_takes_from_the_store() -> None:
    renewals = every_future(date(2025, 2, 20))
    plan = ordered(renewals)
    assert line(plan.holdings, "Quay", "B30")["hold"] == 1
    assert line(plan.holdings, "Quay", "B30")["in_season"] == 0
    stock = "Quay,bellows,B30,,{},2024-06-15"
    # The one in store is used in February; of two, one is left for the season.
    for quantity, from_store in ((1, 0), (2, 1)):
        order = line(ordered(renewals, stock.format(quantity)).orders, "Quay", "B30")
        assert (order["spares"], order["in_store"], order["from_store"]) == (
            1, quantity, from_store,
        )  # fmt: skip
    # It offers nothing that half of the futures have used by then.
    away = line(ordered(renewals, stock.format(3)).orders, "Isle", "B30")
    assert away["elsewhere"] == 1
    # Of bearings, what the lift shows is the need itself and takes nothing before.
    places: list[Place] = [("Wren", "single", "cutless_bearing", "C30", "30 mm", "Quay")]
    fleet = fleet_of(places, stock=["Quay,cutless_bearing,C30,,1,2024-06-15"])
    worn = futures_of(fleet, places, every_future(LIFT, how=WORN), n_futures=10)
    bearing = line(plan_of(fleet, worn).orders, "Quay", "C30")
    assert (bearing["spares"], bearing["from_store"], bearing["to_buy"]) == (1, 1, 0)


def test_a_store_without_boats_stands_beside_the_lines() -> None:
    renewals = every_future(date(2025, 4, 9), date(2026, 5, 1))
    stock = ["Attic,bellows,B30,,2,2024-06-15", ",bellows,B30,,1,2024-06-15"]
    order = line(ordered(renewals, *stock).orders, "Quay", "B30")
    assert (order["to_buy"], order["in_store"], order["elsewhere"]) == (1, 0, 3)
    assert order["elsewhere_at"] == "Attic; no base given"
    pooled = line(ordered(renewals, *stock).orders, POOLED, "B30")
    assert (pooled["in_store"], pooled["elsewhere"], pooled["elsewhere_at"]) == (3, 0, "")


def test_what_has_expired_by_the_day_it_is_needed_is_not_offered() -> None:
    # Good for seven years, to 15 March 2025 and to 14 June; needed on 1 April.
    renewals = every_future(date(2025, 4, 9), date(2026, 5, 1))
    stock = ["Isle,bellows,B30,,4,2018-03-16", "Isle,bellows,B30,,1,2018-06-15"]
    order = line(ordered(renewals, *stock).orders, "Quay", "B30")
    assert (order["needed_on"], order["elsewhere"]) == (date(2025, 4, 1), 1)


def test_a_base_may_be_called_all() -> None:
    places: list[Place] = [(*PLACES[0][:5], "all"), (*PLACES[1][:5], "all bases")]
    fleet = fleet_of(places, prices=PRICES, stock=["all,bellows,B30,,1,2024-06-15"])
    renewals = every_future(date(2025, 4, 9), date(2026, 4, 9))
    plan = plan_of(fleet, futures_of(fleet, places, renewals, n_futures=10, years=YEARS))
    assert line(plan.orders, "all", "B30")["in_store"] == 1
    assert line(plan.orders, "all bases", "B30")["in_store"] == 0
    assert line(plan.orders, POOLED, "B30")["expected"] == 1.0
    assert plan.money["base"].tolist() == [POOLED, "all", "all bases"]


def test_lead_times_are_followed_to_their_end() -> None:
    fleet = fleet_of(PLACES, prices=["bellows,B30,200,800,1"])
    assert seasons_followed(fleet.lives, price_list(fleet.records)) == 4


def test_one_is_held_where_waiting_costs_more_than_it() -> None:
    # Six futures of ten lose 30 days at 100 in the season, but no window of a lead time by itself
    # has one in twenty that wants it.
    renewals = [(future, 0, date(2025, 4 + future, 20), FAILED) for future in range(3)]
    renewals += [(future, 0, date(2026, 7, 1), FAILED) for future in range(10)]
    plan = ordered(renewals, chance=0.9, one_where_it_pays=True)
    assert line(plan.holdings, "Quay", "B30")["hold"] == 0
    assert line(plan.holdings, "Quay", "B30")["waiting_cost"] == 900
    assert line(plan.orders, "Quay", "B30")["to_buy"] == 1
    assert line(ordered(renewals, chance=0.9).orders, "Quay", "B30")["to_buy"] == 0


def test_a_doubtful_date_buys_one_part_and_not_two() -> None:
    # Either due at the lift (one future in five) or failed in April (one in ten), never both.
    renewals = [(future, 0, LIFT, PLANNED) for future in range(2)]
    renewals += [(2, 0, date(2025, 4, 9), FAILED)]
    renewals += [(future, 0, date(2026, 7, 1), FAILED) for future in range(10)]
    order = line(ordered(renewals).orders, "Quay", "B30")
    assert (order["for_lift"], order["spares"], order["to_buy"]) == (0, 1, 1)


def test_the_lift_after_has_its_own_days() -> None:
    plan = ordered(every_future(date(2026, 1, 15), how=PLANNED))
    ahead = line(plan.ahead, "Quay", "B30")
    assert (ahead["season"], ahead["for_lift"], ahead["cost"]) == (2026, 1, 200)
    assert (ahead["order_by"], ahead["late"]) == (date(2025, 12, 16), False)
    assert plan.ahead["base"].tolist() == [POOLED, "Quay"]


@pytest.fixture(scope="module")
def planned(sample: Fleet, sample_ageing: FleetAgeing) -> tuple[Fleet, Futures, StockPlan]:
    futures = simulated_of(sample, sample_ageing, seasons=8, n_futures=300)
    return sample, futures, spares_of(sample, futures)


def test_the_invented_fleet_lets_nothing_that_is_bought_expire(
    planned: tuple[Fleet, Futures, StockPlan],
) -> None:
    """Each order, put on the shelf and used: the median future leaves none at its expiry."""
    fleet, futures, plan = planned
    prices, items = price_list(fleet.records), items_of(futures)
    uses = Uses(futures, items)
    store = in_store(fleet.lives, fleet.records.tables["stock.csv"], items, prices, uses)
    season = plan.season
    bought = plan.orders[plan.orders["to_buy"] > 0]
    checked = 0
    for order in bought.itertuples(index=False):
        life = storage_life(fleet.records.settings, prices, order.kind, order.part_no)
        if life.years == float("inf"):
            continue
        item = items.keys.index((order.kind, order.part_no, order.size))
        comes = season.lift_on if order.for_lift or "cutless" in order.kind else season.start
        shelf = store.expiries(item, order.base)
        new = [day_number(life.expires_on(comes))] * order.to_buy
        used = used_up(uses.of(item, order.base), [*shelf, *new], uses.until)
        unused = used.expired[:, len(shelf) :].sum(axis=1)
        assert np.quantile(unused, 0.5, method="inverted_cdf") == 0
        checked += 1
    assert checked > 20


def test_the_money_of_the_invented_fleet_adds_up(planned: tuple[Fleet, Futures, StockPlan]) -> None:
    _, futures, plan = planned
    orders, money = plan.orders, plan.money.set_index("base")
    np.testing.assert_allclose(orders["cost"], orders["to_buy"] * orders["part_price"])
    for base, lines in orders.groupby("base"):
        assert money.loc[base, "cost"] == pytest.approx(lines["cost"].sum())
        assert money.loc[base, "parts"] == lines["to_buy"].sum()
    each, ahead = orders[orders["base"] != POOLED], plan.ahead[plan.ahead["base"] != POOLED]
    months = order_months(each, ahead)
    assert months["parts"].sum() == each["to_buy"].sum() + ahead["for_lift"].sum()
    assert months["cost"].sum() == pytest.approx(each["cost"].sum() + ahead["cost"].sum())
    # The season's renewals of all lines are those of the futures.
    simulated = futures.planned[:, 0].sum() + futures.unplanned[:, 0].sum()
    for lines in (each, orders[orders["base"] == POOLED]):
        assert lines["expected"].sum() * futures.n_futures == pytest.approx(simulated)
    assert (orders["to_buy"] + orders["held_back"] + orders["from_store"]).tolist() == (
        orders["for_lift"] + orders["spares"]
    ).tolist()


def test_more_certainty_never_buys_less(planned: tuple[Fleet, Futures, StockPlan]) -> None:
    fleet, futures, _ = planned
    held = [spares_of(fleet, futures, chance).holdings["hold"] for chance in (0.8, 0.95, 0.99)]
    assert (held[0] <= held[1]).all()
    assert (held[1] <= held[2]).all()
    assert held[0].sum() < held[2].sum()


def test_the_order_of_the_rows_changes_no_order(
    planned: tuple[Fleet, Futures, StockPlan], sample_files: dict[str, bytes]
) -> None:
    _, futures, plan = planned
    header, *rows = sample_files["stock.csv"].splitlines()
    fleet = open_fleet({**sample_files, "stock.csv": b"\n".join([header, *rows[::-1]])})
    pd.testing.assert_frame_equal(spares_of(fleet, futures).orders, plan.orders)
    # Places in another order are the same places.
    other = replace(futures, parts=futures.parts[::-1].reset_index(drop=True))
    other = replace(other, part=(len(futures.parts) - 1 - futures.part).astype(np.int32))
    pd.testing.assert_frame_equal(spares_of(fleet, other).holdings, plan.holdings)
    pd.testing.assert_frame_equal(spares_of(fleet, other).orders, plan.orders)


def test_so_many_seasons_that_what_is_bought_now_has_expired(sample: Fleet) -> None:
    # The prices of the invented fleet give seven years, and so does its catalogue.
    assert seasons_followed(sample.lives, price_list(sample.records)) == 8


def test_in_the_middle_of_a_season_spares_are_needed_now() -> None:
    places: list[Place] = [*PLACES, ("Otter", "single", "cutless_bearing", "C30", "30 mm", "Isle")]
    fleet = fleet_of(
        places,
        prices=[*PRICES, "cutless_bearing,C30,80,21,"],
        settings="as_of = 2025-08-20\nrecords_from = 2005-01-01\n",
    )
    next_lift = date(2026, 1, 15)
    renewals = [
        *every_future(date(2025, 9, 3), date(2026, 6, 1)),
        *every_future(next_lift, part=1, how=PLANNED),
        *every_future(next_lift, part=2, how=WORN),
    ]
    plan = plan_of(fleet, futures_of(fleet, places, renewals, n_futures=10, years=YEARS))
    spare = line(plan.orders, "Quay", "B30")
    assert (spare["spares"], spare["needed_on"], spare["late"]) == (1, date(2025, 8, 20), True)
    # The lift of this season is past: what is due at the next belongs to the season after, and
    # bearings found worn are wanted there.
    assert line(plan.orders, "Isle", "B30")["for_lift"] == 0
    assert line(plan.ahead, "Isle", "B30")["order_by"] == date(2025, 12, 16)
    bearing = line(plan.orders, "Isle", "C30")
    assert (bearing["spares"], bearing["needed_on"], bearing["late"]) == (1, next_lift, False)


def test_past_the_lay_up_day_parts_are_needed_for_the_lift_that_can_still_take_place() -> None:
    fleet = fleet_of(
        PLACES, prices=PRICES, settings="as_of = 2025-02-15\nrecords_from = 2005-01-01\n"
    )
    lift = date(2025, 2, 16)
    renewals = every_future(lift, how=PLANNED)
    futures = futures_of(fleet, PLACES, renewals, n_futures=10, years=YEARS)
    order = line(plan_of(fleet, futures).orders, "Quay", "B30")
    assert (order["for_lift"], order["needed_on"]) == (1, lift)
    assert order["order_by"] == date(2025, 1, 17)  # thirty days before it


def test_a_fleet_without_parts_orders_nothing() -> None:
    fleet = fleet_of(PLACES, prices=PRICES, stock=["Quay,bellows,B30,,1,2024-01-01"])
    plan = plan_of(fleet, futures_of(fleet, [], []))
    assert plan.orders.empty
    assert plan.money.empty
    assert plan.store["state"].tolist() == ["no such part in service"]
