"""Hours and dates to the renew limit, for bearings in service and for new ones."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from analytics.ageing.wear.hours_to_limit import UNREAD, in_words, kind_wear
from tests.analytics.ageing.folders import with_sure_hours
from tests.analytics.ageing.wear.worn_fleet import (
    AS_OF,
    HOURS_A_YEAR,
    KIND,
    folder,
    wearing_fleet,
    worn,
)


def readings(boat: str, rate: float, years: list[int], position: str = "single") -> list[str]:
    """Readings without error of a 30 mm bearing fitted on 2014-01-01."""
    return [
        f"{boat},{position},{year}-01-01,clearance_mm,"
        f"{0.145 + rate * (year - 2014) * HOURS_A_YEAR / 1000:.3f}"
        for year in years
    ]


def test_hours_are_covered_in_invented_fleets() -> None:
    inside = []
    for seed in range(6):
        files, truth = wearing_fleet(30, seed=seed)
        _, _, wear = worn(files)
        assert wear is not None
        left = np.array([truth[boat] for boat in wear.parts["boat"]]) - wear.parts["hours_run"]
        low, high = np.quantile(wear.hours, (0.05, 0.95), axis=0)
        inside += ((low < left) & (left < high)).tolist()
    # Some 150 intervals: two standard errors are 0.05.
    assert len(inside) > 120
    assert np.mean(inside) == pytest.approx(0.90, abs=0.06)


def test_a_path_read_often_gives_its_hours_and_date() -> None:
    others = [f"B{n},single,30 mm,2014-01-01" for n in range(6)]
    rows = [row for n in range(6) for row in readings(f"B{n}", 0.15 + 0.01 * n, [2016, 2019, 2022])]
    own = readings("A", 0.18, list(range(2015, 2025)))
    _, _, wear = worn(folder(["A,single,30 mm,2014-01-01", *others], [*own, *rows]))
    assert wear is not None
    part = wear.parts[wear.parts["boat"] == "A"].iloc[0]
    run = (AS_OF - pd.Timestamp("2014-01-01").date()).days / 365.25 * HOURS_A_YEAR
    assert part["hours_run"] == pytest.approx(run, abs=1)
    expected = (0.75 - 0.145) / 0.18 * 1000 - run
    assert part["hours_low"] < expected < part["hours_high"]
    assert part["hours"] == pytest.approx(expected, rel=0.1)
    # 300 h a year all year round: the date follows from the hours.
    ahead = (part["date"] - pd.Timestamp(AS_OF)).days / 365.25 * HOURS_A_YEAR
    assert ahead == pytest.approx(part["hours"], abs=3)
    assert part["date_low"] < part["date"] < part["date_high"]
    assert (part["limit_mm"], part["limit_from"]) == (0.75, "planning default, no source")
    assert part["last_mm"] == pytest.approx(0.145 + 0.18 * 10 * 0.3)


def test_past_the_limit_there_are_no_hours_left() -> None:
    _, _, wear = worn(folder(["A,single,30 mm,2014-01-01"], readings("A", 0.5, [2016, 2018, 2020])))
    assert wear is not None
    part = wear.parts.iloc[0]
    assert part["over_limit"] > 0.99
    assert (part["hours_low"], part["hours"]) == (0.0, 0.0)
    assert part["date"] == pd.Timestamp(AS_OF)


def test_a_size_without_a_limit_has_no_hours_and_says_so() -> None:
    parts = ["A,single,25 mm,2014-01-01", "B,single,1 in,2014-01-01", "C,single,45 mm,2014-01-01"]
    rows = [row for boat in "ABC" for row in readings(boat, 0.15, [2016, 2020])]
    _, _, wear = worn(folder(parts, rows))
    assert wear is not None
    assert wear.parts["limit_from"].str.split(" ").str[0].tolist() == ["near", "planning", "no"]
    assert wear.parts["hours"].isna().tolist() == [False, False, True]
    assert wear.parts["over_limit"].isna().tolist() == [False, False, True]
    assert wear.parts["rate"].notna().all()
    assert any("25 mm is not 1 in" in said for said in in_words(wear))


def test_the_size_of_the_shaft_stands_in() -> None:
    files = folder(["A,single,,2014-01-01"], readings("A", 0.15, [2016]), boats=["A,40 mm"])
    _, _, wear = worn(files)
    assert wear is not None
    assert wear.parts[["size", "limit_mm"]].to_numpy().tolist() == [["40 mm", 0.90]]


def test_an_undated_bearing_spreads_over_its_days_of_fitting() -> None:
    widths = []
    for fitted in ("2014-01-01", "2009..2018"):
        rows = readings("A", 0.2, [2019, 2021, 2023])
        _, _, wear = worn(folder([f"A,single,30 mm,{fitted}"], rows))
        assert wear is not None
        widths.append(float(np.ptp(np.quantile(wear.draws.rate, (0.05, 0.95)))))
        assert len(wear.paths.n) == (1 if fitted == "2014-01-01" else 16)
    assert widths[1] > widths[0]


def test_the_words_promise_nothing() -> None:
    files, _ = wearing_fleet(8, seed=1)
    _, _, wear = worn(files)
    assert wear is not None
    said = " ".join(in_words(wear))
    assert "It does not make a part good, promises nothing and is no inspection" in said
    assert not {"safe", "seaworthy", "certified"} & set(said.lower().split())


def test_readings_far_from_what_is_believed_are_told() -> None:
    no_lines = "fit no straight lines that were believed possible"
    for wrong, told in ((1.0, False), (10.0, True)):
        rows = [
            f"{row.rsplit(',', 1)[0]},{float(row.rsplit(',', 1)[1]) * factor:.3f}"
            for boat in "ABCD"
            for row, factor in zip(
                readings(boat, 0.2, [2015, 2018, 2021]), (1.0, 1.0, wrong), strict=True
            )
        ]
        _, _, wear = worn(folder([f"{boat},single,30 mm,2014-01-01" for boat in "ABCD"], rows))
        assert wear is not None
        assert any(no_lines in said for said in in_words(wear)) is told


def test_the_order_of_rows_changes_nothing() -> None:
    files, _ = wearing_fleet(12, seed=2)
    _, _, first = worn(files)
    for name in ("readings.csv", "parts.csv", "lifts.csv"):
        head, *rows = files[name].decode().splitlines()
        files[name] = "\n".join([head, *rows[::-1], ""]).encode()
    _, _, again = worn(files)
    assert first is not None
    assert again is not None
    assert np.array_equal(first.hours, again.hours)
    assert first.parts.drop(columns="source").equals(again.parts.drop(columns="source"))


def test_a_fleet_without_readings_has_no_paths() -> None:
    _, readings, wear = worn(folder(["A,single,30 mm,2014-01-01"], []))
    assert wear is None
    assert readings.table.empty
    assert not readings.findings


@pytest.mark.parametrize(
    "rows",
    [
        ["2014-01-01,clearance_mm,0.15"],
        ["2014-01-01,clearance_mm,0"],
        ["2016,clearance_mm,0.0", "2017-05,clearance_mm,0.0", "2018-05..2018-07,clearance_mm,0.0"],
        ["2016-01-01,clearance_mm,20"],
        ["2016-01-01,clearance_mm,0.3"] * 30,
        ["2024-06-30,clearance_felt_mm,5"],
    ],
)
@pytest.mark.parametrize("hours", [HOURS_A_YEAR, 0.0, 8000.0])
def test_odd_readings_get_an_answer(rows: list[str], hours: float) -> None:
    read = [f"A,single,{row}" for row in rows]
    files = folder(["A,single,30 mm,2014-01-01"], read, metered=False)
    boats = files["boats.csv"].decode().replace(f",{HOURS_A_YEAR}", f",{hours}")
    _, _, wear = worn(files | {"boats.csv": boats.encode()})
    assert wear is not None
    part = wear.parts.iloc[0]
    assert np.isfinite(wear.draws.rate).all()
    assert 0 <= part["hours_low"] <= part["hours"] <= part["hours_high"] < np.inf
    # A shaft that does not turn has no date on which it reaches the limit.
    assert pd.isna(part["date_high"]) or part["date"] <= part["date_high"]
    assert hours > 0 or part["over_limit"] > 0 or pd.isna(part["date_low"])


def test_dates_are_as_wide_as_the_hours_of_the_boat_are_in_doubt() -> None:
    # Busy and quiet years by turns: 150 and 450 h.
    files = folder(["A,single,30 mm,2014-01-01"], readings("A", 0.15, [2016, 2018, 2020, 2022]))
    ran = np.cumsum([0.0] + [150.0, 450.0] * 8)
    meters = [f"A,{2008 + n}-01-01,{hours:.0f}" for n, hours in enumerate(ran)]
    files["hours.csv"] = "\n".join(["boat,read_on,hours", *meters, ""]).encode()
    fleet, laid, wear = worn(files)
    settings = fleet.lives.settings.wear
    sure = kind_wear(with_sure_hours(fleet.lives), laid, settings, KIND)
    assert wear is not None
    assert sure is not None
    np.testing.assert_array_equal(wear.hours, sure.hours)
    width, plain = (
        (one.parts["date_high"] - one.parts["date_low"]).dt.days.iloc[0] for one in (wear, sure)
    )
    assert width > 1.05 * plain
    # By hand: the log of the days ahead has both variances, of the hours left and of the year.
    ahead, without = (np.log(one.days[:, 0] - one.days.min() + 1.0) for one in (wear, sure))
    assert ahead.var() > without.var()


def test_a_rate_of_hours_that_nobody_read_drops_out_of_the_dates() -> None:
    # Without a meter all hours rest on one stated rate. Were it twice as high, the bearing would
    # have worn half as fast an hour: the day on which it reaches its limit would be the same.
    rows = readings("A", 0.15, [2016, 2018, 2020, 2022])
    fleet, laid, wear = worn(folder(["A,single,30 mm,2014-01-01"], rows, metered=False))
    assert wear is not None
    usage = fleet.lives.usage
    no_years = np.full(len(usage.rate), 1e-9)
    stated = replace(fleet.lives, usage=replace(usage, year_spread=no_years))
    settings = fleet.lives.settings.wear
    one, sure = (
        kind_wear(lives, laid, settings, KIND) for lives in (stated, with_sure_hours(fleet.lives))
    )
    assert one is not None
    assert sure is not None
    assert usage.rate_spread[0] == pytest.approx(0.25)
    np.testing.assert_allclose(one.days, sure.days, rtol=1e-6)


def test_fast_wearers_that_nobody_read_are_told_of() -> None:
    _, _, wear = worn(folder(["A,single,30 mm,2014-01-01"], readings("A", 0.15, [2016])))
    assert wear is not None
    assert UNREAD in in_words(wear)
    assert "may therefore be too low" in UNREAD
