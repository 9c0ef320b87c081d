"""The dates of one row of `parts.csv` against each other, the boat's and what was watched."""

from __future__ import annotations

from datetime import date

from analytics.records.boats import Boats
from analytics.records.cells import CheckedRows, Row
from analytics.records.moves import in_place_from
from analytics.records.places import ignore_unwatched
from analytics.records.settings import Settings


class DateCheck:
    """Each check says what it found and answers whether the row can be used."""

    def __init__(self, checked: CheckedRows, boats: Boats, settings: Settings, as_of: date) -> None:
        self.checked, self.boats, self.settings, self.as_of = checked, boats, settings, as_of
        self.failed_at_once: list[int] = []

    def reject(
        self, row: Row, field: str, found: object, expected: str, remedy: str, sort: str
    ) -> bool:
        """Leave the row out."""
        self.checked.reject(row["row"], field, found, expected, remedy, sort=sort)
        return False

    def say_together(self) -> None:
        """Findings that are true of several rows, one for all of them."""
        self.checked.say_of(
            self.failed_at_once,
            "removed_on",
            "",
            "a day after its fitting",
            "assumed",
            "Failed on the day it was fitted: read as an early failure after half a day. "
            "If it was tried on and not kept, delete the row.",
            sort="zero_life",
        )

    def right(self, row: Row) -> bool:
        """Dates against each other, and against what was watched."""
        if not (self._fitting(row) and self._move(row) and self._removal(row)):
            return False
        self._still_fitted(row)
        if not self._reason(row):
            return False
        self._cut_windows(row)
        if not (self._watched(row) and self._lasted(row)):
            return False
        self._last_sound(row)
        self._hours(row)
        return True

    def _fitting(self, row: Row) -> bool:
        fitted = row["fitted_on_lo"]
        if not fitted:
            return True
        boat = self.boats.rows[row["boat"]]
        if fitted > self.as_of:
            self.checked.ignore(
                row["row"],
                f"fitted {fitted}",
                f"a part fitted by {self.as_of}, the last day watched",
                "Nothing to do for planned work; else correct the date, or as_of in fleet.toml.",
                sort="future_date",
            )
            return False
        if boat["left_on_hi"] and fitted > boat["left_on_hi"]:
            return self.reject(
                row,
                "fitted_on",
                fitted,
                f"a date up to {boat['left_on_hi']}, when the boat left",
                "Correct the date, or left_on in boats.csv.",
                "outside_records",
            )
        built = boat["built_on_lo"]
        if built and row["fitted_on_hi"] < built and not row["here_since_lo"]:
            self.checked.say(
                row["row"],
                "fitted_on",
                row["fitted_on_hi"],
                f"a date from {boat['built_on_lo']}, when the boat was built",
                "noted",
                "Read as it stands; correct the date, or built_on in boats.csv.",
                sort="dates_disagree",
            )
        return True

    def _move(self, row: Row) -> bool:
        """The day on which a part came from another boat, against the other dates."""
        since = row["here_since_lo"]
        if not since:
            return True
        left = self.boats.rows[row["boat"]]["left_on_hi"]
        row["fitted_hours"] = float("nan")
        if since > self.as_of:
            self.checked.ignore(
                row["row"],
                f"here since {since}",
                f"a part in its place by {self.as_of}, the last day watched",
                "Nothing to do for planned work; else correct the date, or as_of in fleet.toml.",
                sort="future_date",
            )
            return False
        if left and since > left:
            return self.reject(
                row,
                "here_since",
                since,
                f"a date up to {left}, when the boat left",
                "Correct the date, or left_on in boats.csv.",
                "outside_records",
            )
        if row["fitted_on_lo"] and row["here_since_hi"] < row["fitted_on_lo"]:
            return self.reject(
                row,
                "here_since",
                row["here_since_hi"],
                f"a date from {row['fitted_on_lo']}, when it was first fitted",
                "fitted_on is the day of the first fitting, on whatever boat: correct one of the "
                "two dates.",
                "dates_disagree",
            )
        return True

    def _removal(self, row: Row) -> bool:
        removed_lo, removed_hi = row["removed_on_lo"], row["removed_on_hi"]
        if not removed_lo:
            return True
        left = self.boats.rows[row["boat"]]["left_on_hi"]
        came = in_place_from(row)[0]
        if came and removed_hi < came:
            return self.reject(
                row,
                "removed_on",
                removed_hi,
                f"a date from {came}, when it was fitted",
                "One of the two dates is wrong: look at the invoice or the yard's log.",
                "removed_before_fitted",
            )
        if left and removed_lo > left:
            return self.reject(
                row,
                "removed_on",
                removed_lo,
                f"a date up to {left}, when the boat left",
                "Correct the date, or left_on in boats.csv.",
                "outside_records",
            )
        return True

    def _still_fitted(self, row: Row) -> None:
        """A part removed after the last day watched was in place on that day, whatever ended it."""
        removed = row["removed_on_lo"]
        if not removed or removed <= self.as_of:
            return
        self.checked.say(
            row["row"],
            "removed_on",
            removed,
            f"a date up to {self.as_of}, the last day watched",
            "assumed",
            "Read as still fitted on that day; correct the date if it is a slip, "
            "or as_of in fleet.toml.",
            sort="future_date",
        )
        row["removed_on_lo"] = row["removed_on_hi"] = None
        row["reason"] = row["found"] = ""
        row["removed_hours"] = float("nan")
        if row["last_sound_on_lo"] and row["last_sound_on_lo"] > self.as_of:
            row["last_sound_on_lo"] = row["last_sound_on_hi"] = None

    def _reason(self, row: Row) -> bool:
        reason = row["reason"]
        if row["removed_on_lo"] and not reason:
            row["reason"] = "unknown"
            self.checked.say(
                row["row"],
                "reason",
                "",
                "why it was removed",
                "assumed",
                "Read as unknown: counted as removed, not as failed. Fill it in if you know.",
                sort="reason_missing",
            )
        elif reason and not row["removed_on_lo"]:
            if reason == "boat_left" and self.boats.rows[row["boat"]]["left_on_lo"]:
                row["reason"] = ""  # boats.csv says when
                return True
            return self.reject(
                row,
                "removed_on",
                "",
                f"a date for the removal ({reason})",
                "Fill in when it was removed; a year or a range will do.",
                "cell_unreadable",
            )
        return True

    def _cut_windows(self, row: Row) -> None:
        """A part is not removed before it is fitted, nor after the boat was last watched."""
        last = self.boats.watched_to(row["boat"], self.as_of)
        if row["removed_on_lo"]:
            row["removed_on_hi"] = last = min(row["removed_on_hi"], last)
        if row["fitted_on_lo"]:
            row["fitted_on_hi"] = min(row["fitted_on_hi"], last)
            if row["removed_on_lo"]:
                row["removed_on_lo"] = max(row["removed_on_lo"], row["fitted_on_lo"])
        if row["here_since_lo"]:
            self._cut_move(row, last)

    def _cut_move(self, row: Row, last: date) -> None:
        since = max(row["here_since_lo"], row["fitted_on_lo"] or row["here_since_lo"])
        row["here_since_lo"], row["here_since_hi"] = since, min(row["here_since_hi"], last)
        if row["fitted_on_lo"]:
            row["fitted_on_hi"] = min(row["fitted_on_hi"], row["here_since_hi"])
        if row["removed_on_lo"]:
            row["removed_on_lo"] = max(row["removed_on_lo"], since)
        ends = row["removed_on_hi"] or self.boats.rows[row["boat"]]["left_on_hi"]
        if ends and row["here_since_hi"] >= ends:
            # The part was watched here for some of the window: from its first day at the most.
            row["here_since_hi"] = since

    def _watched(self, row: Row) -> bool:
        watched = self.boats.watched_from(row["boat"], self.settings)
        left = self.boats.rows[row["boat"]]["left_on_hi"]
        ended = row["removed_on_hi"] or left
        if not (watched and ended and ended <= watched):
            return True
        ignore_unwatched(self.checked, row, ended, watched)
        return False

    def _lasted(self, row: Row) -> bool:
        """A life that began and ended on one day is a failure, or else no life."""
        came, removed = in_place_from(row)[0], row["removed_on_hi"]
        if not came or came != removed:
            return True
        if row["reason"] == "failed" and not row["here_since_lo"]:
            self.failed_at_once.append(row["row"])
            return True
        self.checked.ignore(
            row["row"],
            f"fitted and removed {removed}",
            "a part that stayed for more than a day",
            "Taken for a fitting on trial, which says nothing of how long a part lasts. "
            "Correct the dates if it stayed.",
            sort="zero_life",
        )
        return False

    def _last_sound(self, row: Row) -> None:
        sound, fitted = row["last_sound_on_lo"], row["fitted_on_lo"]
        if not sound:
            return
        if sound > (row["removed_on_hi"] or self.as_of) or (
            fitted and row["last_sound_on_hi"] < fitted
        ):
            self.checked.say(
                row["row"],
                "last_sound_on",
                sound,
                "a date between fitting and removal",
                "ignored",
                "Read as blank; correct the date.",
                sort="dates_disagree",
            )
            row["last_sound_on_lo"] = row["last_sound_on_hi"] = None

    def _hours(self, row: Row) -> None:
        if row["removed_hours"] < row["fitted_hours"]:
            self.checked.say(
                row["row"],
                "removed_hours",
                f"{row['removed_hours']:g}",
                f"at least {row['fitted_hours']:g}",
                "ignored",
                "A new meter, or a slip: both hours of this row are read as blank "
                "and hours.csv decides.",
                sort="meter_replaced",
            )
            row["fitted_hours"] = row["removed_hours"] = float("nan")
