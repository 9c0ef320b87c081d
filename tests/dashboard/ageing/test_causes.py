"""Causes apart: words, pictures, and folders that say little."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from analytics.ageing.fit import FleetAgeing
from analytics.records.kinds import KINDS
from dashboard.ageing import causes_words as says
from tests.dashboard.ageing.section import section, written
from tests.dashboard.pages import charts, named, said, values


def test_the_section_of_the_sample(sample_folder: Path) -> None:
    at = section("causes", sample_folder, "bellows")
    text = said(at)
    assert "**Within 90 days of fitting:** 2.2 in 100 fail from a bad fit (likely " in text
    # The sentences and the table round alike.
    table = at.table[0].value
    for age, row in table.iterrows():
        worn, lost = (row[name].split(" ")[0] for name in ("Wear-out", "Accident"))
        assert (
            f"**At {age} years:** {worn} in 100 a year wear out and {lost} in 100 are lost" in text
        )
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
        "**At 8 years:** 3.9 in 100 a year wear out and 0.1 in 100 are lost to accidents."
    )
    # A rate of two a year is not 200 in 100: 1 - exp(-2).
    assert says.hundredths(says.in_a_year(2.0)) == "86"
    assert says.hundredths(0.0) == "none"
    assert says.hundredths(0.0004) == "fewer than 0.1"
    assert [says.in_figures(share) for share in (0.0746, 0.0999, 0.125)] == ["7.5", "10", "12"]


def test_a_range_is_never_from_a_number_to_itself(sample_ageing: FleetAgeing) -> None:
    fitted = sample_ageing["bellows", "all"]
    ended = pd.DataFrame(
        {"cause": ["early"], "estimated": [2.1], "estimated_low": [1.6], "estimated_high": [2.4]}
    )
    assert "about **2.1** (1.6 to 2.4) were badly fitted" in says.shares(fitted, ended)
    same = ended.assign(estimated=2.0, estimated_low=2.0, estimated_high=2.0)
    assert "about **2.0** were badly fitted" in says.shares(fitted, same)
    wide = ended.assign(estimated=3.0, estimated_high=5.2)
    assert "about **3** (2 to 5) were badly fitted" in says.shares(fitted, wide)


def test_rates_by_hours_say_what_a_year_is(sample_ageing: FleetAgeing) -> None:
    fitted = sample_ageing["cutless_bearing", "all"]
    told = says.hours_a_year(fitted)
    assert f"about {fitted.units_per_year:,.0f} shaft hours a year" in told
    assert f"about {1000 / fitted.units_per_year:.1f} years" in told
    assert says.hours_a_year(sample_ageing["bellows", "all"]) == ""
