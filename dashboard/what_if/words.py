"""What the page What if says; no Streamlit and no computation."""

from __future__ import annotations

from collections.abc import Sequence

from analytics.papers.words import money
from analytics.what_if.compared import Compared
from analytics.what_if.sentences import fewer, less

LEAD = "Change the plan for the days to come and see what it brings beside today's."
FORM = "Change the plan"
START = (
    "The form holds today's plan. Change what you want to try, give it a name and press "
    "**Work it out**: the difference to today's plan appears here, in words, as a table and as "
    "a picture. Nothing is worked out while you type, and nothing in the records is changed."
)
WORK_OUT = "Work it out"
NAME_HELP = "Under this name the plan is kept and compared."
LIMITS = (
    "Sound parts are renewed at the first lay-up lift after this age. An empty field is no limit: "
    "the part runs until it fails."
)
SEASON = (
    "Only month and day count. A season that is running on the last day of the records runs its "
    "course; the new days hold after it."
)
SAME_HOURS = "A longer or shorter season keeps the hours a year"
SAME_HOURS_HELP = (
    "Off: boats laid up ashore run as many hours on each day of the season as today, so a longer "
    "season brings more. On: the same hours a year, over other days."
)
HOURS = (
    "Hours of a base or of a boat in particular; a boat goes before her base, a base before all. "
    "Type into the empty row."
)
PRICES = (
    "Prices of a kind or a part number in particular; a number goes before its kind. "
    "Type into the empty row."
)
RATES = "Amounts in {currency}, as of the day the prices were taken."
SOLD = "Boats that leave the fleet: her parts count until that day."
ADDED = (
    "Boats that join, each like one you have: her shaft lines, kinds of parts and hours, with new "
    "parts. An empty base is the same base."
)
WRONG = "This cannot be worked out as it stands:"
UPLOAD = "Open changes from a file"
UPLOAD_HELP = "A TOML file that this page or the command handed out, or one written like it."
NO_LINK = "These changes are too many for a link; use the file."
LINK = (
    "The address of this page holds these changes: whoever opens it on the same records sees the "
    "same comparison. It carries the changes and the names in them, nothing else of the records."
)
KEPT = "Plans kept"
KEPT_NOTE = (
    "Kept for this visit, under their names, as long as the same folder is open; take the file or "
    "the link along to keep them longer. All are compared over as many seasons."
)
NOT_ANY_MORE = "Kept, but it cannot be made to the records as they are now:"
COUNTED = (
    "Failures out of turn are counted over the whole season year, from the end of one season to "
    "the end of the next. The rules compared on the page When to replace count those on charter "
    "days, so the numbers there are lower."
)
CHART = (
    "Dots are the mean difference, lines hold 90 of 100 futures; right of the line at 0 is more, "
    "left of it less. A circle is less than today, a diamond more, a cross no change."
)
BOATS = (
    "Chance that a boat has a failure in season {year} as things stand, nothing being renewed "
    "before it. Limits and prices do not touch it."
)
NO_PLANS = "No plan is kept yet."


def headline(first: str, said: Sequence[str]) -> str:
    """What a plan brings, behind what it changes where that is one thing."""
    if len(said) != 1 or first == said[0]:
        return first
    return f"{said[0].removesuffix('.')}: {first[0].lower()}{first[1:]}"


def budget(found: Compared, currency: str) -> str:
    """Mean and P80 of parts and labour over all seasons, with both plans."""
    row = found.row("budget")
    years = found.years
    span = f"{years[0]} to {years[-1]}" if len(years) > 1 else str(years[0])
    return (
        f"Parts and labour, {span} together: {money(row['changed'], currency)} instead of "
        f"{money(row['today'], currency)}; with room for 8 of 10 futures (P80) "
        f"{money(row['changed_p80'], currency)} instead of {money(row['today_p80'], currency)}."
    )


def exactness(found: Compared, currency: str) -> str:
    """How far the number of futures leaves the mean open."""
    failures, total, n = found.row("failures"), found.row("total"), len(found.years)
    return (
        "From the number of simulated futures the mean differences a season are known to about "
        f"±{1.64 * failures['simulation_error'] / n:.2f} failures and "
        f"±{money(1.64 * total['simulation_error'] / n, currency)}."
    )


def difference(measure_is_money: bool, value: float, currency: str) -> str:
    """A difference in words for a table or a picture."""
    return less(value, currency) if measure_is_money else fewer(value)


def season(year: int) -> str:
    """A season in a list; 0 is the average of all."""
    return str(year) if year else "a season, on average"
