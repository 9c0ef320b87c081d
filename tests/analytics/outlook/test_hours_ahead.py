"""Hours in doubt of some parts alone, against those of all parts of the kind."""

import numpy as np

from analytics import job
from analytics.ageing.fit import FleetAgeing
from analytics.outlook.chances import ages_ahead
from analytics.outlook.hours_ahead import hours_ahead
from analytics.outlook.places_ahead import some_places
from analytics.outlook.policy import limits_as_set
from analytics.usage import day_number


def test_hours_are_to_the_last_digit_those_the_chances_are_taken_with(
    sample: job.Fleet, sample_ageing: FleetAgeing
) -> None:
    fitted = sample_ageing["cutless_bearing", "all"]
    season, now = sample.coming_season(), day_number(sample.lives.as_of)
    begin, end = max(day_number(season.start), now), day_number(season.end) + 1
    ages = ages_ahead(sample.lives, fitted, begin, end, 3)
    assert ages.doubt is not None
    limits = limits_as_set(fitted.kind, len(ages))
    lots = list(some_places(sample.lives, fitted, fitted.posterior, None, limits, 0))
    assert sum(len(some.chosen) for some in lots) == len(ages)
    for some in lots:
        alone = hours_ahead(sample.lives, some._fitted(), end, 3)
        assert np.array_equal(alone.run, ages.doubt.run[:, some.chosen])
        assert np.array_equal(alone.coming, ages.doubt.coming[:, some.chosen])
