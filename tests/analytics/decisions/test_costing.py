"""What a renewal costs, worked out by hand; every figure here is invented."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from analytics.decisions import costing
from analytics.decisions.consequence import failure_cost
from analytics.decisions.costing import by_season, paid_on, price_day, renewal_costs, rises
from analytics.decisions.prices import Price, PriceList
from analytics.job import Fleet
from analytics.outlook.futures import ACCIDENT, FAILED, PLANNED, WORN
from tests.analytics.ageing.folders import fleet_of
from tests.analytics.decisions.costing_places import written_out

RATES = """
[rates]
labour_per_hour = 10
emergency_multiplier = 2
lift_and_launch = 300
tow = 500
lost_day = 40
lost_days = 3
"""
PRICES = PriceList(
    {
        ("", "B1"): Price(100.0, 7.0, 20.0, 1.5),
        ("", "C1"): Price(50.0, 8.0, 20.0, 2.0),
        ("", "G1"): Price(20.0, 3.0, 20.0, 3.0),
    },
    {},
)
BELLOWS, BEARING = ("A", "single", "bellows", "B1"), ("A", "single", "cutless_bearing", "C1")
HOSE, NO_PRICE = ("A", "single", "gland_hose", "G1"), ("A", "single", "face_seal", "")
SIDES = ("port", "starboard")
LIFT, SUMMER = date(2025, 1, 15), date(2025, 7, 1)


def fleet(settings: str = RATES) -> Fleet:
    twins = [f"{boat},{side},bellows,B1,,2018-01-01" for boat in "TUV" for side in SIDES]
    return fleet_of(["A,single,bellows,B1,,2018-01-01", *twins], settings)


@pytest.fixture(scope="module")
def plain() -> Fleet:
    return fleet()


def test_bellows_alone_at_a_lift_take_seven_hours(plain: Fleet) -> None:
    futures = written_out(plain, [BELLOWS], [(0, 0, LIFT, PLANNED)])
    costs = renewal_costs(plain.lives, futures, PRICES)
    assert (costs.parts.tolist(), costs.labour.tolist()) == ([100.0], [70.0])
    assert costs.lift.tolist() == costs.tow.tolist() == costs.lost_income.tolist() == [0.0]
    assert costs.total.tolist() == [170.0]


def test_two_jobs_at_one_lift_share_the_strip_down(plain: Fleet) -> None:
    at_one_lift = [(0, 0, LIFT, PLANNED), (0, 1, LIFT, WORN)]
    costs = renewal_costs(plain.lives, written_out(plain, [BELLOWS, BEARING], at_one_lift), PRICES)
    # 1.5 + 2 hours with the shaft drawn, and the longer of 5.5 and 6 hours of drawing it.
    assert costs.labour.sum() == pytest.approx(10 * (1.5 + 2.0 + 6.0))
    # Each carries of the 6 hours what it would need alone: 5.5 and 6 parts of 11.5.
    assert costs.labour == pytest.approx(10 * np.array([1.5 + 33 / 11.5, 2.0 + 36 / 11.5]))
    assert not costs.out_of_turn.any()


def test_an_accident_that_a_lift_finds_shares_it_too(plain: Fleet) -> None:
    found = [(0, 0, LIFT, PLANNED), (0, 1, LIFT, ACCIDENT)]
    costs = renewal_costs(plain.lives, written_out(plain, [BELLOWS, BEARING], found), PRICES)
    assert costs.labour.sum() == pytest.approx(95.0)


@pytest.mark.parametrize(
    "apart",
    [
        [(0, 0, LIFT, PLANNED), (1, 1, LIFT, WORN)],
        [(0, 0, LIFT, PLANNED), (0, 1, date(2026, 1, 15), WORN)],
        [(0, 0, LIFT, PLANNED), (0, 2, LIFT, WORN)],
    ],
    ids=["another future", "another lift", "another shaft line"],
)
def test_nothing_is_shared_elsewhere(plain: Fleet, apart: list[tuple[int, int, date, int]]) -> None:
    sides = [("T", "port", "bellows", "B1"), ("T", "port", "cutless_bearing", "C1")]
    places = [*sides, ("T", "starboard", "cutless_bearing", "C1")]
    futures = written_out(plain, places, apart, n_futures=2, years=(2025, 2026))
    assert renewal_costs(plain.lives, futures, PRICES).labour.tolist() == [70.0, 80.0]


def test_a_failure_afloat_costs_times_the_multiplier_and_all_that_follows(plain: Fleet) -> None:
    futures = written_out(plain, [BELLOWS, BEARING], [(0, 0, SUMMER, FAILED), (0, 1, LIFT, WORN)])
    costs = renewal_costs(plain.lives, futures, PRICES)
    assert costs.labour.tolist() == [140.0, 80.0]
    assert costs.lift.tolist() == [600.0, 0.0]
    assert costs.tow.tolist() == [500.0, 0.0]
    assert (costs.lost_days.tolist(), costs.lost_income.tolist()) == ([3.0, 0.0], [120.0, 0.0])
    assert costs.total.tolist() == [100 + 140 + 600 + 500 + 120, 50 + 80]


def test_a_failure_on_the_day_of_a_lift_shares_nothing(plain: Fleet) -> None:
    futures = written_out(plain, [BELLOWS, BEARING], [(0, 0, LIFT, FAILED), (0, 1, LIFT, WORN)])
    assert renewal_costs(plain.lives, futures, PRICES).labour.tolist() == [140.0, 80.0]


def test_no_charter_days_are_lost_out_of_season(plain: Fleet) -> None:
    # A season from 1 April to 31 October: on its last day one day is left, the day before two.
    days = [date(2025, 3, 31), date(2025, 4, 1), date(2025, 10, 30), date(2025, 10, 31)]
    futures = written_out(plain, [BELLOWS], [(0, 0, day, ACCIDENT) for day in days])
    costs = renewal_costs(plain.lives, futures, PRICES)
    assert costs.lost_days.tolist() == [0.0, 3.0, 2.0, 1.0]
    assert costs.lost_income.tolist() == [0.0, 120.0, 80.0, 40.0]
    assert costs.tow.tolist() == [500.0] * 4


def test_charter_days_of_a_season_still_running_are_lost_too(plain: Fleet) -> None:
    # What is left of the season of 2024 is paid in the season year of 2025.
    days = [date(2024, 10, 20), date(2024, 10, 30), date(2024, 11, 1)]
    futures = written_out(plain, [BELLOWS], [(0, 0, day, FAILED) for day in days])
    assert renewal_costs(plain.lives, futures, PRICES).lost_days.tolist() == [3.0, 2.0, 0.0]


def test_a_season_all_year_round_has_no_last_day() -> None:
    settings = 'season_start = "01-01"\nseason_end = "12-31"\n' + RATES
    all_year = fleet_of(["A,single,bellows,B1,,2018-01-01"], settings)
    futures = written_out(all_year, [BELLOWS], [(0, 0, date(2025, 12, 31), FAILED)])
    assert renewal_costs(all_year.lives, futures, PRICES).lost_days.tolist() == [3.0]


def test_what_fails_in_the_lay_up_of_a_boat_ashore_is_found_ashore() -> None:
    rows = ["A,single,bellows,B1,,2018-01-01", "F,single,bellows,B1,,2018-01-01"]
    laid_up = fleet_of(rows, RATES, boats=["A,ashore", "F,afloat"])
    places = [BELLOWS, ("F", "single", "bellows", "B1"), BEARING]
    winter = date(2025, 2, 10)
    happens = [(0, 0, winter, FAILED), (0, 0, SUMMER, FAILED), (0, 1, winter, FAILED)]
    # Nothing is shared with what is found at the lift.
    happens += [(1, 0, LIFT, ACCIDENT), (1, 2, LIFT, WORN)]
    futures = written_out(laid_up, places, happens, n_futures=2)
    costs = renewal_costs(laid_up.lives, futures, PRICES)
    assert costs.labour.tolist() == [70.0, 140.0, 140.0, 70.0, 80.0]
    assert costs.lift.tolist() == [0.0, 600.0, 600.0, 0.0, 0.0]
    assert costs.tow.tolist() == [0.0, 500.0, 500.0, 0.0, 0.0]
    assert costs.lost_days.tolist() == [0.0, 3.0, 0.0, 0.0, 0.0]
    assert costs.out_of_turn.tolist() == [True, True, True, True, False]


def test_one_price_for_what_only_a_lift_shows_even_where_it_stops_the_boat() -> None:
    own = fleet(RATES + "[kinds.cutless_bearing]\nstops_the_boat = true\n")
    futures = written_out(own, [BEARING], [(0, 0, SUMMER, FAILED), (0, 0, LIFT, WORN)])
    costs = renewal_costs(own.lives, futures, PRICES)
    settings = own.lives.settings
    price = PRICES.of("cutless_bearing", "C1")
    expected = failure_cost(settings.kind("cutless_bearing"), price, settings.rates)
    assert costs.total.tolist() == [expected, expected] == [130.0, 130.0]


def test_a_kind_has_its_own_tow_and_lost_days_and_some_stop_no_boat() -> None:
    own = fleet(
        RATES
        + "[kinds.bellows]\ntow = 0\nlost_days = 9\n[kinds.gland_hose]\nstops_the_boat = false\n"
    )
    futures = written_out(own, [BELLOWS, HOSE], [(0, 0, SUMMER, FAILED), (0, 1, SUMMER, FAILED)])
    costs = renewal_costs(own.lives, futures, PRICES)
    assert (costs.tow.tolist(), costs.lost_days.tolist()) == ([0.0, 0.0], [9.0, 0.0])
    assert costs.lift.tolist() == [600.0, 0.0]
    assert costs.labour.tolist() == [140.0, 60.0]


def test_a_missing_price_counts_nothing_and_is_named(plain: Fleet) -> None:
    futures = written_out(
        plain, [BELLOWS, NO_PRICE], [(0, 0, LIFT, PLANNED), (0, 1, LIFT, PLANNED)]
    )
    costs = renewal_costs(plain.lives, futures, PRICES)
    assert (costs.parts.tolist(), costs.labour.tolist()) == ([100.0, 0.0], [70.0, 0.0])
    assert costs.unpriced == ("face_seal",)


def test_shared_hours_that_are_not_known_are_those_alone(plain: Fleet) -> None:
    prices = PriceList(
        {("", "B1"): Price(100.0, 7.0, 20.0), ("", "C1"): Price(50.0, 8.0, 20.0)}, {}
    )
    futures = written_out(plain, [BELLOWS, BEARING], [(0, 0, LIFT, PLANNED), (0, 1, LIFT, WORN)])
    assert renewal_costs(plain.lives, futures, prices).labour.tolist() == [70.0, 80.0]


RISING = RATES + 'price_increase = 0.1\nlabour_increase = 0.2\nprice_date = "2024-05-02"\n'


def test_each_season_is_dearer_by_its_own_rate_of_increase() -> None:
    rising = fleet(RISING)
    seasons = tuple(rising.records.settings.seasons.season(year) for year in (2025, 2026, 2027))
    # Season year 2025 runs from 2024-11-01 to 2025-10-31; its middle is 182 days on.
    assert (price_day(rising.lives.settings), paid_on(seasons[0])) == (
        date(2024, 5, 2),
        date(2025, 5, 2),
    )
    goods, work = rises(rising.lives.settings, seasons)
    # One, two and three years of 365 days, where a year counts 365.25.
    years = np.array([365, 730, 1095]) / 365.25
    assert goods == pytest.approx(1.1**years)
    assert work == pytest.approx(1.2**years)
    futures = written_out(
        rising,
        [BELLOWS],
        [(0, 0, date(2026, 1, 15), PLANNED), (0, 0, date(2027, 7, 1), FAILED)],
        years=(2025, 2026, 2027),
    )
    costs = renewal_costs(rising.lives, futures, PRICES)
    assert costs.parts == pytest.approx([100 * goods[1], 100 * goods[2]])
    assert costs.labour == pytest.approx([70 * work[1], 140 * work[2]])
    assert costs.lift == pytest.approx([0, 600 * work[2]])
    assert costs.lost_income == pytest.approx([0, 120 * work[2]])
    assert costs.lost_days.tolist() == [0, 3]


def test_prices_of_a_later_day_are_not_made_cheaper() -> None:
    later = fleet(RISING.replace("2024-05-02", "2026-01-01"))
    goods, _ = rises(later.lives.settings, (later.records.settings.seasons.season(2025),))
    assert goods.tolist() == [1.0]


@pytest.mark.parametrize(
    ("written", "day"),
    [("2024-05", date(2024, 5, 16)), ("spring", date(2024, 6, 30)), ("", date(2024, 6, 30))],
)
def test_a_price_date_that_is_no_day(written: str, day: date) -> None:
    assert price_day(fleet(f'[rates]\nprice_date = "{written}"\n').lives.settings) == day


def test_seasons_apart_and_cells_at_once_change_nothing(
    plain: Fleet, monkeypatch: pytest.MonkeyPatch
) -> None:
    rng = np.random.default_rng(5)
    places = [
        (boat, position, kind, no)
        for boat in "TUV"
        for position in SIDES
        for _, _, kind, no in (BELLOWS, BEARING, HOSE)
    ]
    renewals = [
        (int(f), int(p), date(year, 1, 15) if how in (PLANNED, WORN) else date(year, 7, 1), how)
        for f, p, year, how in zip(
            rng.integers(0, 40, 600),
            rng.integers(0, 18, 600),
            rng.integers(2025, 2028, 600).tolist(),
            rng.choice((PLANNED, FAILED, WORN, ACCIDENT), 600).tolist(),
            strict=True,
        )
    ]
    futures = written_out(plain, places, renewals, n_futures=40, years=(2025, 2026, 2027))
    whole = renewal_costs(plain.lives, futures, PRICES)
    monkeypatch.setattr(costing, "_CELLS_AT_ONCE", 13)
    np.testing.assert_allclose(
        renewal_costs(plain.lives, futures, PRICES).labour, whole.labour, rtol=1e-12
    )
    for at, season in by_season(futures):
        money = renewal_costs(plain.lives, season, PRICES).total
        np.testing.assert_allclose(money, whole.total[futures.season == at], rtol=1e-12)
    turned = replace(
        futures,
        future=futures.future[::-1].copy(),
        part=futures.part[::-1].copy(),
        day=futures.day[::-1].copy(),
        how=futures.how[::-1].copy(),
    )
    np.testing.assert_allclose(
        renewal_costs(plain.lives, turned, PRICES).total[::-1], whole.total, rtol=1e-12
    )
