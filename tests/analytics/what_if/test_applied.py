"""A fleet with changes in it: what was stays as it was, what comes is as the changes say."""

from datetime import date, timedelta

import numpy as np
import pandas as pd
import pytest

from analytics.job import how_it_ages
from analytics.lives import IN_SERVICE
from analytics.outlook.chances import ages_ahead
from analytics.records.seasons import SeasonRule
from analytics.usage import ShaftHours, active_years, day_number, days_in_use, days_of_use
from analytics.what_if.against import holds_after, not_possible
from analytics.what_if.applied import Plan, applied, todays_plan
from analytics.what_if.changes import Added, Changes, Factors, Limits, NewSeason, Sold
from tests.analytics.ageing.folders import fleet_of


@pytest.fixture
def plan(whole: Plan) -> Plan:
    return whole


def boat_of(plan: Plan) -> str:
    return str(plan.fleet.lives.in_service()["boat"].iloc[0])


def test_no_changes_leave_every_number(plan: Plan) -> None:
    same = applied(plan, Changes())
    pd.testing.assert_frame_equal(same.fleet.lives.table, plan.fleet.lives.table)
    assert same.fleet.lives.settings == plan.fleet.lives.settings
    assert same.fleet.lives.usage.rule == plan.fleet.lives.usage.rule
    assert (same.fleet.lives.usage.rate == plan.fleet.lives.usage.rate).all()
    for key, fitted in plan.ageing.items():
        assert same.ageing[key].posterior is fitted.posterior
        assert same.ageing[key].table is fitted.table


def test_a_limit_is_that_of_the_settings_and_of_every_group_of_the_kind(plan: Plan) -> None:
    then = applied(plan, Changes(limits={"lip_seal": Limits(900.0, None)}))
    kinds = [fitted.kind for (kind, _), fitted in then.ageing.items() if kind == "lip_seal"]
    assert kinds
    for kind in [*kinds, then.fleet.lives.settings.kind("lip_seal")]:
        assert (kind.limit, kind.limit_years) == (900.0, None)
    assert then.fleet.lives.settings.kind("bellows") == plan.fleet.lives.settings.kind("bellows")


def test_hours_to_come_change_and_hours_run_do_not() -> None:
    fleet = fleet_of(["A,single,face_seal,,,2020-01-01", "B,single,face_seal,,,2020-01-01"])
    plan = todays_plan(fleet, how_it_ages(fleet))
    then = applied(plan, Changes(hours=Factors(near={"A": 1.5}))).fleet.lives.usage
    today, now = fleet.lives.usage, day_number(fleet.lives.as_of)
    line = today.line_of(["A", "B"], ["single", "single"])
    for day, gain in ((now - 700.3, 1.0), (now, 1.0), (now + 365.25, None)):
        before, after = (usage.hours_at(line, np.full(2, day)) for usage in (today, then))
        start = today.hours_at(line, np.full(2, now - 2000.0))
        if gain is not None:
            np.testing.assert_allclose(after - start, before - start, rtol=1e-12)
        else:
            # 300 h a year, the planning default, of which A runs half as many again.
            np.testing.assert_allclose(after - before, [150.0, 0.0], atol=1e-6)
    np.testing.assert_allclose(then.rate / today.rate, [1.5, 1.0])
    assert (then.past_rate == today.past_rate).all()


def test_a_planned_pace_leaves_what_is_in_doubt_about_hours(plan: Plan) -> None:
    # The rate is as sure as it was: the factors on hours run and to come are the same draws.
    season = plan.fleet.coming_season()
    begin, end = day_number(season.start), day_number(season.end) + 1
    key = ("face_seal", "all")
    then = applied(plan, Changes(hours=Factors(1.3)))
    one, other = (
        ages_ahead(each.fleet.lives, each.ageing[key], begin, end).doubt for each in (plan, then)
    )
    assert one is not None
    assert other is not None
    np.testing.assert_array_equal(one.run, other.run)
    np.testing.assert_array_equal(one.coming, other.coming)


def test_a_part_number_goes_before_its_kind_and_a_kind_before_all(plan: Plan) -> None:
    prices = plan.fleet.records.tables["prices.csv"]
    numbers = prices.loc[prices["kind"] == "bellows", "part_no"]
    factors = Factors(1.1, {"bellows": 2.0}, {str(numbers.iloc[0]): 3.0})
    then = applied(plan, Changes(prices=factors)).fleet.records.tables["prices.csv"]
    by = then["part_price"] / prices["part_price"]
    bellows = (prices["kind"] == "bellows").to_numpy()
    np.testing.assert_allclose(by[~bellows].dropna(), 1.1)
    np.testing.assert_allclose(by[bellows].to_numpy(), [3.0] + [2.0] * (bellows.sum() - 1))


def test_a_sold_boat_leaves_on_the_day_and_no_other_does(plan: Plan) -> None:
    boat, day = boat_of(plan), plan.fleet.records.as_of + timedelta(days=100)
    then = applied(plan, Changes(sold=(Sold(boat, day),)))
    for table, was in [
        (then.fleet.lives.table, plan.fleet.lives.table),
        *((then.ageing[key].table, plan.ageing[key].table) for key in plan.ageing),
    ]:
        hers = (table["boat"] == boat).to_numpy()
        assert (table.loc[hers, "leaves_on"] == pd.Timestamp(day)).all()
        pd.testing.assert_frame_equal(table[~hers], was[~hers])


def test_an_earlier_leaving_day_stays() -> None:
    fleet = fleet_of(
        ["A,single,bellows,,,2020-01-01", "B,single,bellows,,,2020-01-01"],
        boats=["A,afloat,2025-01-01", "B,afloat,"],
        boat_columns="boat,lay_up,left_on",
    )
    plan = todays_plan(fleet, how_it_ages(fleet))
    sold = (Sold("A", date(2026, 1, 1)), Sold("B", date(2026, 1, 1)))
    leaves = applied(plan, Changes(sold=sold)).fleet.lives.table.set_index("boat")["leaves_on"]
    assert leaves.to_dict() == {"A": pd.Timestamp(2025, 1, 1), "B": pd.Timestamp(2026, 1, 1)}


def test_an_added_boat_has_new_parts_of_the_same_kinds_behind_all_others(plan: Plan) -> None:
    boat, day = boat_of(plan), plan.fleet.records.as_of + timedelta(days=200)
    then = applied(plan, Changes(added=(Added(boat, day, 2, "Quillhaven"),)))
    table, was = then.fleet.lives.table, plan.fleet.lives.table
    pd.testing.assert_frame_equal(table.iloc[: len(was)], was)
    new = table.iloc[len(was) :]
    hers = was[(was["boat"] == boat) & (was["outcome"] == IN_SERVICE)]
    assert sorted(new["boat"].unique()) == [f"Like {boat} 1", f"Like {boat} 2"]
    for _, parts in new.groupby("boat"):
        assert sorted(zip(parts["position"], parts["kind"], strict=True)) == sorted(
            zip(hers["position"], hers["kind"], strict=True)
        )
    assert (new["start_lo"] == pd.Timestamp(day)).all()
    assert (new["base"] == "Quillhaven").all()
    assert new["life"].is_unique
    assert not set(new["life"]) & set(was["life"])
    assert then.ageing.keys() == plan.ageing.keys()
    assert len(then.joining) == 1
    joining = then.joining[0]
    assert joining.on == day
    assert sum(len(fitted.table) for fitted in joining.ageing.values()) == len(new)
    for key, fitted in joining.ageing.items():
        assert fitted.posterior is plan.ageing[key].posterior
        assert fitted.nodes.n_lives == len(fitted.table)
        assert list(fitted.table.columns) == list(plan.ageing[key].table.columns)


class TestSeason:
    old, new = SeasonRule(), SeasonRule((3, 15), (11, 30), (12, 20))

    def changed(self, until: date) -> SeasonRule:
        new = self.new
        return SeasonRule(new.start, new.end, new.lift_on, earlier=(self.old, until))

    def test_a_running_season_runs_its_course(self) -> None:
        assert holds_after(self.old, date(2026, 7, 1)) == date(2026, 10, 31)
        assert holds_after(self.old, date(2026, 4, 1)) == date(2026, 10, 31)
        assert holds_after(self.old, date(2026, 10, 31)) == date(2026, 10, 31)
        assert holds_after(self.old, date(2026, 12, 24)) == date(2026, 12, 24)
        rule = self.changed(date(2026, 10, 31))
        assert rule.season(2026) == self.old.season(2026)
        then = rule.season(2027)
        assert (then.start, then.end) == (date(2027, 3, 15), date(2027, 11, 30))
        # The season year begins where that of the old rule ended.
        assert then.previous_end == date(2026, 10, 31)
        assert then.lift_on == date(2026, 12, 20)
        assert rule.season(2028) == self.new.season(2028)

    def test_a_lift_that_would_be_over_takes_place_as_it_was_to(self) -> None:
        rule = self.changed(date(2026, 12, 24))
        assert rule.season(2027).lift_on == date(2027, 1, 15)
        assert rule.season(2028).lift_on == date(2027, 12, 20)

    def test_years_of_use_up_to_the_change_are_the_same_and_one_a_year_after_it(self) -> None:
        rule, until = self.changed(date(2026, 10, 31)), day_number(date(2026, 10, 31)) + 1
        past = until - np.array([0.0, 3.3, 200.0, 5000.0])
        np.testing.assert_array_equal(
            active_years(past, False, rule), active_years(past, False, self.old)
        )
        ends = until + np.array([0.0, 365.25 * 4, 365.25 * 8])
        np.testing.assert_allclose(np.diff(active_years(ends, False, rule)), 4.0, atol=0.01)
        days = until + np.linspace(-3000, 3000, 997)
        back = days_of_use(active_years(days, False, rule), False, rule)
        np.testing.assert_allclose(back, days, atol=1e-6)

    def test_a_fleet_that_was_out_all_year_keeps_the_years_of_use_it_had(self) -> None:
        all_year, until = SeasonRule((1, 1), (12, 31)), date(2026, 12, 31)
        new = SeasonRule(earlier=(all_year, until))
        assert all_year.whole_year()
        assert not new.whole_year()
        days = day_number(until) + np.linspace(-900.0, 900.0, 301)
        used = active_years(days, False, new)
        past = days <= day_number(until) + 1
        np.testing.assert_array_equal(used[past], days[past] / 365.25)
        np.testing.assert_allclose(days_of_use(used, False, new), days, atol=1e-6)
        # January is idle now.
        january = day_number(date(2028, 1, 1)) + np.array([0.0, 31.0])
        assert np.diff(active_years(january, False, new))[0] < 0.1 * 31 / 365.25

    def test_a_longer_season_brings_more_hours_unless_they_are_to_stay(self) -> None:
        fleet = fleet_of(
            ["A,single,face_seal,,,2020-01-01", "B,single,face_seal,,,2020-01-01"],
            boats=["A,ashore", "B,afloat"],
        )
        plan = todays_plan(fleet, how_it_ages(fleet))
        for same, expected in ((True, 1.0), (False, days_in_use(SeasonRule((4, 1), (11, 30))))):
            season = NewSeason(end=(11, 30), same_hours_a_year=same)
            usage = applied(plan, Changes(season=season)).fleet.lives.usage
            by = ran(usage, date(2025, 11, 30), date(2026, 11, 30)) / 300.0
            grows = 1.0 if same else expected / days_in_use(SeasonRule())
            # Years of 365 days among years of 365.25.
            np.testing.assert_allclose(by, [grows, 1.0], rtol=1e-3)
        # 244 days instead of 214, and the idle days between them at a fiftieth.
        assert grows == pytest.approx((244 + 0.02 * 121.25) / (214 + 0.02 * 151.25))

    def test_a_running_season_brings_the_hours_it_would_have_brought(self) -> None:
        # The records end on 30 June: the boat runs her last summer by the old season.
        fleet = fleet_of(["A,single,face_seal,,,2020-01-01"], boats=["A,ashore"])
        plan = todays_plan(fleet, how_it_ages(fleet))
        assert fleet.lives.as_of == date(2024, 6, 30)
        longer = Changes(season=NewSeason(end=(12, 15)))
        today, then = fleet.lives.usage, applied(plan, longer).fleet.lives.usage
        summer = date(2024, 6, 30), date(2024, 11, 1)
        np.testing.assert_allclose(ran(then, *summer), ran(today, *summer), rtol=1e-12)
        year = date(2024, 11, 1), date(2025, 12, 16)
        assert ran(then, *year)[0] > 1.15 * ran(today, *year)[0]
        # A day of June brings the same hours in either plan.
        june = date(2025, 6, 1), date(2025, 7, 1)
        np.testing.assert_allclose(ran(then, *june), ran(today, *june), rtol=1e-3)
        # The pace that somebody asks for holds from the last day watched on.
        faster = Changes(season=longer.season, hours=Factors(1.5))
        both = applied(plan, faster).fleet.lives.usage
        np.testing.assert_allclose(ran(both, *summer), 1.5 * ran(today, *summer), rtol=1e-9)
        np.testing.assert_allclose(ran(both, *year), 1.5 * ran(then, *year), rtol=1e-9)


def ran(usage: ShaftHours, begin: date, end: date) -> np.ndarray:
    """Hours of every line between two days."""
    lines = np.arange(len(usage.lines))
    first, last = (
        usage.hours_at(lines, np.full(len(lines), day_number(day))) for day in (begin, end)
    )
    return last - first


def test_an_added_boat_runs_at_the_pace_of_the_base_she_joins() -> None:
    fleet = fleet_of(
        ["A,single,face_seal,,,2020-01-01", "B,single,face_seal,,,2020-01-01"],
        boats=["A,afloat,Quay", "B,afloat,Creek"],
        boat_columns="boat,lay_up,base",
    )
    plan = todays_plan(fleet, how_it_ages(fleet))
    joined_on = date(2024, 9, 1)
    added = tuple(Added(*one) for one in (("A", joined_on), ("A", joined_on, 1, "Creek")))
    year = date(2025, 1, 1), date(2026, 1, 1)
    then = applied(plan, Changes(hours=Factors(1.0, {"Creek": 3.0}), added=added))
    by = ran(then.fleet.lives.usage, *year) / ran(plan.fleet.lives.usage, *year)[0]
    lines = [boat for boat, _ in then.fleet.lives.usage.lines]
    assert dict(zip(lines, np.round(by, 9), strict=True)) == {
        "A": 1.0, "B": 3.0, "Like A 1": 1.0, "Like A 2": 3.0
    }  # fmt: skip
    # Hours of the boat she is like, where something is said of those in particular.
    hours = Factors(1.0, {"Creek": 3.0}, {"A": 2.0})
    then = applied(plan, Changes(hours=hours, added=added))
    by = ran(then.fleet.lives.usage, *year) / ran(plan.fleet.lives.usage, *year)[0]
    np.testing.assert_allclose(by, [2.0, 3.0, 2.0, 2.0])


def test_what_the_fleet_does_not_have_is_said(plan: Plan) -> None:
    as_of = plan.fleet.records.as_of
    boat = boat_of(plan)
    wrong = Changes(
        limits={"rudder": Limits(3.0), "bellows": Limits("as set", 3.0)},
        season=NewSeason((4, 1), (4, 5)),
        hours=Factors(1.0, {"Nowhere": 2.0}, {"No boat": 2.0}),
        prices=Factors(1.0, {"rudder": 2.0}, {"NO-1": 2.0}),
        sold=(Sold("No boat", as_of), Sold(boat, as_of + timedelta(days=1)), Sold(boat, as_of)),
        added=(Added(boat, as_of + timedelta(days=40 * 366), 1, "Nowhere"),),
    )
    found = [(one.field, one.found) for one in not_possible(wrong, plan.fleet)]
    assert found == [
        ("limits", "rudder"),
        ("hours.bases", "Nowhere"),
        ("hours.boats", "No boat"),
        ("prices.kinds", "rudder"),
        ("prices.part_numbers", "NO-1"),
        ("sold", "No boat"),
        ("added", "Nowhere"),
        ("sold", boat),
        ("limits.bellows.years", "3.0"),
        ("sold", f"{as_of} (No boat)"),
        ("sold", f"{as_of} ({boat})"),
        ("added", f"{as_of + timedelta(days=40 * 366)} ({boat})"),
        ("season", "01 April to 05 April"),
    ]
    fine = Changes(limits={"bellows": Limits(6.0)}, sold=(Sold(boat, as_of + timedelta(days=9)),))
    assert not_possible(fine, plan.fleet) == []
