"""What the page on when to replace says beyond the sentences it shares with the terminal."""

from __future__ import annotations

from analytics.papers import replacement as says
from dashboard.words import plain

LEAD = "At what age to renew parts that are still sound, what that costs, and what else one may do."

NO_PARTS = "No part in these records is still in service, so there is nothing to replace."

EVERY_KIND = "Every kind and base"
TAKEN_FOR_GRANTED = "What the cost by age takes for granted"
LIFT_BY_LIFT = "Lift by lift"

PER = ("year", "1,000 shaft hours")

CURVE = (
    "Each point is one rule: renew at that lift whatever has not failed before. Too early, and "
    "sound parts are thrown away; too late, and they fail under way. The band holds 90 % of what "
    f"is believed of how the parts age. Costs are those of the {says.LONG_RUN}."
)
LIFTS = (
    "Best, in 100: how often that lift costs least among 100 curves that the records allow. The "
    "last column dates the lift for a part that is fitted at the next one."
)


def stands_caption(currency: str) -> str:
    """How to read the table of every kind and base."""
    return (
        f"{says.SHORTER_WINS} Cheaper age: where the range of its gain leaves out 0. Least cost: "
        f"in brackets the ages that cost about the same. Money is {plain(currency)} per part and "
        f"year ({says.LONG_RUN}), with its 90 % range: what the age of least cost saves against "
        "running to failure, and what the limit costs beside it."
    )


RULES = "Rules compared on the same futures"
RULES_LEAD = (
    "What the coming seasons would bring if another rule than today's limits said when to renew."
)
RULES_TOGGLE = "Simulate each rule"
WHAT_RULES_DO = "What each rule does, and what the comparison takes for granted"

THRESHOLDS = (0.02, 0.05, 0.10, 0.15, 0.20, 0.30)
THRESHOLD_HELP = (
    "Of one rule: a part that stops the boat is renewed at the lay-up lift at which its chance of "
    "wearing out before the season ends is above this."
)
DIFFERENCES = (
    "Each mark is the mean difference to the limits as set, with the range that holds 90 % of the "
    "futures. Left of the dashed line: less than today. The futures are the same for every rule, "
    "so that a difference is known better than either number."
)


def rules_help(n_futures: int) -> str:
    """Why so large a fleet is asked first."""
    return f"{n_futures:,} futures for each rule: for so many parts that takes a while."


def rules_caption(currency: str) -> str:
    """How to read the table of rules."""
    return (
        f"Means over the futures, with 90 % ranges where named so; money in {plain(currency)}. "
        "Change: beside the limits as set. Failures in season: afloat on charter days, accidents "
        "among them; the page What if counts those of the whole season year. Found worn: at a "
        "lay-up lift. Consequence: lift out of turn, tow, lost charter days."
    )
