"""What is said of events that were merged, left out or read in a certain way."""

from __future__ import annotations

from analytics.records.events.life import Life
from analytics.records.events.rows import Rows
from analytics.records.events.told import Telling
from analytics.records.events.windows import written


def _on(rows: Rows, i: int) -> str:
    return written(rows.lo[i], rows.hi[i])


def _end(life: Life) -> str:
    return written(life.end_lo, life.end_hi)


def same_fitting(telling: Telling, rows: Rows, i: int, life: Life) -> None:
    """Two entries of one fitting."""
    telling.leave_out(
        rows.line[i],
        "merged",
        "on",
        f"{rows.deed[i]} {_on(rows, i)}",
        f"one entry of one job; another tells of it on {_on(rows, life.begin_event)}",
        "Two entries within a week are read as one. If two parts were fitted, "
        "give each its serial or lot.",
        "removal_entered_twice",
        life.begin_line,
    )


def same_end(telling: Telling, rows: Rows, i: int, life: Life, outcome: str, differ: bool) -> None:
    """A further entry of one end; `outcome` is ``used`` where it says something more."""
    found = f"{rows.deed[i]} {_on(rows, i)}"
    remedy = f" They differ in the reason; '{life.reason}' is used." if differ else ""
    if outcome == "merged":
        if rows.deed[i] == "replaced":
            # Told of with its fitting.
            if differ:
                telling.say(
                    rows.line[i],
                    "reason",
                    rows.reason[i],
                    "one reason for one removal",
                    "noted",
                    remedy.strip(),
                    "removal_entered_twice",
                    life.end_line,
                )
            return
        telling.leave_out(
            rows.line[i],
            "merged",
            "on",
            found,
            f"one entry of one removal; another tells of it on {_end(life)}",
            f"Read as one, on the day of the first; delete one of the two.{remedy}",
            "removal_entered_twice",
            life.end_line,
        )
    elif differ:
        telling.say(
            rows.line[i],
            "reason",
            rows.reason[i],
            f"a reason that fits the end on {_end(life)}",
            "assumed",
            f"Read as the same end, on the first of the two days.{remedy}",
            "reasons_differ",
            life.end_line,
        )


def removal_missing(telling: Telling, rows: Rows, life: Life) -> None:
    """A new part fitted while the old one was never told of as removed."""
    telling.say(
        rows.line[life.end_event],
        "on",
        f"fitted {_end(life)}",
        "a removal of the part before it",
        "assumed",
        "The part before it is read as removed on that day, for a reason not known. "
        "Add when and why it came out.",
        "removal_missing",
        life.begin_line if life.begin_line >= 0 else life.end_line,
    )


def nothing_fitted(telling: Telling, life: Life) -> None:
    """The last that is told of a place is that its part came out."""
    telling.say(
        life.end_line,
        "on",
        f"{life.ended_by} {_end(life)}",
        "a fitting afterwards, while the boat goes on",
        "noted",
        "No fitting is told of, so no life is made up: whatever is in place now is not counted. "
        "Add its fitting.",
        "bought_not_fitted",
    )


def bought_not_fitted(telling: Telling, rows: Rows, i: int) -> None:
    """Taken from the stores, and no fitting bears it out."""
    telling.leave_out(
        rows.line[i],
        "ignored",
        "action",
        "bought",
        "a fitting of the same job or part number within 60 days",
        "A part on the shelf does not age in a boat. If it was fitted, add the fitting.",
        "bought_not_fitted",
    )


def bought_for(telling: Telling, rows: Rows, i: int, fitting: int) -> None:
    """Taken from the stores for a fitting that is told of."""
    telling.leave_out(
        rows.line[i],
        "merged",
        "on",
        f"bought {_on(rows, i)}",
        f"one entry of one job; its fitting is told of on {_on(rows, fitting)}",
        "Put with the fitting, which takes lot, size and part number from it where it has none.",
        "job_and_parts_lines",
        rows.line[fitting],
    )


def seen_after_removal(telling: Telling, rows: Rows, i: int, last: Life) -> None:
    """Looked at when it was already out."""
    telling.leave_out(
        rows.line[i],
        "ignored",
        "on",
        f"seen {_on(rows, i)}",
        f"a day before its end on {_end(last)}, or a fitting in between",
        "Read as said of the part that had come out or failed. If another was in place, "
        "add its fitting.",
        "seen_after_removal",
        last.end_line,
    )


def in_place_unfitted(telling: Telling, rows: Rows, i: int) -> None:
    """Seen in a place from which the last part had been removed."""
    telling.say(
        rows.line[i],
        "on",
        f"seen {_on(rows, i)}",
        "a fitting since the removal before it",
        "assumed",
        "A part was in place, so one was fitted in between. Add its fitting.",
        "fit_date_unknown",
    )


def ended_unfitted(telling: Telling, rows: Rows, i: int, last: Life) -> None:
    """The end of a part that nobody fitted or saw since the one before it came out."""
    telling.say(
        rows.line[i],
        "on",
        f"{rows.deed[i]} {_on(rows, i)}",
        f"a fitting since the end before it on {_end(last)}",
        "assumed",
        "Too long after it to be the same end, so a part was fitted in between, nobody knows "
        "when. Add its fitting, or delete one of the two ends.",
        "fit_date_unknown",
        last.end_line,
    )


def seen_nothing_said(telling: Telling, rows: Rows, i: int) -> None:
    """An inspection without a result."""
    telling.leave_out(
        rows.line[i],
        "ignored",
        "condition",
        "",
        "how the part was found",
        "Says nothing of the part. Fill in whether it was sound.",
        "inspection_blank",
    )


def degraded(telling: Telling, rows: Rows, i: int) -> None:
    """Below what is wanted, but working."""
    telling.say(
        rows.line[i],
        "condition",
        "degraded",
        "sound or failed",
        "assumed",
        "It still did its work: counted as sound on that day, not as failed.",
        "seen_degraded",
    )


def refurbished(telling: Telling, rows: Rows, i: int, renews: bool) -> None:
    """A part made good; whether its age begins again goes by the clock of its kind."""
    if renews:
        telling.say(
            rows.line[i],
            "action",
            "refurbished",
            "a renewal, or none",
            "assumed",
            "What wears by hours was renewed: a new life begins on that day.",
            "part_refurbished",
        )
    else:
        telling.leave_out(
            rows.line[i],
            "ignored",
            "action",
            "refurbished",
            "a renewal, or none",
            "Rubber that ages by years is no younger for it: the age goes on.",
            "part_refurbished",
        )


def warranty(telling: Telling, rows: Rows, i: int) -> None:
    """The maker paid for the new part."""
    telling.say(
        rows.line[i],
        "reason",
        "warranty",
        "why it was removed",
        "noted",
        "Who paid says nothing of the part: it counts as failed only where the reason says so.",
        "warranty_swap",
    )


def recalled(telling: Telling, rows: Rows, i: int, life: Life | None) -> None:
    """Called back by its maker before it failed."""
    lot = (life.lot if life else "") or rows.lot[i]
    telling.say(
        rows.line[i],
        "lot",
        lot,
        "the lot called back",
        "noted",
        "Called back and not failed: counted as removed sound.",
        "recalled_lot",
    )


def upkeep(telling: Telling, rows_line: int, text: str, used: bool) -> None:
    """Work that renews nothing."""
    remedy = "Renews nothing: the age of the part goes on."
    if used:
        remedy += " Its hours are used."
        telling.say(rows_line, "action", text, "a renewal", "noted", remedy, "upkeep_not_renewal")
    else:
        telling.leave_out(
            rows_line, "ignored", "action", text, "a renewal", remedy, "upkeep_not_renewal"
        )
