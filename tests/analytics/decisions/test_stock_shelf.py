"""Years in store: whose number counts, first in first out, and never one too many."""

from datetime import date, timedelta
from itertools import count

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from analytics.decisions.prices import price_list
from analytics.decisions.stock import seasons_followed
from analytics.decisions.stock_shelf import most_to_buy, storage_life, used_up
from analytics.usage import day_number
from tests.analytics.decisions.stock_fleet import SETTINGS, Place, fleet_of

PLACES: list[Place] = [
    ("Wren", "single", "bellows", "B30", "30 mm", "Quay"),
    ("Wren", "single", "packed_gland", "G30", "30 mm", "Quay"),
]


def test_iso_2230_group_b_stands_where_nobody_says_more() -> None:
    # ISO 2230: nitrile rubber (group B) keeps for 7 years, and 3 more after an inspection; read
    # second-hand, and sources differ.
    fleet = fleet_of(PLACES)
    life = storage_life(fleet.records.settings, price_list(fleet.records), "bellows", "B30")
    assert (life.years, life.longer) == (7.0, 3.0)
    assert life.said_by == "ISO 2230, group B, read second-hand"
    # The longer time is not counted on.
    assert life.expires_on(date(2020, 3, 1)) == date(2020, 3, 1) + timedelta(days=int(7 * 365.25))
    gland = storage_life(fleet.records.settings, price_list(fleet.records), "packed_gland", "G30")
    assert gland.years == float("inf")
    assert gland.expires_on(date(1990, 1, 1)) > date(2500, 1, 1)


def test_the_price_list_goes_before_the_kind_and_fleet_toml_before_the_catalogue() -> None:
    own = "[kinds.bellows]\nstorage_years = 4\n"
    fleet = fleet_of(PLACES, settings=SETTINGS + own)
    prices, settings = price_list(fleet.records), fleet.records.settings
    set_here = storage_life(settings, prices, "bellows", "B30")
    assert (set_here.years, set_here.longer, set_here.said_by) == (4.0, 0.0, "fleet.toml")
    assert seasons_followed(fleet.lives, prices) == 5
    listed = fleet_of(PLACES, settings=SETTINGS + own, prices=["bellows,B30,100,10,9"])
    prices = price_list(listed.records)
    life = storage_life(settings, prices, "bellows", "B30")
    assert (life.years, life.longer, life.said_by) == (9.0, 0.0, "prices.csv")
    assert seasons_followed(listed.lives, prices) == 10
    # A number that the list does not have takes what the list says of its kind.
    assert storage_life(settings, prices, "bellows", "B99").years == 9.0


DAYS = st.lists(st.integers(0, 60), max_size=8).map(sorted)
EXPIRIES = st.lists(st.integers(0, 70), max_size=6).map(sorted)
UNTIL = 60


def by_hand(days: list[int], expiries: list[int]) -> list[float]:
    """The day each part is fitted: each renewal takes the first to expire that is still good."""
    on = [float("inf")] * len(expiries)
    for day in days:
        for unit, expiry in enumerate(expiries):
            if on[unit] == float("inf") and expiry >= day:
                on[unit] = day
                break
    return on


def as_array(futures: list[list[int]]) -> np.ndarray:
    width = max(map(len, futures))
    return np.array([one + [np.inf] * (width - len(one)) for one in futures], dtype=float)


@given(st.lists(DAYS, min_size=1, max_size=5), EXPIRIES)
def test_first_in_first_out(futures: list[list[int]], expiries: list[int]) -> None:
    used = used_up(as_array(futures), expiries, UNTIL)
    for row, days in enumerate(futures):
        on = by_hand(days, expiries)
        assert used.on[row].tolist() == on
        gone = [at == np.inf and expiry <= UNTIL for at, expiry in zip(on, expiries, strict=True)]
        assert used.expired[row].tolist() == gone


@given(st.lists(DAYS, min_size=1, max_size=5), EXPIRIES, st.integers(0, 40), st.integers(1, 20))
def test_one_more_would_expire_in_more_than_half_of_the_futures(
    futures: list[list[int]], expiries: list[int], arrives: int, keeps: int
) -> None:
    # What is in store already is used before what comes new, as first in first out has it.
    expires = max([arrives + keeps, *expiries])
    days = as_array(futures)
    most = most_to_buy(days, used_up(days, expiries, UNTIL), arrives, expires)

    def all_used(bought: int) -> int:
        """Futures in which each part bought is used before it expires."""
        good = 0
        for future in futures:
            on = by_hand(future, expiries)
            left = [day for day in future if arrives <= day <= expires]
            for day in on:
                if day in left:
                    left.remove(day)
            good += len(left) >= bought
        return good

    assert 2 * all_used(most) >= len(futures)
    assert 2 * all_used(most + 1) < len(futures)
    assert next(n for n in count() if 2 * all_used(n + 1) < len(futures)) == most


def test_used_up_by_a_day_in_half_and_in_most_of_the_futures() -> None:
    # Two parts; ten futures, in the last three of which the second expires before it is wanted.
    days = as_array([[10, 20 + i] for i in range(7)] + [[10, 55]] * 3)
    used = used_up(days, [50.0, 50.0], UNTIL)
    assert used.expired.sum() == 3
    assert used.up_by(0.5) == 24
    assert used.up_by(0.7) == 26
    assert used.up_by(0.8) == np.inf
    # Good beyond what is simulated: neither used nor expired.
    later = used_up(as_array([[10]]), [50.0, 61.0], UNTIL)
    assert later.expired.tolist() == [[False, False]]
    assert later.up_by(0.5) == np.inf


def test_days_without_end_do_not_break_the_calendar() -> None:
    fleet = fleet_of(PLACES, settings=SETTINGS + "[kinds.bellows]\nstorage_years = 1e6\n")
    life = storage_life(fleet.records.settings, price_list(fleet.records), "bellows", "B30")
    assert day_number(life.expires_on(date(2020, 1, 1))) > 2_000_000


@pytest.mark.parametrize(
    ("text", "years", "told"),
    [("false", float("inf"), 0), ("0", 7.0, 1), ("-1", 7.0, 1), ('"seven"', 7.0, 1)],
)
def test_a_storage_life_that_is_none_or_wrong(text: str, years: float, told: int) -> None:
    fleet = fleet_of(PLACES, settings=SETTINGS + f"[kinds.bellows]\nstorage_years = {text}\n")
    life = storage_life(fleet.records.settings, price_list(fleet.records), "bellows", "B30")
    assert life.years == years
    assert sum(one.field == "kinds.bellows.storage_years" for one in fleet.told) == told
