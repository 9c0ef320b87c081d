"""What many tests share: the committed sample fleet, read once, and served to a browser."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from hypothesis import settings

from analytics import job
from analytics.ageing.fit import FleetAgeing
from analytics.records.findings import FleetError
from analytics.records.reading import folder_files
from tests.browser.serving import served

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

# The same examples on every run and every machine, however slow it is.
settings.register_profile("tideworn", deadline=None, derandomize=True)
settings.load_profile("tideworn")

SAMPLE = Path(__file__).parent.parent / "sample_fleet"


@pytest.fixture(scope="session")
def sample_folder() -> Path:
    """The committed invented fleet."""
    return SAMPLE


@pytest.fixture(scope="session")
def sample_files(sample_folder: Path) -> dict[str, bytes]:
    """Its files, as the reader takes them."""
    return folder_files(sample_folder)


@pytest.fixture(scope="session")
def sample(sample_files: dict[str, bytes]) -> job.Fleet:
    """It, read into lives."""
    return job.open_fleet(sample_files)


@pytest.fixture(scope="session")
def sample_ageing(sample: job.Fleet) -> FleetAgeing:
    """It, fitted with seed 0."""
    return job.how_it_ages(sample)


_FITTED: dict[str, FleetAgeing | FleetError] = {}


@pytest.fixture
def fitted_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every verb fits the records that it is given: the same records here once, to spare time.

    Not for tests of the fit itself, nor of two runs giving the same.
    """
    fit = job.how_it_ages

    def remembered(
        fleet: job.Fleet, seed: int = 0, progress: job.Progress | None = None
    ) -> FleetAgeing:
        key = f"{fleet.records.fingerprint} {seed}"
        if key not in _FITTED:
            try:
                _FITTED[key] = fit(fleet, seed, progress)
            except FleetError as error:
                _FITTED[key] = error
        found = _FITTED[key]
        if isinstance(found, FleetError):
            raise found
        return found

    monkeypatch.setattr(job, "how_it_ages", remembered)


@pytest.fixture(scope="session")
def chromium() -> str:
    """Path of the browser."""
    found = shutil.which("chromium") or shutil.which("chromium-browser")
    if found is None:
        if os.environ.get("TIDEWORN_BROWSER") == "required":
            pytest.fail("TIDEWORN_BROWSER=required, and there is no chromium on the path")
        pytest.skip("no chromium on the path")
    return found


@pytest.fixture(scope="session")
def browser(chromium: str) -> Iterator[Browser]:
    """The browser, started."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=chromium, args=["--no-sandbox"])
        yield opened
        opened.close()


@pytest.fixture(scope="session")
def address(sample_folder: Path, chromium: str) -> Iterator[str]:
    """Where the sample fleet is served."""

    def arguments(port: int) -> list[str]:
        return ["-m", "dashboard.serve", str(sample_folder), "--port", str(port), "--no-browser"]

    with served(arguments, cwd=sample_folder.parent) as address:
        yield address


@pytest.fixture
def page(browser: Browser, request: pytest.FixtureRequest) -> Iterator[tuple[Page, list[str]]]:
    """A page of the width that a test asks for, and the addresses that it asks."""
    width, scheme = getattr(request, "param", (1440, "light"))
    context = browser.new_context(
        viewport={"width": width, "height": 900}, color_scheme=scheme, accept_downloads=True
    )
    opened, asked = context.new_page(), []
    context.on("request", lambda sent: asked.append(sent.url))
    opened.on("websocket", lambda socket: asked.append(socket.url))
    yield opened, asked
    context.close()
