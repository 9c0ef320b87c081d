"""Waiting for a page to stand."""

from playwright.sync_api import Page

PATIENCE = 30_000
"""Milliseconds; a page that is not drawn by then is broken, however busy the machine."""


def settled(page: Page) -> None:
    """Wait until the script has run and the charts stand."""
    page.wait_for_selector("h1", timeout=PATIENCE)
    page.wait_for_selector(
        '[data-testid="stApp"][data-test-script-state="notRunning"]', timeout=PATIENCE
    )
