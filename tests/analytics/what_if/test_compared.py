"""Two plans on the same futures: what must cancel cancels to the last digit."""

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from analytics.ageing.fit import Ageing
from analytics.ageing.likelihood import lives_of
from analytics.ageing.posterior import point
from analytics.job import Fleet, budget_of, futures_of, how_it_ages
from analytics.lives import IN_SERVICE
from analytics.outlook.futures import Futures
from analytics.what_if.applied import Plan, applied, todays_plan
from analytics.what_if.changes import Added, Changes, Factors, Limits, NewSeason, Sold
from analytics.what_if.compared import EVERY_SEASON, Compared, between, compared, years_of
from analytics.what_if.joining import futures_ahead
from analytics.what_if.measures import ALL, MONEY, Measured, measured
from analytics.what_if.sentences import SALE_NOT_COUNTED, brought
from tests.analytics.ageing.folders import fleet_of

FUTURES = 200
YEARS_KINDS = ("bellows", "gland_hose")


@pytest.fixture(scope="module")
def plan(whole: Plan) -> Plan:
    """Fifteen boats of it, with the curves of all: enough for what must hold of any fleet."""
    boats = sorted(whole.fleet.lives.in_service()["boat"].unique())[:15]
    few = {}
    for key, fitted in whole.ageing.items():
        chosen = fitted.table["boat"].isin(boats).to_numpy()
        chosen &= (fitted.table["outcome"] == IN_SERVICE).to_numpy()
        table = fitted.table[chosen].reset_index(drop=True)
        few[key] = replace(fitted, table=table, nodes=lives_of(fitted.nodes, chosen))
    return Plan(whole.fleet, few, {})


@pytest.fixture(scope="module")
def today(plan: Plan) -> Measured:
    return measured(plan, years_of(plan, Changes()), FUTURES)


def changed(plan: Plan, today: Measured, changes: Changes) -> tuple[Measured, Compared]:
    then = measured(applied(plan, changes), years_of(plan, changes), FUTURES)
    return then, between(today, then, changes, "EUR")


def test_no_change_is_exactly_none(plan: Plan, today: Measured) -> None:
    found = compared(plan, Changes("Same"), n_futures=FUTURES, measured_today=today)
    numbers = ("difference", "difference_low", "difference_high", "less_often", "more_often")
    for column in (*numbers, "simulation_error"):
        assert (found.table[column] == 0).all()
    assert (found.table["today"] == found.table["changed"]).all()
    assert (found.boats["difference"] == 0).all()
    assert (found.table["plan"] == "Same").all()


def test_doubled_prices_double_the_parts_money_exactly(plan: Plan, today: Measured) -> None:
    then, found = changed(plan, today, Changes(prices=Factors(2.0)))
    assert (then.by_kind["parts"] == 2 * today.by_kind["parts"]).all()
    rows = found.table[found.table["measure"] == "parts"]
    assert (rows["difference"] == rows["today"]).all()
    assert rows["today"].sum() > 0
    for measure in ("failures", "planned", "found_worn", "labour", "lift", "tow", "lost_income"):
        assert (then.by_kind[measure] == today.by_kind[measure]).all()


def test_more_hours_bring_more_failures_of_what_ages_by_hours_and_of_nothing_else(
    plan: Plan, today: Measured
) -> None:
    then, found = changed(plan, today, Changes(hours=Factors(1.2)))
    for kind in today.kinds:
        at = today.kinds.index(kind)
        # Not labour: at a lift it is shared with jobs on parts that do age by hours.
        for measure in ("failures", "found_worn", "planned", "parts", "lift"):
            one, other = today.by_kind[measure][..., at], then.by_kind[measure][..., at]
            if kind in YEARS_KINDS:
                np.testing.assert_array_equal(one, other)
        unplanned = [
            each.by_kind["failures"][..., at] + each.by_kind["found_worn"][..., at]
            for each in (today, then)
        ]
        if kind not in YEARS_KINDS:
            assert unplanned[1].mean() > unplanned[0].mean()
            assert then.as_things_stand[:, at].mean() > today.as_things_stand[:, at].mean()
    assert found.row("failures")["less_often"] < 0.3


def sold_boat(plan: Plan) -> str:
    """A boat with parts of both clocks, so that a lot would move if anything did."""
    here = plan.fleet.lives.in_service()
    return str(here.groupby("boat")["clock"].nunique().idxmax())


def renewals(futures: Futures, boats: set[str]) -> set[tuple[int, str, str, str, int, int]]:
    """Future, place, day and manner of every renewal on some boats."""
    parts = futures.parts
    columns = zip(
        futures.future.tolist(),
        parts["boat"].to_numpy()[futures.part],
        parts["position"].to_numpy()[futures.part],
        parts["kind"].to_numpy()[futures.part],
        futures.day.tolist(),
        futures.how.tolist(),
        strict=True,
    )
    return {row for row in columns if row[1] in boats}


def simulated(plan: Plan) -> Futures:
    rule = plan.fleet.records.settings.seasons
    return futures_ahead(plan, [rule.season(year) for year in years_of(plan, Changes())], 50)


def test_selling_a_boat_takes_her_own_renewals_after_that_day_and_nothing_else(
    whole: Plan,
) -> None:
    boat, day = sold_boat(whole), date(2028, 6, 1)
    one, other = simulated(whole), simulated(applied(whole, Changes(sold=(Sold(boat, day),))))
    others = set(one.parts["boat"]) - {boat}
    assert renewals(one, others) == renewals(other, others)
    sold_on = (day - date(1970, 1, 1)).days
    hers = renewals(one, {boat})
    assert {row for row in hers if row[4] < sold_on} == renewals(other, {boat})
    assert any(row[4] >= sold_on for row in hers)


def test_added_boats_leave_the_futures_of_all_others(whole: Plan) -> None:
    boat, day = sold_boat(whole), date(2028, 4, 1)
    one, other = simulated(whole), simulated(applied(whole, Changes(added=(Added(boat, day, 2),))))
    there = set(one.parts["boat"])
    assert renewals(one, there) == renewals(other, there)
    new = renewals(other, set(other.parts["boat"]) - there)
    assert new
    assert all(row[4] >= (day - date(1970, 1, 1)).days for row in new)


def wearing(fleet: Fleet) -> dict[tuple[str, str], Ageing]:
    """Every kind as a Weibull of shape 4 that half outlive by 8 years; no accidents."""
    return {
        key: replace(fitted, posterior=point(fitted.kind, np.log(4.0), np.log(8.77)))
        for key, fitted in how_it_ages(fleet).items()
    }


def test_a_stricter_limit_never_brings_more_failures_of_what_wears() -> None:
    # Barlow & Proschan, Mathematical Theory of Reliability (1965): with a rising hazard the
    # number of failures under age replacement grows stochastically with the age (from memory).
    fleet = fleet_of([f"B{i},single,bellows,,,{2012 + i % 12}-03-01" for i in range(60)])
    plan = Plan(fleet, wearing(fleet), {})
    limits = [None, 10.0, 7.0, 5.0, 3.0]
    means = []
    for limit in limits:
        then = applied(plan, Changes(limits={"bellows": Limits(limit)}))
        found = measured(then, years_of(plan, Changes(), 8), 300)
        means.append(found.by_kind["failures"].sum(axis=(1, 2)).mean())
    assert means == sorted(means, reverse=True)
    assert means[0] > 1.5 * means[-1]


def test_a_plan_is_todays_where_it_changes_nothing_of_a_kind(plan: Plan, today: Measured) -> None:
    then, found = changed(plan, today, Changes(limits={"bellows": Limits(5.0)}))
    for at, kind in enumerate(today.kinds):
        same = (then.by_kind["failures"][..., at] == today.by_kind["failures"][..., at]).all()
        assert same == (kind != "bellows")
    assert found.row("planned", kind="bellows")["difference"] > 0


def test_money_adds_up(today: Measured) -> None:
    found = between(today, today, Changes(), "EUR").table
    money = found[found["measure"].isin(MONEY)].pivot_table(
        index=["season", "kind"], columns="measure", values="today"
    )
    np.testing.assert_allclose(money["budget"], money["parts"] + money["labour"])
    every = money[["budget", "lift", "tow", "lost_income"]].sum(axis=1)
    np.testing.assert_allclose(money["total"], every)
    by_kind = money[money.index.get_level_values("kind") != ALL].groupby("season").sum()
    fleet = money.xs(ALL, level="kind")
    np.testing.assert_allclose(by_kind.to_numpy(), fleet.to_numpy())
    seasons = fleet.drop(EVERY_SEASON).sum()
    np.testing.assert_allclose(seasons, fleet.loc[EVERY_SEASON])


def test_todays_parts_and_labour_are_those_of_the_parts_budget(whole: Plan) -> None:
    budget = budget_of(
        whole.fleet, futures_of(whole.fleet, whole.ageing, n_futures=60, own=whole.own)
    )
    found = measured(whole, years_of(whole, Changes()), 60).by_kind["budget"].sum(axis=2)
    fleet = budget.fleet()
    np.testing.assert_allclose(found.mean(axis=0), fleet["cost_mean"])
    np.testing.assert_allclose(np.quantile(found, 0.8, axis=0), fleet["cost_p80"])


def test_what_the_whole_table_says_of_a_season_moved_later(plan: Plan, today: Measured) -> None:
    # Three more weeks at the end of the season, with as many hours a day: more of everything
    # that runs, and more charter days for a failure to cost.
    changes = Changes(season=NewSeason(end=(11, 21)))
    then, found = changed(plan, today, changes)
    assert found.row("failures")["difference"] > 0
    assert found.row("lost_days")["difference"] > 0
    assert then.seasons[0].end.month == 11
    assert found.years == tuple(season.year for season in today.seasons)


def test_a_boat_sold_before_the_season_has_no_chance_in_it(plan: Plan, today: Measured) -> None:
    boat = sold_boat(plan)
    day = plan.fleet.records.as_of + timedelta(days=5)
    _, found = changed(plan, today, Changes(sold=(Sold(boat, day),)))
    boats = found.boats.set_index("boat")
    assert boats.loc[boat, "today"] > 0
    assert np.isnan(boats.loc[boat, "changed"])
    assert (boats.drop(boat)["difference"] == 0).all()


def test_a_boat_that_joins_after_the_season_has_no_chance_in_it(
    plan: Plan, today: Measured
) -> None:
    boat, season = sold_boat(plan), plan.fleet.coming_season()
    later = Added(boat, season.end + timedelta(days=1))
    in_it = Added(boat, season.start + timedelta(days=20))
    _, found = changed(plan, today, Changes(added=(later, in_it)))
    boats = found.boats.set_index("boat")
    assert f"Like {boat} 1" not in boats.index
    assert boats.loc[f"Like {boat} 2", "changed"] > 0


def test_nothing_changes_in_a_season_that_runs_its_course() -> None:
    fleet = fleet_of(
        [f"B{i},single,face_seal,,,{2010 + i}-03-01" for i in range(12)],
        boats=[f"B{i},ashore" for i in range(12)],
    )
    today = Plan(fleet, how_it_ages(fleet), {})
    then = applied(today, Changes(season=NewSeason(end=(12, 15))))
    one, other = simulated(today), simulated(then)
    boats, until = set(one.parts["boat"]), (date(2024, 11, 1) - date(1970, 1, 1)).days
    early, late = (
        [{row for row in renewals(futures, boats) if (row[4] < until) == first}
         for futures in (one, other)]
        for first in (True, False)
    )  # fmt: skip
    assert early[0] == early[1] != set()
    assert len(late[1]) > len(late[0])


@pytest.fixture(scope="module")
def wintering() -> Plan:
    """Boats laid up on the last day watched."""
    fleet = fleet_of(
        [f"B{i},single,bellows,,,{2010 + i}-03-01" for i in range(12)],
        head="as_of = 2027-02-28\nrecords_from = 2005-01-01\nshaft_share = 1.0\n",
        boats=[f"B{i},ashore" for i in range(12)],
    )
    return Plan(fleet, wearing(fleet), {})


def test_a_season_that_would_be_over_is_compared_in_neither_plan(wintering: Plan) -> None:
    over = Changes(season=NewSeason((11, 1), (1, 31), (10, 1)))
    assert years_of(wintering, Changes(), 2) == (2027, 2028)
    assert years_of(wintering, over, 2) == (2028, 2029)
    found = compared(wintering, over, seasons=2, n_futures=20)
    assert found.years == (2028, 2029)


def test_seasons_before_the_first_that_is_compared_are_simulated_and_not_counted(
    wintering: Plan,
) -> None:
    three, two = (measured(wintering, years, 50) for years in ((2027, 2028, 2029), (2028, 2029)))
    assert [season.year for season in two.seasons] == [2028, 2029]
    assert three.by_kind["failures"][:, 0].sum() > 0
    for measure, values in two.by_kind.items():
        np.testing.assert_array_equal(values, three.by_kind[measure][:, 1:])
    np.testing.assert_array_equal(two.boats_failing, three.boats_failing[:, 1:])


def test_an_empty_fleet_has_nothing_to_compare() -> None:
    rows = ["2015-01-01,2018-01-01", "2018-01-02,2019-01-01"]
    fleet = fleet_of([f"A,single,bellows,,,{days},replaced_sound" for days in rows])
    found = compared(
        todays_plan(fleet, how_it_ages(fleet)), Changes(prices=Factors(2.0)), n_futures=20
    )
    assert (found.table["today"] == 0).all()
    assert (found.table["changed"] == 0).all()


def test_what_is_said_begins_with_the_first_season_and_with_what_is_left_out(
    plan: Plan, today: Measured
) -> None:
    # An average over five seasons hid that the first of them costs more.
    _, found = changed(plan, today, Changes(limits={"bellows": Limits(age=6.0)}))
    headline, itself, *_ = brought(found, "EUR")
    first = found.years[0]
    assert "average of" in headline
    dearer = found.row("budget", first)["difference"]
    assert dearer > 0
    assert itself.startswith(f"In season {first} itself: ")
    assert f"EUR {dearer:,.0f} more for parts and labour" in itself
    boat = str(plan.ageing["bellows", "all"].table["boat"].iloc[0])
    _, sale = changed(plan, today, Changes(sold=(Sold(boat, date(2027, 1, 1)),)))
    assert brought(sale, "EUR")[1] == SALE_NOT_COUNTED
