"""What many tests share: the committed sample fleet, read once."""

from pathlib import Path

import pytest

from analytics import job
from analytics.ageing.fit import FleetAgeing
from analytics.records.reading import folder_files

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
