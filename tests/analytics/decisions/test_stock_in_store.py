"""What lies in store: which part it is, whether it counts, and what must be asked."""

from datetime import date

import pandas as pd
import pytest

from analytics.decisions.stock import StockPlan
from analytics.decisions.stock_in_store import AGE, ELSEWHERE, EXPIRED, GOOD, NO_SUCH, WHICH
from analytics.decisions.stock_items import POOLED, items_of
from analytics.outlook.futures import FAILED
from tests.analytics.decisions.stock_fleet import Place, fleet_of, futures_of, line, plan_of

PLACES: list[Place] = [
    ("Wren", "single", "bellows", "B30", "30 mm", "Quay"),
    ("Otter", "port", "bellows", "B40", "40 mm", "Isle"),
    ("Otter", "starboard", "bellows", "", "40 mm", "Isle"),
    ("Otter", "port", "lip_seal", "", "25 mm", "Isle"),
    ("Otter", "starboard", "lip_seal", "", "", "Isle"),
    ("Wren", "single", "packed_gland", "G30", "", "Quay"),
]


def stocked(*rows: str) -> StockPlan:
    fleet = fleet_of(PLACES, stock=rows, prices=["bellows,,100,10,7", "packed_gland,,9,3,"])
    return plan_of(fleet, futures_of(fleet, PLACES, [(0, 0, date(2025, 7, 5), FAILED)]))


def test_items_are_numbers_and_else_sizes() -> None:
    fleet = fleet_of(PLACES)
    items = items_of(futures_of(fleet, PLACES, []))
    assert items.keys == [
        ("bellows", "", "40 mm"),
        ("bellows", "B30", "30 mm"),
        ("bellows", "B40", "40 mm"),
        ("lip_seal", "", ""),
        ("lip_seal", "", "25 mm"),
        ("packed_gland", "G30", ""),
    ]
    assert items.table["ask"].tolist() == [False, False, False, True, False, False]
    assert items.stores == (POOLED, "Isle", "Quay")


@pytest.mark.parametrize(
    ("row", "state"),
    [
        ("Quay,bellows,B30,,1,2024-01-01", GOOD),
        ("Quay,bellows,b 30,,1,2024-01-01", GOOD),  # as people write it
        ("Quay,bellows,,30mm,1,2024-01-01", GOOD),  # by a size that one number alone has
        ("Quay,bellows,,3 cm,1,2024-01-01", GOOD),
        ("Quay,bellows,,40 mm,1,2024-01-01", WHICH),  # with a number or without?
        ("Quay,bellows,,,1,2024-01-01", WHICH),
        ("Quay,bellows,B99,30 mm,1,2024-01-01", NO_SUCH),  # another number is another part
        ("Quay,bellows,,55 mm,1,2024-01-01", NO_SUCH),
        ("Quay,gland_hose,,,1,2024-01-01", NO_SUCH),
        ("Quay,bellows,B30,,1,", AGE),
        ("Quay,packed_gland,G30,,1,", GOOD),  # keeps without end
        ("Quay,bellows,B30,,1,2017-01-01", EXPIRED),
        ("Quay,bellows,B30,,1,2017..2019", EXPIRED),  # it may be the older of the two
        ("Attic,bellows,B30,,1,2024-01-01", ELSEWHERE),
        (",packed_gland,G30,,1,", ELSEWHERE),
    ],
)
def test_states(row: str, state: str) -> None:
    plan = stocked(row)
    assert plan.store["state"].tolist() == [state]
    kind, number = ("packed_gland", "G30") if "packed" in row else ("bellows", "B30")
    orders = plan.orders[plan.orders["kind"] == kind]
    here, all_of_them = line(orders, "Quay", number), line(orders, POOLED, number)
    assert here["in_store"] == (state == GOOD)
    assert all_of_them["in_store"] == (state in (GOOD, ELSEWHERE))
    in_store = plan.questions[plan.questions["about"] == "in store"]
    assert len(in_store) == (state in (AGE, WHICH, NO_SUCH, ELSEWHERE))


def test_a_row_of_none_is_no_stock() -> None:
    plan = stocked("Quay,bellows,B30,,0,2024-01-01")
    assert plan.store.empty
    assert line(plan.orders, "Quay", "B30")["in_store"] == 0


def test_unknown_sizes_are_asked_for_boat_by_boat() -> None:
    plan = stocked()
    asked = plan.questions[plan.questions["about"] == "size not known"]
    # The gland has a part number, so it can be ordered.
    assert asked["boat"].tolist() == ["Otter"]
    assert asked["question"].tolist() == [
        "Which size is the lip seal of Otter, starboard? Ask before ordering. "
        "Other parts of that shaft are 40 mm."
    ]
    assert asked["where"].tolist() == ["parts.csv:6"]


def test_what_becomes_of_each_row() -> None:
    # Two rows and three parts; one is wanted each July from 2025 to 2027 in every future but
    # those of odd number, which want none. The first row expires at the end of 2025.
    rows = ["Quay,bellows,B30,,2,2018-12-31", "Quay,bellows,B30,,1,2024-06-01"]
    fleet = fleet_of(PLACES, stock=rows, prices=["bellows,,100,10,7"])
    julys = [date(year, 7, 5) for year in (2025, 2026, 2027)]
    renewals = [(future, 0, day, FAILED) for future in (0, 2) for day in julys]
    futures = futures_of(fleet, PLACES, renewals, n_futures=4, years=range(2025, 2033))
    store = plan_of(fleet, futures).store
    assert store["expires_on"].tolist() == [date(2025, 12, 30), date(2031, 6, 1)]
    # Even futures use one of the first row and the second row whole; odd ones let all expire.
    assert store["unused"].tolist() == [1.5, 0.5]
    assert store["unused_chance"].tolist() == [1.0, 0.5]
    assert pd.isna(store["used_up_p50"].iloc[0])
    assert store["used_up_p50"].iloc[1] == date(2026, 7, 5)
    assert pd.isna(store["used_up_p80"].iloc[1])
