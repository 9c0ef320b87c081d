"""The words that a person may say a text means."""

from __future__ import annotations

from collections.abc import Mapping

from analytics.records.mapping.fields import Holds
from analytics.records.tables import POSITIONS, REASONS

LEAVE = "leave"
"""The shape of a file or sheet that is not read."""

NOT_OURS = "none"
"""What stands in a list of words for a part that is none of a shaft's."""

OF_THE_BOAT = "of_the_boat"
"""What a part is where a job is about the engine, its hour meter or the boat as a whole."""

BOTH = "both"
"""Both shafts of a boat at once."""

_MEANINGS: Mapping[Holds, tuple[str, ...] | None] = {
    "kind": None,  # a kind may be the user's own
    "position": (*POSITIONS, BOTH),
    "reason": REASONS,
    "action": (
        "fitted",
        "removed",
        "replaced",
        "failed",
        "seen",
        "upkeep",
        "refurbished",
        "moved",
        "bought",
        "meter",
        "engine",
        "left",
        "other",
    ),
    "condition": ("sound", "degraded", "failed"),
    "found": ("afloat", "ashore"),
    "lay_up": ("ashore", "afloat"),
    "water": ("salt", "brackish", "fresh"),
}


def meanings(holds: Holds) -> tuple[str, ...] | None:
    """The words that a text of such a column may mean; None where it may mean any."""
    return _MEANINGS.get(holds)
