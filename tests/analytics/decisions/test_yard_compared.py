"""The plan beside simpler rules: one account, held against the verifier's own."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pandas as pd
import pytest

from analytics import job
from analytics.ageing.fit import FleetAgeing
from analytics.decisions.haul_outs import HaulOuts
from analytics.decisions.renewed_risk import renewed_risk
from analytics.decisions.yard_compared import (
    LAST_WEEKS,
    LIMITS,
    NOTHING,
    PLAN,
    Compared,
    in_last_weeks,
    last_lifts,
    yard_compared,
)
from analytics.outlook.with_this import Renewed, with_this
from tests.analytics.decisions.haul_out.verifier import cost_of, wrongs
from tests.analytics.decisions.yard_fleet import (
    FINCH,
    WEEKS,
    WREN,
    folder,
    planned,
    sample_ground,
)


@pytest.fixture(scope="module")
def found(sample: job.Fleet, sample_ageing: FleetAgeing) -> HaulOuts:
    return job.haul_outs_of(sample, sample_ageing, ground=sample_ground(sample, sample_ageing))


@pytest.fixture(scope="module")
def compared(sample: job.Fleet, found: HaulOuts) -> Compared:
    return job.yard_compared_of(sample, found)


def rule(compared: Compared, name: str) -> pd.Series:
    return compared.table.set_index("rule").loc[name]


def test_the_plan_of_the_sample_keeps_every_limit(found: HaulOuts) -> None:
    assert wrongs(found.problem, found.plan) == []
    assert len(found.plan.hauls) > 40
    assert any(one.must for one in found.plan.jobs)


def test_differences_are_those_of_the_verifiers_costs(found: HaulOuts, compared: Compared) -> None:
    problem = found.problem
    whole = sum(cost_of(problem, ask, None, set()) - ask.left_cost for ask in problem.boats)
    assert rule(compared, NOTHING)["cost_more"] == pytest.approx(whole - found.plan.cost)


def test_failures_are_those_of_the_risk(found: HaulOuts, compared: Compared) -> None:
    parts = found.parts
    assert rule(compared, NOTHING)["failures"] == pytest.approx(parts["risk"].astype(float).sum())
    done = {(haul.boat, key) for haul in found.plan.hauls for key in haul.jobs}
    expected = sum(
        row["risk_renewed"] if (row["boat"], row["job"]) in done else row["risk"]
        for _, row in parts.iterrows()
    )
    assert rule(compared, PLAN)["failures"] == pytest.approx(expected)
    assert rule(compared, PLAN)["failures"] < rule(compared, LIMITS)["failures"]


def test_no_rule_is_cheaper_than_the_plan_beyond_its_gap(
    found: HaulOuts, compared: Compared
) -> None:
    slack = found.plan.gap * found.plan.cost + 0.01
    kept = compared.table[compared.table["must_undone"] == 0]
    assert set(kept["rule"]) >= {PLAN, LIMITS}
    assert (kept["cost_more"] >= -slack).all()
    assert rule(compared, LAST_WEEKS)["cost"] >= rule(compared, LIMITS)["cost"] - 0.01


def test_pieces_add_up_and_the_money_paid_is_that_of_the_jobs(
    found: HaulOuts, compared: Compared
) -> None:
    table = compared.table
    pieces = ["parts_cost", "labour_cost", "haul_cost", "lay_up_cost", "left_cost"]
    assert table[pieces].sum(axis=1).to_numpy() == pytest.approx(table["cost"].to_numpy())
    prices = found.parts.set_index(["boat", "job"])["part_price"]
    paid = sum(prices[haul.boat, key] for haul in found.plan.hauls for key in haul.jobs)
    assert rule(compared, PLAN)["parts_cost"] == pytest.approx(paid)
    hours = sum(haul.hours for haul in found.plan.hauls)
    assert rule(compared, PLAN)["labour_cost"] == pytest.approx(hours * 75)


def test_a_new_part_has_the_risk_that_renewing_it_at_once_gives(
    sample: job.Fleet, sample_ageing: FleetAgeing, found: HaulOuts
) -> None:
    row = found.parts[found.parts["kind"] == "bellows"].iloc[0]
    tomorrow = sample.records.as_of + timedelta(days=1)
    ahead = job.boat_ahead_of(sample, sample_ageing, row["boat"])
    parts = with_this(ahead, {int(row["life"]): Renewed(tomorrow)}).parts
    expected = float(parts.loc[parts["life"] == row["life"], "risk"].iloc[0])
    bellows = {key: one for key, one in sample_ageing.items() if key[0] == "bellows"}
    at_once = replace(found.season, lift_on=tomorrow)
    table = renewed_risk(sample.lives, bellows, at_once).set_index("source")
    # There the old part may still fail on that one day.
    assert table.loc[row["source"], "risk_renewed"] == pytest.approx(expected, rel=1e-3)


LIFTS = (
    {"boat": WREN, "lifted_on": "2020-01-20"},
    {"boat": FINCH, "lifted_on": "2020-01-19"},
    {"boat": FINCH, "lifted_on": "2020-07-02"},  # in the season: no lay-up lift
    {"boat": FINCH, "lifted_on": "2016-02-29"},
)


def test_last_lifts_are_those_outside_the_season_and_give_the_week_by_hand() -> None:
    fleet = job.open_fleet(folder(lifts=LIFTS))
    found = planned(lifts=LIFTS)
    days = last_lifts(fleet.records, found.season)
    assert days == {WREN: date(2021, 1, 20), FINCH: date(2021, 1, 19)}
    sets = in_last_weeks(found.problem, days)
    # Both are nearest to the last week, which has one slot: the earlier anniversary comes first.
    assert {boat: week for boat, (week, _) in sets.items()} == {FINCH: WEEKS[2], WREN: WEEKS[1]}
    assert sets[WREN][1] == {"bellows"}


def test_a_leap_day_has_an_anniversary() -> None:
    fleet = job.open_fleet(folder(lifts=LIFTS[3:]))
    assert last_lifts(fleet.records, fleet.coming_season()) == {FINCH: date(2021, 2, 28)}


def test_without_a_plan_nothing_is_compared() -> None:
    found = planned(slots=({"week": "2019-11-04", "slots": "3"},))
    fleet = job.open_fleet(folder())
    assert yard_compared(found, fleet.records).table.empty
