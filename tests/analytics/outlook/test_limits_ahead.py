"""Readings at lifts as what decides: by the calendar, and by the normal curve where they err."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from scipy.stats import norm

from analytics.ageing.fit import Ageing
from analytics.ageing.posterior import point
from analytics.job import Fleet, how_it_ages
from analytics.outlook.futures import FAILED, PLANNED, WORN, Futures, simulated_futures
from analytics.outlook.policy import PartLimits
from analytics.usage import day_number
from tests.analytics.ageing.folders import fleet_of, with_sure_hours

SHARP = np.log(50_000.0)


def certain(fleet: Fleet, life: float) -> dict[tuple[str, str], Ageing]:
    return {
        key: replace(one, posterior=point(one.kind, SHARP, np.log(life)))
        for key, one in how_it_ages(fleet).items()
    }


def read_at(worn: float, error: float = 0.0, n: int = 1, years: float = np.inf) -> PartLimits:
    return PartLimits(np.full(n, np.inf), np.full(n, years), np.full(n, worn), error)


def futures(
    fleet: Fleet, life: float, limits: PartLimits, n: int = 20, seasons: int = 12
) -> Futures:
    rule = fleet.records.settings.seasons
    fitted = certain(fleet, life)
    return simulated_futures(
        with_sure_hours(fleet.lives),
        fitted,
        [rule.season(2024 + i) for i in range(seasons)],
        n_futures=n,
        policy=dict.fromkeys(fitted, limits),
    )


def happened(found: Futures) -> list[tuple[str, int]]:
    """Month and manner of each renewal, which must be alike in every future."""
    days = (np.datetime64("1970-01-01") + found.day).astype("datetime64[M]")
    told = [
        sorted(zip(days[mine].astype(str), found.how[mine].tolist(), strict=True))
        for mine in (found.future == f for f in range(found.n_futures))
    ]
    assert all(one == told[0] for one in told)
    return told[0]


def test_a_part_is_renewed_at_the_first_lift_that_shows_it_worn() -> None:
    # It would last ten years from 2017-02-15. At the lifts of January 2025, 2026 and 2027 it is
    # 7.92, 8.92 and 9.92 years old. The next one is nine at the lift of 2035.
    fleet = fleet_of(["A,single,bellows,,,2017-02-15"])
    assert happened(futures(fleet, 10.0, read_at(0.89))) == [
        ("2026-01", PLANNED),
        ("2035-01", PLANNED),
    ]
    assert happened(futures(fleet, 10.0, read_at(0.90), seasons=9)) == [("2027-01", PLANNED)]
    assert happened(futures(fleet, 10.0, read_at(0.995), seasons=9)) == [("2027-02", FAILED)]


def test_the_limit_that_comes_first_counts() -> None:
    fleet = fleet_of(["A,single,bellows,,,2017-02-15"])
    by_years = futures(fleet, 10.0, read_at(0.89, years=7.9), seasons=3)
    assert happened(by_years) == [("2025-01", PLANNED)]


@pytest.mark.parametrize("ashore", ["true", "false"])
def test_readings_of_a_clock_of_hours(ashore: str) -> None:
    # 300 h a year from 2023-06-30 on, 810 h in all: worn out after 2.7 years, in March of 2026.
    # At the lifts of 2025 and 2026 it has run 464 and 764 h: 57 and 94 %.
    settings = f"[kinds.cutless_bearing]\nfound_ashore_only = {ashore}\n"
    fleet = fleet_of(["A,single,cutless_bearing,,,2023-06-30"], settings)
    assert happened(futures(fleet, 810.0, read_at(0.55), seasons=2)) == [("2025-01", PLANNED)]
    assert happened(futures(fleet, 810.0, read_at(0.90), seasons=3)) == [("2026-01", PLANNED)]
    late = happened(futures(fleet, 810.0, read_at(0.97), seasons=4))
    assert late == [("2027-01", WORN) if ashore == "true" else ("2026-03", FAILED)]


def test_readings_err_as_much_as_they_are_said_to() -> None:
    # Lifts show 66.2, 74.5, 82.8 and 91.1 % of wear, each with an error of its own: renewed at the
    # first that reads 85 % or more, by the normal curve. New parts are far from that.
    n, error = 4000, 0.1
    rows = [f"B{i},single,bellows,,,2017-02-01" for i in range(10)]
    fleet = fleet_of(rows)
    found = futures(fleet, 12.0, read_at(0.85, error, 10), n, seasons=5)
    lifts = [
        day_number(fleet.records.settings.seasons.season(y).lift_on) for y in range(2025, 2029)
    ]
    fitted = day_number(np.datetime64("2017-02-01").astype(object))
    left = 1.0
    for lift in lifts:
        reads = norm.sf((0.85 - (lift - fitted) / 365.25 / 12.0) / error)
        expected = left * reads
        share = np.sum(found.day == lift) / (10 * n)
        assert share == pytest.approx(expected, abs=4 * np.sqrt(expected / (10 * n)))
        left -= expected
    assert (found.how == PLANNED).all()


def test_readings_leave_what_fails_before_where_it_was() -> None:
    fleet = fleet_of([f"B{i},single,bellows,,,2012-02-01" for i in range(20)])
    fitted = how_it_ages(fleet)
    coming = [fleet.records.settings.seasons.season(2024 + i) for i in range(6)]

    def first_renewals(limits: PartLimits) -> tuple[np.ndarray, np.ndarray]:
        found = simulated_futures(
            fleet.lives, fitted, coming, n_futures=200, policy={("bellows", "all"): limits}
        )
        place = found.part.astype(np.int64) * 200 + found.future
        order = np.lexsort((found.day, place))
        _, first = np.unique(place[order], return_index=True)
        chosen = order[first]
        days, how = np.full(4000, -1), np.full(4000, -1)
        days[place[chosen]], how[place[chosen]] = found.day[chosen], found.how[chosen]
        return days, how

    (read, how), (free, _) = (
        first_renewals(read_at(0.8, 0.05, 20)),
        first_renewals(read_at(np.inf, 0.0, 20)),
    )
    failed = (how >= 0) & (how != PLANNED)
    assert failed.sum() > 50
    assert (how == PLANNED).sum() > 500
    np.testing.assert_array_equal(read[failed], free[failed])
    # Whoever is renewed by reading would have failed no sooner.
    planned = (how == PLANNED) & (free >= 0)
    assert (read[planned] <= free[planned]).all()


@pytest.mark.parametrize("limit", ["limit = 5", "limit = false\nlimit_years = 5"])
def test_a_limit_in_years_is_reached_at_the_lift_on_the_anniversary(limit: str) -> None:
    # Fitted at the lift of 2021-01-15: five years of the calendar are over at that of 2026, though
    # 1,826 days are a quarter of a day less than five times 365.25.
    fleet = fleet_of(["A,single,bellows,,,2021-01-15"], f"[kinds.bellows]\n{limit}\n")
    fitted = certain(fleet, 40.0)
    rule = fleet.records.settings.seasons
    coming = [rule.season(2024 + i) for i in range(9)]
    found = simulated_futures(with_sure_hours(fleet.lives), fitted, coming, n_futures=5)
    # The part fitted then is renewed five years on, which hold two leap days.
    assert happened(found) == [("2026-01", PLANNED), ("2031-01", PLANNED)]


def test_what_is_due_is_planned_between_the_lay_up_day_and_the_season() -> None:
    head = "as_of = 2024-02-15\nrecords_from = 2005-01-01\nshaft_share = 1.0\n"
    fleet = fleet_of(["A,single,bellows,,,2012-02-01"], head=head)
    found = futures(fleet, 50.0, read_at(np.inf, years=8.0), seasons=2)
    assert set(found.day) == {day_number(date(2024, 2, 16))}
    assert set(found.how) == {PLANNED}
    # Once the season has begun its lift is over.
    head = head.replace("02-15", "04-01")
    fleet = fleet_of(["A,single,bellows,,,2012-02-01"], head=head)
    found = futures(fleet, 50.0, read_at(np.inf, years=8.0), seasons=2)
    assert set(found.day) == {day_number(date(2025, 1, 15))}


def test_the_part_that_follows_has_limits_of_its_own() -> None:
    fleet = fleet_of(["A,single,bellows,,,2017-02-15"])
    limits = replace(read_at(np.inf, years=8.5), renewed=read_at(np.inf, years=3.0))
    lifts = [("2026-01", PLANNED), ("2029-01", PLANNED), ("2032-01", PLANNED)]
    assert happened(futures(fleet, 50.0, limits, seasons=9)) == lifts
    # By reading: the first part as it is worn, the next ones never.
    limits = replace(read_at(0.15), renewed=read_at(np.inf))
    assert happened(futures(fleet, 50.0, limits)) == [("2025-01", PLANNED)]
    # And the other way round: nothing is asked of the first, but of the next at 4 %, of two years.
    limits = replace(read_at(np.inf, years=8.5), renewed=read_at(0.039))
    assert happened(futures(fleet, 50.0, limits, seasons=5)) == [
        ("2026-01", PLANNED),
        ("2028-01", PLANNED),
    ]
