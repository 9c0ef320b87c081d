"""What the page says of clearance readings; no Streamlit."""

from __future__ import annotations

from typing import Any

import pandas as pd

from analytics.papers.words import percent
from analytics.records.kinds import Kind
from analytics.records.wear_limits import BEARING
from dashboard import words

MANY = 3
"""Bearings that are told in sentences; the table tells of all."""

NOT_THE_MAKER = (
    "A reading is a measurement of one day, not an inspection of the clearance, the rubber or the "
    "shaft, and a limit shown here is not the bearing maker's unless it says so. Where the maker's "
    "instructions differ, they hold."
)

WHAT_TO_WRITE = (
    "**No clearance is on a bearing here yet.** At each lift, measure the clearance between shaft "
    "and bearing and write one row into `readings.csv`: `boat`, `position` (port or starboard on a "
    "twin), `kind` (`cutless_bearing`), `read_on` (the day), `measure` and `value`. Write the unit "
    "into `measure`: `clearance_mm` or `clearance_in`, and how it was taken if you know, such as "
    "`clearance_vertical_dry_feeler_mm`. Always measure in the same direction. One reading places "
    "a bearing against its limit; from the second on it shows a rate of its own."
)

NOT_MEASURED = (
    "Clearance readings are of cutless bearings; for this kind of part none are used. Choose "
    "cutless bearing above to see them."
)

BY_YEARS = (
    "Wear is followed by shaft hours, and these bearings are set to age by years: take `clock` out "
    "of their section in `fleet.toml` to see it."
)

LIMITS = (
    "Limits go by the size of the bearing. Those that come with the program are planning defaults: "
    "practices differ by a factor of two. Set your maker's or yard's own in `fleet.toml` under "
    '`[wear.limits."30 mm"]`: `new_mm`, `watch_mm`, `renew_mm`, and `whose` they are. A limit for '
    "25 mm is not used for 1 in."
)

CAPTION = (
    "Dots: readings. Thick line: the bearing named, with its 90 % range, carried on past the last "
    "reading by its dashes. Thin lines: other bearings of that size, up to their last day. Crossed "
    "by the limit lines, with whose limit it is."
)

TWO_CHANCES = (
    "Two chances are given for the same season. **By readings alone** carries each bearing's line "
    "on and knows nothing else. **In the outlook** is the one that counts, on the page of boats "
    "too: it joins the line with the failures of the fleet and with the last day on which the "
    "bearing was known to be sound, and it counts early failures and accidents. They differ most "
    "where a bearing was read once or twice: its line leaves much open, and what other bearings "
    "lasted settles it."
)

ALONE = (
    "Chances are by readings alone: in the outlook these bearings are judged by the failures of "
    "their kind, without their readings."
)

SHARED_RATE = "one reading only: the rate leans on that of the other bearings read"


def bearing(row: pd.Series) -> str:
    """Which bearing a row is of."""
    side = "" if row["position"] in ("", "single") else f", {row['position']}"
    return f"{row['boat']}{side}"


def whose(text: str) -> str:
    """Whose limit it is, in short."""
    return text.removesuffix(", no source")


def told(row: pd.Series) -> str:
    """One bearing in a sentence.

    Parameters
    ----------
    row : Series
        Of `wear_table`.
    """
    name = words.plain(bearing(row))
    sentence = (
        f"**{name}**: {row['last_mm']:.2f} mm at {row['last_hours']:,.0f} h "
        f"({words.day(row['last_read_on'])}); wears {row['rate']:.2f} mm in 1,000 h "
        f"({row['rate_low']:.2f} to {row['rate_high']:.2f}"
    )
    sentence += f"; {SHARED_RATE}); " if row["readings"] < 2 else "); "
    if pd.isna(row["limit_mm"]):
        return f"{sentence}no limit is known for its size, so no hours are given."
    limit = f"{row['limit_mm']:.2f} mm ({words.plain(whose(row['limit_from']))})"
    if row["over_limit"] >= 0.5:
        chance = percent(row["over_limit"])
        seen = ""
        if row["last_sound_on"] > row["last_read_on"]:
            seen = (
                f" The records still count it as sound on {words.day(row['last_sound_on'])}, after "
                "that reading: measure it again."
            )
        return (
            f"{sentence}most likely past the limit of {limit} already (chance {chance} by readings "
            f"alone).{seen}"
        )
    return (
        f"{sentence}reaches the limit of {limit} between {_hundreds(row['at_limit_low'])} and "
        f"{_hundreds(row['at_limit_high'])} h, most likely about {_hundreds(row['at_limit'])} h. "
        f"It has now run {row['hours_run']:,.0f} h. Chance that it is reached by "
        f"{words.day(row['season_end'])}: {percent(row['by_season_end'])} by readings "
        f"alone{in_outlook(row)}."
    )


def in_outlook(row: pd.Series) -> str:
    """The chance of failing by then that the boats page counts, where readings are in it."""
    chance = row["with_failures_by_season_end"]
    return "" if pd.isna(chance) else f"; {percent(chance)} in the outlook, with the failures"


def nothing(kind: Kind) -> str:
    """What to do where there are no readings of a kind."""
    if kind.name != BEARING:
        return NOT_MEASURED
    return WHAT_TO_WRITE if kind.clock == "hours" else BY_YEARS


def left_out(aside: pd.DataFrame) -> str:
    """How many readings are on no path, and why."""
    reasons = aside["why"].value_counts()
    listed = "; ".join(f"{number} × {why}" for why, number in reasons.items())
    one = len(aside) == 1
    return f"{len(aside)} {'reading is' if one else 'readings are'} kept and not used: {listed}."


def shown(table: pd.DataFrame) -> pd.DataFrame:
    """The table of the page: units in its headers, numbers behind its texts."""
    return pd.DataFrame(
        {
            "Bearing": [bearing(row) for _, row in table.iterrows()],
            "Size": table["size"],
            "Readings": table["readings"],
            "Last, mm": table["last_mm"],
            "mm in 1,000 h": table["rate"],
            "Limit, mm": table["limit_mm"],
            "Whose limit": [whose(text) for text in table["limit_from"]],
            "Hours to limit": table["hours"],
            "Likely range, h": table["hours_low"],
            "Reached about": [_month(when) for when in table["date"]],
            "By season's end, readings alone, %": table["by_season_end"] * 100,
            "By season's end, in the outlook, %": table["with_failures_by_season_end"] * 100,
        }
    )


def ranges(table: pd.DataFrame) -> list[str]:
    """Hours to the limit with their 90 % range, cell by cell."""
    return [
        "no limit" if pd.isna(low) else f"{_hundreds(low, 50)} to {_hundreds(high, 50)}"
        for low, high in zip(table["hours_low"], table["hours_high"], strict=True)
    ]


def _hundreds(hours: float, step: int = 100) -> str:
    return f"{round(hours / step) * step:,.0f}"


def _month(when: Any) -> str:
    return "" if pd.isna(when) else f"{when:%Y-%m}"
