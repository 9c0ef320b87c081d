"""What is said of a budget: amounts that still add up once they are rounded."""

from dataclasses import replace
from datetime import date

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from analytics.decisions.budget import parts_budget
from analytics.decisions.budget_spread import Spread
from analytics.decisions.prices import price_list
from analytics.outlook.futures import FAILED, PLANNED
from analytics.papers.budget_sentences import (
    Amounts,
    added_up,
    beside_the_limits,
    headline,
    pieces,
    scope,
    spread_sentence,
)
from tests.analytics.ageing.folders import fleet_of
from tests.analytics.decisions.costing_places import written_out


def line(committed: float, forecast: float, p80: float) -> pd.Series:
    return pd.Series(
        {"season": 2027, "committed": committed, "forecast": forecast, "cost_p80": p80}
    )


def test_amounts_are_rounded_together() -> None:
    # Rounded by itself the contingency would be 8,990: 15,200 and 8,990 are not 24,100.
    amounts = Amounts.of(line(15_151.0, 7_049.0, 24_144.0))
    assert (amounts.p80, amounts.committed, amounts.forecast) == (24_100.0, 15_200.0, 7_000.0)
    assert amounts.contingency == 8_900.0
    assert headline(line(15_151.0, 7_049.0, 24_144.0), "EUR") == (
        "Season 2027: EUR 24,100 is enough in 80 of 100 simulated futures, EUR 15,200 committed "
        "and EUR 8,900 contingency."
    )


def test_what_is_added_and_what_is_not() -> None:
    assert added_up(line(2_700.0, 16_900.0, 22_700.0), "EUR") == (
        "Committed EUR 2,700 + contingency EUR 20,000 = EUR 22,700 (P80). The forecast, "
        "EUR 16,900, is paid from the contingency and is not added to it."
    )
    assert "EUR 900 is more than the P80 of EUR 800" in added_up(line(900.0, 50.0, 800.0), "EUR")


def test_why_the_season_counts_other_parts() -> None:
    said = beside_the_limits(6, 5.04)
    assert "counts 6 parts past a limit by the lift" in said
    assert "the budget plans 5.0 parts" in said
    assert beside_the_limits(5, 5.04) == beside_the_limits(0, 0.3) == ""


def test_a_part_that_may_fail_before_its_lift_is_as_good_as_certain() -> None:
    fleet = fleet_of(["A,single,bellows,P1,,2018-01-01"], prices=["bellows,P1,100,2,10"])
    place = [("A", "single", "bellows", "P1")]
    happens = [(0, 0, date(2025, 1, 15), PLANNED), (1, 0, date(2024, 12, 1), FAILED)]
    futures = written_out(fleet, place, happens, n_futures=2)
    committed = pieces(parts_budget(fleet.lives, futures, price_list(fleet.records)), "EUR")[0]
    assert "(0.5 parts)" in committed.sentence
    assert (
        "as good as certain: 1 part is renewed in every one of the 2 simulated futures, at the "
        "lift or because of a failure before it." in committed.sentence
    )


@given(st.floats(0, 1e9), st.floats(0, 1e9), st.floats(0, 1e9))
def test_they_add_up_whatever_they_are(committed: float, forecast: float, p80: float) -> None:
    amounts = Amounts.of(line(committed, forecast, p80))
    enough = max(amounts.p80, amounts.committed)
    assert amounts.contingency >= 0
    assert amounts.committed + amounts.contingency == pytest.approx(enough)
    assert amounts.committed == pytest.approx(committed, abs=amounts.unit)


def test_the_scope_says_which_days_are_left_of_the_season_before() -> None:
    fleet = fleet_of(["A,single,bellows,P1,,2018-01-01"])  # watched up to 30 June 2024
    place, happens = [("A", "single", "bellows", "P1")], [(0, 0, date(2025, 5, 1), FAILED)]
    budget = parts_budget(
        fleet.lives, written_out(fleet, place, happens), price_list(fleet.records)
    )
    assert scope(budget).startswith(
        "Season 2025 here means 1 July 2024 to 31 October 2025 (with the days up to 31 October "
        "2024, which are left of the season before);"
    )
    after = replace(budget, period=(date(2024, 12, 1), date(2025, 10, 31)))
    assert scope(after).startswith("Season 2025 here means 1 December 2024 to 31 October 2025;")


def test_luck_and_knowledge_are_told_apart() -> None:
    said = spread_sentence(Spread(luck=3.0, knowledge=1.0))
    assert "90 % is luck and 10 % is not knowing the curves, the fitting dates and the" in said
    assert "more records would narrow only that part" in said
    assert "cannot be told" in spread_sentence(Spread(float("nan"), float("nan")))
    assert "the same in every simulated future" in spread_sentence(Spread(0.0, 0.0))
