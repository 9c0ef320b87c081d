"""Which boat each row of an export is about: by hull number, by name, by an earlier name."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

import numpy as np
import pandas as pd

from analytics.records.boat_names import Dates, Problem, with_hull
from analytics.records.boats import Boats, check_boats
from analytics.records.cells import check_rows
from analytics.records.gather.event_rows import leave, say
from analytics.records.gather.ledger import Ledger
from analytics.records.table_rows import TableRows
from analytics.records.tables import BOATS


def boats_of(rows: TableRows, as_of: date | None) -> Boats:
    """The boats of a list, for what they are called; what is wrong with it is told elsewhere."""
    return check_boats(check_rows(BOATS, rows), as_of or date.max)


def named_by_hull(frame: pd.DataFrame) -> pd.DataFrame:
    """Boats of a list; one without a name goes by its hull number."""
    if "hull_no" not in frame:
        return frame
    names = frame["boat"] if "boat" in frame else pd.Series("", index=frame.index, dtype=object)
    return frame.assign(boat=names.where(names.ne(""), frame["hull_no"]))


def resolve(
    frame: pd.DataFrame, boats: Boats, decided: Mapping[str, str], ledger: Ledger
) -> pd.DataFrame:
    """Rows with the name of their boat as its list gives it.

    A name that is not in the list stays as it is; a row whose name may be that
    of several boats is left out.

    Parameters
    ----------
    frame : DataFrame
        `line`, `boat` or `hull_no` or both, and the dates of the row.
    boats : Boats
    decided : mapping of str to str
        What a person said that names are.
    ledger : Ledger
    """
    if frame.empty:
        return frame.assign(boat=frame.get("boat", ""))
    blank = np.full(len(frame), "", dtype=object)
    names = frame["boat"].to_numpy(dtype=object) if "boat" in frame else blank
    hulls = frame["hull_no"].to_numpy(dtype=object) if "hull_no" in frame else blank
    codes, distinct = pd.factorize(pd.MultiIndex.from_arrays([names, hulls]))
    folded = {name.casefold(): name for name in boats.names.present}
    called = [_called(name, hull, boats, folded, decided) for name, hull in distinct]
    resolved = np.empty(len(distinct), dtype=object)
    resolved[:] = called
    frame = frame.copy()
    frame["boat"] = resolved[codes]
    for code, ((name, hull), boat) in enumerate(zip(distinct, called, strict=True)):
        if name and hull and boat.casefold() not in (name.casefold(), _full(name, hull)):
            lines = frame.loc[codes == code, "line"].tolist()
            _say_by_hull(ledger, lines, name, boat, renamed=name in boats.names.earlier)
        if name in decided and not hull:
            applied = boat != name or name.casefold() not in folded
            _say_decided(ledger, frame.loc[codes == code, "line"].tolist(), name, boat, applied)
    by_dates = [
        code
        for code, name in enumerate(called)
        if name in boats.names.earlier or name in boats.names.shared
    ]
    if by_dates:
        frame = _settled(frame, frame.index[np.isin(codes, by_dates)], boats, ledger)
    return frame


def _say_decided(ledger: Ledger, lines: list[int], name: str, boat: str, applied: bool) -> None:
    remedy = (
        f"Read as {boat}, as was decided."
        if applied
        else "A boat of this name is in the list, so that what was decided of the name is not "
        "applied: take the decision back."
    )
    say(ledger, lines, "boat", name, "a boat of the list", "noted", remedy, "decided")


def one_name_a_hull(
    frames: Sequence[pd.DataFrame], boats: Boats, ledger: Ledger
) -> list[pd.DataFrame]:
    """Rows of a boat that no list names, by the name that most rows of its hull number bear."""
    pairs = [
        frame.loc[frame["hull_no"].ne("") & frame["boat"].ne(""), ["hull_no", "boat"]]
        for frame in frames
        if "hull_no" in frame
    ]
    if not pairs:
        return list(frames)
    together = pd.concat(pairs, ignore_index=True)
    together = together[~together["boat"].isin(list(boats.rows))]
    counted = together.value_counts().reset_index(name="rows")
    counted = counted.sort_values(["rows", "boat"], ascending=[False, True])
    usual = counted.drop_duplicates("hull_no").set_index("hull_no")["boat"]
    several = counted.loc[counted.duplicated("hull_no"), "hull_no"].unique()
    named = []
    for frame in frames:
        if len(several) and "hull_no" in frame:
            frame = frame.copy()
            for hull in several:
                other = frame["hull_no"].eq(hull) & ~frame["boat"].isin(["", usual[hull]])
                for name in frame.loc[other, "boat"].unique():
                    rows = other & frame["boat"].eq(name)
                    lines = frame.loc[rows, "line"].tolist()
                    _say_by_hull(ledger, lines, str(name), str(usual[hull]), renamed=False)
                frame.loc[other, "boat"] = usual[hull]
        named.append(frame)
    return named


def _full(name: str, hull: str) -> str:
    return with_hull(name, hull).casefold()


def _say_by_hull(ledger: Ledger, lines: list[int], name: str, boat: str, *, renamed: bool) -> None:
    say(
        ledger,
        lines,
        "boat",
        name,
        f"{boat}, as the boat of this hull number is called",
        "noted",
        f"Read as {boat} by the hull number. Correct the one of the two that is wrong.",
        "boat_renamed" if renamed else "boat_name_by_hull",
    )


def _called(
    name: str, hull: str, boats: Boats, folded: Mapping[str, str], decided: Mapping[str, str]
) -> str:
    names = boats.names
    if hull:
        for known in (hull, with_hull(name, hull)):
            if known in names.by_hull:
                return names.by_hull[known]
            if known in names.present:
                return known
    # A boat that is in the list is that boat, whatever was decided when it was not.
    said = name if name.casefold() in folded else decided.get(name, name)
    present = folded.get(said.casefold(), said)
    return names.by_hull.get(present, present) or hull


def _settled(frame: pd.DataFrame, unsure: pd.Index, boats: Boats, ledger: Ledger) -> pd.DataFrame:
    """Names that several boats have or had, by the dates of the rows."""
    firsts, lasts = _first_and_last(frame.loc[unsure])
    renamed: dict[tuple[str, str], list[int]] = {}
    problems: dict[Problem, list[int]] = {}
    drop = []
    names, lines = (frame.loc[unsure, column].tolist() for column in ("boat", "line"))
    for at, name, line, first, last in zip(unsure, names, lines, firsts, lasts, strict=True):
        settled = boats.names.settled(name, Dates(first, last, first or last))
        if isinstance(settled, Problem):
            problems.setdefault(settled, []).append(line)
            drop.append(at)
        elif settled != name:
            renamed.setdefault((name, settled), []).append(line)
            frame.at[at, "boat"] = settled
    for (name, boat), lines in sorted(renamed.items()):
        expected = f"{boat}, as the boat is called now"
        remedy = f"Read as {boat}, which the list of boats says bore this name."
        say(ledger, lines, "boat", name, expected, "noted", remedy, "boat_renamed")
    for problem, lines in sorted(problems.items()):
        leave(ledger, lines, "boat", "", problem.expected, "rejected", problem.remedy, problem.sort)
    return frame.drop(index=drop)


def _first_and_last(
    rows: pd.DataFrame,
) -> tuple[list[date | None], list[date | None]]:
    """The first and the last day that each row tells of, of jobs and the like one day."""
    own = ("fitted_on", "removed_on", "on", "until", "read_on", "lifted_on", "invoice_on")
    lows = [f"{name}_lo" for name in own if f"{name}_lo" in rows]
    highs = [f"{name}_hi" for name in own if f"{name}_hi" in rows]

    def days(values: pd.Series[pd.Timestamp]) -> list[date | None]:
        return [
            day.date() if known else None for day, known in zip(values, values.notna(), strict=True)
        ]

    if not lows:
        nothing: list[date | None] = [None] * len(rows)
        return nothing, nothing
    return days(rows[lows].min(axis=1)), days(rows[highs].max(axis=1))
