"""Causes apart: words, pictures, and folders that say little."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from analytics.records.kinds import KINDS
from dashboard.ageing import causes_words as says
from tests.dashboard.ageing.section import section, written
from tests.dashboard.pages import charts, named, said, values


def test_the_section_of_the_sample(sample_folder: Path) -> None:
    at = section("causes", sample_folder, "bellows")
    text = said(at)
    assert "**Within 90 days of fitting:** 2 in 100 fail from a bad fit (likely " in text
    assert "in 100 a year wear out and 2 in 100 are lost to accidents." in text
    assert "11 parts were lost to an accident, as written down." in text
    rates, shares = charts(at)
    whole = values(named(rates, "any of them")["y"])
    parts = sum(values(named(rates, name)["y"]) for name in ("bad fit", "wear-out", "accident"))
    assert whole == pytest.approx(parts)
    assert rates["layout"]["yaxis"]["title"]["text"] == "Ends in 100 parts, a year"
    counted = named(shares, "failed, counted")
    assert (np.diff(values(counted["y"])) >= 0).all()
    styles = {trace["line"].get("dash") for trace in rates["data"] if "showlegend" in trace}
    assert {"dot", "dash", "dashdot", "solid"} <= styles
    assert len(at.get("download_button")) == 3


def test_too_few_failures_show_the_belief_and_say_so(tmp_path: Path) -> None:
    rows = [
        *(f"A{n},bellows,2012-01-01,," for n in range(9)),
        "B,bellows,2012-01-01,2015-01-01,failed",
    ]
    at = section("causes", written(tmp_path, rows), "bellows")
    assert says.NOT_FITTED in said(at)
    assert "by what is believed" in said(at)
    assert "No accident is written down." in said(at)
    assert "Infinity" not in json.dumps(charts(at))


def test_unknown_starts_have_no_count(tmp_path: Path) -> None:
    rows = [f"A{n},bellows,,{'2018-05-01,failed' if n < 6 else ','}" for n in range(12)]
    at = section("causes", written(tmp_path, rows), "bellows")
    names = [trace.get("name") for trace in charts(at)[1]["data"]]
    assert not [name for name in names if name and "counted" in name]
    assert len(at.get("download_button")) == 2


def test_rates_in_words() -> None:
    table = pd.DataFrame(
        {"age": [8.0] * 3, "cause": ["early", "wear_out", "accident"],
         "per_year": [0.0, 0.04, 0.001]}
    )  # fmt: skip
    (told,) = says.at_ages(table, KINDS["bellows"])
    assert told == (
        "**At 8 years:** 4 in 100 a year wear out and fewer than 1 in 100 are lost to accidents."
    )
    # A rate of two a year is not 200 in 100: 1 - exp(-2).
    assert says.hundredths(says.in_a_year(2.0)) == "86"
    assert says.hundredths(0.0) == "none"
