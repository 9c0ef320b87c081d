"""The section on belief and data: the numbers of the analytics, a form that changes no file."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from streamlit.testing.v1 import AppTest

from analytics import job
from analytics.ageing.belief import learned
from analytics.ageing.fit import FleetAgeing, fleet_ageing
from analytics.ageing.groups.lots import of_a_lot_apart
from analytics.ageing.own_belief import with_prior
from analytics.outlook.doubt import prior_doubt
from analytics.outlook.season import season_risk
from analytics.papers import belief as said_of
from analytics.records.kinds import KINDS
from dashboard.ageing import belief_figures as figures
from dashboard.ageing import belief_form as form
from dashboard.ageing import belief_tables as tables
from dashboard.ageing import belief_words as words
from dashboard.ageing.belief_answers import believed, tried
from tests.analytics.ageing.folders import fleet_of
from tests.dashboard.pages import charts, named, said, values

KEY = ("bellows", "all")


def _section() -> None:
    import os
    from pathlib import Path

    import streamlit as st

    from dashboard import results
    from dashboard.ageing import belief
    from dashboard.results import Chosen

    asked = results.of_folder(Path(os.environ["TIDEWORN_FOLDER"]))
    st.session_state["asked"] = asked
    belief.show(asked, Chosen("bellows", "all"))


@pytest.fixture
def opened(monkeypatch: pytest.MonkeyPatch, sample_folder: Path) -> AppTest:
    monkeypatch.setenv("TIDEWORN_FOLDER", str(sample_folder))
    at = AppTest.from_function(_section, default_timeout=120).run()
    assert not at.exception
    return at


def field(at: AppTest, name: str) -> Any:
    return next(box for box in at.number_input if box.key.startswith(f"belief {name} "))


def pressed(at: AppTest) -> AppTest:
    (button,) = (one for one in at.button if one.label == words.APPLY)
    return button.click().run()


def test_words_picture_and_table_say_the_same(opened: AppTest, sample_ageing: FleetAgeing) -> None:
    text = said(opened)
    for one in learned(sample_ageing[KEY]):
        assert said_of.learned_sentence(one) in text
        assert said_of.estimate_of(one.records, one.unit) in text
    curves, ranges = charts(opened)
    believed_line, with_records = (named(curves, name) for name in (words.BELIEF, words.RECORDS))
    assert believed_line["line"]["dash"] == "dot"
    assert with_records["line"]["dash"] == "solid"
    assert curves["layout"]["xaxis"]["title"]["text"] == "Age in years"
    first = named(ranges, words.RECORDS)
    life = learned(sample_ageing[KEY])[0]
    assert values(first["x"]) == pytest.approx([life.records.low, life.records.high])


def test_the_season_under_three_beliefs(
    opened: AppTest, sample: job.Fleet, sample_ageing: FleetAgeing
) -> None:
    assert "doubtful belief and" not in said(opened)
    at = opened.toggle(key="belief doubted").set_value(True).run()
    assert not at.exception
    doubt = prior_doubt(sample.lives, {KEY: sample_ageing[KEY]}, sample.coming_season())
    text = said(at)
    assert said_of.doubt_sentence(doubt, *KEY) in text
    assert said_of.order_sentence(doubt) in text
    table = next(one.value for one in at.dataframe if "Part" in one.value)
    assert len(table) == 10


def test_a_belief_is_tried_and_no_file_is_changed(
    opened: AppTest, sample: job.Fleet, sample_ageing: FleetAgeing, sample_folder: Path
) -> None:
    before = {path: path.read_bytes() for path in sample_folder.iterdir()}
    field(opened, "at").set_value(5.0)
    field(opened, "worn_high").set_value(60.0)
    at = pressed(opened)
    assert not at.exception
    (code,) = at.code
    lines = tomllib.loads(code.value)["kinds"]["bellows"]
    assert (lines["at"], lines["worn_out"]) == (5.0, [0.02, 0.6])
    prior, wrong = form.belief_of(KINDS["bellows"], form_values(at))
    assert prior is not None
    assert not wrong
    other = with_prior(sample_ageing[KEY], sample.lives, prior)
    risk = season_risk(sample.lives, {KEY: other}, sample.coming_season())
    assert f"{said_of.value(risk.expected, 'failures')} with the one tried" in said(at)
    life = learned(other)[0]
    assert said_of.estimate_of(life.records, life.unit) in said(at)
    assert {path: path.read_bytes() for path in sample_folder.iterdir()} == before
    at = at.button(key="forget belief").click().run()
    assert not at.code


def form_values(at: AppTest) -> dict[str, float]:
    return {name: field(at, name).value for name in form.FIELDS}


def test_the_belief_in_force_is_nothing_to_try(opened: AppTest) -> None:
    at = pressed(opened)
    assert words.SAME in [one.value for one in at.info]
    assert not at.code


def test_wrong_values_say_what_is_expected(opened: AppTest) -> None:
    field(opened, "worn_low").set_value(70.0)
    at = pressed(opened)
    assert not at.exception
    assert [one.value for one in at.error] == [form.wrong_lead([""])]
    assert "found 70 and 40, expected the lower number first" in said(at)
    assert not at.code


@pytest.mark.parametrize("kind", list(KINDS))
def test_the_form_gives_back_the_default_to_the_last_bit(kind: str) -> None:
    prior, wrong = form.belief_of(KINDS[kind], form.entered_of(KINDS[kind].prior))
    assert not wrong
    assert prior == KINDS[kind].prior


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("at", 0.0),
        ("at", 201.0),
        ("at", float("nan")),
        ("worn_low", 0.0),
        ("worn_high", 100.0),
        ("shape", 0.1),
        ("shape", 1e6),
        ("shape_factor", 1.0),
        ("early_low", 7.0),
        ("early_high", float("inf")),
        ("accidents", -1.0),
        ("accident_years", 0.0),
    ],
)
def test_each_wrong_value_is_named_with_what_is_expected(name: str, value: float) -> None:
    kind = KINDS["bellows"]
    entered = {**form.entered_of(kind.prior), name: value}
    prior, wrong = form.belief_of(kind, entered)
    assert prior is None
    assert len(wrong) == 1
    assert "expected" in wrong[0]
    assert f"{value:g}" in wrong[0]
    assert "{unit}" not in wrong[0]


def test_fields_of_causes_that_are_not_modelled_are_not_asked() -> None:
    lives = fleet_of(["B,,bellows,,,2018-04-01"], '[kinds.bellows]\ncauses = ["wear_out"]\n').lives
    kind = fleet_ageing(lives)[KEY].kind
    names = {field.name for field in form.fields_of(kind)}
    assert names == {"at", "worn_low", "worn_high", "shape", "shape_factor"}
    prior, wrong = form.belief_of(kind, {name: form.entered_of(kind.prior)[name] for name in names})
    assert not wrong
    assert prior == kind.prior


def test_an_endless_range_is_not_drawn_as_if_it_ended() -> None:
    settings = "[kinds.bellows]\nshape = 0.5\nshape_factor = 3.0\nworn_out = [0.001, 0.9]\n"
    lives = fleet_of(["B,,bellows,,,2018-04-01"], settings).lives
    fitted = fleet_ageing(lives)[KEY]
    answer = believed(lives, fitted, lives.settings.seasons.season(2025), 0, {})
    figure = figures.ranges(answer.figures)
    scale = next(one for one in answer.figures if one.figure == "scale")
    assert scale.prior.high > said_of.LONGEST["years"]
    arrows = [trace for trace in figure.data if "triangle-right" in list(trace.marker.symbol)]
    assert arrows
    drawn = np.concatenate([np.asarray(trace.x, dtype=float) for trace in figure.data])
    assert np.isfinite(drawn).all()
    assert drawn.max() <= max(said_of.LONGEST["years"], 1000.0)
    shown = tables.figures(answer).to_csv()
    assert "more than 200" in shown
    assert "inf" not in shown


def test_a_belief_is_tried_where_no_part_is_in_service() -> None:
    lives = fleet_of(["B,,bellows,,,2012-04-01,2019-05-01,replaced_sound"]).lives
    fitted, season = fleet_ageing(lives)[KEY], lives.settings.seasons.season(2025)
    answer = tried(lives, fitted, KINDS["gland_hose"].prior, season, 0, {})
    assert said_of.NONE_IN_SERVICE in words.tried_sentence(answer, season)
    assert len(tables.compared(answer)) == len(answer.now.figures)


def test_a_lot_that_was_found_gets_no_lines_for_the_whole_kind() -> None:
    kind = of_a_lot_apart(KINDS["bellows"])
    said_first, kept = words.lines_lead(kind, "lot L1")
    assert not kept
    assert "would bind every part of this kind" in said_first
    assert words.WIDER_FOR_LOT in words.in_force(kind, "lot L1")
    assert "fleet.toml" not in words.default_note(kind, "lot L1")
    # What nobody changed is the belief in force, to the last bit.
    prior, wrong = form.belief_of(kind, form.entered_of(kind.prior))
    assert not wrong
    assert prior == kind.prior
    # One that the settings name has the belief that they state of the kind.
    named_lot = replace(KINDS["bellows"], apart=("L1",))
    for some in (words.lines_lead(named_lot, "lot L1"), words.lines_lead(named_lot, some=True)):
        assert some == (f"{words.LINES_LEAD} {words.BINDS_ALL}", True)
    assert words.lines_lead(KINDS["bellows"]) == (words.LINES_LEAD, True)
