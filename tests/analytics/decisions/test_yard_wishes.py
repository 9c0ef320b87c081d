"""Wishes and weeks that cannot be as they are written: said in plain words, never passed over."""

from __future__ import annotations

from datetime import date

import pytest

from analytics import job
from analytics.decisions.haul_outs import HaulOuts
from analytics.records.wishes import Wish, wishes_text
from tests.analytics.decisions.yard_fleet import (
    FINCH,
    SETTINGS,
    SLOTS,
    WEEKS,
    WREN,
    folder,
    planned,
)


@pytest.mark.parametrize(
    ("wish", "field", "said"),
    [
        (Wish("pinned", "Peny Wren", WEEKS[0]), "boat", "Did you mean Penny Wren?"),
        (Wish("pinned", "Nobody", WEEKS[0]), "boat", "Correct the name"),
        (Wish("pinned", WREN, date(2021, 1, 5)), "week", "nearest week begins on 2021-01-04"),
        (Wish("promised", WREN, date(2020, 5, 4)), "week", "nearest week begins on 2021-01-04"),
        (Wish("ruled_out", WREN, date(2021, 6, 7)), "week", "nearest week begins on 2021-01-18"),
        (Wish("done", WREN, kind="gland_hose"), "kind", "She has bellows (single)"),
        (Wish("done", WREN, position="port", kind="bellows"), "kind", "not applied"),
    ],
)
def test_a_wish_about_what_is_not_there(wish: Wish, field: str, said: str) -> None:
    found = planned((wish,))
    (told,) = found.findings
    assert told.field == f"wish 1, {field}"
    assert told.done == "ignored"
    assert said in told.remedy
    assert found.applied == ()
    assert found.made


def test_capitals_and_spaces_of_a_name_do_not_matter() -> None:
    found = planned((Wish("pinned", " penny  WREN ", WEEKS[1]),))
    assert found.findings == ()
    assert found.plan.sets[WREN][0] == WEEKS[1]


def test_two_weeks_for_one_boat_keep_the_first_and_tell() -> None:
    found = planned((Wish("pinned", WREN, WEEKS[1]), Wish("pinned", WREN, WEEKS[2])))
    assert found.plan.sets[WREN][0] == WEEKS[1]
    assert "pinned to the week of 11 January 2021 already" in found.findings[0].remedy


def test_an_exception_that_no_rule_needs_is_noted() -> None:
    found = planned((Wish("accepted", FINCH, kind="bellows", by="Ada"),))
    assert [one.done for one in found.findings] == ["noted"]


def test_a_contradiction_leaves_no_plan_and_says_what_to_release() -> None:
    found = planned((Wish("pinned", WREN, WEEKS[1]), Wish("pinned", FINCH, WEEKS[1])))
    assert not found.made
    assert any("release 1" in one.text for one in found.plan.conflicts)


def test_wishes_of_the_folder_hold_and_others_go_in_their_place() -> None:
    files = folder()
    files["plan.toml"] = wishes_text([Wish("pinned", WREN, WEEKS[1])]).encode()
    fleet = job.open_fleet(files)
    ageing = job.how_it_ages(fleet)
    assert job.haul_outs_of(fleet, ageing).plan.sets[WREN][0] == WEEKS[1]
    assert job.haul_outs_of(fleet, ageing, wishes=()).plan.sets[WREN][0] == WEEKS[0]


def weeks(found: HaulOuts) -> list[tuple[date, int]]:
    return [(week.start, week.slots) for week in found.problem.yard.weeks]


def test_slots_twice_add_up_and_a_week_that_is_no_day_is_told() -> None:
    rows = (*SLOTS, {"week": str(WEEKS[0]), "slots": "2"}, {"week": "mid January", "slots": "1"})
    found = planned(slots=rows)
    assert weeks(found) == [(WEEKS[0], 3), (WEEKS[1], 1), (WEEKS[2], 1)]
    assert {(one.done, one.row) for one in found.findings} == {("assumed", 2), ("ignored", 6)}


def test_weeks_past_and_weeks_in_the_season_are_not_planned() -> None:
    rows = (*SLOTS, {"week": "2020-12-28", "slots": "4"}, {"week": "2021-04-05", "slots": "4"})
    assert [start for start, _ in weeks(planned(slots=rows))] == list(WEEKS)


def test_without_slots_every_week_has_some_and_that_is_an_assumption() -> None:
    found = planned(slots=None)
    assert found.weeks_assumed.endswith("1 slot, the fewest with which each boat finds one")
    assert weeks(found)[0] == (date(2021, 1, 4), 1)
    assert weeks(found)[-1][0] == date(2021, 3, 29)
    assert found.made


def test_without_slots_the_busiest_week_of_past_lay_ups_counts() -> None:
    days = ("2019-01-07", "2019-01-13", "2019-01-14", "2019-07-01", "2019-07-02", "2019-07-03")
    lifts = tuple({"boat": FINCH if day[-1] in "73" else WREN, "lifted_on": day} for day in days)
    found = planned(slots=None, lifts=lifts)
    # Monday to Sunday, two; the week in July with three is in the season.
    assert weeks(found)[0] == (date(2021, 1, 4), 2)
    assert "busiest week of past lay-ups" in found.weeks_assumed


def test_slots_of_another_winter_are_told() -> None:
    found = planned(slots=({"week": "2019-11-04", "slots": "3"},))
    assert "Add the weeks of this lay-up" in found.findings[0].remedy
    assert not found.made


@pytest.mark.parametrize(
    ("as_of", "first"), [("2020-08-15", date(2020, 11, 2)), ("2021-01-20", date(2021, 1, 25))]
)
def test_in_summer_the_next_lay_up_is_planned_and_within_one_the_rest_of_it(
    as_of: str, first: date
) -> None:
    settings = SETTINGS.replace("as_of = 2020-12-31", f"as_of = {as_of}")
    found = planned(slots=None, settings=settings)
    assert found.season.year == 2021
    assert weeks(found)[0][0] == first
    assert found.made
    assert found.parts["cost_of_waiting"].notna().all()
    # What is left in until the lift after the season has failed by then with a chance of a year,
    # whatever is left of the lay-up.
    row = found.parts.set_index(["boat", "job"]).loc[(WREN, "bellows")]
    assert row["fails_before_next"] > row["risk"]
