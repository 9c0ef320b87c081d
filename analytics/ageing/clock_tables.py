"""The comparison of both clocks as tables: by clock, by shaft line and by life."""

from __future__ import annotations

import numpy as np
import pandas as pd

from analytics.ageing.clock_choice import ClockChoice
from analytics.ageing.clocks import CENSORED, EXACT
from analytics.lives import IN_SERVICE

CHOICE_COLUMNS = [
    *("kind", "clock", "score", "score_error", "lead_of_hours", "lead_error", "verdict"),
    *("lines", "lives", "failures", "left_out", "unreliable", "as_set", "half_worn_out"),
]


def clocks_table(choice: ClockChoice) -> pd.DataFrame:
    """The scores of both clocks, a row each; empty where nothing was compared.

    Columns: `score` and `score_error` (sum of log densities of each shaft line given the
    others, densities per year of use), `lead_of_hours` and `lead_error` (score of hours
    less that of years), `verdict`, the numbers of `lines`, `lives` and `failures` judged
    and of lives `left_out`, `unreliable` (lines whose part of the score is rough), `as_set`
    (the clock of the settings) and `half_worn_out` (age by which half are, in years or
    shaft hours).
    """
    rows = []
    for fit in (choice.years, choice.hours):
        if fit is None:
            continue
        rows.append(
            {
                "kind": choice.kind.name,
                "clock": fit.clock,
                "score": fit.score.total,
                "score_error": fit.score.error,
                "lead_of_hours": choice.lead,
                "lead_error": choice.error,
                "verdict": choice.verdict,
                "lines": len(choice.lines),
                "lives": len(choice.table),
                "failures": choice.failures,
                "left_out": choice.left_out,
                "unreliable": fit.score.unreliable,
                "as_set": fit.clock == choice.kind.clock,
                "half_worn_out": float(fit.ages_worn_out([0.5])[0]),
            }
        )
    return pd.DataFrame(rows, columns=CHOICE_COLUMNS)


LINE_COLUMNS = ["boat", "position", "lives", "failures", "score_years", "score_hours", "lead"]


def lines_table(choice: ClockChoice) -> pd.DataFrame:
    """The score of each shaft line on both clocks; `lead` is hours less years."""
    if choice.years is None or choice.hours is None:
        return pd.DataFrame(columns=LINE_COLUMNS)
    place = pd.MultiIndex.from_tuples(choice.lines, names=["boat", "position"])
    failed = (choice.table["outcome"] == "failed").groupby(
        [choice.table["boat"], choice.table["position"]]
    )
    years, hours = choice.years.score.by_unit, choice.hours.score.by_unit
    scores = pd.DataFrame(
        {
            "lives": failed.size().reindex(place),
            "failures": failed.sum().reindex(place),
            "score_years": years,
            "score_hours": hours,
            "lead": hours - years,
        },
        index=place,
    )
    return scores.reset_index()[LINE_COLUMNS]


LIFE_COLUMNS = ["boat", "position", "ended", "years", "hours", "hours_a_year"]

FAILED, FOUND, FITTED, REMOVED = "failed", "found failed at a lift", "still fitted", "removed sound"


def ages_table(choice: ClockChoice) -> pd.DataFrame:
    """Age of each life judged on both clocks, at its end or on the last day watched.

    Columns: `boat`, `position`, `ended` ("failed", "found failed at a lift", "still
    fitted", "removed sound"), `years` (calendar years) and `hours` (shaft hours), each in
    the middle of what is known, and `hours_a_year`.
    """
    if choice.years is None or choice.hours is None:
        return pd.DataFrame(columns=LIFE_COLUMNS)
    outcome = choice.years.nodes.outcome
    fitted = (choice.table["outcome"] == IN_SERVICE).to_numpy()
    sound = np.where(fitted, FITTED, REMOVED)
    failed = np.where(outcome == EXACT, FAILED, FOUND)
    found = choice.table[["boat", "position"]].copy()
    found["ended"] = np.where(outcome == CENSORED, sound, failed)
    for fit in (choice.years, choice.hours):
        lower, upper = (
            np.add.reduceat(fit.nodes.weight * age, fit.nodes.first)
            for age in (fit.nodes.lower, fit.nodes.upper)
        )
        found[fit.clock] = np.where(outcome == CENSORED, lower, (lower + upper) / 2)
    found["hours_a_year"] = found["hours"] / found["years"].where(found["years"] > 0)
    return found[LIFE_COLUMNS].reset_index(drop=True)
