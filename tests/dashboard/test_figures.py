"""Figures on their own: shapes that do not rest on colour, and paper that shows through."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest

import dashboard
from analytics import job
from analytics.ageing.fit import FleetAgeing
from dashboard import figures, results
from dashboard.results import Asked, Chosen

HERE = Path(dashboard.__file__).parent


@pytest.fixture(scope="module")
def drawn(sample: job.Fleet, sample_ageing: FleetAgeing) -> dict[str, object]:
    fitted = sample_ageing["bellows", "all"]
    curves = results._curves.__wrapped__("", 0, Chosen("bellows", "all"), fitted)
    ages = {"oldest": curves.oldest, "furthest": curves.furthest, "units_per_year": 1.0}
    risk = job.boats_at_risk(sample, sample_ageing)
    return {
        "survival": figures.survival(
            curves.fitted, curves.records, fitted.kind, **ages, ticks=curves.ticks,
            watched=curves.watched, youngest=curves.youngest, prior=False,
        ),
        "hazard": figures.hazard(curves.fitted, fitted.kind, **ages, prior=False),
        "boats": figures.boats(
            risk.boats.head(10), ["part"] * 10, by_cost=False, currency="EUR"
        ),
    }  # fmt: skip


@pytest.mark.parametrize("name", ["survival", "hazard", "boats"])
def test_paper_is_clear_and_axes_name_their_unit(drawn: dict[str, object], name: str) -> None:
    layout = drawn[name].layout  # type: ignore[attr-defined]
    assert layout.paper_bgcolor == layout.plot_bgcolor == "rgba(0,0,0,0)"
    axes = [axis for name, axis in layout.to_plotly_json().items() if "axis" in name]
    titles = [axis.get("title", {}).get("text", "") for axis in axes]
    assert any(re.search("years|hours|%|EUR", title) for title in titles)


@pytest.mark.parametrize("name", ["survival", "hazard"])
def test_lines_differ_by_more_than_colour(drawn: dict[str, object], name: str) -> None:
    lines = [t for t in drawn[name].data if t.mode == "lines" and t.fill is None]  # type: ignore[attr-defined]
    styles = {(line.line.dash or "solid", line.line.shape or "linear") for line in lines}
    # Fitted before and past the oldest age, and one style for each of the others.
    assert len(styles) >= len({line.name for line in lines}) - 1


def test_the_limit_is_drawn_and_says_whose_it_is(drawn: dict[str, object]) -> None:
    notes = [note.text for note in drawn["survival"].layout.annotations]  # type: ignore[attr-defined]
    assert any("limit 8 years" in note and "fleet.toml" in note for note in notes)


def test_ages_under_the_axis_are_round() -> None:
    assert list(results.round_ages(10.0, 10.0)) == [0, 2, 4, 6, 8, 10]
    assert list(results.round_ages(3000.0, 3500.0)) == [0, 500, 1000, 1500, 2000, 2500, 3000, 3500]
    assert len(results.round_ages(0.3, 0.3)) <= 9
    assert np.all(np.diff(results.round_ages(17.3, 20.0)) > 0)


def test_a_folder_is_told_from_another_by_its_content(tmp_path: Path) -> None:
    (tmp_path / "boats.csv").write_text("boat\nA\n")
    first = results.of_folder(tmp_path)
    (tmp_path / "boats.csv").write_text("boat\nB\n")
    assert isinstance(first, Asked)
    assert results.of_folder(tmp_path).key != first.key


def test_no_page_asks_for_an_icon_font() -> None:
    # A `:material/` icon makes the browser ask a font host.
    for path in HERE.rglob("*.py"):
        assert ":material/" not in path.read_text(encoding="utf-8"), path.name
    assert not (HERE / "pages").exists()
