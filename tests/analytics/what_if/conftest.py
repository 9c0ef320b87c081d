"""The sample fleet as a plan."""

import pytest

from analytics.ageing.fit import FleetAgeing
from analytics.job import Fleet
from analytics.what_if.applied import Plan, todays_plan


@pytest.fixture(scope="session")
def whole(sample: Fleet, sample_ageing: FleetAgeing) -> Plan:
    """Today's plan of the sample fleet."""
    return todays_plan(sample, sample_ageing)
