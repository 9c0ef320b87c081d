"""Thin records on the page on when to replace: a sentence that says what is missing, no fault."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from analytics.papers import replacement as says
from analytics.sample import TARNWICK, invent_fleet
from dashboard.replacement import policies, words
from tests.dashboard.pages import opened, said


@pytest.fixture(scope="module")
def small() -> dict[str, bytes]:
    """Five invented boats: most kinds rest on what is believed before the records."""
    files = invent_fleet(TARNWICK, boats=5, seed=5).files
    return {name: text.encode() for name, text in files.items() if name != "truth.json"}


def page_of(monkeypatch: pytest.MonkeyPatch, folder: Path, files: dict[str, bytes]) -> AppTest:
    for name, content in files.items():
        (folder / name).write_bytes(content)
    monkeypatch.setenv("TIDEWORN_FOLDER", str(folder))
    # Only what is asked for is simulated: these pages are about the cost by age.
    monkeypatch.setattr(policies, "MOST_PARTS", 0)
    at = opened("replacement")
    assert not at.exception
    assert not at.error
    return at


def without(content: bytes, served: bool) -> bytes:
    """parts.csv without the parts still fitted."""
    rows = list(csv.DictReader(io.StringIO(content.decode())))
    text = io.StringIO()
    writer = csv.DictWriter(text, list(rows[0]))
    writer.writeheader()
    writer.writerows(row for row in rows if (row["removed_on"] == "") is served)
    return text.getvalue().encode()


def test_few_records_rest_on_the_prior(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, small: dict[str, bytes]
) -> None:
    at = page_of(monkeypatch, tmp_path, small)
    table = next(each.value for each in at.dataframe if "Limit that stands" in each.value)
    label = table.loc[table["Rests on prior"] == "yes", "Kind"].iloc[0]
    at = at.selectbox(key="replace kind").set_value(label.lower().replace(" ", "_")).run()
    assert says.ON_PRIOR in said(at)
    # Too many parts, as it were: nothing is simulated before it is asked for.
    assert at.toggle(key="policies asked").label == words.RULES_TOGGLE
    assert not any("Rule" in each.value for each in at.dataframe)


def test_no_prices_leave_the_ages_unknown(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, small: dict[str, bytes]
) -> None:
    files = {name: content for name, content in small.items() if name != "prices.csv"}
    at = page_of(monkeypatch, tmp_path, files)
    text = said(at)
    assert says.NO_PRICE in text.replace("prices.csv\u2060", "prices.csv")
    assert "for want of a price" in at.subheader[0].value
    assert not at.get("plotly_chart")


def test_no_part_in_service_is_said(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, small: dict[str, bytes]
) -> None:
    gone = without(small["parts.csv"], served=False)
    at = page_of(monkeypatch, tmp_path, small | {"parts.csv": gone})
    assert words.NO_PARTS in [warning.value for warning in at.warning]
