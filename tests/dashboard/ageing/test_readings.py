"""The section on clearance readings: the sample fleet, no readings, one reading, and slips."""

from __future__ import annotations

import re
from pathlib import Path

import pandas as pd
import pytest
from streamlit.testing.v1 import AppTest

from analytics import job
from analytics.ageing.wear.wear_table import OWN, SHARED, WEAR_COLUMNS, wear_table
from dashboard.ageing import readings_words as says
from dashboard.ageing.readings_answers import readings_found
from tests.analytics.ageing.wear.worn_fleet import folder, wearing_fleet, worn
from tests.dashboard.pages import charts, said

FORBIDDEN = ("safe", "seaworthy", "certified")
BEARING = "cutless_bearing"


def section(folder: Path, kind: str = BEARING) -> AppTest:
    """The section alone, on a folder."""

    def page(folder: str, kind: str) -> None:
        from pathlib import Path

        import streamlit as st

        from dashboard import results
        from dashboard.ageing import readings
        from dashboard.results import Chosen

        asked = results.of_folder(Path(folder))
        st.session_state["asked"] = asked
        readings.show(asked, Chosen(kind, "all"))

    return AppTest.from_function(page, args=(str(folder), kind), default_timeout=60).run()


def written(files: dict[str, bytes], into: Path) -> Path:
    for name, text in files.items():
        (into / name).write_bytes(text)
    return into


def table_of(parts: list[str], readings: list[str]) -> pd.DataFrame:
    fleet, _, wear = worn(folder(parts, readings))
    return wear_table(wear, job.season_of(fleet, None).end)


def test_the_sample_fleet(sample_folder: Path) -> None:
    at = section(sample_folder)
    assert not at.exception
    texts = said(at)
    assert "Soonest at their limit" in texts
    assert says.NOT_THE_MAKER in texts
    assert "(planning default)" in texts
    (chart,) = charts(at)
    assert chart["layout"]["xaxis"]["title"]["text"] == "Shaft hours since fitting"
    assert chart["layout"]["yaxis"]["title"]["text"] == "Clearance, mm"
    lines = [one["text"] for one in chart["layout"]["annotations"]]
    assert any(re.match(r"renew \d\.\d\d mm: \w", line) for line in lines)
    assert any(line.startswith("watch ") for line in lines)
    for word in FORBIDDEN:
        assert not re.search(rf"\b{word}\b", texts, re.IGNORECASE)
    # Another bearing is drawn when it is chosen.
    box = next(one for one in at.selectbox if one.label == "Bearing")
    at = box.select(box.options[-1]).run()
    assert not at.exception
    assert any(trace.get("name") == f"{box.options[-1]}, read" for trace in charts(at)[0]["data"])


def test_without_readings_it_says_what_to_write_and_where(tmp_path: Path) -> None:
    at = section(written(folder(["A,single,30 mm,2014-01-01"], []), tmp_path))
    assert not at.exception
    assert at.markdown[0].value == says.WHAT_TO_WRITE
    assert "`readings.csv`" in says.WHAT_TO_WRITE
    assert not charts(at)


def test_a_kind_that_is_not_measured_says_so(sample_folder: Path) -> None:
    at = section(sample_folder, "bellows")
    assert not at.exception
    assert at.markdown[0].value == says.NOT_MEASURED


def test_bearings_that_age_by_years_have_no_paths(tmp_path: Path) -> None:
    by_years = '[kinds.cutless_bearing]\nclock = "years"\n'
    rows = ["A,single,2016-01-01,clearance_mm,0.3"]
    files = folder(["A,single,30 mm,2014-01-01"], rows, settings=by_years)
    at = section(written(files, tmp_path))
    assert not at.exception
    assert at.markdown[0].value == says.BY_YEARS


def test_what_is_on_no_path_is_listed(tmp_path: Path) -> None:
    rows = ["A,single,2016-01-01,clearance_mm,0.3", "A,single,2017-01-01,clearance,0.4"]
    at = section(written(folder(["A,single,30 mm,2014-01-01"], rows), tmp_path))
    assert not at.exception
    assert "1 reading is kept and not used: 1 × no unit." in [one.label for one in at.expander]


def test_bearings_that_are_all_out_leave_words(tmp_path: Path) -> None:
    parts = [
        "A,single,30 mm,2010-01-01,2018-03-01,replaced_sound,ashore",
        "B,single,30 mm,2014-01-01",
    ]
    at = section(written(folder(parts, ["A,single,2016-01-01,clearance_mm,0.4"]), tmp_path))
    assert not at.exception
    assert "None of the bearings read is still in service." in said(at)


def test_a_sentence_tells_clearance_rate_limit_and_range() -> None:
    rows = [f"A,single,{year}-01-01,clearance_mm,{0.145 + 0.11 * (year - 2014) * 0.3:.3f}"
            for year in (2016, 2018, 2020, 2022)]  # fmt: skip
    (row,) = (one for _, one in table_of(["A,single,30 mm,2014-01-01"], rows).iterrows())
    told = says.told(row)
    assert told.startswith("**A**: 0.41 mm at 2,400 h (1 January 2022); wears 0.1")
    assert "reaches the limit of 0.75 mm (planning default) between " in told
    found = re.search(r"between ([\d,]+) and ([\d,]+) h, most likely about ([\d,]+) h", told)
    assert found
    low, high, middle = (int(one.replace(",", "")) for one in found.groups())
    # 0.605 mm at 0.11 mm in 1,000 h are 5,500 h.
    assert low < middle < high
    assert low < 5500 < high
    assert row["rests_on"] == OWN
    assert says.SHARED_RATE not in told


def test_one_reading_rests_on_the_shared_rate_and_says_so() -> None:
    table = table_of(["A,single,30 mm,2014-01-01"], ["A,single,2016-01-01,clearance_mm,0.3"])
    assert table["rests_on"].tolist() == [SHARED]
    assert says.SHARED_RATE in says.told(table.iloc[0])


def test_past_the_limit_and_without_one() -> None:
    parts = ["A,single,30 mm,2014-01-01", "B,single,45 mm,2014-01-01"]
    rows = ["A,single,2016-01-01,clearance_mm,0.6", "A,single,2018-01-01,clearance_mm,0.95"]
    table = table_of(parts, [*rows, "B,single,2016-01-01,clearance_mm,0.3"])
    assert "most likely past the limit of 0.75 mm (planning default) already" in says.told(
        table.iloc[0]
    )
    assert says.told(table.iloc[1]).endswith(
        "no limit is known for its size, so no hours are given."
    )
    assert "still count it as sound on" not in says.told(table.iloc[0])
    later = table.iloc[0].copy()
    later["last_sound_on"] = pd.Timestamp("2020-02-01")
    assert "still count it as sound on 1 February 2020" in says.told(later)
    assert says.ranges(table) == ["0 to 0", "no limit"]


def test_the_table_keeps_its_columns_and_its_order() -> None:
    parts = [f"{boat},single,30 mm,2014-01-01" for boat in ("Penny", "Alder")]
    rows = [f"{boat},single,2018-01-01,clearance_mm,0.4" for boat in ("Penny", "Alder")]
    table = table_of(parts, rows)
    assert list(table.columns) == WEAR_COLUMNS
    assert table["boat"].tolist() == ["Alder", "Penny"]
    assert list(wear_table(None, table["season_end"].iloc[0]).columns) == WEAR_COLUMNS
    assert table["by_season_end"].between(0, 1).all()
    # It can only be passed later if it is passed now.
    assert (table["by_season_end"] >= table["over_limit"] - 1e-9).all()


@pytest.mark.parametrize("mark", ["*", "$", "[x](y)"])
def test_names_are_no_markup(mark: str) -> None:
    table = table_of(["A,single,30 mm,2014-01-01"], ["A,single,2016-01-01,clearance_mm,0.3"])
    table["boat"] = f"A{mark}"
    assert f"**A{mark}**" not in says.told(table.iloc[0])


def test_two_chances_of_one_season_are_named_apart(sample: job.Fleet, sample_folder: Path) -> None:
    ageing = job.how_it_ages(sample)
    season, key = job.season_of(sample, None), (BEARING, "all")
    own, wear = job.own_lives_of(sample, ageing), job.wear_of(sample, ageing)[key]
    found = readings_found(sample, ageing[key], season, wear, own[key])
    risk = job.boats_at_risk(sample, ageing, None, 0, own).parts.set_index("source")
    shown = found.table.set_index("source")
    joined = shown["with_failures_by_season_end"]
    assert joined.notna().sum() == len(own[key])
    # The chance that the page of boats counts of the same bearing.
    assert joined.dropna().to_dict() == pytest.approx(
        risk.loc[joined.dropna().index, "risk_by_end"].to_dict()
    )
    assert (joined - shown["by_season_end"]).abs().max() > 0.1
    row = shown.reset_index().query("over_limit < 0.5").iloc[0]
    assert "by readings alone; " in says.told(row)
    assert "in the outlook, with the failures." in says.told(row)
    texts = said(section(sample_folder))
    assert says.TWO_CHANCES in texts
    assert says.ALONE not in texts
    assert "By season's end, in the outlook, %" in says.shown(found.table)


def test_where_the_outlook_leaves_readings_out_it_says_so(tmp_path: Path) -> None:
    files, _ = wearing_fleet(40, seed=0, fail_at=1.1)
    at = section(written(files, tmp_path))
    assert not at.exception
    assert says.ALONE in said(at)
    assert says.TWO_CHANCES not in said(at)
