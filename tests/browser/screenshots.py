"""The pictures of README.md, taken from the running program.

`python -m pytest tests/browser/screenshots.py` takes them; not part of the
tests. Open every one of them afterwards and look at it.
"""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Page

from analytics.sample import TARNWICK, invent_fleet, mess_of, write_mess
from dashboard import frame
from tests.browser.pages import settled

SHOTS = Path(__file__).parents[2] / "dashboard" / "screenshots"

SLOW_TO_DRAW = 1500
"""Milliseconds for charts and tables to finish their first drawing."""


ROOT = Path(__file__).parents[2]


@pytest.fixture
def messy() -> Iterator[str]:
    """Dirty exports in a folder of the clone, whose name a picture may show."""
    folder = ROOT / "messy"
    write_mess(mess_of(invent_fleet(TARNWICK)), folder)
    yield folder.name
    shutil.rmtree(folder)


@pytest.mark.parametrize(("path", "title"), list(frame.PAGES.items()))
def test_take(
    page: tuple[Page, list[str]], address: str, messy: str, path: str, title: str
) -> None:
    opened, _ = page
    opened.set_viewport_size({"width": 1440, "height": 1150})
    opened.goto(address)
    settled(opened)
    # The path as a user types it from the clone, not the one of this machine.
    folder = opened.get_by_role("textbox", name="Fleet folder", exact=True)
    folder.fill(messy if path == frame.EXPORTS else "sample_fleet")
    folder.press("Enter")
    settled(opened)
    opened.get_by_role("link", name=title, exact=True).first.click()
    settled(opened)
    opened.wait_for_timeout(SLOW_TO_DRAW)
    SHOTS.mkdir(exist_ok=True)
    opened.screenshot(path=SHOTS / f"{title.lower().replace(' ', '_')}.png")
