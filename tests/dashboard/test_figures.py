"""Figures on their own: shapes that do not rest on colour, and paper that shows through."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest

import dashboard
from analytics import job
from analytics.ageing.fit import FleetAgeing
from analytics.ageing.nonparametric.kaplan_meier import drawn_lives
from dashboard import figures, results, risk_words
from dashboard.curves import MOST_TICKS, curves_of, left_out_failures, round_ages
from dashboard.results import Asked

HERE = Path(dashboard.__file__).parent


@pytest.fixture(scope="module")
def drawn(sample: job.Fleet, sample_ageing: FleetAgeing) -> dict[str, object]:
    fitted = sample_ageing["bellows", "all"]
    curves = curves_of(fitted)
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
    assert list(round_ages(10.0)) == [0, 2, 4, 6, 8, 10]
    assert list(round_ages(3500.0)) == [0, 500, 1000, 1500, 2000, 2500, 3000, 3500]
    for furthest in (0.3, 1.0, 7.0, 7.1, 17.3, 20.0, 99.0, 123456.0):
        ages = round_ages(furthest)
        assert 2 <= len(ages) <= MOST_TICKS
        assert np.all(np.diff(ages) > 0)
        assert ages[-1] <= furthest + 1e-9


def test_the_age_of_an_undated_part_is_not_drawn_as_the_prior_is(
    sample_ageing: FleetAgeing,
) -> None:
    fitted = sample_ageing["bellows", "all"]
    curves = curves_of(fitted, up_to=30.0)
    figure = figures.survival(
        curves.prior, curves.records, fitted.kind, oldest=curves.oldest, furthest=curves.furthest,
        units_per_year=1.0, ticks=curves.ticks, watched=curves.watched, youngest=curves.youngest,
        prior=True,
    )  # fmt: skip
    figures.mark_part(figure, 20.0, 28.0)
    fills = {trace.name: trace for trace in figure.data if trace.fill == "toself"}
    assert fills["its age lies in here"].fillpattern.shape
    assert not fills["90 % range"].fillpattern.shape
    assert len(figure.layout.xaxis.tickvals) <= MOST_TICKS
    assert figure.layout.xaxis.range[1] >= 28.0
    assert curves.prior["age"].iloc[-1] >= 28.0
    # The part is named in the legend: no note of its own that the limit's could run into.
    assert all("limit" in note.text for note in figure.layout.annotations)


def test_a_cost_that_is_not_known_is_said_and_bends_no_axis(
    sample: job.Fleet, sample_ageing: FleetAgeing
) -> None:
    boats = job.boats_at_risk(sample, sample_ageing).boats.head(3).copy()
    costs = ["expected_cost", "expected_cost_low", "expected_cost_high"]
    boats.loc[1, costs] = np.nan
    figure = figures.boats(boats, ["part"] * 3, by_cost=True, currency="EUR")
    texts = figure.data[-1]
    assert [text.strip() == "not known" for text in texts.text] == [False, True, False]
    assert np.isfinite(np.asarray(texts.x, dtype=float)).all()
    assert figure.layout.xaxis.range[1] > boats["expected_cost_high"].max()
    sentence = risk_words.costliest(boats.sort_values("expected_cost", ascending=False), "EUR")
    assert boats["boat"].iloc[1] not in sentence
    assert "nan" not in sentence
    # Where nothing is known, the figure still stands.
    boats[costs] = np.nan
    empty = figures.boats(boats, ["part"] * 3, by_cost=True, currency="EUR")
    assert empty.layout.xaxis.range[1] > 0
    assert "not known" in risk_words.costliest(boats, "EUR")


def test_failures_left_out_of_the_steps_are_counted(sample_ageing: FleetAgeing) -> None:
    for fitted in sample_ageing.values():
        _, _, failed, left_out = drawn_lives(fitted.nodes)
        missing = left_out_failures(fitted.nodes)
        assert 0 <= missing <= left_out
        assert int(failed.sum()) + missing == fitted.failures
    assert sum(left_out_failures(one.nodes) for one in sample_ageing.values()) > 0


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
