"""The form: today's plan goes in, and only what differs from it comes out."""

from datetime import date, timedelta

import pandas as pd
import pytest

from analytics.job import Fleet
from analytics.what_if.changes import Added, Changes, Factors, Limits, NewSeason, Sold
from dashboard.what_if.entries import (
    ADDED,
    BOAT,
    HOURS,
    LEAVES,
    OF_TODAY,
    SOLD,
    WHAT,
    changes_in,
    entries_of,
)
from tests.analytics.ageing.folders import fleet_of


def names(fleet: Fleet) -> tuple[list[str], list[str], list[str]]:
    here, prices = fleet.lives.in_service(), fleet.records.tables["prices.csv"]
    return sorted(set(here["boat"])), sorted(set(here["base"])), sorted(set(prices["part_no"]))


def test_a_form_that_nobody_touched_changes_nothing(sample: Fleet) -> None:
    changes, findings = changes_in(entries_of(Changes("Same"), sample, 4), sample)
    assert findings == []
    assert changes == Changes("Same", seasons_ahead=4)
    assert not changes


def test_changes_come_back_out_of_the_form(sample: Fleet) -> None:
    boats, bases, numbers = names(sample)
    day = sample.records.as_of + timedelta(days=300)
    for some in (
        Changes("a", 3, limits={"bellows": Limits(6.0), "lip_seal": Limits(800.0, None)}),
        Changes("b", 3, season=NewSeason(end=(11, 15), same_hours_a_year=True)),
        Changes("c", 3, season=NewSeason((3, 1), None, (12, 1))),
        Changes("d", 3, hours=Factors(1.2, {bases[0]: 1.5}, {boats[0]: 0.5})),
        Changes("e", 3, prices=Factors(1.1, {"bellows": 2.0}, {numbers[1]: 1.25})),
        Changes("f", 3, rates={"lost_day": 600.0, "price_increase": 0.045}),
        Changes("g", 3, sold=(Sold(boats[0], day),)),
        Changes("h", 3, added=(Added(boats[1], day, 2), Added(boats[2], day, 1, bases[0]))),
    ):
        assert changes_in(entries_of(some, sample, 5), sample) == (some, [])


def test_names_that_coincide_stay_what_they_are() -> None:
    fleet = fleet_of(
        ["Quay,single,bellows,bellows,,2020-01-01"],
        boats=["Quay,afloat,Quay"],
        boat_columns="boat,lay_up,base",
        prices=["bellows,bellows,100,5,"],
    )
    for hours in (Factors(1.0, {"Quay": 1.5}), Factors(1.0, {}, {"Quay": 0.5})):
        some = Changes("a", 3, hours=hours)
        assert changes_in(entries_of(some, fleet, 5), fleet) == (some, [])
    both = {"bellows": 2.0}
    for prices in (Factors(1.0, both), Factors(1.0, {}, both), Factors(1.0, both, both)):
        some = Changes("b", 3, prices=prices)
        assert changes_in(entries_of(some, fleet, 5), fleet) == (some, [])


def test_an_emptied_limit_is_none_and_an_empty_one_that_is_filled_is_one(sample: Fleet) -> None:
    entries = entries_of(Changes(), sample, 5)
    assert entries["limit bellows age"] == 8.0
    assert entries["limit face_seal age"] is None
    entries |= {"limit bellows age": None, "limit face_seal age": 2500.0}
    changes, findings = changes_in(entries, sample)
    assert findings == []
    assert changes.limits == {"bellows": Limits(None), "face_seal": Limits(2500.0)}


@pytest.mark.parametrize(
    ("entry", "value", "field", "expected"),
    [
        ("name", "", "name", "a name of 1 to 100 letters"),
        (SOLD, {BOAT: ["Nobody"], LEAVES: [pd.Timestamp(2030, 1, 1)]}, "sold", "a boat with parts"),
        (SOLD, {BOAT: [None], LEAVES: [pd.Timestamp(2030, 1, 1)]}, "sold 1, boat", "a boat's name"),
        (ADDED, {"Like": ["Amber Wren"]}, "added 1, joined_on", "a day"),
        (
            HOURS,
            {WHAT: ["boat Amber Wren"], OF_TODAY: [None]},
            "hours.boats.Amber Wren",
            "a number",
        ),
        ("season end", date(2027, 4, 3), "season", "a season of 14 days or more"),
        ("season end", date(2028, 2, 29), "season.end", "a month and a day"),
    ],
)
def test_what_is_wrong_in_the_form_is_said(
    sample: Fleet, entry: str, value: object, field: str, expected: str
) -> None:
    entries = entries_of(Changes(), sample, 5)
    if isinstance(value, dict):
        value = pd.DataFrame(value).reindex(columns=entries[entry].columns)
    findings = changes_in({**entries, entry: value}, sample)[1]
    assert [one.field for one in findings] == [field]
    assert expected in findings[0].expected
    assert findings[0].file == "the form"
