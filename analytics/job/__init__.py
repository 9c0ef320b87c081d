"""The whole job, one call per question: what the command and the dashboard both use.

Each answer is made once, here, from the answer before it, so that a number on a
page, on the terminal and in a file is the same number.
"""

from analytics.job.ageing import how_it_ages, own_lives_of, wear_of
from analytics.job.fleet import Fleet, Progress, open_fleet
from analytics.job.money import HORIZON, budget_of, futures_of, policies_of, replacement_ages_of
from analytics.job.season import boat_ahead_of, boats_at_risk, season_of, what_would_change
from analytics.job.spares import spares_futures_of, spares_of
from analytics.job.yard import (
    LIFTS_AHEAD,
    YardGround,
    haul_outs_of,
    lay_up_season,
    yard_compared_of,
    yard_ground_of,
)

__all__ = [
    "HORIZON",
    "LIFTS_AHEAD",
    "Fleet",
    "Progress",
    "YardGround",
    "boat_ahead_of",
    "boats_at_risk",
    "budget_of",
    "futures_of",
    "haul_outs_of",
    "how_it_ages",
    "lay_up_season",
    "open_fleet",
    "own_lives_of",
    "policies_of",
    "replacement_ages_of",
    "season_of",
    "spares_futures_of",
    "spares_of",
    "wear_of",
    "what_would_change",
    "yard_compared_of",
    "yard_ground_of",
]
