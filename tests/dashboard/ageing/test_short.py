"""The first section of the page on ageing: what is known of a kind, in sentences."""

from __future__ import annotations

from pathlib import Path

from analytics.ageing.fit import FleetAgeing
from analytics.ageing.summary import key_figures
from analytics.papers.belief import value
from tests.dashboard.ageing.section import section
from tests.dashboard.pages import said


def test_the_first_sentence_is_the_age(sample_folder: Path, sample_ageing: FleetAgeing) -> None:
    at = section("short", sample_folder, "bellows")
    life = key_figures(sample_ageing["bellows", "all"]).life_10
    first = at.markdown[0].value.splitlines()[0]
    assert first.startswith(
        f"- **Curves.** One part in ten has failed by about {value(life.median, 'years')} years"
    )
    assert "limit 8 years (set in fleet.toml)" in first


def test_what_stands_out_is_there_without_a_click(sample_folder: Path) -> None:
    text = said(section("short", sample_folder, "bellows"))
    for told in ("These parts age", "QT-18", "Quillhaven", "Belief and data"):
        assert told in text
