"""The section of curves: the typical part, the mix that was watched, and the files."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from analytics.ageing.as_watched import as_watched
from analytics.ageing.curves import survival_and_hazard
from analytics.ageing.fit import FleetAgeing
from analytics.ageing.summary import records_alone
from dashboard import figures
from dashboard.ageing import curves_words as says
from dashboard.ageing.curves_tables import ALONE, FIGURES_COLUMNS, curve_table, figures_table
from dashboard.curves import curves_of
from tests.dashboard.ageing.section import section, written
from tests.dashboard.pages import charts, named, said, values


def test_the_mix_that_was_watched_stands_beside_the_typical_part(
    sample_folder: Path, sample_ageing: FleetAgeing
) -> None:
    at = section("curves", sample_folder, "cutless_bearing")
    fitted = sample_ageing["cutless_bearing", "all"]
    survival, _ = charts(at)
    typical, mix = named(survival, "fitted"), named(survival, figures.SAME_MIX)
    of = survival_and_hazard(fitted, fitted.posterior, values(typical["x"]))
    assert values(typical["y"]) == pytest.approx(of["survival"].to_numpy() * 100)
    expected = as_watched(
        fitted.posterior, fitted.nodes, fitted.table, values(mix["x"]),
        units_per_year=fitted.units_per_year,
    )  # fmt: skip
    assert values(mix["y"]) == pytest.approx(expected["survival"].to_numpy() * 100)
    # The two part, or there would be nothing to say.
    shared = np.interp(values(mix["x"]), values(typical["x"]), values(typical["y"]))
    assert np.abs(values(mix["y"]) - shared).max() > 2
    dashes = [
        named(survival, name)["line"].get("dash", "solid")
        for name in ("fitted", figures.SAME_MIX, "past the oldest age watched")
    ]
    assert len(set(dashes)) == 3
    assert says.TYPICAL_AND_MIX in said(at)
    assert f"about {fitted.units_per_year:,.0f} shaft hours a year" in said(at)
    labels = [button.label for button in at.get("download_button")]
    assert labels == ["Fitted curve as CSV", "Steps as CSV", "Figures as CSV"]


def test_parts_that_are_all_alike_have_one_line(sample_ageing: FleetAgeing) -> None:
    fitted = sample_ageing["bellows", "lot QT-18"]
    assert fitted.posterior.factors is None
    curves = curves_of(fitted)
    assert curves.mix is None
    assert curve_table(fitted, curves)["survival_same_mix"].isna().all()


def test_the_legend_lists_nothing_that_is_not_drawn(tmp_path: Path) -> None:
    # No age is known: nothing was watched, so that one point would be all of the line.
    rows = [f"A{n},bellows,,{'2018-05-01,failed' if n < 6 else ','}" for n in range(12)]
    at = section("curves", written(tmp_path, rows), "bellows")
    for chart in charts(at):
        for trace in chart["data"]:
            assert "name" not in trace or len(set(values(trace["x"]))) > 1, trace["name"]


def test_tables_of_the_curves(sample_ageing: FleetAgeing) -> None:
    fitted = sample_ageing["bellows", "all"]
    curves = curves_of(fitted)
    table = curve_table(fitted, curves)
    assert (table["kind"] == "bellows").all()
    assert (table["unit"] == "years").all()
    assert curves.mix is not None
    watched = table[table["survival_same_mix"].notna()]
    assert watched["age"].tolist() == curves.mix["age"].tolist()
    assert watched["age"].max() <= curves.oldest < table["age"].max()
    for name in ("survival", "hazard", "prior_survival", "prior_hazard"):
        assert table[name].between(table[f"{name}_low"], table[f"{name}_high"]).all()
    found = figures_table(fitted, curves)
    assert list(found.columns) == FIGURES_COLUMNS
    life = found[(found["figure"] == "life_10") & (found["basis"] == "records and prior")].iloc[0]
    assert life["middle"] == curves.figures.life_10.median
    alone = found[found["basis"] == ALONE]
    assert alone["middle"].tolist() == list(records_alone(fitted) or ())
    assert alone["low"].isna().all()
