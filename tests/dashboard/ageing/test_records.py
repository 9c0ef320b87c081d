"""The records' own curves: words, pictures, and folders that say little."""

from __future__ import annotations

import json
from pathlib import Path
from types import SimpleNamespace
from typing import cast

import numpy as np
import pandas as pd

from analytics.ageing.fit import FleetAgeing
from analytics.ageing.nonparametric.counted import Counted
from analytics.ageing.nonparametric.recurrence import mean_number
from analytics.records.kinds import KINDS
from dashboard.ageing import records_words as says
from tests.dashboard.ageing.section import section, written
from tests.dashboard.pages import charts, named, said, values


def test_the_section_of_the_sample(sample_folder: Path) -> None:
    at = section("records", sample_folder, "face_seal")
    text = said(at)
    assert "**Half of the parts had failed by " in text
    assert "failures are known only to lie between two ages." in text
    assert "**A position had " in text
    survival, rate, renewals = charts(at)
    steps = values(named(survival, "counted (Kaplan-Meier)")["y"])
    assert steps[0] == 100
    assert (np.diff(steps) <= 0).all()
    dotted = [one for one in survival["data"] if one["name"] == "windows left open (Turnbull)"]
    least, greatest = (values(one["y"]) for one in dotted)
    assert (least <= greatest).all()
    fitted = values(named(survival, "fitted, same mix of parts")["y"])
    assert fitted[0] == 100
    for chart in (rate, renewals):
        assert (np.diff(values(chart["data"][-1]["y"])) >= 0).all()
    table = at.table[0].value
    assert table["Expected by the fitted curve"].str.contains("to").all()
    assert "**The fitted curve " in text
    seen = table["Failed"].str.replace(",", "").astype(float).sum()
    assert abs(seen - 41) < 0.5
    labels = [button.label for button in at.get("download_button")]
    assert len(labels) == 5
    assert all(label.endswith("as CSV") for label in labels)


def test_no_failure_is_no_range(tmp_path: Path) -> None:
    at = section(
        "records", written(tmp_path, [f"A{n},bellows,2012-01-01,," for n in range(9)]),
        "bellows",
    )  # fmt: skip
    assert says.NO_FAILURES in said(at)
    assert "The curve ends" not in said(at)
    assert "No position had a renewal while it was watched." in said(at)
    names = [trace.get("name") for chart in charts(at) for trace in chart["data"]]
    assert not [name for name in names if name and "range" in name]
    assert "Infinity" not in json.dumps(charts(at))


def test_unknown_starts_are_said(tmp_path: Path) -> None:
    rows = [f"A{n},bellows,,{'2018-05-01,failed' if n < 6 else ','}" for n in range(12)]
    at = section("records", written(tmp_path, rows), "bellows")
    assert says.NO_LIVES in said(at)
    assert "**A position had 0.5 renewals" in said(at)


def test_an_interval_without_an_upper_end_is_not_drawn_as_one(tmp_path: Path) -> None:
    rows = [*(f"A{n},bellows,2012-01-01,2018-05-01,failed" for n in range(8)),
            *(f"B{n},bellows,2012-01-01,," for n in range(8))]  # fmt: skip
    at = section("records", written(tmp_path, rows), "bellows")
    assert "(90 % range: 6.3 years upward, no upper end)" in said(at)


def test_renewals_in_words() -> None:
    windows = pd.DataFrame({"position": [1, 2], "begin": 0.0, "end": [12.0, 11.0]})
    events = pd.DataFrame({"position": [1, 2, 3], "time": [4.0, 6.0, 1.0]})
    told = says.replacements(mean_number(windows, events))
    # One renewal each: nothing by which the two positions differ, so no range.
    assert told.startswith("**A position had 1 renewal in its first 10 years watched**; ")
    assert "1 renewal was left out" in told


def test_stretches_in_words() -> None:
    table = pd.DataFrame(
        {"age_from": [0.0, 1200.0], "age_to": [1200.0, np.inf], "seen": [3.0, 4.25],
         "expected": [5.1, 4.0], "expected_low": [2.0, 0.4], "expected_high": [8.2, 7.6]}
    )  # fmt: skip
    shown = says.expected_shown(table, KINDS["cutless_bearing"])
    assert shown["Age"].tolist() == ["up to 1,200 shaft hours", "1,200 shaft hours and later"]
    assert shown["Failed"].tolist() == ["3", "4.2"]
    assert shown["Expected by the fitted curve"].tolist() == ["5.1 (2 to 8)", "4.0 (0 to 8)"]


def test_whether_seen_and_expected_go_together_is_said_first() -> None:
    kind = KINDS["bellows"]
    table = pd.DataFrame(
        {"age_from": [0.0, 3.0], "age_to": [3.0, np.inf], "seen": [3.0, 9.0],
         "expected": [4.0, 4.0], "expected_low": [1.0, 0.6], "expected_high": [7.0, 7.4]}
    )  # fmt: skip
    assert says.seen_and_expected(table, kind, parted=True) == (
        "**The fitted curve does not fit these failures:** see 3.0 years and later."
    )
    luck = says.seen_and_expected(table, kind, parted=False)
    assert "1 of 2 stretches of age lies outside its bracket (3.0 years and later)" in luck
    fits = says.seen_and_expected(table.assign(seen=[3.0, 7.0]), kind, parted=False)
    assert fits.startswith("**The fitted curve fits:**")


def test_short_spans_are_said_in_days() -> None:
    windows = pd.DataFrame({"position": [1, 2, 3], "begin": 0.0, "end": [0.8, 0.5, 0.4]})
    events = pd.DataFrame({"position": [1], "time": [1 / 365.25]})
    told = says.replacements(mean_number(windows, events))
    assert told.startswith("**A position had 0.33 renewals in its first day watched**")
    later = says.replacements(mean_number(windows, events.assign(time=60 / 365.25)))
    assert "in its first 60 days watched" in later


def test_half_is_half_and_nothing_contradicts_it(sample_ageing: FleetAgeing) -> None:
    fitted = sample_ageing["bellows", "all"]
    # Four of eight, as a product of shares whose last bit is off.
    curve = pd.DataFrame(
        {"age": [2.0, 3.0], "survival": [0.75, np.nextafter(0.5, 1)], "failed": [2, 2],
         "low": [0.4, 0.2], "high": [0.9, 0.74]}
    )  # fmt: skip
    found = SimpleNamespace(kaplan_meier=curve, furthest=3.0)
    told = says.survival(fitted, cast(Counted, found))
    assert told.startswith("**Half of the parts had failed by 3.0 years**")
    found.kaplan_meier = curve.assign(survival=[0.75, 0.502])
    told = says.survival(fitted, cast(Counted, found))
    assert told.startswith("**50 % were still sound at 3.0 years**")
    assert "Half had not" not in told
