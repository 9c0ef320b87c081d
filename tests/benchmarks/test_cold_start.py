"""How long a question takes from a cold start, beside what one library takes to be imported.

Run `python -m pytest tests/benchmarks --benchmark-enable -n 0`; the table's
brackets are the ratios within a group. Without that option each runs once, as
a plain test that the command works.
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from pytest_benchmark.fixture import BenchmarkFixture


def cold(*arguments: str) -> None:
    subprocess.run([sys.executable, *arguments], check=True, stdout=subprocess.DEVNULL)


@pytest.mark.benchmark(group="cold start", min_rounds=3)
def test_season_of_the_sample_fleet(benchmark: BenchmarkFixture, sample_folder: Path) -> None:
    benchmark(cold, "-m", "analytics.cli", "season", str(sample_folder))


@pytest.mark.benchmark(group="cold start", min_rounds=3)
def test_peer_importing_lifelines(benchmark: BenchmarkFixture) -> None:
    benchmark(cold, "-c", "import lifelines")


@pytest.mark.benchmark(group="cold start", min_rounds=3)
def test_peer_importing_pandas(benchmark: BenchmarkFixture) -> None:
    benchmark(cold, "-c", "import pandas")


def test_the_command_leaves_slow_libraries_alone(sample_folder: Path) -> None:
    """Not a timing: lifelines, plotly and Streamlit are not imported to answer a season."""
    asked = (
        "import sys; from analytics.cli import main; "
        f"main(['season', {str(sample_folder)!r}, '--json']); "
        "slow = {'lifelines', 'plotly', 'streamlit', 'matplotlib'} & set(sys.modules); "
        "sys.exit(', '.join(slow) or 0)"
    )
    cold("-c", asked)
