"""Probability paper: rules, points, lines, and folders that say little."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from analytics.ageing.fit import FleetAgeing
from dashboard.ageing import paper_words as says
from dashboard.ageing.paper_answers import on_paper_of
from tests.dashboard.ageing.section import section, written
from tests.dashboard.pages import charts, named, said, values


def test_the_section_of_the_sample(sample_folder: Path) -> None:
    at = section("paper", sample_folder, "bellows")
    (paper,) = charts(at)
    axis = paper["layout"]["yaxis"]
    assert axis["title"]["text"] == "Failed, %"
    half = list(axis["ticktext"]).index("50")
    assert values(axis["tickvals"])[half] == pytest.approx(np.log(np.log(2)))
    assert paper["layout"]["xaxis"]["type"] == "log"
    assert "years" in paper["layout"]["xaxis"]["title"]["text"]
    points = named(paper, "failures, counted")
    assert (np.diff(values(points["y"])) >= 0).all()
    # The solid line ends where lives were watched; what follows is dashed.
    solid, dashed = named(paper, "fitted"), named(paper, "past the oldest age watched")
    assert values(solid["x"]).max() == values(dashed["x"]).min()
    assert dashed["line"]["dash"] == "longdash"
    assert values(points["x"]).max() <= values(dashed["x"]).max()
    assert named(paper, "prior alone")["line"]["dash"] == "dash"
    assert " points, from " in said(at)
    at.radio(key="paper").set_value("lognormal").run()
    (other,) = charts(at)
    half = list(other["layout"]["yaxis"]["ticktext"]).index("50")
    assert values(other["layout"]["yaxis"]["tickvals"])[half] == pytest.approx(0.0)


def test_windows_have_bars(sample_folder: Path) -> None:
    (paper,) = charts(section("paper", sample_folder, "cutless_bearing"))
    assert "error_x" in named(paper, "failures, counted")
    assert "shaft hours" in paper["layout"]["xaxis"]["title"]["text"]


def test_no_failure_is_no_point_and_no_fit(tmp_path: Path) -> None:
    at = section(
        "paper", written(tmp_path, [f"A{n},bellows,2012-01-01,," for n in range(9)]),
        "bellows",
    )  # fmt: skip
    assert says.NO_POINTS in said(at)
    names = {trace.get("name") for trace in charts(at)[0]["data"]}
    assert names == {"prior alone"}
    assert "Infinity" not in json.dumps(charts(at))


def test_one_failure_is_one_point(tmp_path: Path) -> None:
    rows = [
        *(f"A{n},bellows,2012-01-01,," for n in range(9)),
        "B,bellows,2012-01-01,2015-01-01,failed",
    ]
    at = section("paper", written(tmp_path, rows), "bellows")
    assert "1 point, at 3 years. With 1 point no line can be told from another." in said(at)


def test_every_failure_is_accounted_for(sample_ageing: FleetAgeing) -> None:
    for fitted in sample_ageing.values():
        drawn = on_paper_of(fitted)
        told = says.told(drawn, fitted.kind)
        assert drawn.failures + drawn.unplaced == fitted.failures
        assert len(drawn.points) <= drawn.failures
        assert (f"They stand for {drawn.failures} failures" in told) == (
            drawn.failures > len(drawn.points) > 0
        )
        assert ("more failure" in told) == (drawn.unplaced > 0)


def test_lives_that_did_not_fail_have_no_point(tmp_path: Path) -> None:
    # Nobody was watched between the two: that gap is no failure.
    rows = ["A,bellows,2021-01-01,,", "B,bellows,2000-01-01,,"]
    at = section("paper", written(tmp_path, rows), "bellows")
    assert says.NO_POINTS in said(at)
