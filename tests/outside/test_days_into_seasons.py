"""Days laid to the season years they fall in, against R's split of watched days by calendar year.

R's package survival tests `pyears` with a subject who enters on 6 June 1955 and is watched for
3,700 days: 209 of them fall in 1955, 203 lie past the end of the table, in 1965 (read in that
test). Here a part is renewed on every one of those days, and the program counts renewals by season.
"""

from datetime import date, timedelta

import numpy as np
import pandas as pd
import pytest

from analytics.outlook.futures import FAILED, PLANNED, Futures
from analytics.records.seasons import SeasonRule
from analytics.usage import day_number

ENTERED, WATCHED = date(1955, 6, 6), 3700
BY_YEAR = [209, 366, 365, 365, 365, 366, 365, 365, 365, 366, 203]
"""1955 to 1965."""


def renewed_every_day(rule: SeasonRule, years: range) -> Futures:
    return Futures(
        seasons=tuple(rule.season(year) for year in years),
        parts=pd.DataFrame({"kind": ["bellows"], "part_no": [""]}),
        n_futures=1,
        n_draws=1,
        future=np.zeros(WATCHED, dtype=np.int32),
        part=np.zeros(WATCHED, dtype=np.int32),
        day=(day_number(ENTERED) + np.arange(WATCHED)).astype(np.int32),
        how=np.where(np.arange(WATCHED) % 10 == 0, PLANNED, FAILED).astype(np.int8),
    )


def test_days_of_calendar_years() -> None:
    # A season from the first of January to the last of December makes its year the calendar year.
    futures = renewed_every_day(SeasonRule((1, 1), (12, 31), (1, 1)), range(1955, 1966))
    by_season = (futures.planned + futures.unplanned)[0, :, 0]
    assert by_season.tolist() == BY_YEAR
    assert by_season.sum() == WATCHED
    assert futures.planned.sum() == WATCHED / 10


@pytest.mark.parametrize(
    "rule",
    [SeasonRule(), SeasonRule((11, 1), (4, 30), (6, 1)), SeasonRule((12, 31), (12, 30), (1, 15))],
)
def test_days_of_season_years_by_the_calendar(rule: SeasonRule) -> None:
    # Day by day with the standard library's calendar: the year after the last end of a season.
    futures = renewed_every_day(rule, range(1955, 1967))
    expected = dict.fromkeys((season.year for season in futures.seasons), 0)
    for number in range(WATCHED):
        day = ENTERED + timedelta(days=number)
        expected[day.year + ((day.month, day.day) > rule.end)] += 1
    by_season = (futures.planned + futures.unplanned)[0, :, 0]
    assert dict(zip(expected, by_season.tolist(), strict=True)) == expected
