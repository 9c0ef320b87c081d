"""How soon the first page stands, beside an empty Streamlit page served in the same way.

The promise is four seconds from opening the address to the answer; see
`test_cold_start.py` for how to run and read it.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser
from pytest_benchmark.fixture import BenchmarkFixture

from tests.browser.pages import PATIENCE
from tests.browser.serving import served

pytestmark = pytest.mark.browser

ROUNDS = 3


def opened(browser: Browser, address: str, waits_for: str) -> None:
    """Open an address as somebody who has never been there, and wait for its answer."""
    context = browser.new_context()
    page = context.new_page()
    page.goto(address)
    page.wait_for_selector(waits_for, timeout=PATIENCE)
    context.close()


@pytest.fixture
def empty_page(tmp_path: Path) -> Iterator[str]:
    """A page that only says hello."""
    script = tmp_path / "hello.py"
    script.write_text("import streamlit as st\n\nst.title('Hello')\n")
    flags = ["--server.headless=true", "--server.fileWatcherType=none"]
    flags += ["--browser.gatherUsageStats=false", "--server.address=127.0.0.1"]

    def arguments(port: int) -> list[str]:
        return ["-m", "streamlit", "run", str(script), f"--server.port={port}", *flags]

    with served(arguments) as address:
        yield address


@pytest.mark.benchmark(group="first page")
def test_the_answer_stands(benchmark: BenchmarkFixture, browser: Browser, address: str) -> None:
    benchmark.pedantic(opened, (browser, address, "text=failures are expected"), rounds=ROUNDS)


@pytest.mark.benchmark(group="first page")
def test_its_chart_is_drawn(benchmark: BenchmarkFixture, browser: Browser, address: str) -> None:
    benchmark.pedantic(opened, (browser, address, ".main-svg .trace"), rounds=ROUNDS)


@pytest.mark.benchmark(group="first page")
def test_peer_an_empty_page(benchmark: BenchmarkFixture, browser: Browser, empty_page: str) -> None:
    benchmark.pedantic(opened, (browser, empty_page, "text=Hello"), rounds=ROUNDS)
