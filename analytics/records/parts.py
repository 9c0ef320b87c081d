"""Checks of `parts.csv` that need more than one cell: boats, sides, dates against each other."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from datetime import date, timedelta
from difflib import get_close_matches
from typing import Any

from analytics.records.cells import CheckedRows
from analytics.records.findings import Done, Finding
from analytics.records.settings import Settings

Row = dict[str, Any]

SAME_EVENT = timedelta(days=7)
"""Common practice, no source: two entries of one job lie within a week of each other."""


def check_parts(
    checked: CheckedRows,
    boats: dict[str, Row],
    settings: Settings,
    as_of: date,
    records_from: date | None,
) -> tuple[list[Row], dict[int, Finding]]:
    """Keep the rows that can be lives; reject, merge or ignore the others with a reason.

    Parameters
    ----------
    checked : CheckedRows
        Rows whose cells are right one by one; its findings and rejections grow.
    boats : dict of str to dict
        The boats by name.
    as_of, records_from : date
        Last day watched; first day on which removals were written down.

    Returns
    -------
    list of dict
        Rows that are lives, with windows cut to what was possible.
    dict of int to Finding
        Lines merged into another row.
    """
    check = _PartsCheck(checked, boats, settings, as_of, records_from)
    rows = [row for row in checked.rows if check.place(row) and check.times(row)]
    merged: dict[int, Finding] = {}
    kept: list[Row] = []
    for place_rows in _by_place(rows).values():
        lives = check.merge(place_rows, merged)
        kept += check.part_overlaps(check.close_followed(lives))
    return sorted(kept, key=lambda row: row["row"]), merged


def _by_place(rows: Iterable[Row]) -> dict[tuple[str, str, str], list[Row]]:
    places: dict[tuple[str, str, str], list[Row]] = defaultdict(list)
    for row in rows:
        places[row["boat"], row["position"], row["kind"]].append(row)
    for place_rows in places.values():
        # Not by line: what is kept must not depend on the order of the rows.
        place_rows.sort(key=lambda row: (_earliest(row), _latest(row), _all_cells(row)))
    return places


def _all_cells(row: Row) -> str:
    return repr(sorted((name, str(value)) for name, value in row.items() if name != "row"))


def _earliest(row: Row) -> date:
    return row["fitted_on_lo"] or date.min


def _latest(row: Row) -> date:
    return row["removed_on_hi"] or date.max


class _PartsCheck:
    def __init__(
        self,
        checked: CheckedRows,
        boats: dict[str, Row],
        settings: Settings,
        as_of: date,
        records_from: date | None,
    ) -> None:
        self.checked, self.boats, self.settings = checked, boats, settings
        self.as_of, self.records_from = as_of, records_from
        self.file = checked.table.file
        self.twins = {
            row["boat"] for row in checked.rows if row["position"] in ("port", "starboard")
        }

    def say(
        self, row: Row, field: str, found: object, expected: str, done: Done, remedy: str
    ) -> Finding:
        text = "" if found is None else str(found)
        finding = Finding(self.file, row["row"], field, text, expected, done, remedy)
        self.checked.findings.append(finding)
        if done == "rejected":
            self.checked.rejected.setdefault(row["row"], finding)
        if done == "ignored" and not field:
            self.checked.ignored.setdefault(row["row"], finding)
        return finding

    def reject(self, row: Row, field: str, found: object, expected: str, remedy: str) -> bool:
        self.say(row, field, found, expected, "rejected", remedy)
        return False

    def place(self, row: Row) -> bool:
        """Boat, side and kind: is it clear where the part sat?"""
        boat, position = row["boat"], row["position"]
        if boat not in self.boats:
            close = get_close_matches(boat, self.boats, n=1, cutoff=0.75)
            hint = f"Did you mean '{close[0]}'? " if close else ""
            return self.reject(row, "boat", boat, "a boat of boats.csv",
                               f"{hint}Correct the name, or add the boat to boats.csv.")  # fmt: skip
        if not position:
            if boat in self.twins:
                return self.reject(row, "position", "", "port or starboard on a boat with two shafts",
                                   "Fill in the side; two parts on one row need two rows.")  # fmt: skip
            row["position"] = "single"
        elif position == "single" and boat in self.twins:
            return self.reject(row, "position", position, "port or starboard on a boat with two shafts",
                               "Fill in the side.")  # fmt: skip
        row["kind"] = kind = row["kind"].lower().replace(" ", "_").replace("-", "_")
        if kind not in self.settings.kinds:
            close = get_close_matches(kind, self.settings.kinds, n=1, cutoff=0.8)
            if close:
                return self.reject(row, "kind", kind, "a kind of part that is known",
                                   f"Did you mean '{close[0]}'? If it is a kind of your own, "
                                   f"add [kinds.{kind}] to fleet.toml.")  # fmt: skip
            self.say(row, "kind", kind, "a kind that is known or listed in fleet.toml", "assumed",
                     f"Read as a kind of your own that ages by calendar years; add [kinds.{kind}] to "
                     "fleet.toml to give it a clock, a limit and a prior.")  # fmt: skip
        return True

    def times(self, row: Row) -> bool:
        """Dates against each other and against the last day watched."""
        fitted_lo, fitted_hi = row["fitted_on_lo"], row["fitted_on_hi"]
        removed_lo, removed_hi = row["removed_on_lo"], row["removed_on_hi"]
        boat = self.boats[row["boat"]]
        if fitted_lo and fitted_lo > self.as_of:
            return self.reject(row, "fitted_on", fitted_lo, f"a date up to {self.as_of}",
                               "Planned work is not a life: leave it out until it is done, "
                               "or correct as_of in fleet.toml.")  # fmt: skip
        if removed_lo and removed_lo > self.as_of:
            return self.reject(row, "removed_on", removed_lo, f"a date up to {self.as_of}",
                               "Correct the date, or as_of in fleet.toml.")  # fmt: skip
        if fitted_lo and removed_hi and removed_hi < fitted_lo:
            return self.reject(row, "removed_on", removed_hi, f"a date from {fitted_lo}, when it was fitted",
                               "One of the two dates is wrong: look at the invoice or the yard's log.")  # fmt: skip
        left = boat["left_on_hi"]
        if left and fitted_lo and fitted_lo > left:
            return self.reject(row, "fitted_on", fitted_lo, f"a date up to {left}, when the boat left",
                               "Correct the date, or left_on in boats.csv.")  # fmt: skip
        if not removed_lo and row["reason"]:
            return self.reject(row, "removed_on", "", f"a date for the removal ({row['reason']})",
                               "Fill in when it was removed; a year or a range will do.")  # fmt: skip
        if removed_lo and not row["reason"]:
            row["reason"] = "unknown"
            self.say(row, "reason", "", "why it was removed", "assumed",
                     "Read as unknown: counted as removed, not as failed. Fill it in if you know.")  # fmt: skip
        watched = max((d for d in (boat["joined_on_hi"], self.records_from) if d), default=None)
        if watched and removed_hi and removed_hi <= watched:
            self.say(row, "", removed_hi, f"a removal after {watched}, when this boat was first watched", "ignored",
                     "Lives that ended before then are known only by chance and would bias the fit. "
                     "If everything was written down from an earlier day, set records_from or joined_on to it.")  # fmt: skip
            return False
        self._cut_windows(row)
        self._check_sound(row)
        self._check_hours(row)
        return True

    def _cut_windows(self, row: Row) -> None:
        """A part is not removed before it is fitted, nor after the last day watched."""
        last = self.as_of
        if row["removed_on_hi"]:
            row["removed_on_hi"] = last = min(row["removed_on_hi"], last)
        if row["fitted_on_lo"]:
            row["fitted_on_hi"] = min(row["fitted_on_hi"], last)
            if row["removed_on_lo"]:
                row["removed_on_lo"] = max(row["removed_on_lo"], row["fitted_on_lo"])

    def _check_sound(self, row: Row) -> None:
        sound, removed, fitted = row["last_sound_on_lo"], row["removed_on_hi"], row["fitted_on_lo"]
        if not sound:
            return
        if sound > (removed or self.as_of) or (fitted and row["last_sound_on_hi"] < fitted):
            self.say(row, "last_sound_on", sound, "a date between fitting and removal", "ignored",
                     "Read as blank; correct the date.")  # fmt: skip
            row["last_sound_on_lo"] = row["last_sound_on_hi"] = None

    def _check_hours(self, row: Row) -> None:
        if row["removed_hours"] < row["fitted_hours"]:
            self.say(row, "removed_hours", row["removed_hours"], f"at least {row['fitted_hours']:g}", "ignored",
                     "A new meter, or a slip: both hours of this row are read as blank and hours.csv decides.")  # fmt: skip
            row["fitted_hours"] = row["removed_hours"] = float("nan")

    def merge(self, rows: list[Row], merged: dict[int, Finding]) -> list[Row]:
        """Two rows of one part whose dates lie within a week are one life."""
        kept: list[Row] = []
        for row in rows:
            twin = next((other for other in kept if _same_event(row, other)), None)
            if twin is None:
                kept.append(row)
                continue
            merged[row["row"]] = self.say(
                row, "", f"fitted {row['fitted_on_lo']}, removed {row['removed_on_lo']}",
                "one row for one life", "merged",
                f"The same removal as row {twin['row']}, which is kept; delete one of the two.")  # fmt: skip
        return kept

    def close_followed(self, rows: list[Row]) -> list[Row]:
        """A part still open although another was fitted after it was removed then."""
        for row, follower in zip(rows, rows[1:], strict=False):
            follows = follower["fitted_on_lo"]
            if row["removed_on_lo"] or not follows or follows <= _earliest(row) + SAME_EVENT:
                continue
            row["removed_on_lo"], row["removed_on_hi"] = follows, follower["fitted_on_hi"]
            row["reason"] = "unknown"
            self.say(row, "removed_on", "", f"a removal before row {follower['row']} was fitted", "assumed",
                     f"Read as removed when row {follower['row']} was fitted, for a reason not known. "
                     "Fill in when and why.")  # fmt: skip
        return rows

    def part_overlaps(self, rows: list[Row]) -> list[Row]:
        """Two parts cannot sit in one place: both rows are set aside."""
        wrong: dict[int, Row] = {}
        for i, row in enumerate(rows):
            for other in rows[i + 1 :]:
                if self._in_place_at_once(row, other):
                    wrong[row["row"]], wrong[other["row"]] = other, row
        for row in rows:
            if other := wrong.get(row["row"]):
                self.reject(row, "fitted_on", f"{row['fitted_on_lo']} to {row['removed_on_hi'] or 'now'}",
                            f"one part at a time; row {other['row']} was in place "
                            f"{other['fitted_on_lo'] or '?'} to {other['removed_on_lo'] or 'now'}",
                            "Usually a removal written down late: correct the dates of one of the two.")  # fmt: skip
        return [row for row in rows if row["row"] not in wrong]

    def _in_place_at_once(self, row: Row, other: Row) -> bool:
        (a_lo, a_hi), (b_lo, b_hi) = self._surely_in_place(row), self._surely_in_place(other)
        # A part of unknown fitting is surely there only on its last day: a point.
        return min(a_hi, b_hi) - max(a_lo, b_lo) > SAME_EVENT or (
            (a_lo == a_hi or b_lo == b_hi)
            and max(a_lo, b_lo) - SAME_EVENT > min(a_lo, b_lo)
            and max(a_lo, b_lo) + SAME_EVENT < max(a_hi, b_hi)
            and max(a_lo, b_lo) <= min(a_hi, b_hi)
        )

    def _surely_in_place(self, row: Row) -> tuple[date, date]:
        last: date = row["removed_on_lo"] or self.as_of
        first: date = row["fitted_on_hi"] or last
        return min(first, last), last


def _same_event(row: Row, other: Row) -> bool:
    return all(
        _close(row[f"{end}_on_{side}"], other[f"{end}_on_{side}"])
        for end in ("fitted", "removed")
        for side in ("lo", "hi")
    )


def _close(a: date | None, b: date | None) -> bool:
    if a is None or b is None:
        return a is b
    return abs(a - b) <= SAME_EVENT
