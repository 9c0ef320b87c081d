"""Which life a clearance reading was taken of, and which readings are on no path."""

from __future__ import annotations

import pytest

from analytics.ageing.wear.wear_readings import Measure, measure_of
from tests.analytics.ageing.wear.worn_fleet import folder, worn

TWO_LIVES = ["A,single,30 mm,2012-03-01,2018-03-01,failed,ashore", "A,single,30 mm,2018-03-01"]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("clearance_mm", Measure(1.0, "", "", "")),
        ("Clearance vertical dry in", Measure(25.4, "vertical", "dry", "")),
        ("clearance_felt_by_hand_mm", Measure(1.0, "", "", "felt by hand")),
        ("h clearance, feeler, wet, mm", Measure(1.0, "horizontal", "wet", "feeler gauge")),
        ("dial lift in mm", Measure(1.0, "", "", "dial lift")),
        ("clearance_thou", Measure(0.0254, "", "", "")),
        ("clearance", Measure(None, "", "", "")),
        ("hardness_shore_a", None),
        ("vibration_mm_s", None),
    ],
)  # fmt: skip
def test_what_a_measure_says(text: str, expected: Measure | None) -> None:
    assert measure_of(text) == expected


def test_a_renewal_begins_a_new_path() -> None:
    rows = ["A,single,2013-02-01,clearance_mm,0.20", "A,single,2017-02-01,clearance_mm,0.70"]
    rows += ["A,single,2019-02-01,clearance_mm,0.18"]
    _, readings, wear = worn(folder(TWO_LIVES, rows))
    assert readings.table["life"].tolist() == [1, 1, 2]
    assert not readings.findings
    assert wear is not None
    assert wear.table["readings"].tolist() == [2, 1]
    assert wear.parts["life"].tolist() == [2]


@pytest.mark.parametrize(("mm", "life"), [(0.71, 1), (0.15, 2), (0.25, 0)])
def test_on_the_day_of_a_renewal_the_clearance_tells_old_from_new(mm: float, life: int) -> None:
    # New 30 mm bearings: 0.09 to 0.20 mm; in between old and new the reading is of neither.
    _, readings, _ = worn(folder(TWO_LIVES, [f"A,single,2018-03-01,clearance_mm,{mm}"]))
    assert readings.table["life"].tolist() == [life]
    assert bool(readings.table["used"].iloc[0]) is bool(life)
    assert len(readings.findings) == (life == 0)


@pytest.mark.parametrize(
    ("row", "why"),
    [
        ("A,single,2013-01-01,clearance,0.3", "no unit"),
        ("A,single,2013-01-01,hardness,70", "not a clearance"),
        ("A,single,2013-01-01,clearance_mm,300", "no clearance of a bearing"),
        ("A,single,2010-01-01,clearance_mm,0.3", "no part there then"),
        ("T,,2013-01-01,clearance_mm,0.3", "no side"),
    ],
)
def test_what_is_on_no_path_is_kept_and_told(row: str, why: str) -> None:
    twin = ["T,port,30 mm,2012-03-01", "T,starboard,30 mm,2012-03-01"]
    _, readings, wear = worn(folder([*TWO_LIVES, *twin], [row]))
    assert wear is None
    assert readings.table["why"].tolist() == [why]
    assert readings.table["value"].tolist() == [float(row.split(",")[-1])]
    (finding,) = readings.findings
    assert (finding.file, finding.row, finding.done) == ("readings.csv", 2, "ignored")


def test_inches_become_mm_and_stay_as_written() -> None:
    _, readings, _ = worn(folder(TWO_LIVES, ["A,single,2013-01-01,clearance_in,0.012"]))
    row = readings.table.iloc[0]
    assert (row["value"], row["measure"]) == (0.012, "clearance_in")
    assert row["mm"] == pytest.approx(0.3048)


def test_a_reading_without_a_side_is_of_the_only_shaft() -> None:
    _, readings, _ = worn(folder(TWO_LIVES, ["A,,2013-01-01,clearance_mm,0.3"]))
    assert readings.table[["position", "life"]].to_numpy().tolist() == [["single", 1]]


def test_a_fall_beyond_the_error_is_told() -> None:
    # The error of a difference is 0.05 * sqrt 2 = 0.07 mm; told from 1.64, broken from 4 of them.
    rows = ["A,single,2013-01-01,clearance_mm,0.50", "A,single,2014-01-01,clearance_mm,{}"]
    for mm, told in ((0.42, None), (0.35, "noted"), (0.15, "ignored")):
        _, readings, wear = worn(folder(TWO_LIVES, [rows[0], rows[1].format(mm)]))
        assert [one.done for one in readings.findings] == [told] * (told is not None)
        assert (wear is None) is (told == "ignored")
        assert readings.table["mm"].tolist() == [0.50, mm]


def test_the_largest_direction_of_a_day_stands() -> None:
    rows = ["A,single,2013-01-01,clearance_vertical_mm,0.50"]
    rows += ["A,single,2013-01-01,clearance_horizontal_mm,0.30"]
    _, readings, _ = worn(folder(TWO_LIVES, rows))
    assert readings.table.set_index("direction")["used"].to_dict() == {
        "vertical": True, "horizontal": False,
    }  # fmt: skip


def test_one_path_read_wet_and_dry_is_told() -> None:
    rows = ["A,single,2013-01-01,clearance_dry_mm,0.30"]
    rows += ["A,single,2014-01-01,clearance_wet_mm,0.30"]
    _, readings, _ = worn(folder(TWO_LIVES, rows))
    (finding,) = readings.findings
    assert finding.rows == (2, 3)
    assert "wet and dry" in finding.remedy


def test_a_clearance_felt_by_hand_counts_less() -> None:
    widths = []
    for way in ("", "_felt"):
        _, readings, wear = worn(folder(TWO_LIVES, [f"A,single,2022-01-01,clearance{way}_mm,0.40"]))
        assert wear is not None
        part = wear.parts.iloc[0]
        widths.append(part["clearance_high"] - part["clearance_low"])
        assert len(readings.findings) == bool(way)
    assert widths[1] > 1.5 * widths[0]
