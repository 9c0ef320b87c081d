"""The section on clocks: what it says, draws and offers, on the sample fleet and without hours."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from analytics import job
from analytics.ageing.clock_choice import clock_choice
from analytics.ageing.clock_tables import ages_table
from dashboard.ageing import clocks_figures, clocks_words
from tests.analytics.ageing.worn_by import worn_by
from tests.dashboard.pages import charts, said

FORBIDDEN = ("safe", "seaworthy", "certified", "cause[sd]?")


def section(folder: Path, kind: str) -> AppTest:
    """The section alone, on a folder."""

    def page(folder: str, kind: str) -> None:
        from pathlib import Path

        import streamlit as st

        from dashboard import results
        from dashboard.ageing import clocks
        from dashboard.results import Chosen

        asked = results.of_folder(Path(folder))
        st.session_state["asked"] = asked
        clocks.show(asked, Chosen(kind, "all"))

    at = AppTest.from_function(page, args=(str(folder), kind), default_timeout=60)
    return at.run()


def test_the_sample_fleet(sample_folder: Path, sample: job.Fleet) -> None:
    at = section(sample_folder, "cutless_bearing")
    assert not at.exception
    table = sample.lives.table
    choice = clock_choice(sample.lives, table[table["kind"] == "cutless_bearing"])
    texts = said(at)
    assert at.markdown[0].value == f"**{choice.sentence}**"
    assert f"{len(choice.table)} lives on {len(choice.lines)} shaft lines" in texts
    assert f"{choice.failures} of them failed" in texts
    scores = at.table[0].value
    assert list(scores.index) == ["calendar years", "shaft hours"]
    assert f"{abs(choice.lead):.1f}" in scores.to_csv()
    lives, boats = (one.value for one in at.dataframe)
    assert len(lives) == len(choice.table)
    assert len(boats) == len(
        table[table["kind"] == "cutless_bearing"].groupby(["boat", "position"])
    )
    (chart,) = charts(at)
    assert chart["layout"]["xaxis"]["title"]["text"] == "Age in calendar years"
    assert chart["layout"]["yaxis"]["title"]["text"] == "Age in shaft hours"
    for word in FORBIDDEN:
        assert not re.search(rf"\b{word}\b", texts, re.IGNORECASE)
    assert len(at.get("download_button")) == 5


def test_without_hours_it_says_years_only_and_draws_nothing(tmp_path: Path) -> None:
    for name, text in {
        "fleet.toml": "as_of = 2024-06-30\nrecords_from = 2005-01-01\n",
        "boats.csv": "boat,lay_up\nA,afloat\nB,afloat\n",
        "parts.csv": "boat,position,kind,fitted_on,removed_on,reason\n"
        "A,single,bellows,2010-01-01,2018-01-01,failed\nA,single,bellows,2018-01-01,,\n"
        "B,single,bellows,2012-01-01,,\n",
    }.items():
        (tmp_path / name).write_text(text)
    at = section(tmp_path, "bellows")
    assert not at.exception
    assert at.markdown[0].value == "**No shaft hours are known: years only.**"
    assert charts(at) == []
    assert "3 of 3 lives: hours taken in part from the boat's usual use." in said(at)
    assert len(at.get("download_button")) == 2


def test_marks_and_bands_differ_by_more_than_colour() -> None:
    lives = worn_by("hours", boats=8).lives
    choice = clock_choice(lives, lives.table)
    figure = clocks_figures.both_clocks(choice, ages_table(choice))
    marks = [trace for trace in figure.data if trace.mode == "markers"]
    assert len({trace.marker.symbol for trace in marks}) == len(marks) >= 2
    patterns = [trace.fillpattern.shape for trace in figure.data if trace.mode == "lines"]
    assert len(set(patterns)) == len(patterns) == 2
    assert sum(len(trace.x) for trace in marks) == len(choice.table)


@pytest.mark.parametrize(("clock", "other"), [("years", "hours"), ("hours", "hours")])
def test_it_says_how_to_set_the_better_clock(clock: str, other: str) -> None:
    lives = worn_by(clock).lives  # type: ignore[arg-type]
    choice = clock_choice(lives, lives.table)
    text = clocks_words.in_force(choice)
    assert text.startswith("All pages age this kind by shaft hours.")
    assert ('clock = "years"' in text) == (clock != other)


def test_boats_that_run_alike_tell_little_apart() -> None:
    for apart, little in ((0.05, True), (0.6, False)):
        lives = worn_by("hours", apart=apart, boats=12).lives
        choice = clock_choice(lives, lives.table)
        text = clocks_words.alike(ages_table(choice))
        assert ("little apart" in text) == little
        assert re.match(r"Nine in ten of these parts ran [\d,]+ to [\d,]+ shaft hours", text)
