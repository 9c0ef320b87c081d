"""Parts that came from another boat.

Outside check: a life cut in two at its move, the second spell conditional on the first, has the
likelihood of the whole life; S(a) * f(t)/S(a) = f(t) (any textbook's definition of delayed entry).
"""

import numpy as np
import pandas as pd
import pytest
from scipy import stats

from analytics.ageing.clocks import nodes_of
from analytics.ageing.families import FAMILIES
from analytics.ageing.likelihood import Parameters, log_likelihood
from analytics.lives import table_of_lives
from analytics.records.reading import Records
from tests.analytics.records.fleet_folder import counts, part, read, reconciled, said

BOATS = [{"boat": "Penny Wren"}, {"boat": "Otter"}]
FIRST = part(serial="S1", removed_on="2015-05-01", reason="other_work")
SECOND = part(
    boat="Otter", serial="S1", here_since="2015-05-01", removed_on="2018-05-01", reason="failed"
)


def life(records: Records, boat: str) -> pd.Series:
    return table_of_lives(records).table.set_index("boat").loc[boat]


def test_part_moved_is_one_life_in_two_spells() -> None:
    records = read(FIRST, SECOND, boats=BOATS)
    lives = table_of_lives(records)
    moved = lives.table.set_index("boat").loc["Otter"]
    assert (f"{moved['start_lo']:%F}", f"{moved['seen_from']:%F}") == ("2012-05-01", "2015-05-01")
    whole = table_of_lives(read(part(removed_on="2018-05-01", reason="failed")))
    theta = Parameters(np.log([2.0, 4.0]), np.log([8.0, 11.0]), np.zeros(2))
    spells, once = (
        log_likelihood(FAMILIES["weibull"], theta, nodes_of(one, one.table), 0.25)
        for one in (lives, whole)
    )
    np.testing.assert_allclose(spells, once, rtol=1e-12)
    # And by hand: six years of 365.25 days, give or take the calendar.
    age = (pd.Timestamp("2018-05-01") - pd.Timestamp("2012-05-01")).days / 365.25
    np.testing.assert_allclose(
        once, stats.weibull_min([2.0, 4.0], scale=[8.0, 11.0]).logpdf(age), rtol=1e-9
    )
    (one,) = [one for one in records.findings if one.sort == "part_moved"]
    assert (one.rows, one.done, one.field) == ((3,), "noted", "here_since")


def test_part_moved_whose_first_row_is_still_open() -> None:
    still = part(serial="S1")
    for order in ([still, SECOND], [SECOND, still]):
        records = read(*order, boats=BOATS)
        first = records.tables["parts.csv"].set_index("boat").loc["Penny Wren"]
        assert (f"{first['removed_on_lo']:%F}", first["reason"]) == ("2015-05-01", "other_work")
        assert said(records, "assumed") == [(order.index(still) + 2, "removed_on")]
    # Another serial, another fitting or a reason of its own: another part.
    for other in (
        part(serial="S2"),
        part(serial="S1", fitted_on="2013-05-01"),
        part(serial="S1", removed_on="2014", reason="failed"),
    ):
        records = read(other, SECOND, boats=BOATS)
        assert [one.rows for one in records.findings if one.sort == "part_moved"] == [(3,)]


def test_part_moved_through_three_boats() -> None:
    boats = [*BOATS, {"boat": "Lantern"}]
    records = read(
        part(serial="S1"),
        part(boat="Lantern", serial="S1", here_since="2018"),
        part(boat="Otter", serial="S1", here_since="2015-05-01"),
        boats=boats,
    )
    table = table_of_lives(records).table.set_index("boat")
    assert table["outcome"].to_dict() == {
        "Penny Wren": "other_work",
        "Otter": "other_work",
        "Lantern": "in_service",
    }
    assert table["start_lo"].nunique() == 1
    assert f"{table.at['Otter', 'end_hi']:%F}" == "2018-12-31"


def test_places_are_compared_from_the_day_of_the_move() -> None:
    before = part(boat="Otter", fitted_on="2011", removed_on="2015-04-20", reason="failed")
    assert counts(read(before, SECOND, boats=BOATS)) == {"rows_read": 2, "used": 2}
    open_before = part(boat="Otter", fitted_on="2013-01-01")
    records = read(open_before, SECOND, boats=BOATS)
    row = records.tables["parts.csv"].set_index("row").loc[2]
    assert f"{row['removed_on_hi']:%F}" == "2015-05-01"
    late = part(boat="Otter", fitted_on="2014-01-01", removed_on="2016-01-01", reason="failed")
    assert counts(read(late, SECOND, boats=BOATS)) == {"rows_read": 2, "rejected": 2}


@pytest.mark.parametrize(
    ("cells", "done", "sort"),
    [
        ({"here_since": "2022"}, "ignored", "future_date"),
        ({"here_since": "2011", "fitted_on": "2012"}, "rejected", "dates_disagree"),
        ({"here_since": "2019"}, "rejected", "removed_before_fitted"),
        ({"here_since": "2018-05-01"}, "ignored", "zero_life"),
        ({"here_since": "x"}, "rejected", "cell_unreadable"),
    ],
)
def test_a_move_that_cannot_be(cells: dict[str, str], done: str, sort: str) -> None:
    records = read(SECOND | cells, boats=BOATS)
    (one,) = [one for one in records.findings if one.file == "parts.csv"]
    assert (one.done, one.sort) == (done, sort)
    reconciled(records)


def test_a_move_to_a_boat_that_had_left() -> None:
    boats = [{"boat": "Otter", "left_on": "2014-06-01"}]
    records = read(part(boat="Otter", here_since="2015"), boats=boats)
    (one,) = [one for one in records.findings if one.file == "parts.csv"]
    assert (one.done, one.sort, one.field) == ("rejected", "outside_records", "here_since")


def test_a_move_in_the_year_of_the_removal_is_watched_from_its_first_day() -> None:
    moved = life(read(SECOND | {"here_since": "2018"}, boats=BOATS), "Otter")
    assert f"{moved['seen_from']:%F}" == "2018-01-01"
    earlier = life(read(SECOND | {"here_since": "2015"}, boats=BOATS), "Otter")
    assert f"{earlier['seen_from']:%F}" == "2015-12-31"


def test_an_undated_part_was_fitted_before_it_moved() -> None:
    records = read(SECOND | {"fitted_on": ""}, boats=[{"boat": "Otter", "built_on": "2014"}])
    moved = life(records, "Otter")
    # 20 years of 365.25 days before 2015-05-01 is 1995-05-01.
    assert [f"{moved[name]:%F}" for name in ("start_lo", "start_hi")] == [
        "1995-05-01",
        "2015-05-01",
    ]


def test_hours_of_another_boats_meter_are_not_read() -> None:
    boats = [{"boat": "Otter", "lay_up": "afloat"}]
    hours = [
        {"boat": "Otter", "read_on": day, "hours": read_then}
        for day, read_then in (("2012-05-01", "1000"), ("2016-05-01", "2461"))
    ]
    row = SECOND | {"kind": "lip_seal", "fitted_hours": "9000"}
    usage = table_of_lives(
        read(row, boats=boats, hours=hours, settings="as_of = 2020-12-31\nshaft_share = 1")
    ).usage
    # 1461 hours in 1461 days: an hour a day, whatever the other boat's meter showed.
    assert usage.past_rate[0] == pytest.approx(365.25)
