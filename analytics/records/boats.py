"""The boats, each once, and what the rows of other files may ask about them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date

from analytics.records.boat_names import BoatNames, boat_names, names_by_hull
from analytics.records.cells import CheckedRows, Row
from analytics.records.settings import Settings
from analytics.records.spelling import Spelling


@dataclass(frozen=True)
class Boats:
    """The boats of `boats.csv` that can be used.

    Attributes
    ----------
    rows : mapping of str to dict
        Typed row by name.
    rejected : mapping of str to int
        Names whose only row was rejected, and that row.
    later : frozenset of str
        Names of boats that joined after the last day watched.
    names : BoatNames
        What else they are called.
    where : callable
        How findings name a row of the list.
    """

    rows: Mapping[str, Row]
    rejected: Mapping[str, int]
    later: frozenset[str]
    spelling: Spelling
    names: BoatNames = BoatNames()
    where: Callable[[int], str] = "row {}".format

    def remedy(self, name: str) -> str:
        """What to do about a row that names a boat which is not there."""
        if line := self.rejected.get(name):
            return f"The list of boats names it in {self.where(line)}, which was rejected: mend it."
        hint = self.spelling.hint(name)
        return (
            f"{hint}Correct the name, decide once what it is read as, or add the boat to the list."
        )

    def watched_from(self, name: str, settings: Settings) -> date | None:
        """The day from which the lives on a boat were recorded, None where nothing says."""
        days = (self.rows[name]["joined_on_hi"], settings.records_from)
        return max((day for day in days if day), default=None)

    def watched_to(self, name: str, as_of: date) -> date:
        """The last day on which the boat can have been watched."""
        left: date | None = self.rows[name]["left_on_hi"]
        return min(left, as_of) if left else as_of


def check_boats(checked: CheckedRows, as_of: date) -> Boats:
    """Keep each boat once, with dates that agree; reject the other rows with a reason."""
    boats: dict[str, Row] = {}
    later: set[str] = set()
    shared = names_by_hull(checked)
    # Not by line: which row is kept must not depend on the order of the file.
    for row in sorted(checked.rows, key=_all_cells):
        name, line = row["boat"], row["row"]
        if name in shared:
            checked.reject(
                line,
                "hull_no",
                "",
                f"a hull number, as {name} is the name of two boats or more",
                "Fill it in.",
                sort="boat_name_shared",
            )
        elif name in boats:
            checked.reject(
                line,
                "boat",
                name,
                "each boat once",
                f"The name stands in {checked.where(boats[name]['row'])} too: give each boat a "
                "name of its own, such as with its hull number.",
                sort="boat_name_shared",
            )
        elif row["joined_on_lo"] and row["joined_on_lo"] > as_of:
            later.add(name)
            checked.ignore(
                line,
                f"{name} joined {row['joined_on_lo']}",
                f"a boat that had joined by {as_of}, the last day watched",
                "Nothing to do, unless the date or as_of in fleet.toml is wrong.",
                sort="future_date",
            )
        elif _dates_agree(row, as_of, checked):
            boats[name] = row
    rejected = {checked.texts[line]["boat"]: line for line in checked.rejected}
    return Boats(
        rows=boats,
        rejected={name: line for name, line in rejected.items() if name and name not in boats},
        later=frozenset(later - boats.keys()),
        spelling=Spelling(boats, 0.75),
        names=boat_names(boats, shared),
        where=checked.where,
    )


def _all_cells(row: Row) -> tuple[str, list[str]]:
    return row["boat"], [str(value) for name, value in row.items() if name != "row"]


def _dates_agree(row: Row, as_of: date, checked: CheckedRows) -> bool:
    joined, left = row["joined_on_lo"], row["left_on_hi"]
    if joined and left and left < joined:
        checked.reject(
            row["row"],
            "left_on",
            left,
            f"a date from {joined}, when it joined",
            "One of the two dates is wrong: correct it.",
            sort="dates_disagree",
        )
        return False
    if joined:
        row["joined_on_hi"] = min(row["joined_on_hi"], as_of, left or as_of)
    if joined and left:
        row["left_on_lo"] = max(row["left_on_lo"], joined)
    return True
