"""Rows of one place against each other: the same part twice, followed by another, two at once."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from datetime import date, timedelta
from itertools import pairwise

from analytics.records.boats import Boats
from analytics.records.cells import CheckedRows, Row
from analytics.records.findings import Finding
from analytics.records.moves import in_place_from
from analytics.records.settings import Settings

SAME_EVENT = timedelta(days=7)
"""Common practice, no source: two entries of one job lie within a week of each other."""


def check_places(
    checked: CheckedRows, rows: Iterable[Row], boats: Boats, settings: Settings, as_of: date
) -> tuple[list[Row], dict[int, Finding]]:
    """Merge double entries, close lives that another followed, set overlaps aside.

    Parameters
    ----------
    rows : iterable of dict
        Rows of `parts.csv` that are right one by one.

    Returns
    -------
    list of dict
        Rows that are lives, by line.
    dict of int to Finding
        Lines merged into another row.
    """
    merged: dict[int, Finding] = {}
    kept: list[Row] = []
    for place_rows in _by_place(rows):
        lives = place_rows
        if len(place_rows) > 1:
            lives = _merge(checked, place_rows, merged)
            lives = _close_followed(checked, lives, boats, settings)
            lives = _set_overlaps_aside(checked, lives, boats, as_of)
        kept += lives
    return sorted(kept, key=lambda row: row["row"]), merged


def ignore_unwatched(checked: CheckedRows, row: Row, ended: date, watched: date) -> None:
    """Leave out a life that was over when its boat was first watched."""
    checked.ignore(
        row["row"],
        ended,
        f"an end after {watched}, when this boat was first watched",
        "Lives that ended before then are known only by chance and would bias the fit. If "
        "everything was written down from an earlier day, set records_from or joined_on to it.",
        sort="outside_records",
    )


def _by_place(rows: Iterable[Row]) -> Iterable[list[Row]]:
    places: dict[tuple[str, str, str], list[Row]] = defaultdict(list)
    for row in rows:
        places[row["boat"], row["position"], row["kind"]].append(row)
    for place_rows in places.values():
        if len(place_rows) > 1:
            # Not by line: what is kept must not depend on the order of the rows.
            place_rows.sort(key=_time)
            if any(_time(row) == _time(other) for row, other in pairwise(place_rows)):
                place_rows.sort(key=_time_and_cells)
    return places.values()


def _time(row: Row) -> tuple[date, date]:
    return in_place_from(row)[0] or date.min, row["removed_on_hi"] or date.max


def _time_and_cells(row: Row) -> tuple[tuple[date, date], list[str]]:
    return _time(row), [str(value) for name, value in row.items() if name != "row"]


def _merge(checked: CheckedRows, rows: list[Row], merged: dict[int, Finding]) -> list[Row]:
    """Two rows of one part whose dates lie within a week are one life."""
    kept: list[Row] = []
    for row in rows:
        first = next((other for other in kept if _same_event(row, other)), None)
        if first is None:
            kept.append(row)
            continue
        remedy = f"The same part as {checked.where(first['row'])}: delete one of the two."
        if row["reason"] != first["reason"]:
            reasons = sorted({row["reason"], first["reason"]}, key=_REASONS_BY_WEIGHT.index)
            first["reason"] = reasons[0]
            remedy += f" They differ in the reason; '{reasons[0]}' is used."
        merged[row["row"]] = checked.say(
            row["row"],
            "",
            f"fitted {row['fitted_on_lo']}, removed {row['removed_on_lo']}",
            "one row for one life",
            "merged",
            remedy,
            sort="removal_entered_twice",
        )
    return kept


# Where two entries of one removal differ, the one that says more of the part stands.
_REASONS_BY_WEIGHT = (
    "failed",
    "accident",
    "replaced_sound",
    "other_work",
    "boat_left",
    "unknown",
    "",
)


def _same_event(row: Row, other: Row) -> bool:
    came, others_came = in_place_from(row), in_place_from(other)
    if came[1] and row["removed_on_lo"] and came[1] > row["removed_on_lo"]:
        # Fitted and removed in 2015, twice: one may well have followed the other.
        return False
    return all(map(_close, came, others_came)) and all(
        _close(row[name], other[name]) for name in ("removed_on_lo", "removed_on_hi")
    )


def _close(a: date | None, b: date | None) -> bool:
    if a is None or b is None:
        return a is b
    return abs(a - b) <= SAME_EVENT


def _close_followed(
    checked: CheckedRows, rows: list[Row], boats: Boats, settings: Settings
) -> list[Row]:
    """A part written as still fitted, although another was fitted later, was removed by then."""
    unwatched: set[int] = set()
    for row, follower in pairwise(rows):
        came, (follows, follows_by) = in_place_from(row)[0], in_place_from(follower)
        if row["removed_on_lo"] or not follows:
            continue
        if came and follows <= came + SAME_EVENT:
            continue
        if not came and rows[-1]["removed_on_lo"]:
            continue  # undated, and every dated part is gone: it is the one in place now
        row["removed_on_lo"], row["removed_on_hi"] = follows, follows_by
        if row["fitted_on_lo"]:
            row["fitted_on_hi"] = min(row["fitted_on_hi"], row["removed_on_hi"])
        if row["here_since_lo"] and row["here_since_hi"] >= row["removed_on_hi"]:
            row["here_since_hi"] = row["here_since_lo"]
        row["reason"] = "unknown"
        checked.say(
            row["row"],
            "removed_on",
            "",
            f"a removal before {checked.where(follower['row'])} was fitted",
            "assumed",
            f"Read as removed when {checked.where(follower['row'])} was fitted, for a reason not "
            "known. Fill in when and why.",
            sort="removal_missing",
        )
        watched = boats.watched_from(row["boat"], settings)
        if watched and row["removed_on_hi"] <= watched:
            ignore_unwatched(checked, row, row["removed_on_hi"], watched)
            unwatched.add(row["row"])
    return [row for row in rows if row["row"] not in unwatched]


def _set_overlaps_aside(
    checked: CheckedRows, rows: list[Row], boats: Boats, as_of: date
) -> list[Row]:
    """Two parts cannot sit in one place: both rows are rejected."""
    spans = [(row, _surely_in_place(row, boats, as_of)) for row in rows]
    at_once: dict[int, Row] = {}
    for i, (row, span) in enumerate(spans):
        for other, other_span in spans[i + 1 :]:
            if span and other_span and _overlap(span, other_span):
                at_once[row["row"]], at_once[other["row"]] = other, row
    for row in rows:
        if beside := at_once.get(row["row"]):
            checked.reject(
                row["row"],
                "fitted_on",
                _in_words(row),
                f"one part at a time; {checked.where(beside['row'])} was in place "
                f"{_in_words(beside)}",
                "Usually a removal written down late: correct the dates of one of the two.",
                sort="lives_overlap",
            )
    return [row for row in rows if row["row"] not in at_once]


Span = tuple[date, date]


def _surely_in_place(row: Row, boats: Boats, as_of: date) -> Span | None:
    """First and last day on which the part was in place whatever its dates mean exactly.

    Of an undated part that is one day alone: the last.
    """
    came_by = in_place_from(row)[1]
    if row["removed_on_lo"]:
        first, last = came_by or row["removed_on_hi"], row["removed_on_lo"]
    else:
        last = boats.watched_to(row["boat"], as_of)
        first = came_by or last
    return (first, last) if first <= last else None


def _overlap(a: Span, b: Span) -> bool:
    """True where two spans share more than a week, or a lone day lies a week inside the other."""
    for day, (first, last) in ((a, b), (b, a)):
        if day[0] == day[1]:
            return first + SAME_EVENT < day[0] < last - SAME_EVENT
    return min(a[1], b[1]) - max(a[0], b[0]) > SAME_EVENT


def _in_words(row: Row) -> str:
    return f"{in_place_from(row)[0] or '?'} to {row['removed_on_hi'] or 'now'}"
