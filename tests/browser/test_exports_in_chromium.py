"""Bringing exports in with a real browser: dropped, read, decided on, accepted, and answered."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from analytics import cli, intake, job
from tests.browser.pages import PATIENCE, settled
from tests.browser.serving import served
from tests.dashboard.foreign_fleet import MISSPELT, jobs, yachts

pytestmark = pytest.mark.browser


@pytest.fixture
def fleet(tmp_path: Path) -> Path:
    """An empty fleet folder."""
    folder = tmp_path / "fleet"
    folder.mkdir()
    return folder


@pytest.fixture
def its_address(fleet: Path, chromium: str, sample_folder: Path) -> Iterator[str]:
    """Where it is served."""

    def arguments(port: int) -> list[str]:
        return ["-m", "dashboard.serve", str(fleet), "--port", str(port), "--no-browser"]

    with served(arguments, cwd=sample_folder.parent) as address:
        yield address


@pytest.mark.parametrize(
    "page", [(1400, "light"), (400, "dark")], indirect=True, ids=["wide light", "narrow dark"]
)
def test_from_dropped_files_to_the_season(
    page: tuple[Page, list[str]],
    its_address: str,
    fleet: Path,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    opened, _ = page
    exports = tmp_path / "office"
    exports.mkdir()
    (exports / "jobs_2025.csv").write_bytes(jobs())
    (exports / "yachts.csv").write_bytes(yachts())

    # A page without records leads here.
    opened.goto(its_address)
    settled(opened)
    opened.get_by_role("button", name="Bring in exports").click()
    expect(opened.get_by_role("heading", name="Bring in exports")).to_be_visible(timeout=PATIENCE)

    drop = opened.get_by_test_id("stMain").locator("input[type=file]")
    drop.set_input_files([exports / "jobs_2025.csv", exports / "yachts.csv"])
    files = {path.name: path.read_bytes() for path in exports.iterdir()}
    first = intake.preview(files, intake.look_at(files).proposed())
    expect(opened.get_by_text(first.reconciliation())).to_be_visible(timeout=PATIENCE)
    assert first.reconciliation() != ""
    settled(opened)
    assert not list(fleet.iterdir())

    # The mapping: a column is read as nothing, and the preview follows.
    choose(opened, "Reason", "not read")
    expect(opened.get_by_text("removed, reason not known").first).to_be_visible(timeout=PATIENCE)
    choose(opened, "Reason", "Why, as a code or in words")
    expect(opened.get_by_text("removed, reason not known")).to_have_count(0, timeout=PATIENCE)

    # A finding: the misspelt boat, with the boat that is meant already chosen.
    choose(opened, "Look into", "Boats' names that are not in the list")
    expect(opened.get_by_text(f"'{MISSPELT}', in 1 row, is")).to_be_visible(timeout=PATIENCE)
    type_into(opened, "Who decides", "RS")
    opened.get_by_role("button", name="Decide", exact=True).click()
    expect(opened.get_by_text("Decisions in force: 1")).to_be_visible(timeout=PATIENCE)
    settled(opened)

    type_into(opened, "A note (may be blank)", "first export")
    opened.get_by_role("button", name="Accept these exports").click()
    expect(opened.get_by_text("Accepted by RS")).to_be_visible(timeout=PATIENCE)
    settled(opened)

    (decision,) = tomllib.loads((fleet / "decisions.toml").read_text())["decision"]
    assert (decision["found"], decision["read_as"]) == (MISSPELT, "Quillback")
    (entry,) = tomllib.loads((fleet / "accepted" / "log.toml").read_text())["accepted"]
    assert (entry["who"], entry["note"]) == ("RS", "first export")
    assert (fleet / "jobs_2025.csv").read_bytes() == jobs()

    assert cli.main(["check", str(fleet)]) == 0
    told = re.sub(r"\s+", " ", capsys.readouterr().out)
    sentence = job.open_fleet(intake.of_folder(fleet)).reconciliation()
    assert sentence in told
    expect(opened.get_by_text(sentence)).to_be_visible(timeout=PATIENCE)
    # Nothing sticks out sideways: tables scroll within themselves.
    assert opened.evaluate(
        "(() => { const main = document.querySelector('[data-testid=stMain]');"
        " return main.scrollWidth <= main.clientWidth; })()"
    )
    opened.get_by_role("link", name="Look at this season").click()
    expect(opened.get_by_text("failures").first).to_be_visible(timeout=PATIENCE)
    settled(opened)
    expect(opened.get_by_test_id("stAlertContentError")).to_have_count(0)


def choose(opened: Page, label: str, beginning: str) -> None:
    """Choose the option that begins so, by the keyboard alone."""
    opened.get_by_role("combobox", name=label, exact=True).focus()
    opened.keyboard.type(beginning)
    expect(opened.get_by_role("option", name=beginning).first).to_be_visible(timeout=PATIENCE)
    opened.keyboard.press("Enter")
    settled(opened)


def type_into(opened: Page, label: str, text: str) -> None:
    """Type into a box and leave it."""
    box = opened.get_by_role("textbox", name=label, exact=True)
    box.fill(text)
    box.press("Enter")
    settled(opened)
