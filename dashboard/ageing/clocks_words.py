"""What the page says about clocks: years or shaft hours, and how well the hours are known."""

from __future__ import annotations

import numpy as np
import pandas as pd

from analytics.ageing.clock_choice import CLEAR_SCORE, ClockChoice
from analytics.ageing.hours_known import UNDATED
from analytics.ageing.hours_run import ASSUMED, BETWEEN, READ

HEADING = "Years or shaft hours"
SCORES = "The scores"
HOURS = "How well the hours of these lives are known"
COMING = "What a year brings each boat"

CLOCKS = {"years": "calendar years", "hours": "shaft hours"}

METHOD = (
    "Every shaft line is left out in turn, and what happened on it is foretold from all the "
    "others, once by years and once by shaft hours, both with the same wide belief. The score "
    "adds up the logarithms of the chances that were given to what happened: a lead of 1 means "
    "that the chance given was 2.7 times as high, a lead of 5 about 150 times. A clock is called "
    f"better where its lead is more than {CLEAR_SCORE:g} and its 90 % range leaves out no lead. "
    "On which day of a season a part failed plays no part. All parts are taken as alike here, "
    "whatever their base or lot."
)

ROUGH = (
    "The age by which half are worn out is of this comparison, without groups and with a wide "
    "belief, so that it differs from the fitted curve: plan by the section on curves."
)

PICTURE = (
    "A mark per life, at its age on both clocks when it ended or when last watched. The level "
    "band holds the middle half of worn-out parts by shaft hours, the upright band by years. "
    "Failures that lie along the level band, young and old in years, speak for hours; along the "
    "upright band, for years. Where all boats run alike, both say the same."
)

HOURS_CAPTION = (
    "Between two readings of one meter the hours lie between the two: those bounds are sure. "
    "Outside the readings the bounds are the 90 % range of the boat's usual use. Both take in the "
    "days on which a part may have been fitted and may have failed. Hours that are known badly "
    "are carried into the fit with their spread."
)

COMING_CAPTION = (
    "Hours a year as run so far, and what one coming year may bring: in nine years of ten the "
    "hours lie in the range. The range holds the boat's busy and quiet years, and how well its "
    "usual hours are known."
)

SOURCES = {
    READ: "hours read at a service at both ends",
    BETWEEN: "hours that lie between two readings",
    ASSUMED: "hours taken in part from the boat's usual use",
    UNDATED: "a day of fitting too little known to count hours from",
}

BASIS = {
    "meter": "its meter",
    "hours_per_season": "hours_per_season in boats.csv",
    "fleet": "the mean of the other boats",
}


def verdict(choice: ClockChoice) -> str:
    """What the comparison found."""
    return f"**{choice.sentence}**"


def in_force(choice: ClockChoice) -> str:
    """Which clock the pages use, and how to set another."""
    clock = choice.kind.clock
    used = f"All pages age this kind by {CLOCKS[clock]}."
    if choice.better == clock:
        return used
    return (
        f'{used} To age it by {CLOCKS[choice.better]}, write `clock = "{choice.better}"` under '
        f"`[kinds.{choice.kind.name}]` in fleet.toml, with `at` and `worn_out` on that clock."
    )


def judged(choice: ClockChoice) -> str:
    """The lives behind the comparison."""
    lives, lines = len(choice.table), len(choice.lines)
    text = f"{lives} lives on {lines} shaft lines are judged, {choice.failures} of them failed."
    if choice.left_out:
        text += (
            f" {choice.left_out} more are left out on both clocks, as no hours are known of "
            "their lines."
        )
    return text


def alike(ages: pd.DataFrame) -> str:
    """How much the boats differ in use: what the comparison can see."""
    rates = ages.loc[ages["years"] > 1.0, "hours_a_year"].dropna()
    if len(rates) < 2:
        return ""
    low, high = np.quantile(rates, [0.05, 0.95])
    text = f"Nine in ten of these parts ran {low:,.0f} to {high:,.0f} shaft hours a year."
    if high < 2.0 * max(float(low), 1e-9):
        text += " That is little apart, so that years and hours say nearly the same."
    return text


def hours_known(table: pd.DataFrame) -> list[str]:
    """How many lives have hours of each source, one sentence each."""
    counts = table["known"].value_counts()
    of = f"of {len(table)} lives"
    return [f"{counts[key]} {of}: {words}." for key, words in SOURCES.items() if key in counts]
