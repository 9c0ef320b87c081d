"""What is said of spares: the singular where it is one, nothing where there is nothing."""

from datetime import date

import pandas as pd

from analytics.decisions.stock import StockPlan
from analytics.decisions.stock_items import POOLED
from analytics.outlook.futures import FAILED, PLANNED
from analytics.papers import spares as says
from tests.analytics.decisions.stock_fleet import Place, fleet_of, futures_of, plan_of

PLACES: list[Place] = [
    ("Wren", "single", "bellows", "B30", "30 mm", "Quay"),
    ("Otter", "single", "bellows", "B30", "30 mm", "Isle"),
]
LIFT = date(2025, 1, 15)


def plan(*stock: str, price: str = "200", lead: str = "10", futures: int = 10) -> StockPlan:
    fleet = fleet_of(PLACES, prices=[f"bellows,B30,{price},{lead},7"], stock=stock)
    renewals = [(one, part, LIFT, PLANNED) for one in range(10) for part in (0, 1)]
    renewals += [(one, 0, date(2025, 4, 9), FAILED) for one in range(futures)]
    years = range(2025, 2033)
    simulated = futures_of(fleet, PLACES, renewals, n_futures=10, years=years)
    return plan_of(fleet, simulated)


def test_the_order_in_a_sentence() -> None:
    assert says.to_order(plan(), "Isle", "EUR") == "1 part on 1 line, EUR 200"
    assert says.to_order(plan(), "Quay", "EUR") == "2 parts on 1 line, EUR 400"
    held = plan("Isle,bellows,B30,,1,2024-01-01")
    assert says.to_order(held, "Isle", "EUR") == ""
    assert says.stores_of(held) == ["Isle", "Quay"]


def test_late_orders() -> None:
    assert says.late(plan(), "Quay") == ""  # ten days before 15 January is ahead of 31 December
    assert says.late(plan(lead="15"), "Quay") == "1 line is late: order at once."
    assert says.first_order(plan().orders) == date(2025, 1, 5)


def test_pooling_says_what_it_saves_or_nothing() -> None:
    # Certain demand pools to the same number.
    assert says.pooling(plan(), "EUR") == ""
    # A part that one base lets lie is taken by another.
    spare = plan("Isle,bellows,B30,,2,2024-01-01")
    assert says.pooling(spare, "EUR").startswith(
        "One store for all bases would need 1 part fewer and EUR 200 less; a part must then travel"
    )


def test_parts_that_another_base_does_not_count_on() -> None:
    assert says.from_elsewhere(plan().orders) == ""
    # The isle keeps three and needs one: of its two, the quay needs both.
    spare = plan("Isle,bellows,B30,,3,2024-01-01").orders
    assert says.from_elsewhere(spare).startswith("2 of the parts to buy could come from another")
    # Two bases want the one part that lies at a third: it can go to one of them.
    twice = pd.concat([spare.assign(base=name, elsewhere=(spare["elsewhere"] > 0) * 1)
                       for name in ("Quay", "Cape")])  # fmt: skip
    assert says.from_elsewhere(twice).startswith("1 of the parts to buy could come from another")


def test_the_shelf_costs_what_is_not_for_the_lift() -> None:
    made = plan().orders
    # Two parts for the quay, one of them for the lift; the isle needs one, for the lift.
    each = made[made["base"] != POOLED]
    assert "building up the shelf costs EUR 200 of this order" in says.shelf_money(each, "EUR")
    assert says.shelf_money(each[each["base"] == "Isle"], "EUR") == ""


def test_that_all_lines_last_is_said_of_two_or_more() -> None:
    assert says.at_once(0.5, 1) == ""
    assert says.at_once(0.5, 2).startswith("All 2 lines together last less often: with every")


def test_old_stock_is_named() -> None:
    assert says.old_stock(plan()) == []
    (gone,) = says.old_stock(plan("Quay,bellows,B30,,1,2015-01-01"))
    assert gone.startswith("1 part in store has passed the storage life and count")
    (doubtful,) = says.old_stock(plan("Isle,bellows,B30,,2,2024-01-01"))
    assert doubtful.startswith("Of 1 row in store, one part or more will more likely than not")


def test_what_is_held_back_is_said() -> None:
    assert says.capped(plan(), "Quay") == ""
    assert says.capped(plan(futures=4), "Quay").startswith("1 spare is left off the order")


def test_lead_times_that_are_assumed_are_said_to_be() -> None:
    settings = fleet_of(PLACES).records.settings
    assert "28 days where none is given" not in " ".join(says.assumed(plan(), settings))
    assert "28 days where none is given" in " ".join(says.assumed(plan(lead=""), settings))
    assert says.STORAGE_ONLY in says.assumed(plan(), settings)


def test_a_file_says_what_it_was_asked_with_and_names_the_pooled_store() -> None:
    made = plan()
    written = says.written(made, made.orders)
    assert written["base"].tolist() == ["all bases", "Isle", "Quay"]
    assert set(written["chance"]) == {0.95}
    assert set(written["one_where_it_pays"]) == {False}
    # A table without bases is left as it is.
    assert list(says.named(made.storage).columns) == list(made.storage.columns)
    assert (
        "from the day after the last one watched"
        in says.assumed(made, fleet_of(PLACES).records.settings)[0]
    )
