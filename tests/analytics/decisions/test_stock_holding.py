"""How many to hold: Poisson tables, demand that is Poisson, and windows counted by hand."""

from datetime import date, timedelta

import numpy as np
import pytest
from scipy.stats import poisson

from analytics.decisions.prices import price_list
from analytics.decisions.stock_demand import ASSUMED_LEAD_DAYS, demand_of, window_starts
from analytics.decisions.stock_holding import enough, holdings, poisson_stock
from analytics.decisions.stock_items import POOLED, items_of
from analytics.outlook.futures import ACCIDENT, FAILED, PLANNED, WORN
from analytics.records.seasons import SeasonRule
from tests.analytics.decisions.stock_fleet import Place, fleet_of, futures_of, line, plan_of

BELLOWS: list[Place] = [
    ("Wren", "single", "bellows", "B30", "30 mm", "Quay"),
    ("Otter", "single", "bellows", "B30", "30 mm", "Isle"),
]
PRICES = ["bellows,B30,200,30,7"]


@pytest.mark.parametrize(
    ("mean", "stock"), [(0.5, 2), (1.0, 3), (2.0, 5), (4.0, 8), (6.0, 10), (10.0, 15)]
)
def test_poisson_tables(mean: float, stock: int) -> None:
    # Published tables of the cumulative Poisson distribution, at 95 %.
    assert poisson_stock(mean, 0.95) == stock


def test_poisson_at_its_edges() -> None:
    assert poisson.cdf(10, 6) == pytest.approx(0.9574, abs=5e-5)  # the same tables
    assert poisson_stock(0.0, 0.95) == 0
    # Six a lead time: eleven are needed as soon as ten suffice too seldom.
    assert poisson_stock(6.0, 0.9574) == 11
    assert poisson_stock(6.0, 0.9573) == 10


@pytest.mark.parametrize("mean", [0.5, 1.0, 6.0])
def test_demand_that_is_poisson_is_held_as_the_tables_say(mean: float) -> None:
    # A demand without ageing, drawn here: failures of one place at a constant rate.
    rng, days, n = np.random.default_rng(11), 30, 1500
    first = date(2025, 1, 1)
    renewals = []
    for future in range(n):
        for day in np.flatnonzero(counts := rng.poisson(mean / days, 700)):
            when = first + timedelta(days=int(day))
            renewals += [(future, 0, when, FAILED)] * int(counts[day])
    fleet = fleet_of(BELLOWS[:1], prices=PRICES)
    plan = plan_of(fleet, futures_of(fleet, BELLOWS[:1], renewals, n_futures=n))
    held = line(plan.holdings, "Quay", "B30")
    # Windows of 30 days from the first of seven months: 10,500 draws, a mean within 4 errors.
    assert held["wanted"] == pytest.approx(mean, abs=4 * np.sqrt(mean / (7 * n)))
    assert held["hold"] == poisson_stock(mean)
    assert held["poisson"] == poisson_stock(float(held["wanted"]))


def test_windows_begin_tomorrow_and_with_every_month_to_the_season_s_end() -> None:
    season = SeasonRule().season(2025)
    starts = window_starts(season, date(2024, 12, 31))
    assert starts == [date(2025, month, 1) for month in range(1, 11)]
    late = window_starts(season, date(2025, 8, 20))
    assert late == [date(2025, 8, 21), date(2025, 9, 1), date(2025, 10, 1)]
    over_new_year = SeasonRule(start=(11, 15), end=(2, 10)).season(2026)
    assert window_starts(over_new_year, date(2025, 10, 9)) == [
        *(date(2025, 10, 10), date(2025, 11, 1), date(2025, 11, 15), date(2025, 12, 1)),
        *(date(2026, 1, 1), date(2026, 2, 1)),
    ]


def test_demand_by_hand() -> None:
    # Lead time 30 days. Two futures; April to October are seven windows in each, three before.
    renewals = [
        (0, 0, date(2025, 4, 1), FAILED),  # April's first day
        (0, 1, date(2025, 4, 30), ACCIDENT),  # its thirtieth and last
        (0, 0, date(2025, 5, 31), FAILED),  # the day after May's window
        (0, 0, date(2025, 7, 5), PLANNED),  # ordered ahead: never off the shelf
        (1, 0, date(2025, 3, 30), FAILED),  # before the season, the last of March's window
        (1, 0, date(2025, 10, 30), FAILED),  # October's last
        (1, 0, date(2025, 11, 2), FAILED),  # after the season
    ]
    fleet = fleet_of(BELLOWS, prices=PRICES)
    futures = futures_of(fleet, BELLOWS, renewals, n_futures=2)
    demand = demand_of(fleet.lives, futures, items_of(futures), price_list(fleet.records))
    quay, isle, both = (demand.on_shelf(0, base) for base in ("Quay", "Isle", POOLED))
    # Window after window, the futures side by side: the season, then what is before it.
    assert [span.tolist() for span in quay] == [[1, *[0] * 12, 1], [0, 0, 0, 0, 0, 1]]
    assert [span.tolist() for span in isle] == [[1, *[0] * 13], [0] * 6]
    assert [span.tolist() for span in both] == [[2, *[0] * 12, 1], [0, 0, 0, 0, 0, 1]]
    table = holdings(fleet.lives, demand, price_list(fleet.records), 0.95)
    # Of 14 windows, 13 want one or none of the pooled shelf: 93 %, so two; a shelf of one base
    # lasts with one, and with none at 0.83.
    assert line(table, POOLED, "B30")["hold"] == 2
    assert line(table, "Quay", "B30")["hold"] == 1
    assert line(holdings(fleet.lives, demand, price_list(fleet.records), 0.83), "Quay", "B30")[
        "hold"
    ] == 0  # fmt: skip
    assert line(table, "Quay", "B30")["wanted"] == pytest.approx(2 / 14)
    # In the season: two of future 0, one of future 1.
    assert line(table, "Quay", "B30")["in_season"] == 1.5


def test_waiting_by_hand() -> None:
    # Future 0 wants one on 1 May and waits 30 days; future 1 on 22 October, 10 days before the
    # season is over; 100 a day. The second of future 0 has come by then.
    renewals = [
        (0, 0, date(2025, 5, 1), FAILED),
        (0, 0, date(2025, 8, 1), FAILED),
        (1, 0, date(2025, 10, 22), FAILED),
    ]
    fleet = fleet_of(BELLOWS, prices=PRICES)
    plan = plan_of(fleet, futures_of(fleet, BELLOWS, renewals, n_futures=40), 0.9)
    quay = line(plan.holdings, "Quay", "B30")
    assert quay["waiting_cost"] == pytest.approx((30 + 10) * 100 / 40)
    # Three windows of 280 want one; a part costs 200, waiting 100 on average.
    assert (quay["hold"], quay["one_pays"]) == (0, False)
    dear = fleet_of(BELLOWS, prices=["bellows,B30,99,30,7"])
    plan = plan_of(dear, futures_of(dear, BELLOWS, renewals, n_futures=40), 0.9)
    assert line(plan.holdings, "Quay", "B30")["one_pays"]
    assert line(plan.holdings, "Isle", "B30")["waiting_cost"] == 0


def test_what_only_a_lift_shows_is_wanted_at_the_lift() -> None:
    bearings: list[Place] = [("Wren", "single", "cutless_bearing", "C30", "30 mm", "Quay")]
    lift = date(2025, 1, 15)
    renewals = [(0, 0, lift, WORN), (1, 0, lift, ACCIDENT), (2, 0, date(2026, 1, 15), WORN)]
    fleet = fleet_of(bearings, prices=["cutless_bearing,C30,80,21,"])
    plan = plan_of(fleet, futures_of(fleet, bearings, renewals, n_futures=4))
    held = line(plan.holdings, "Quay", "C30")
    assert (held["window"], held["wanted"], held["hold"]) == ("lift", 0.5, 1)
    assert np.isnan(held["waiting_cost"])
    order = line(plan.orders, "Quay", "C30")
    assert order["needed_on"] == lift
    assert order["order_by"] == date(2024, 12, 25)
    assert order["late"]


def test_a_lead_time_that_nobody_gave_is_assumed_and_asked_for() -> None:
    fleet = fleet_of(BELLOWS, prices=["bellows,B30,200,,7"])
    renewals = [(0, 0, date(2025, 4, 28), FAILED), (0, 1, date(2025, 4, 29), FAILED)]
    plan = plan_of(fleet, futures_of(fleet, BELLOWS, renewals))
    held = line(plan.holdings, "Quay", "B30")
    assert (held["lead_time_days"], held["lead_assumed"]) == (ASSUMED_LEAD_DAYS, True)
    assert held["wanted"] > 0  # 28 April is the 28th day, the last of the window
    assert line(plan.holdings, "Isle", "B30")["wanted"] == 0
    order = line(plan.orders, "Quay", "B30")
    assert (order["order_by"], order["late"]) == (None, False)
    assert np.isnan(order["lead_time_days"])
    (asked,) = plan.questions["question"]
    assert asked.startswith("How many days from order to delivery for bellows (B30)? 28 days")


def test_more_certainty_never_holds_less_and_enough_is_enough() -> None:
    samples = np.random.default_rng(3).poisson(1.3, 5000)
    held = [enough(samples, chance) for chance in (0.5, 0.8, 0.9, 0.95, 0.99, 0.999)]
    assert held == sorted(held)
    for chance, number in zip((0.5, 0.8, 0.9, 0.95, 0.99, 0.999), held, strict=True):
        assert (samples <= number).mean() >= chance
        assert number == 0 or (samples <= number - 1).mean() < chance


def test_what_cannot_be_asked() -> None:
    fleet = fleet_of(BELLOWS, prices=PRICES)
    one = futures_of(fleet, BELLOWS, [], years=(2025,))
    with pytest.raises(ValueError, match="one season was simulated"):
        plan_of(fleet, one)
    for chance in (0.0, 1.0, 95.0):
        with pytest.raises(ValueError, match="above 0 and below 1"):
            plan_of(fleet, futures_of(fleet, BELLOWS, []), chance)


def test_quiet_winters_thin_out_no_summer() -> None:
    # One future in ten wants one in April: 1 of 70 windows of the season, at 0.987 too many.
    renewals = [(0, 0, date(2025, 4, 9), FAILED)]
    fleet = fleet_of(BELLOWS, prices=PRICES)
    futures = futures_of(fleet, BELLOWS, renewals, n_futures=10)
    # Of all 100 windows it is 1, which 0.987 would allow.
    assert line(plan_of(fleet, futures, 0.987).holdings, "Quay", "B30")["hold"] == 1


def test_all_shelves_last_at_once_by_hand() -> None:
    # Ten futures; one failure of two places each, in different futures, in the first windows of
    # April, and none is held: in one window of seven, two futures of ten have a line that waits.
    renewals = [(0, 0, date(2025, 4, 5), FAILED), (1, 1, date(2025, 4, 5), FAILED)]
    fleet = fleet_of(BELLOWS, prices=PRICES)
    plan = plan_of(fleet, futures_of(fleet, BELLOWS, renewals, n_futures=10))
    assert set(plan.holdings["held"]) == {0}
    assert plan.together.of["Quay"] == plan.together.of["Isle"] == pytest.approx(1 - 1 / 70)
    assert plan.together.everywhere == pytest.approx(1 - 2 / 70)
    assert plan.together.of[POOLED] == pytest.approx(1 - 2 / 70)


def test_one_that_is_held_because_waiting_costs_more_counts() -> None:
    # Three of ten futures fail in April's first days: 3 of 70 windows, so that the chance asks
    # for none; the boat would wait 30 days at 100 a day in three of ten, more than a part of 200.
    renewals = [(one, 0, date(2025, 4, 5), FAILED) for one in range(3)]
    fleet = fleet_of(BELLOWS[:1], prices=PRICES)
    futures = futures_of(fleet, BELLOWS[:1], renewals, n_futures=10)
    by_chance = plan_of(fleet, futures)
    assert line(by_chance.holdings, "Quay", "B30")["held"] == 0
    assert by_chance.together.everywhere == pytest.approx(1 - 3 / 70)
    held = plan_of(fleet, futures, one_where_it_pays=True)
    assert line(held.holdings, "Quay", "B30")["held"] == 1
    assert held.together.everywhere == 1.0
