"""Simulated futures: cases that a calendar settles by hand, then the formulas on the average."""

from dataclasses import replace

import numpy as np
import pytest

from analytics.ageing.fit import Ageing
from analytics.ageing.posterior import point
from analytics.job import Fleet, how_it_ages
from analytics.outlook.futures import Futures, simulated_futures
from analytics.outlook.season import season_risk
from tests.analytics.ageing.folders import fleet_of, with_sure_hours

NO_LIMIT = "[kinds.bellows]\nlimit = false\n"
SHARP = np.log(50_000.0)
"""Log of a Weibull shape at which every part lasts its scale, to some hours in ten years."""


def certain(fleet: Fleet, life: float) -> dict[tuple[str, str], Ageing]:
    """Every part lasts exactly so long on its clock, and nothing else happens to it."""
    return {
        key: replace(fitted, posterior=point(fitted.kind, SHARP, np.log(life)))
        for key, fitted in how_it_ages(fleet).items()
    }


def seasons(fleet: Fleet, futures: int, life: float, n: int = 8, first: int = 2024) -> Futures:
    rule = fleet.records.settings.seasons
    coming = [rule.season(first + i) for i in range(n)]
    lives = with_sure_hours(fleet.lives)
    return simulated_futures(lives, certain(fleet, life), coming, n_futures=futures)


def test_hours_to_come_differ_from_future_to_future() -> None:
    # A limit of 899 h at 300 h a year from 2024-01-15 on falls near the lift of 2027, a year
    # sooner or later where the boat is busier or quieter than expected: half of all futures or
    # so keep the year of the expected hours.
    settings = "[kinds.face_seal]\nlimit = 899\n"
    fleet = fleet_of(["A,single,face_seal,,,2024-01-15"], settings)
    fitted = how_it_ages(fleet)
    rule = fleet.records.settings.seasons
    coming = [rule.season(2024 + i) for i in range(5)]
    found = simulated_futures(fleet.lives, fitted, coming, n_futures=1000)
    due = found.planned[:, :, 0].mean(axis=0)
    assert due[3] > 0.1
    assert due[2] > 0.02
    assert due[4] > 0.02


def by_season(counts: np.ndarray) -> list[int]:
    """Counts of one item, which must be the same in every future."""
    assert (counts == counts[:1]).all()
    return counts[0, :, 0].tolist()


def test_a_part_that_lasts_six_years_fails_in_its_sixth() -> None:
    # Fitted 2020-01-01, so it fails at the new year of 2026 and again six years later; the season
    # of 2026 counts from 2025-11-01. No other season has a renewal.
    found = seasons(fleet_of(["A,single,bellows,,,2020-01-01"], NO_LIMIT), 20, 6.0, n=10)
    assert by_season(found.unplanned) == [0, 0, 1, 0, 0, 0, 0, 0, 1, 0]
    assert not found.planned.any()
    assert found.items.to_dict("list") == {"kind": ["bellows"], "part_no": [""]}


def test_the_last_day_of_a_season_is_in_it() -> None:
    # Six years of 365.25 days from 2019-11-01 end in the afternoon of 2025-10-31; one day later
    # belongs to the next season year.
    for fitted, expected in (("2019-10-31", [0, 1, 0]), ("2019-11-03", [0, 0, 1])):
        found = seasons(fleet_of([f"A,single,bellows,,,{fitted}"], NO_LIMIT), 5, 6.0, n=3)
        assert by_season(found.unplanned) == expected


def test_a_part_at_its_limit_is_renewed_at_the_lay_up_lift() -> None:
    # Limit eight years, lifts on 15 January. Fitted 2017-02-01: 7.95 years old at the lift of 2025,
    # 8.95 at that of 2026; renewed then, and again at the lift of 2034.
    found = seasons(fleet_of(["A,single,bellows,,,2017-02-01"]), 5, 50.0, n=11)
    assert by_season(found.planned) == [0, 0, 1, 0, 0, 0, 0, 0, 0, 0, 1]
    assert not found.unplanned.any()


@pytest.mark.parametrize("start", ["01-01", "04-01"])
def test_seasons_without_a_gap_have_a_lift_each(start: str) -> None:
    # The lift falls on the day between two seasons. A bellows fitted 2017-02-01 is eight on
    # 2025-01-31; the season year that begins after that is 2026, or 2025 with seasons from April.
    end = {"01-01": "12-31", "04-01": "03-31"}[start]
    settings = f'season_start = "{start}"\nseason_end = "{end}"\n'
    fleet = fleet_of(["A,single,bellows,,,2017-02-01"], settings)
    found = seasons(fleet, 5, 50.0, n=4, first=fleet.coming_season().year)
    assert by_season(found.planned) == {"01-01": [0, 0, 1, 0], "04-01": [0, 1, 0, 0]}[start]
    bearing = fleet_of(["A,single,cutless_bearing,,,2023-01-01"], settings)
    worn = seasons(bearing, 5, 700.0, n=4, first=bearing.coming_season().year)
    assert worn.unplanned.sum() > 0


def test_a_boat_that_leaves_needs_no_more_parts() -> None:
    fleet = fleet_of(["A,single,bellows,,,2020-01-01"], NO_LIMIT)
    fitted = certain(fleet, 6.0)
    one = fitted["bellows", "all"]
    gone = replace(one, table=one.table.assign(leaves_on=np.datetime64("2027-01-01")))
    rule = fleet.records.settings.seasons
    coming = [rule.season(2024 + i) for i in range(10)]
    found = simulated_futures(fleet.lives, {("bellows", "all"): gone}, coming, n_futures=5)
    assert by_season(found.unplanned) == [0, 0, 1, 0, 0, 0, 0, 0, 0, 0]


def test_a_calendar_limit_holds_for_a_part_that_ages_by_hours() -> None:
    settings = "[kinds.lip_seal]\nlimit_years = 7\n"
    fleet = fleet_of(["A,single,lip_seal,,,2018-02-01"], settings)
    assert by_season(seasons(fleet, 5, 1e6, n=4).planned) == [0, 0, 1, 0]


def test_a_limit_in_hours_counts_the_hours_to_come() -> None:
    # 300 h a year from 2024-01-15 on: 900 h are reached just before the lift of 2027.
    settings = "[kinds.face_seal]\nlimit = 899\n"
    fleet = fleet_of(["A,single,face_seal,,,2024-01-15"], settings)
    assert by_season(seasons(fleet, 5, 1e6, n=5).planned) == [0, 0, 0, 1, 0]


def test_a_failure_that_shows_ashore_is_found_at_the_lift() -> None:
    # 600 h at 300 h a year from 2023-06-30 on: worn out about 2025-06-30, found 2026-01-15.
    fleet = fleet_of(["A,single,cutless_bearing,,,2023-06-30"])
    assert by_season(seasons(fleet, 5, 600.0, n=4).unplanned) == [0, 0, 1, 0]
    seen_afloat = "[kinds.cutless_bearing]\nfound_ashore_only = false\n"
    fleet = fleet_of(["A,single,cutless_bearing,,,2023-06-30"], seen_afloat)
    assert by_season(seasons(fleet, 5, 600.0, n=4).unplanned) == [0, 1, 0, 1]


@pytest.mark.parametrize(("lay_up", "expected"), [("ashore", [True]), ("afloat", [False])])
def test_hours_run_in_the_season_where_the_boat_is_laid_up(
    lay_up: str, expected: list[bool]
) -> None:
    # Forty hours are left on 2024-09-30, of 300 a year. Afloat that takes 49 days, into the next
    # season year; a boat laid up runs some 43 h in October alone.
    fleet = fleet_of(
        ["A,single,face_seal,,,2024-09-30"],
        head="as_of = 2024-09-30\nrecords_from = 2005-01-01\nshaft_share = 1.0\n",
        boats=[f"A,{lay_up},300"],
        boat_columns="boat,lay_up,hours_per_season",
    )
    first = seasons(fleet, 5, 40.0, n=2).unplanned[:, :1]
    assert by_season(first > 0) == expected


def test_counts_fall_to_their_part_numbers() -> None:
    fleet = fleet_of(
        [
            "A,port,bellows,P1,,2020-01-01",
            "A,starboard,bellows,P2,,2020-01-01",
            "B,single,bellows,P1,,2020-01-01",
            "B,single,cutless_bearing,P1,,2020-01-01",
        ],
        NO_LIMIT,
    )
    found = seasons(fleet, 5, 6.0, n=3)
    items = list(found.items.itertuples(index=False, name=None))
    assert items == [("bellows", "P1"), ("bellows", "P2"), ("cutless_bearing", "P1")]
    assert found.unplanned[0, 2, :2].tolist() == [2, 1]


@pytest.fixture(scope="module")
def fleet() -> Fleet:
    rows = [
        f"B{n:02d},{side},{kind},,,{2007 + (5 * n + len(side)) % 17}-0{1 + n % 6}-10"
        for n in range(20)
        for side in ("port", "starboard")
        for kind in ("bellows", "face_seal")
    ]
    rows += [f"O{n},single,bellows,,,2009-05-01,2019-07-0{n + 1},failed,afloat" for n in range(5)]
    rows += [f"U{n},single,bellows,,,{1996 + n}..2004" for n in range(5)]
    return fleet_of(rows, NO_LIMIT)


def test_the_first_season_on_average_is_the_risk_of_the_season(fleet: Fleet) -> None:
    ageing = how_it_ages(fleet)
    season = fleet.records.settings.seasons.season(2025)
    risk = season_risk(fleet.lives, ageing, season)
    n = 20_000
    # From 2024-06-30 to the end of the season of 2025 in one stretch: the season of 2024 is not
    # asked for, so that what fails in the rest of it counts too.
    found = simulated_futures(fleet.lives, ageing, [season], n_futures=n)
    expected = risk.parts["risk_before"].astype(float) + risk.parts["risk"].astype(float)
    for number, kind in enumerate(found.items["kind"]):
        counts = found.unplanned[:, 0, number]
        alone = expected[risk.parts["kind"] == kind].sum()
        # A renewal may fail again, early or by accident, in the year and a third: a few per cent.
        again = alone * 0.06
        luck = 4 * counts.std() / np.sqrt(n)
        assert alone - luck < counts.mean() < alone + again + luck
    assert not found.planned.any()


def test_the_same_seed_the_same_futures(fleet: Fleet) -> None:
    ageing = how_it_ages(fleet)
    coming = [fleet.records.settings.seasons.season(2024 + i) for i in range(3)]
    first, again, other = (
        simulated_futures(fleet.lives, ageing, coming, n_futures=300, seed=seed)
        for seed in (3, 3, 4)
    )
    assert first.unplanned.tobytes() == again.unplanned.tobytes()
    assert first.planned.tobytes() == again.planned.tobytes()
    assert first.unplanned.tobytes() != other.unplanned.tobytes()


def test_one_kind_more_moves_no_other_number(fleet: Fleet) -> None:
    ageing = how_it_ages(fleet)
    coming = [fleet.records.settings.seasons.season(2025)]
    both = simulated_futures(fleet.lives, ageing, coming, n_futures=200)
    one = {("bellows", "all"): ageing["bellows", "all"]}
    alone = simulated_futures(fleet.lives, one, coming, n_futures=200)
    np.testing.assert_array_equal(both.unplanned[:, :, 0], alone.unplanned[:, :, 0])


def test_progress_is_told_kind_by_kind(fleet: Fleet) -> None:
    told: list[tuple[str, int, int]] = []
    simulated_futures(
        fleet.lives, how_it_ages(fleet), [fleet.coming_season()], n_futures=5,
        progress=lambda what, done, total: told.append((what, done, total)),
    )  # fmt: skip
    assert told == [("simulating bellows", 0, 2), ("simulating face seal", 1, 2)]
