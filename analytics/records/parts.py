"""Rows of `parts.csv` against the boats and the kinds: boat, side, kind and size."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

from analytics.records.boat_names import Dates, first_day, settle_names
from analytics.records.boats import Boats
from analytics.records.cells import CheckedRows, Row
from analytics.records.findings import Finding
from analytics.records.moves import end_spells, in_place_from, say_moved
from analytics.records.part_dates import DateCheck
from analytics.records.part_sizes import AS_GOOD_AS_EQUAL, SizeCheck
from analytics.records.places import check_places
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
    check = _PlaceCheck(checked, boats, settings, as_of)
    dates = DateCheck(checked, boats, settings, as_of)
    rows = [row for row in checked.rows if check.place(row) and dates.right(row)]
    check.sizes.say_inches(checked)
    dates.say_together()
    say_moved(checked, rows)
    return check_places(checked, rows, boats, settings, as_of)


def _dates_by(as_of: date) -> Callable[[Row], Dates]:
    """The days of a life; one that goes on lasts until the last day watched."""

    def dates(row: Row) -> Dates:
        first, removed = in_place_from(row)[0], row["removed_on_lo"]
        return Dates(first, row["removed_on_hi"] or as_of, first_day([first, removed]))

    return dates


class _PlaceCheck:
    """Each check says what it found and answers whether the row can be used."""

    def __init__(self, checked: CheckedRows, boats: Boats, settings: Settings, as_of: date) -> None:
        self.checked, self.boats, self.settings, self.as_of = checked, boats, settings, as_of
        self.kinds = Spelling(settings.kinds, 0.8)
        self.unsettled = settle_names(checked, boats.names, _dates_by(as_of))
        end_spells(checked)
        self.sizes = SizeCheck(boats.rows)
        self.twins = {
            row["boat"] for row in checked.rows if row["position"] in ("port", "starboard")
        }
        self.twins |= {name for name, row in boats.rows.items() if row["shafts"] == 2}

    def reject(
        self, row: Row, field: str, found: object, expected: str, remedy: str, sort: str
    ) -> bool:
        self.checked.reject(row["row"], field, found, expected, remedy, sort=sort)
        return False

    def place(self, row: Row) -> bool:
        """Boat, side, kind and size: where the part sat must be clear."""
        return self._boat(row) and self._side(row) and self._kind(row) and self._size(row)

    def _boat(self, row: Row) -> bool:
        boat = row["boat"]
        if problem := self.unsettled.get(row["row"]):
            return self.reject(row, "boat", boat, *problem)
        if boat in self.boats.rows:
            return True
        if boat in self.boats.later:
            self.checked.ignore(
                row["row"],
                boat,
                f"a boat that had joined by {self.as_of}",
                "Nothing to do, unless as_of in fleet.toml is too early.",
                sort="future_date",
            )
            return False
        remedy = self.boats.remedy(boat)
        return self.reject(row, "boat", boat, "a boat of boats.csv", remedy, "boat_name_unknown")

    def _side(self, row: Row) -> bool:
        position = row["position"]
        if row["boat"] in self.twins and position not in ("port", "starboard"):
            return self.reject(
                row,
                "position",
                position,
                "port or starboard on a boat with two shafts",
                "Fill in the side; two parts on one row need two rows.",
                "side_missing",
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
                "words_unknown",
            )
        self.checked.say(
            row["row"],
            "kind",
            kind,
            "a kind that is known or listed in fleet.toml",
            "assumed",
            "Read as a kind of your own that ages by calendar years; "
            f"add [kinds.{kind}] to fleet.toml to give it a clock, a limit and a prior.",
            sort="words_unknown",
        )
        return True

    def _size(self, row: Row) -> bool:
        if self.sizes.fits(row):
            return True
        shaft = self.sizes.shaft_of(row["boat"])
        return self.reject(
            row,
            "size",
            row["size"],
            f"a size within {AS_GOOD_AS_EQUAL} mm of the boat's shaft, {shaft.text}",
            "The boat or the size is wrong: correct it, in the file or by a decision, or "
            "shaft_size in the list of boats.",
            "size_not_of_boat",
        )
