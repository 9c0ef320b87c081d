"""Rows of the other files against the boats, and their dates against each other."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date

from analytics.records.boat_names import Dates, Problem, settle_names
from analytics.records.boats import Boats
from analytics.records.cells import CheckedRows, Row
from analytics.records.tables import BOOKINGS, HOURS, LIFTS, READINGS, Table


def check_boat_rows(checked: CheckedRows, boats: Boats, as_of: date) -> list[Row]:
    """Keep the rows of boats that are known, with dates that can be.

    Parameters
    ----------
    checked : CheckedRows
        Of a file that names a boat on each row; its findings and rejections grow.
    as_of : date
        Last day watched: nothing was read or measured after it.
    """
    unsettled = settle_names(checked, boats.names, _dates_of(checked.table))
    return [
        row
        for row in checked.rows
        if _boat_known(checked, row, boats, unsettled) and _dates_agree(checked, row, as_of)
    ]


def _dates_of(table: Table) -> Callable[[Row], Dates]:
    """The days that a row tells of: of a haul-out or charter from its beginning to its end."""
    names = [column.name for column in table.columns if column.holds == "window"]
    first, last = names[0], names[-1]

    def dates(row: Row) -> Dates:
        began = row[f"{first}_lo"]
        return Dates(began, row[f"{last}_hi"] or row[f"{first}_hi"], began)

    return dates


def _boat_known(
    checked: CheckedRows, row: Row, boats: Boats, unsettled: Mapping[int, Problem]
) -> bool:
    if problem := unsettled.get(row["row"]):
        checked.reject(
            row["row"], "boat", row["boat"], problem.expected, problem.remedy, sort=problem.sort
        )
        return False
    if row["boat"] in boats.rows:
        return True
    if row["boat"] in boats.later:
        checked.ignore(
            row["row"],
            row["boat"],
            "a boat that had joined",
            "Nothing to do.",
            sort="future_date",
        )
        return False
    remedy = boats.remedy(row["boat"])
    checked.reject(
        row["row"], "boat", row["boat"], "a boat of boats.csv", remedy, sort="boat_name_unknown"
    )
    return False


def _dates_agree(checked: CheckedRows, row: Row, as_of: date) -> bool:
    if checked.table in (HOURS, READINGS):
        if row["read_on_lo"] > as_of:
            checked.ignore(
                row["row"],
                f"read {row['read_on_lo']}",
                f"a reading up to {as_of}, the last day watched",
                "Nothing to do, unless the date or as_of in fleet.toml is wrong.",
                sort="future_date",
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
                sort="dates_disagree",
            )
            row["launched_on_lo"] = row["launched_on_hi"] = None
    if checked.table is BOOKINGS and row["to_hi"] < row["from_lo"]:
        checked.reject(
            row["row"],
            "to",
            row["to_hi"],
            f"a date from {row['from_lo']}, when the charter begins",
            "Correct one of the two dates.",
            sort="dates_disagree",
        )
        return False
    return True
