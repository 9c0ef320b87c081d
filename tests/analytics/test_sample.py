"""The files of an invented fleet: their counts, their dates, their planted defects.

Facts of the scenario (counts, shares, policies) are the project's own inventions; there is no
outside source for them.
"""

import tomllib
from collections import Counter
from dataclasses import replace
from datetime import date, timedelta
from itertools import islice
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from scipy import stats

from analytics.sample import TARNWICK, InventedFleet, invent_fleet, write_fleet
from analytics.sample.boats import largest_remainder
from analytics.sample.chance import Chance
from analytics.sample.names import boat_names
from analytics.sample.scenario import DEFECTS
from tests.analytics.invented import recorded_and_true, rows_of, true_parts, truth_of, window


@pytest.fixture(scope="module")
def fleet() -> InventedFleet:
    return invent_fleet()


@pytest.fixture(scope="module")
def large() -> InventedFleet:
    return invent_fleet(boats=400, seed=5)


def test_same_seed_gives_same_bytes_and_another_seed_does_not(fleet: InventedFleet) -> None:
    assert invent_fleet().files == fleet.files
    assert invent_fleet(seed=1).files["parts.csv"] != fleet.files["parts.csv"]


def test_text_is_the_same_on_every_system(fleet: InventedFleet) -> None:
    for text in fleet.files.values():
        assert "\r" not in text
        assert text.endswith("\n")
        assert not text.endswith("\n\n")


def test_the_files_say_that_they_are_invented(fleet: InventedFleet) -> None:
    settings = tomllib.loads(fleet.files["fleet.toml"])
    assert settings["demo"] is True
    assert "invented" in settings["note"]
    assert truth_of(fleet)["invented"] is True


def test_settings(fleet: InventedFleet) -> None:
    settings = tomllib.loads(fleet.files["fleet.toml"])
    assert settings["as_of"] == date(2026, 10, 31)
    assert settings["records_from"] == date(2011, 11, 1)
    assert (settings["season_start"], settings["season_end"]) == ("04-01", "10-31")
    assert settings["kinds"] == {
        "bellows": {"limit": 8},
        "lip_seal": {"limit_years": 7},
        "gland_hose": {"limit": 12},
    }


def test_counts_of_boats_and_lines_are_exact_at_sixty(fleet: InventedFleet) -> None:
    boats = rows_of(fleet, "boats.csv")
    assert boats["boat"].is_unique
    assert Counter(boats["base"]) == {"Quillhaven": 24, "Sandrick Lagoon": 15, "Port Ellorn": 21}
    true_boats = truth_of(fleet)["boats"]
    assert Counter(boat["class"] for boat in true_boats) == {
        "M38": 20,
        "M45": 16,
        "C42": 14,
        "P40": 10,
    }
    lines = Counter()
    seals = Counter()
    for boat in true_boats:
        lines[len(boat["conditions"])] += 1
        seals[boat["seal"]] += len(boat["conditions"])
    assert lines == {1: 36, 2: 24}
    assert seals == {"face": 50, "lip": 22, "packed": 12}
    joined = pd.to_datetime(boats["joined_on"])
    assert (joined < "2011-11-01").sum() == 30
    assert (boats["left_on"] != "").sum() == 6


def test_kinds_on_a_line_follow_its_seal(fleet: InventedFleet) -> None:
    true_boats = {boat["boat"]: boat for boat in truth_of(fleet)["boats"]}
    expected = {
        "face": {"bellows", "face_seal", "cutless_bearing"},
        "lip": {"lip_seal", "gland_hose", "cutless_bearing"},
        "packed": {"packed_gland", "gland_hose", "cutless_bearing"},
    }
    parts = true_parts(fleet)
    for (boat, _), line in parts.groupby(["boat", "position"]):
        assert set(line["kind"]) == expected[true_boats[boat]["seal"]]
    # Every place of a boat has one part in it at the end.
    in_place = parts[parts["ended_on"].isna()].groupby(["boat", "position", "kind"]).size()
    assert len(in_place) == 84 * 3
    assert (in_place == 1).all()


@pytest.mark.parametrize("boats", [1, 2, 7, 61])
def test_any_number_of_boats(boats: int) -> None:
    fleet = invent_fleet(boats=boats, seed=3)
    assert len(rows_of(fleet, "boats.csv")) == boats


def test_largest_remainder_by_hand() -> None:
    # Quotas 4.0, 2.5, 3.5: one left over after 4, 2, 3; the tie goes to the earlier.
    assert largest_remainder(10, (24, 15, 21)) == [4, 3, 3]
    # Quotas 1.4, 3.5, 2.1: the left-over one goes to .5.
    assert largest_remainder(7, (2, 5, 3)) == [1, 4, 2]


def test_names_do_not_repeat_in_thousands_and_differ_wholly_in_a_small_fleet() -> None:
    names = list(islice(boat_names(Chance(np.random.SeedSequence(0))), 6000))
    assert len(set(names)) == 6000
    words = [word for name in names[:60] for word in name.split()]
    assert len(set(words)) == 120


@pytest.mark.parametrize("column", ["fitted_on", "removed_on"])
def test_written_dates_hold_the_true_day(large: InventedFleet, column: str) -> None:
    rows = recorded_and_true(large)
    true = rows["true_ended_on" if column == "removed_on" else "true_fitted_on"]
    widths = Counter()
    for row, day in zip(rows.itertuples(), true, strict=True):
        text = getattr(row, column)
        widths[len(text)] += 1
        if column == "removed_on":
            assert (text == "") == pd.isna(day)
            if text == "":
                continue
        low, high = window(text, (row.built_on.date(), row.seen_from.date()))
        assert low <= day.date() <= high
    assert set(widths) == {0, 4, 10}


def test_port_ellorn_wrote_years_alone_before_2017(large: InventedFleet) -> None:
    rows = recorded_and_true(large)
    lifts = rows_of(large, "lifts.csv")
    bases = rows_of(large, "boats.csv").set_index("boat")["base"]
    lifts["base"] = lifts["boat"].map(bases)
    # What was fitted before the boat came under the records is written worse, at every base.
    fresh = rows["true_fitted_on"] >= rows["seen_from"]
    for column in ("fitted_on", "removed_on", "last_sound_on"):
        text = rows.loc[(rows["base"] == "Port Ellorn") & fresh, column]
        years = text[text != ""].str[:4].astype(int)
        assert (text[years[years < 2017].index].str.len() == 4).all()
        assert (text[years[years >= 2017].index].str.len() == 10).all()
        assert (years < 2017).any()
    years = lifts["lifted_on"].str[:4].astype(int)
    assert not ((lifts["base"] == "Port Ellorn") & (years < 2017)).any()
    assert ((lifts["base"] != "Port Ellorn") & (years < 2017)).any()
    # Elsewhere a removal always has its day.
    removed = rows.loc[rows["base"] != "Port Ellorn", "removed_on"]
    assert set(removed.str.len()) == {0, 10}


def test_old_fits_are_blank_or_year_only_in_the_stated_shares(large: InventedFleet) -> None:
    rows = recorded_and_true(large)
    old = rows[(rows["true_fitted_on"] < rows["seen_from"]) & (rows["base"] != "Port Ellorn")]
    written = old["fitted_on"].str.len()
    for length, share in ((0, 0.40), (4, 0.35), (10, 0.25)):
        count = int((written == length).sum())
        assert stats.binomtest(count, len(old), share).pvalue > 1e-3
    assert (rows.loc[rows["true_fitted_on"] < "2011-11-01", "lot"] == "").all()


def test_meters_rise_and_agree_with_the_hours_on_the_parts() -> None:
    fleet = invent_fleet(replace(TARNWICK, defects=()))
    readings = rows_of(fleet, "hours.csv").astype({"hours": int})
    rows = recorded_and_true(fleet)
    # Every reading is rounded to a whole hour, so that neighbours may differ by one.
    checked = 0
    for place, line in readings.groupby(["boat", "position"]):
        assert line["hours"].is_monotonic_increasing
        assert line["read_on"].is_monotonic_increasing
        here = rows[(rows["boat"] == place[0]) & (rows["position"] == place[1])]
        for row in here[here["removed_hours"] != ""].itertuples():
            before = line[line["read_on"] <= row.removed_on]["hours"]
            after = line[line["read_on"] >= row.removed_on]["hours"]
            low, high = before.max(), after.min() if len(after) else np.inf
            assert low - 1 <= int(row.removed_hours) <= high + 1
            checked += 1
    assert checked > 50


def test_each_defect_is_planted_once_and_told(fleet: InventedFleet) -> None:
    defects = truth_of(fleet)["defects"]
    assert [one["defect"] for one in defects] == list(DEFECTS)
    for one in defects:
        row = rows_of(fleet, one["file"]).loc[one["row"]]
        assert row[one["column"]] == one["written"] != one["true"]


def test_what_the_defects_look_like(fleet: InventedFleet) -> None:
    told = {one["defect"]: one for one in truth_of(fleet)["defects"]}
    parts = rows_of(fleet, "parts.csv")

    def row(name: str) -> pd.Series:
        return parts.loc[told[name]["row"]]

    copy = row("duplicate_removal")
    first = parts.loc[told["duplicate_removal"]["row"] - 1]
    assert (copy.drop("removed_on") == first.drop("removed_on")).all()
    apart = date.fromisoformat(copy["removed_on"]) - date.fromisoformat(first["removed_on"])
    assert apart == timedelta(days=3)

    twin = row("twin_without_side")
    assert twin["position"] == ""
    assert set(parts.loc[parts["boat"] == twin["boat"], "position"]) == {"port", "starboard", ""}

    late = row("late_removal")
    successor = parts.loc[told["late_removal"]["row"] + 1]
    assert successor["fitted_on"] == told["late_removal"]["true"] < late["removed_on"]

    readings = rows_of(fleet, "hours.csv")
    after = readings.loc[told["meter_reset"]["row"]]
    before = readings.loc[told["meter_reset"]["row"] - 1]
    assert (after["boat"], after["position"]) == (before["boat"], before["position"])
    assert int(after["hours"]) < int(before["hours"])
    falls = readings.groupby(["boat", "position"])["hours"].apply(
        lambda hours: (hours.astype(int).diff() < 0).sum()
    )
    assert falls.sum() == 1

    assert row("misspelt_boat")["boat"] not in set(rows_of(fleet, "boats.csv")["boat"])
    backwards = row("removed_before_fitted")
    assert backwards["removed_on"] < backwards["fitted_on"]
    day, month, year = (int(text) for text in row("short_date")["fitted_on"].split("/"))
    assert date(2000 + year, month, day).isoformat() == told["short_date"]["true"]
    assert row("inch_size")["size"] == "1 in"
    assert row("inch_size")["part_no"].endswith("-25")


@pytest.mark.parametrize("off", DEFECTS)
def test_any_defect_can_be_left_out(off: str) -> None:
    wanted = tuple(name for name in DEFECTS if name != off)
    fleet = invent_fleet(replace(TARNWICK, defects=wanted))
    assert [one["defect"] for one in truth_of(fleet)["defects"]] == list(wanted)


def test_defects_change_no_true_life(fleet: InventedFleet) -> None:
    clean = invent_fleet(replace(TARNWICK, defects=()))
    pd.testing.assert_frame_equal(
        true_parts(clean).reset_index(drop=True), true_parts(fleet).reset_index(drop=True)
    )
    assert len(rows_of(clean, "parts.csv")) == len(rows_of(fleet, "parts.csv")) - 1


def test_an_unknown_defect_is_refused() -> None:
    with pytest.raises(ValueError, match="choose from"):
        replace(TARNWICK, defects=("moth",))


def test_progress_is_told_boat_by_boat() -> None:
    told: list[tuple[int, int]] = []
    invent_fleet(boats=3, progress=lambda done, wanted: told.append((done, wanted)))
    assert told == [(1, 3), (2, 3), (3, 3)]


@pytest.mark.parametrize("wrong", [{"boats": 0}, {"seed": -1}])
def test_what_cannot_be_invented_is_refused(wrong: dict[str, int]) -> None:
    with pytest.raises(ValueError, match=r"at least one|zero or a positive"):
        invent_fleet(**wrong)


def test_prices_cover_every_part_number(fleet: InventedFleet) -> None:
    prices = rows_of(fleet, "prices.csv")
    assert len(prices) == 24
    assert set(rows_of(fleet, "parts.csv")["part_no"]) <= set(prices["part_no"])
    bellows = prices.set_index("part_no").loc["TR-BEL-40"]
    assert list(bellows[["part_price", "labour_hours", "shared_hours"]]) == ["210", "7", "1"]
    assert list(bellows[["lead_time_days", "shelf_life_years"]]) == ["28", "7"]


def test_coming_lay_up_and_season(fleet: InventedFleet) -> None:
    slots = rows_of(fleet, "slots.csv")
    weeks = pd.to_datetime(slots["week"])
    assert weeks.min() == pd.Timestamp("2026-11-02")
    assert weeks.max() < pd.Timestamp("2027-04-01")
    assert (weeks.dt.dayofweek == 0).all()
    present = (rows_of(fleet, "boats.csv")["left_on"] == "").sum()
    assert slots["slots"].astype(int).sum() >= present
    charters = rows_of(fleet, "bookings.csv")
    assert set(pd.to_datetime(charters["from"]).dt.year) == {2027}
    assert (pd.to_datetime(charters["to"]) - pd.to_datetime(charters["from"])).nunique() == 1
    assert len(set(charters["boat"])) == present


def test_a_folder_is_written_and_written_over(fleet: InventedFleet, tmp_path: Path) -> None:
    folder = tmp_path / "new" / "fleet"
    paths = write_fleet(fleet, folder)
    assert [path.name for path in paths] == list(fleet.files)
    other = invent_fleet(boats=2, seed=9)
    write_fleet(other, folder)
    for name, text in other.files.items():
        assert (folder / name).read_bytes() == text.encode()


def test_a_folder_that_may_hold_real_records_is_left_alone(
    fleet: InventedFleet, tmp_path: Path
) -> None:
    (tmp_path / "boats.csv").write_text("boat\nPenny Wren\n")
    with pytest.raises(ValueError, match="may be real"):
        write_fleet(fleet, tmp_path)
    (tmp_path / "diary.txt").write_text("mine")
    with pytest.raises(ValueError, match=r"other files \(diary\.txt\); name an empty"):
        write_fleet(fleet, tmp_path)
    with pytest.raises(ValueError, match="is a file"):
        write_fleet(fleet, tmp_path / "diary.txt")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["boats.csv", "diary.txt"]
    assert (tmp_path / "boats.csv").read_text() == "boat\nPenny Wren\n"


def test_five_hundred_boats_in_a_few_seconds(benchmark) -> None:  # type: ignore[no-untyped-def]
    fleet = benchmark.pedantic(invent_fleet, kwargs={"boats": 500}, rounds=1)
    assert len(rows_of(fleet, "boats.csv")) == 500
