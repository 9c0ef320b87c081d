"""Checks of one row of `parts.csv` that need more than one cell: boat, side, kind and dates."""

from __future__ import annotations

from datetime import date

from analytics.records.boats import Boats
from analytics.records.cells import CheckedRows, Row
from analytics.records.findings import Finding
from analytics.records.places import check_places, ignore_unwatched
from analytics.records.settings import Settings
from analytics.records.spelling import Spelling


def check_parts(
    checked: CheckedRows, boats: Boats, settings: Settings, as_of: date
) -> tuple[list[Row], dict[int, Finding]]:
    """Keep the rows that can be lives; reject, merge or ignore the others with a reason.

    Parameters
    ----------
    checked : CheckedRows
        Rows whose cells are right one by one; its findings and rejections grow.
    boats : Boats
    settings : Settings
        For the kinds and the day from which removals were written down.
    as_of : date
        Last day watched.

    Returns
    -------
    list of dict
        Rows that are lives, with windows cut to what was possible, by line.
    dict of int to Finding
        Lines merged into another row.
    """
    check = _RowCheck(checked, boats, settings, as_of)
    rows = [row for row in checked.rows if check.place(row) and check.times(row)]
    return check_places(checked, rows, boats, settings, as_of)


class _RowCheck:
    """Each check says what it found and answers whether the row can be used."""

    def __init__(self, checked: CheckedRows, boats: Boats, settings: Settings, as_of: date) -> None:
        self.checked, self.boats, self.settings, self.as_of = checked, boats, settings, as_of
        self.kinds = Spelling(settings.kinds, 0.8)
        self.twins = {
            row["boat"] for row in checked.rows if row["position"] in ("port", "starboard")
        }

    def reject(self, row: Row, field: str, found: object, expected: str, remedy: str) -> bool:
        self.checked.reject(row["row"], field, found, expected, remedy)
        return False

    def place(self, row: Row) -> bool:
        """Boat, side and kind: where the part sat must be clear."""
        return self._boat(row) and self._side(row) and self._kind(row)

    def _boat(self, row: Row) -> bool:
        boat = row["boat"]
        if boat in self.boats.rows:
            return True
        if boat in self.boats.later:
            self.checked.ignore(
                row["row"],
                boat,
                f"a boat that had joined by {self.as_of}",
                "Nothing to do, unless as_of in fleet.toml is too early.",
            )
            return False
        return self.reject(row, "boat", boat, "a boat of boats.csv", self.boats.remedy(boat))

    def _side(self, row: Row) -> bool:
        position = row["position"]
        if row["boat"] in self.twins and position not in ("port", "starboard"):
            return self.reject(
                row,
                "position",
                position,
                "port or starboard on a boat with two shafts",
                "Fill in the side; two parts on one row need two rows.",
            )
        row["position"] = position or "single"
        return True

    def _kind(self, row: Row) -> bool:
        kind = row["kind"]
        if kind in self.settings.kinds:
            return True
        if hint := self.kinds.hint(kind):
            return self.reject(
                row,
                "kind",
                kind,
                "a kind of part that is known",
                f"{hint}If it is a kind of your own, add [kinds.{kind}] to fleet.toml.",
            )
        self.checked.say(
            row["row"],
            "kind",
            kind,
            "a kind that is known or listed in fleet.toml",
            "assumed",
            "Read as a kind of your own that ages by calendar years; "
            f"add [kinds.{kind}] to fleet.toml to give it a clock, a limit and a prior.",
        )
        return True

    def times(self, row: Row) -> bool:
        """Dates against each other, and against what was watched."""
        if not (self._fitting(row) and self._removal(row)):
            return False
        self._still_fitted(row)
        if not self._reason(row):
            return False
        self._cut_windows(row)
        if not self._watched(row):
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
            )
            return False
        if boat["left_on_hi"] and fitted > boat["left_on_hi"]:
            return self.reject(
                row,
                "fitted_on",
                fitted,
                f"a date up to {boat['left_on_hi']}, when the boat left",
                "Correct the date, or left_on in boats.csv.",
            )
        if boat["built_on_lo"] and row["fitted_on_hi"] < boat["built_on_lo"]:
            self.checked.say(
                row["row"],
                "fitted_on",
                row["fitted_on_hi"],
                f"a date from {boat['built_on_lo']}, when the boat was built",
                "noted",
                "Read as it stands; correct the date, or built_on in boats.csv.",
            )
        return True

    def _removal(self, row: Row) -> bool:
        removed_lo, removed_hi = row["removed_on_lo"], row["removed_on_hi"]
        if not removed_lo:
            return True
        left = self.boats.rows[row["boat"]]["left_on_hi"]
        if row["fitted_on_lo"] and removed_hi < row["fitted_on_lo"]:
            return self.reject(
                row,
                "removed_on",
                removed_hi,
                f"a date from {row['fitted_on_lo']}, when it was fitted",
                "One of the two dates is wrong: look at the invoice or the yard's log.",
            )
        if left and removed_lo > left:
            return self.reject(
                row,
                "removed_on",
                removed_lo,
                f"a date up to {left}, when the boat left",
                "Correct the date, or left_on in boats.csv.",
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

    def _watched(self, row: Row) -> bool:
        watched = self.boats.watched_from(row["boat"], self.settings)
        left = self.boats.rows[row["boat"]]["left_on_hi"]
        ended = row["removed_on_hi"] or left
        if not (watched and ended and ended <= watched):
            return True
        ignore_unwatched(self.checked, row, ended, watched)
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
            )
            row["fitted_hours"] = row["removed_hours"] = float("nan")
