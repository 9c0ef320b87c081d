"""Rows of the other files against the boats, and their dates against each other."""

from __future__ import annotations

from datetime import date

from analytics.records.boats import Boats
from analytics.records.cells import CheckedRows, Row
from analytics.records.tables import BOOKINGS, HOURS, LIFTS, READINGS


def check_boat_rows(checked: CheckedRows, boats: Boats, as_of: date) -> list[Row]:
    """Keep the rows of boats that are known, with dates that can be.

    Parameters
    ----------
    checked : CheckedRows
        Of a file that names a boat on each row; its findings and rejections grow.
    as_of : date
        Last day watched: nothing was read or measured after it.
    """
    return [
        row
        for row in checked.rows
        if _boat_known(checked, row, boats) and _dates_agree(checked, row, as_of)
    ]


def _boat_known(checked: CheckedRows, row: Row, boats: Boats) -> bool:
    if row["boat"] in boats.rows:
        return True
    if row["boat"] in boats.later:
        checked.ignore(row["row"], row["boat"], "a boat that had joined", "Nothing to do.")
        return False
    remedy = boats.remedy(row["boat"])
    checked.reject(row["row"], "boat", row["boat"], "a boat of boats.csv", remedy)
    return False


def _dates_agree(checked: CheckedRows, row: Row, as_of: date) -> bool:
    if checked.table in (HOURS, READINGS):
        if row["read_on_lo"] > as_of:
            checked.ignore(
                row["row"],
                f"read {row['read_on_lo']}",
                f"a reading up to {as_of}, the last day watched",
                "Nothing to do, unless the date or as_of in fleet.toml is wrong.",
            )
            return False
        row["read_on_hi"] = min(row["read_on_hi"], as_of)
    if checked.table is LIFTS:
        launched = row["launched_on_hi"]
        if launched and launched < row["lifted_on_lo"]:
            checked.say(
                row["row"],
                "launched_on",
                launched,
                f"a date from {row['lifted_on_lo']}, when it was lifted",
                "ignored",
                "Read as blank; correct one of the two dates.",
            )
            row["launched_on_lo"] = row["launched_on_hi"] = None
    if checked.table is BOOKINGS and row["to_hi"] < row["from_lo"]:
        checked.reject(
            row["row"],
            "to",
            row["to_hi"],
            f"a date from {row['from_lo']}, when the charter begins",
            "Correct one of the two dates.",
        )
        return False
    return True
