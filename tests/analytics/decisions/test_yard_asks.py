"""What the boats ask of the yard, from a fleet small enough to follow by hand."""

from __future__ import annotations

from datetime import date
from itertools import pairwise

import numpy as np
import pytest

from analytics.decisions.haul_out.problem import BoatAsk, Job
from analytics.decisions.haul_outs import HaulOuts
from analytics.records.wishes import Wish
from tests.analytics.decisions.haul_out.verifier import wrongs
from tests.analytics.decisions.yard_fleet import (
    FINCH,
    PRICES,
    SETTINGS,
    WEEKS,
    WREN,
    life,
    lives,
    planned,
)

SEASON = date(2021, 4, 1)


@pytest.fixture(scope="module")
def free() -> HaulOuts:
    """As if nobody had decided anything."""
    return planned()


def ask(found: HaulOuts, boat: str) -> BoatAsk:
    return next(one for one in found.problem.boats if one.boat == boat)


def job(found: HaulOuts, boat: str, key: str) -> Job:
    return next(one for one in ask(found, boat).jobs if one.key == key)


def week_of(found: HaulOuts, boat: str) -> date | None:
    return next((one.week for one in found.plan.hauls if one.boat == boat), None)


def test_a_limit_passed_must_be_done_and_says_so(free: HaulOuts) -> None:
    bellows = job(free, WREN, "bellows")
    assert bellows.must
    assert bellows.why_must == "it is past its written limit of 8 years at the lift"
    assert not job(free, FINCH, "bellows").must
    assert "bellows" in next(one for one in free.plan.hauls if one.boat == WREN).jobs
    assert wrongs(free.problem, free.plan) == []


def test_a_ceiling_of_risk_must_be_kept() -> None:
    chance = float(planned().parts.set_index(["boat", "job"]).loc[(WREN, "bellows"), "risk_by_end"])
    lives_on = SETTINGS.replace("limit = 8", "limit = 80")
    for ceiling, must in ((chance * 0.9, True), (chance * 1.1, False)):
        found = planned(settings=f"{lives_on}[yard]\nrisk_ceiling = {ceiling:.5f}\n")
        assert job(found, WREN, "bellows").must is must
    told = job(planned(settings=f"{lives_on}[yard]\nrisk_ceiling = 0.05\n"), WREN, "bellows")
    assert told.why_must.endswith("is above the ceiling of 5 %")


def test_money_is_what_prices_and_rates_say(free: HaulOuts) -> None:
    bellows = job(free, WREN, "bellows")
    assert (bellows.alone_hours, bellows.shared_hours, bellows.line) == (6.0, 1.0, "single")
    row = free.parts.set_index(["boat", "job"]).loc[(WREN, "bellows")]
    # What fails before the season: a part and six hours out of turn, lift, tow, four lost days.
    failure = 100 + 6 * 50 * 1.8 + 400 * 1.8 + 900 + 4 * 300
    lost = float(row["risk_before"]) * failure
    days = (SEASON - date(2020, 12, 31)).days
    starts = [*WEEKS, SEASON]
    expected = [lost * (b - a).days / days for a, b in pairwise(starts)]
    np.testing.assert_allclose(bellows.waiting, expected, rtol=1e-9)
    # The value to go counts from the lay-up lift: days from then to the season stand there.
    after = lost * (SEASON - date(2021, 1, 15)).days / days
    assert bellows.saving == pytest.approx(float(row["cost_of_waiting"]) - 100 - after)


def test_a_charter_blacks_out_every_week_that_it_touches() -> None:
    booked = ({"boat": WREN, "from": "2021-01-10", "to": "2021-01-12"},)
    found = planned(bookings=booked)
    # From the Sunday of the first week to the Tuesday of the second.
    assert ask(found, WREN).booked == {WEEKS[0], WEEKS[1]}
    assert week_of(found, WREN) == WEEKS[2]
    assert ask(found, FINCH).booked == frozenset()


def test_a_promised_week_stays_and_what_it_moves_is_told(free: HaulOuts) -> None:
    assert week_of(free, WREN) == WEEKS[0]
    found = planned((Wish("promised", WREN, WEEKS[2], by="Office"),))
    assert week_of(found, WREN) == WEEKS[2]
    assert [one.boat for one in found.plan.moves] == [WREN]
    assert "moves from the week of 4 January 2021 to that of 18 January 2021" in (
        found.plan.moves[0].text
    )
    assert found.undecided.sets == free.plan.sets
    assert found.plan.cost > free.plan.cost
    assert wrongs(found.problem, found.plan) == []


def test_a_week_ruled_out_and_a_week_pinned() -> None:
    found = planned((Wish("ruled_out", WREN, WEEKS[0]), Wish("pinned", FINCH, WEEKS[1])))
    assert week_of(found, WREN) == WEEKS[2]
    assert week_of(found, FINCH) == WEEKS[1]


def test_a_job_done_is_off_the_list() -> None:
    found = planned((Wish("done", WREN, kind="bellows"),))
    assert [one.key for one in ask(found, WREN).jobs] == ["face seal"]
    assert found.parts.set_index(["boat", "job"]).loc[(WREN, "bellows"), "done"]
    assert not found.plan.waivers


def test_an_exception_accepted_is_weighed_by_cost_and_keeps_the_name() -> None:
    settings = SETTINGS.replace("labour_per_hour = 50", "labour_per_hour = 5000")
    assert "bellows" in planned(settings=settings).plan.sets[WREN][1]
    found = planned((Wish("accepted", WREN, kind="bellows", by="Ada"),), settings=settings)
    assert job(found, WREN, "bellows").accepted_by == "Ada"
    assert found.plan.sets[WREN][1] == frozenset()
    assert [(one.boat, one.accepted_by) for one in found.plan.waivers] == [(WREN, "Ada")]
    assert not found.plan.to_accept


def test_without_a_slot_a_must_is_an_exception_to_accept() -> None:
    booked = tuple({"boat": WREN, "from": str(week), "to": str(week)} for week in WEEKS)
    found = planned(bookings=booked)
    assert [(one.boat, one.job) for one in found.plan.to_accept] == [(WREN, "bellows")]
    assert "on charter" in found.plan.left[0].because


def test_a_part_without_a_price_is_asked_for_by_a_rule_alone() -> None:
    found = planned(prices=(PRICES[1],))
    assert job(found, WREN, "bellows").must
    assert [one.key for one in ask(found, FINCH).jobs] == ["face seal"]
    none = planned(prices=None)
    assert [one.key for one in ask(none, WREN).jobs] == ["bellows"]
    assert ask(none, FINCH).jobs == ()


def test_a_boat_that_leaves_before_the_season_asks_for_nothing() -> None:
    boats = ({"boat": WREN, "left_on": "2021-02-01"}, {"boat": FINCH, "left_on": "2021-05-01"})
    assert [one.boat for one in planned(boats=boats).problem.boats] == [FINCH]


def test_two_parts_written_down_in_one_place_are_two_jobs() -> None:
    found = planned(parts=[*lives(), life(FINCH, "bellows", "2019-05-01")])
    keys = [one.key for one in ask(found, FINCH).jobs if one.key.startswith("bellows")]
    assert len(keys) == len(set(keys))
    assert found.made


def test_hauling_only_where_it_pays_costs_lift_and_storage() -> None:
    found = planned(settings=f"{SETTINGS}[yard]\nevery_boat = false\nstorage_per_day = 20\n")
    assert ask(found, WREN).haul_cost == 400 + 2 * 20
    assert ask(found, WREN).left_cost == 0
    assert [one.boat for one in found.plan.hauls] == [WREN]
    assert [(one.boat, one.why) for one in found.plan.left] == [(FINCH, "does not pay")]


def test_the_same_whatever_the_order_of_rows() -> None:
    turned = planned(
        parts=list(reversed(lives())), boats=({"boat": FINCH, "base": "South"},
                                              {"boat": WREN, "base": "North"})
    )  # fmt: skip
    there = planned()
    assert turned.plan.sets == there.plan.sets
    assert turned.plan.cost == pytest.approx(there.plan.cost, rel=1e-12)
