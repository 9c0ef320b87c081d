"""All mapped exports of a fleet put together as tables of the plain layout.

Boats come first, because everything else names them; then lists of lives,
jobs, stores issues and inspections together become the rows of `parts.csv`.
Each row of a table knows the rows of the user's files of which it was made.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

import pandas as pd

from analytics.records.boats import Boats
from analytics.records.decided.decision import Decisions
from analytics.records.files.grids import Grid
from analytics.records.findings import Finding
from analytics.records.gather.again import newest_only
from analytics.records.gather.as_built import parse_window_or_none, with_first_as_built
from analytics.records.gather.boat_facts import BoatFacts, facts_from_parts, listed_facts
from analytics.records.gather.doubts import unread_rows
from analytics.records.gather.inspections import measured, seen_in, settle
from analytics.records.gather.issues import without_job
from analytics.records.gather.job_lives import How, Progress, lives_of_jobs
from analytics.records.gather.kinds import with_each_kind
from analytics.records.gather.ledger import Ledger, Trace
from analytics.records.gather.life_rows import (
    lives_of,
    with_sound_days,
)
from analytics.records.gather.making import Making, Rows, lines_of, rows_of, table_rows, together
from analytics.records.gather.names import boats_of, named_by_hull, one_name_a_hull, resolve
from analytics.records.gather.other_rows import plain_rows
from analytics.records.gather.shafts import twins_of, with_sides
from analytics.records.gather.survivors import lists_of_failures, without_lists_of_failures
from analytics.records.mapping.model import SourceMapping
from analytics.records.mapping.translate import Translated, date_texts, translate
from analytics.records.settings import Settings
from analytics.records.table_rows import TableRows
from analytics.records.tables import BOATS, HOURS, LIFTS, PARTS, PRICES, READINGS

_LIST_OF = {"hours": HOURS, "lifts": LIFTS, "prices": PRICES}


@dataclass(frozen=True)
class Gathered:
    """What the mapped exports give.

    Attributes
    ----------
    tables : mapping of str to TableRows
        Tables of the plain layout, by file name, that hold rows of mapped exports.
    traces : mapping of str to Trace
        Of the same tables.
    ledger : Ledger
    translated : tuple of Translated
        The exports, in the order of their names.
    unread : DataFrame
        Rows about parts that cannot be read, see `doubts.unread_rows`.
    """

    tables: Mapping[str, TableRows]
    traces: Mapping[str, Trace]
    ledger: Ledger
    translated: tuple[Translated, ...]
    unread: pd.DataFrame

    @property
    def latest(self) -> date | None:
        """The latest day that a job or an inspection tells of."""
        days = []
        for one in self.translated:
            for name in ("on", "until", "read_on"):
                if f"{name}_hi" in one.frame:
                    first, last = one.frame[f"{name}_lo"], one.frame[f"{name}_hi"]
                    # A window of years says little of how long anybody watched.
                    days.append(last.where(last - first <= pd.Timedelta(days=366), first).max())
        return max((day.date() for day in days if day is not pd.NaT), default=None)

    @property
    def people(self) -> frozenset[str]:
        """What stands in columns of persons."""
        return frozenset(
            text
            for one in self.translated
            if "person" in one.frame
            for text in one.frame["person"].unique()
        )


def gather(
    mapped: Sequence[tuple[Grid, SourceMapping]],
    plain: Mapping[str, TableRows],
    decisions: Decisions,
    settings: Settings,
    progress: Progress | None = None,
) -> Gathered:
    """Put the mapped exports together.

    Parameters
    ----------
    mapped : sequence of (Grid, SourceMapping)
    plain : mapping of str to TableRows
        Tables that are in the plain layout already; where an export adds to one
        of them, its rows are taken along.
    decisions : Decisions
    settings : Settings
        For the last day watched, where it is given.
    progress : callable, optional
        Called with what is done, how far and of how much.

    Raises
    ------
    FleetError
        If a file breaks off, or lacks a header that its mapping reads.
    """
    ledger, making = Ledger(), Making()
    reading = _Reading(decisions, settings.as_of, ledger, progress, mapped)
    of_boats = [reading.read(*one) for one in mapped if one[1].shape == "boats"]
    usable = [(one, _usable(one, frame, ledger)) for one, frame in of_boats]
    for _, frame in newest_only(usable, ledger):
        making.add(BOATS, plain_rows(named_by_hull(frame), BOATS), lines_of(frame))
    listed = [*making.rows[BOATS.file], *rows_of(plain, BOATS)]
    reading.earliest = _first_built(listed)
    boats = boats_of(table_rows(BOATS, listed), settings.as_of)
    others = [reading.read(*one) for one in mapped if one[1].shape not in ("boats", "leave")]
    by_shape: dict[str, list[tuple[Translated, pd.DataFrame]]] = defaultdict(list)
    for one, frame in others:
        frame = with_each_kind(_usable(one, frame, ledger), ledger)
        if one.source.shape not in ("prices", "issued") or "boat" in frame:
            frame = resolve(frame, boats, decisions.names, ledger).reset_index(drop=True)
        by_shape[one.source.shape].append((one, frame))
    flat = [(one, frame) for pairs in by_shape.values() for one, frame in pairs]
    renamed = one_name_a_hull([frame for _, frame in flat], boats, ledger)
    by_shape.clear()
    for (one, _), frame in zip(flat, renamed, strict=True):
        by_shape[one.source.shape].append((one, frame))
    alone = lists_of_failures(by_shape["lives"])
    for shape, pairs in by_shape.items():
        by_shape[shape] = newest_only(pairs, ledger)
    elsewhere = {
        kind
        for _, frame in by_shape["events"]
        if "kind" in frame
        for kind in frame["kind"].unique()
    }
    elsewhere |= {row.get("kind", "") for row in rows_of(plain, PARTS)}
    by_shape["lives"] = without_lists_of_failures(
        by_shape["lives"], alone, frozenset(elsewhere), ledger
    )
    two = frozenset(name for name, row in boats.rows.items() if row["shafts"] == 2)
    twins = twins_of([frame for _, frame in _sided(by_shape)], two)
    for shape in ("lives", "events", "hours", "readings"):
        by_shape[shape] = [(one, with_sides(f, twins, ledger)) for one, f in by_shape[shape]]
    for shape, table in _LIST_OF.items():
        for _, frame in by_shape[shape]:
            making.add(table, plain_rows(frame, table), lines_of(frame))
    launches = _launches([*making.rows[LIFTS.file], *rows_of(plain, LIFTS)])
    _inspections(by_shape, boats if listed else None, making, ledger)
    about = _about_parts(by_shape)
    known = listed_facts(boats, about) if listed else facts_from_parts(about, ledger)
    how = How(decisions, settings, ledger, progress)
    _parts(by_shape, making, twins, launches, known, how)
    _as_built(by_shape, making, plain, known, ledger)
    settle(
        seen_in([frame for _, frame in by_shape["readings"]]),
        making.rows[PARTS.file],
        making.lines[PARTS.file],
        plain[PARTS.file].rows if PARTS.file in plain else (),
        ledger,
    )
    if not listed:
        making.add(BOATS, [dict(row) for row in known.rows.values()], list(known.lines.values()))
    translated = [one for one, _ in (*of_boats, *others)]
    whole = [one.frame for one, _ in others if one.source.shape in ("lives", "events")]
    # What is said of their boats' names was said before.
    unsaid = replace(ledger, out={}, used=set(), findings=[])
    unread = unread_rows(whole, ledger, lambda rows: resolve(rows, boats, decisions.names, unsaid))
    tables, traces = together(making, plain, ledger, listed=bool(listed))
    # The rest of the fields are in the tables now, and would only be held a second time.
    told = [
        replace(one, frame=one.frame[[name for name in one.frame if name in _STILL_ASKED]])
        for one in translated
    ]
    return Gathered(tables, traces, ledger, tuple(told), unread)


_STILL_ASKED = frozenset(
    {"line", "row", "person"}
    | {f"{name}_{end}" for name in ("on", "until", "read_on") for end in ("lo", "hi")}
)
"""Fields of an export that are asked for once it is gathered."""


@dataclass
class _Reading:
    """Reads one export after the other."""

    decisions: Decisions
    latest: date | None
    ledger: Ledger
    progress: Progress | None
    mapped: Sequence[tuple[Grid, SourceMapping]]
    earliest: date | None = None
    done: int = 0

    def read(self, grid: Grid, source: SourceMapping) -> tuple[Translated, pd.DataFrame]:
        if self.progress:
            self.progress(f"Reading {grid.place}", self.done, len(self.mapped))
        latest = self.latest + timedelta(days=366) if self.latest else None
        others = [other for other, how in self.mapped if how is source and other is not grid]
        beside = frozenset[str]().union(*(date_texts(other, source) for other in others))
        one = translate(grid, source, self.decisions, self.earliest, latest, beside)
        self.ledger.findings.extend(one.findings)
        self.done += 1
        frame = one.frame
        lines = self.ledger.add(one.place, frame["row"].tolist())
        frame.insert(0, "line", list(lines))
        return one, frame


def _sided(
    by_shape: Mapping[str, list[tuple[Translated, pd.DataFrame]]],
) -> list[tuple[Translated, pd.DataFrame]]:
    """Exports whose rows name boats and sides."""
    return [one for shape in ("lives", "events", "hours", "readings") for one in by_shape[shape]]


def _usable(one: Translated, frame: pd.DataFrame, ledger: Ledger) -> pd.DataFrame:
    """Without the rows of which a vital cell cannot be read."""
    wrong: dict[int, Finding] = {}
    for name in one.source.form().vital:
        wrong = {**one.unread.get(name, {}), **wrong}
    if not wrong:
        return frame.reset_index(drop=True)
    bad = frame["row"].isin(list(wrong))
    for line, row in zip(frame.loc[bad, "line"], frame.loc[bad, "row"], strict=True):
        ledger.out[int(line)] = wrong[int(row)]
    return frame[~bad].reset_index(drop=True)


def _first_built(rows: Rows) -> date | None:
    days = [_window_end(row.get("built_on", ""), first=True) for row in rows]
    return min((day for day in days if day), default=None)


def _window_end(text: str, *, first: bool) -> date | None:
    window = parse_window_or_none(text)
    return None if window is None else window.lo if first else window.hi


def _launches(rows: Rows) -> dict[str, list[pd.Timestamp]]:
    launches: dict[str, list[pd.Timestamp]] = defaultdict(list)
    for row in rows:
        if day := _window_end(row.get("launched_on", ""), first=False):
            launches[row["boat"]].append(pd.Timestamp(day))
    return {boat: sorted(days) for boat, days in launches.items()}


def _inspections(
    by_shape: Mapping[str, list[tuple[Translated, pd.DataFrame]]],
    boats: Boats | None,
    making: Making,
    ledger: Ledger,
) -> None:
    """What was measured becomes readings; every inspection says how the part was found."""
    for _, frame in by_shape["readings"]:
        readings = measured(frame, boats, ledger)
        making.add(READINGS, plain_rows(readings, READINGS), lines_of(readings))


def _parts(
    by_shape: dict[str, list[tuple[Translated, pd.DataFrame]]],
    making: Making,
    twins: frozenset[str],
    launches: Mapping[str, Sequence[pd.Timestamp]],
    known: BoatFacts,
    how: How,
) -> None:
    ledger = how.ledger
    seen = seen_in([frame for _, frame in by_shape["readings"]])
    issues = [frame for _, frame in by_shape["issued"] if len(frame)]
    for _, frame in by_shape["lives"]:
        rows, lines = lives_of(frame, twins, launches, ledger)
        sound = seen[seen["condition"].isin(["sound", "degraded"])] if len(seen) else seen
        with_sound_days(rows, lines, frame, sound)
        making.add(PARTS, rows, lines)
    jobs = [(one, frame) for one, frame in by_shape["events"] if len(frame)]
    if jobs:
        told = lives_of_jobs(jobs, issues, seen, launches, known, twins, how)
        making.add(PARTS, told.lives, told.lines)
        making.add(HOURS, told.readings, [(line,) for line in told.reading_lines])
    else:
        for frame in issues:
            without_job(frame["line"].tolist(), ledger)


def _as_built(
    by_shape: Mapping[str, list[tuple[Translated, pd.DataFrame]]],
    making: Making,
    plain: Mapping[str, TableRows],
    known: BoatFacts,
    ledger: Ledger,
) -> None:
    """First parts that are as old as their boats, where an export or a row of it says so."""
    places = {one.place for one, _ in _about_parts(by_shape) if one.source.as_built}
    said = {
        int(line)
        for _, frame in by_shape["lives"]
        if "fitted_on_as_built" in frame
        for line in frame.loc[frame["fitted_on_as_built"].astype(bool), "line"]
    }
    if not places and not said:
        return

    def is_as_built(line: int) -> bool:
        return line in said or ledger.where(line)[0] in places

    making.rows[PARTS.file] = with_first_as_built(
        making.rows[PARTS.file],
        making.lines[PARTS.file],
        rows_of(plain, PARTS),
        known.built_on,
        is_as_built,
        ledger,
    )


def _about_parts(
    by_shape: Mapping[str, list[tuple[Translated, pd.DataFrame]]],
) -> list[tuple[Translated, pd.DataFrame]]:
    return [*by_shape["lives"], *by_shape["events"]]
