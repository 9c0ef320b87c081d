"""Parts that came from another boat: one life in two spells, each in its own place.

The spell on the first boat ends like a removal for other work: the part was
sound. The spell on the second begins with the age that the part had by then.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from datetime import date, timedelta
from itertools import pairwise

from analytics.records.cells import CheckedRows, Row

SAME_FITTING = timedelta(days=7)
"""Common practice, no source: two entries of one job lie within a week of each other."""


def in_place_from(row: Row) -> tuple[date | None, date | None]:
    """First and last day on which a part can have come into its place; None for not known."""
    if row["here_since_lo"]:
        return row["here_since_lo"], row["here_since_hi"]
    return row["fitted_on_lo"], row["fitted_on_hi"]


def end_spells(checked: CheckedRows) -> None:
    """A part that is on another boat now is no longer on the first: known by its serial."""
    if not any(row["here_since_lo"] and row["serial"] for row in checked.rows):
        return
    spells: dict[tuple[str, str], list[Row]] = defaultdict(list)
    for row in checked.rows:
        if row["serial"]:
            spells[row["kind"], row["serial"]].append(row)
    ended: list[int] = []
    for rows in spells.values():
        for spell, follower in pairwise(sorted(rows, key=_by_time)):
            if _goes_on(spell, follower) and not spell["reason"]:
                if not spell["removed_on_lo"]:
                    spell["removed_on_lo"] = follower["here_since_lo"]
                    spell["removed_on_hi"] = follower["here_since_hi"]
                spell["reason"] = "other_work"
                ended.append(spell["row"])
    checked.say_of(
        ended,
        "removed_on",
        "",
        "when and why it was removed from its first place",
        "assumed",
        "Another row has this serial in another place from a later day: read as removed sound "
        "by that day, for other work.",
        sort="part_moved",
    )


def _by_time(row: Row) -> tuple[date, list[str]]:
    cells = [str(value) for name, value in row.items() if name != "row"]
    return in_place_from(row)[0] or date.min, cells


def _goes_on(spell: Row, follower: Row) -> bool:
    """True where the follower is the same part, in another place from a later day."""
    since = follower["here_since_lo"]
    began, fitted = in_place_from(spell)[0], follower["fitted_on_lo"]
    if not since or (spell["boat"], spell["position"]) == (follower["boat"], follower["position"]):
        return False
    if began and began >= since:
        return False
    if spell["removed_on_lo"] and spell["removed_on_lo"] > since + SAME_FITTING:
        return False
    first = spell["fitted_on_lo"]
    return not (first and fitted) or abs(first - fitted) <= SAME_FITTING


def say_moved(checked: CheckedRows, rows: Iterable[Row]) -> None:
    """Say of the parts that came from another boat how their age is counted."""
    checked.say_of(
        [row["row"] for row in rows if row["here_since_lo"]],
        "here_since",
        "",
        "a part that has been in one place since it was fitted",
        "noted",
        "It keeps the age that it had when it came here, and counts from that day. Where hours age "
        "it, the hours on the other boat are taken at this boat's own rate, and fitted_hours, "
        "which another meter showed, is not read.",
        sort="part_moved",
    )
