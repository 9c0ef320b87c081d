"""The pages in a real browser: charts are drawn, nothing breaks, and nothing leaves the machine."""

from __future__ import annotations

import io
from pathlib import Path
from urllib.parse import urlsplit

import pandas as pd
import pytest
from playwright.sync_api import Page, expect

from analytics import job
from analytics.ageing.fit import FleetAgeing
from analytics.papers.files import csv_text
from dashboard.ageing.sections import SECTIONS
from tests.browser.pages import PATIENCE, settled

pytestmark = pytest.mark.browser

PAGES = {
    **{"": 1, "ageing": 0, "boats": 1, "replacement": 3, "budget": 3, "spares": 1, "what_if": 0},
    **{"yard": 1, "records": 0},
}
"""Charts on each page."""

DRAWN = {*SECTIONS} - {"short", "readings"}
"""Sections of ageing with a chart for bellows, which are not measured."""

ROW = 35
"""Pixels of a row of a table."""

HERE = {"127.0.0.1", "localhost"}


@pytest.mark.parametrize(
    "page", [(1440, "light"), (420, "dark")], indirect=True, ids=["wide light", "narrow dark"]
)
def test_every_page_is_drawn_and_nothing_leaves_the_machine(
    page: tuple[Page, list[str]], address: str
) -> None:
    opened, asked = page
    for path, charts in PAGES.items():
        opened.goto(f"{address}/{path}")
        settled(opened)
        plots = opened.locator(".js-plotly-plot")
        expect(plots).to_have_count(charts, timeout=PATIENCE)
        for at in range(charts):
            traces = plots.nth(at).locator(".main-svg .trace")
            expect(traces.first).to_be_attached(timeout=PATIENCE)
            box = plots.nth(at).bounding_box()
            assert box is not None
            assert box["width"] > 250
            assert box["height"] > 100
        expect(opened.get_by_test_id("stException")).to_have_count(0)
        expect(opened.get_by_test_id("stAlertContentError")).to_have_count(0)
        # Nothing sticks out sideways: tables scroll within themselves.
        assert opened.evaluate(
            "(() => { const main = document.querySelector('[data-testid=stMain]');"
            " return main.scrollWidth <= main.clientWidth; })()"
        ), path
    assert any(url.startswith("ws") for url in asked), "the websocket was not seen"
    elsewhere = {
        url for url in asked
        if urlsplit(url).scheme not in ("data", "blob") and urlsplit(url).hostname not in HERE
    }  # fmt: skip
    assert not elsewhere


@pytest.mark.parametrize(
    "page", [(1440, "light"), (420, "dark")], indirect=True, ids=["wide light", "narrow dark"]
)
def test_every_section_of_ageing_is_drawn(page: tuple[Page, list[str]], address: str) -> None:
    opened, _ = page
    opened.goto(f"{address}/ageing")
    settled(opened)
    for section in SECTIONS.values():
        opened.get_by_test_id("stRadio").get_by_text(section.label, exact=True).first.click()
        expect(opened.get_by_text(section.about, exact=True)).to_be_visible(timeout=PATIENCE)
        settled(opened)
        expect(opened.get_by_test_id("stException")).to_have_count(0)
        expect(opened.get_by_test_id("stAlertContentError")).to_have_count(0)
        if section.module in DRAWN:
            plot = opened.locator(".js-plotly-plot").first
            expect(plot.locator(".main-svg .trace").first).to_be_attached(timeout=PATIENCE)
        assert opened.evaluate(
            "(() => { const main = document.querySelector('[data-testid=stMain]');"
            " return main.scrollWidth <= main.clientWidth; })()"
        ), section.label


def test_the_first_page_says_what_the_command_says(
    page: tuple[Page, list[str]], address: str, sample: job.Fleet, sample_ageing: FleetAgeing
) -> None:
    opened, _ = page
    opened.goto(address)
    risk = job.boats_at_risk(sample, sample_ageing)
    headline = opened.get_by_text(f"About {risk.expected:.0f} failures")
    expect(headline).to_be_visible(timeout=PATIENCE)


def test_a_downloaded_table_is_the_one_of_the_command(
    page: tuple[Page, list[str]], address: str, sample: job.Fleet, sample_ageing: FleetAgeing
) -> None:
    opened, _ = page
    opened.goto(f"{address}/boats")
    settled(opened)
    with opened.expect_download() as fetched:
        opened.get_by_role("button", name="Boats as CSV").click()
    risk, records = job.boats_at_risk(sample, sample_ageing), sample.records
    assert fetched.value.suggested_filename == f"boats_at_risk_{risk.season.year}.csv"
    # The command's file, and behind its columns what the table is of.
    stamped = risk.boats.assign(
        season=risk.season.year, as_of=str(records.as_of), fingerprint=records.fingerprint[:12]
    )
    text = Path(fetched.value.path()).read_text(encoding="utf-8")
    assert text == csv_text(stamped, records.settings)
    own = pd.read_csv(io.StringIO(text), dtype=str).drop(columns=["season", "as_of", "fingerprint"])
    commands = pd.read_csv(io.StringIO(csv_text(risk.boats, records.settings)), dtype=str)
    pd.testing.assert_frame_equal(own, commands)


def test_a_narrowed_table_says_what_it_was_narrowed_to(
    page: tuple[Page, list[str]], address: str, sample: job.Fleet, sample_ageing: FleetAgeing
) -> None:
    opened, _ = page
    opened.goto(f"{address}/boats")
    settled(opened)
    bellows = {key: one for key, one in sample_ageing.items() if key[0] == "bellows"}
    boats = job.boats_at_risk(sample, bellows).boats
    base = boats["base"].iloc[0]
    for box, option in (("Base", base), ("Count only", "Bellows")):
        opened.get_by_role("combobox", name=box).click()
        opened.get_by_role("option", name=option, exact=True).click()
        opened.keyboard.press("Escape")
        settled(opened)
    number = int((boats["base"] == base).sum())
    expect(opened.get_by_text(f"{number} boats of {base} with these kinds, of")).to_be_visible(
        timeout=PATIENCE
    )
    settled(opened)  # the button stands below the sentence, and comes after it
    with opened.expect_download() as fetched:
        opened.get_by_role("button", name="Boats as CSV").click()
    year = sample.coming_season().year
    in_name = base.lower().replace(" ", "_")
    assert fetched.value.suggested_filename == f"boats_at_risk_{year}_{in_name}_bellows.csv"
    table = pd.read_csv(Path(fetched.value.path()))
    assert list(table["boat"]) == list(boats.loc[boats["base"] == base, "boat"])
    assert set(table["counted"]) == {"bellows"}


def test_a_boat_ticked_on_the_first_page_is_looked_into(
    page: tuple[Page, list[str]], address: str, sample: job.Fleet, sample_ageing: FleetAgeing
) -> None:
    opened, _ = page
    opened.goto(address)
    settled(opened)
    table = opened.get_by_test_id("stDataFrame").first
    table.scroll_into_view_if_needed()
    box = table.bounding_box()
    assert box is not None
    # The third row: a heading and two rows, 35 pixels each, lie above it.
    opened.mouse.click(box["x"] + 16, box["y"] + 3.5 * ROW)
    third = job.boats_at_risk(sample, sample_ageing).boats["boat"].iloc[2]
    expect(opened.get_by_role("heading", name=f"{third}: parts in service")).to_be_visible(
        timeout=PATIENCE
    )
    assert opened.url.endswith("/boats")
    # The way back leads back, and not at once to the boat again.
    opened.get_by_role("link", name="This season", exact=True).first.click()
    expect(opened.get_by_role("heading", name="This season")).to_be_visible(timeout=PATIENCE)
    settled(opened)
    expect(opened.get_by_text("The same boats as a table.")).to_be_visible()


def test_one_click_turns_the_order_of_boats(
    page: tuple[Page, list[str]], address: str, sample: job.Fleet, sample_ageing: FleetAgeing
) -> None:
    opened, _ = page
    opened.goto(address)
    settled(opened)
    opened.get_by_text("by expected cost", exact=True).click()
    title = opened.locator(".js-plotly-plot .xtitle", has_text="Expected cost")
    expect(title).to_be_visible(timeout=PATIENCE)
    expect(opened.locator(".js-plotly-plot")).to_have_count(1)
    boats = job.boats_at_risk(sample, sample_ageing).boats
    costliest = boats.sort_values("expected_cost", ascending=False)["boat"].iloc[0]
    ticks = opened.locator(".js-plotly-plot .ytick").evaluate_all(
        "ticks => ticks.map(tick => [tick.getBoundingClientRect().top, tick.textContent])"
    )
    assert costliest in min(ticks)[1]


def test_another_folder_is_named_on_the_page(
    page: tuple[Page, list[str]], address: str, tmp_path: Path
) -> None:
    opened, _ = page
    opened.goto(address)
    settled(opened)
    folder = opened.get_by_role("textbox", name="Fleet folder", exact=True)
    folder.fill(str(tmp_path))
    folder.press("Enter")
    expect(opened.get_by_test_id("stAlertContentError")).to_be_visible(timeout=PATIENCE)
    expect(opened.get_by_text("What to do:").first).to_be_visible()
