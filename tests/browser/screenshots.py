"""The pictures of README.md, taken from the running program.

`python -m pytest tests/browser/screenshots.py` takes them; not part of the
tests. Open every one of them afterwards and look at it.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Page

from dashboard import frame
from tests.browser.pages import settled

SHOTS = Path(__file__).parents[2] / "dashboard" / "screenshots"

SLOW_TO_DRAW = 1500
"""Milliseconds for charts and tables to finish their first drawing."""


@pytest.mark.parametrize(("path", "title"), list(frame.PAGES.items()))
def test_take(page: tuple[Page, list[str]], address: str, path: str, title: str) -> None:
    opened, _ = page
    opened.set_viewport_size({"width": 1440, "height": 1150})
    opened.goto(address)
    settled(opened)
    # The path as a user types it from the clone, not the one of this machine.
    folder = opened.get_by_role("textbox", name="Fleet folder", exact=True)
    folder.fill("sample_fleet")
    folder.press("Enter")
    settled(opened)
    opened.get_by_role("link", name=title, exact=True).first.click()
    settled(opened)
    opened.wait_for_timeout(SLOW_TO_DRAW)
    SHOTS.mkdir(exist_ok=True)
    opened.screenshot(path=SHOTS / f"{title.lower().replace(' ', '_')}.png")
