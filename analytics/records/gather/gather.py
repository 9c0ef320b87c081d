"""All mapped exports of a fleet put together as tables of the plain layout.

Boats come first, because everything else names them; then lists of lives,
jobs, stores issues and inspections together become the rows of `parts.csv`.
Each row of a table knows the rows of the user's files of which it was made.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta

import pandas as pd

from analytics.records.boats import Boats
from analytics.records.decided.decision import Decisions
from analytics.records.events.assembling import assemble
from analytics.records.events.told import Told
from analytics.records.files.grids import FileSettings, Grid
from analytics.records.findings import Finding
from analytics.records.gather.again import newest_only
from analytics.records.gather.as_built import parse_window_or_none, with_first_as_built
from analytics.records.gather.boat_facts import BoatFacts, facts_from_parts, listed_facts
from analytics.records.gather.event_rows import (
    between_invoice_and_launch,
    events_of,
    say,
    seen_by_leaving,
    with_issues,
    without_job,
)
from analytics.records.gather.inspections import measured, seen_in, with_every_column
from analytics.records.gather.ledger import Ledger, Trace
from analytics.records.gather.life_rows import (
    lives_of,
    tell_flags,
    with_sound_days,
)
from analytics.records.gather.names import boats_of, named_by_hull, resolve
from analytics.records.gather.other_rows import plain_rows
from analytics.records.gather.shafts import SIDES, twins_of, with_sides
from analytics.records.gather.survivors import without_lists_of_failures
from analytics.records.mapping.model import SourceMapping
from analytics.records.mapping.translate import Translated, translate
from analytics.records.settings import Settings
from analytics.records.table_rows import TableRows
from analytics.records.tables import BOATS, HOURS, LIFTS, PARTS, PRICES, READINGS, TABLES, Table

Progress = Callable[[str, int, int], None]

Rows = list[dict[str, str]]
Lines = list[tuple[int, ...]]

_PLAIN = FileSettings(decimal=".", thousands="")
"""How numbers are written in rows that were put together."""

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
    """

    tables: Mapping[str, TableRows]
    traces: Mapping[str, Trace]
    ledger: Ledger
    translated: tuple[Translated, ...]

    @property
    def people(self) -> frozenset[str]:
        """What stands in columns of persons."""
        return frozenset(
            text
            for one in self.translated
            if "person" in one.frame
            for text in one.frame["person"].unique()
        )


@dataclass
class _Making:
    """The rows of the tables while they are put together."""

    rows: dict[str, Rows] = field(default_factory=lambda: defaultdict(list))
    lines: dict[str, Lines] = field(default_factory=lambda: defaultdict(list))

    def add(self, table: Table, rows: Rows, lines: Lines) -> None:
        self.rows[table.file] += rows
        self.lines[table.file] += lines


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
    ledger, making = Ledger(), _Making()
    reading = _Reading(decisions, settings.as_of, ledger, progress, len(mapped))
    of_boats = [reading.read(*one) for one in mapped if one[1].shape == "boats"]
    usable = [(one, _usable(one, frame, ledger)) for one, frame in of_boats]
    for _, frame in newest_only(usable, ledger):
        making.add(BOATS, plain_rows(named_by_hull(frame), BOATS), _lines(frame))
    listed = [*making.rows[BOATS.file], *_rows_of(plain, BOATS)]
    reading.earliest = _first_built(listed)
    boats = boats_of(_table_rows(BOATS, listed), settings.as_of)
    others = [reading.read(*one) for one in mapped if one[1].shape not in ("boats", "leave")]
    by_shape: dict[str, list[tuple[Translated, pd.DataFrame]]] = defaultdict(list)
    for one, frame in others:
        frame = _usable(one, frame, ledger)
        if one.source.shape not in ("prices", "issued") or "boat" in frame:
            frame = resolve(frame, boats, decisions.names, ledger).reset_index(drop=True)
        by_shape[one.source.shape].append((one, frame))
    for shape, pairs in by_shape.items():
        by_shape[shape] = newest_only(pairs, ledger)
    told_elsewhere = bool(by_shape["events"]) or PARTS.file in plain
    by_shape["lives"] = without_lists_of_failures(
        by_shape["lives"], others=told_elsewhere, ledger=ledger
    )
    two = frozenset(name for name, row in boats.rows.items() if row["shafts"] == 2)
    twins = twins_of([frame for _, frame in _sided(by_shape)], two)
    for shape in ("lives", "events", "hours", "readings"):
        by_shape[shape] = [(one, with_sides(f, twins, ledger)) for one, f in by_shape[shape]]
    for shape, table in _LIST_OF.items():
        for _, frame in by_shape[shape]:
            making.add(table, plain_rows(frame, table), _lines(frame))
    launches = _launches([*making.rows[LIFTS.file], *_rows_of(plain, LIFTS)])
    _inspections(by_shape, boats if listed else None, making, ledger)
    about = _about_parts(by_shape)
    known = listed_facts(boats, about) if listed else facts_from_parts(about, ledger)
    _parts(by_shape, making, twins, launches, known, settings, ledger, progress)
    _as_built(by_shape, making, plain, known, ledger)
    if not listed:
        making.add(BOATS, [dict(row) for row in known.rows.values()], list(known.lines.values()))
    translated = [one for one, _ in (*of_boats, *others)]
    return _together(making, plain, ledger, translated, listed=bool(listed))


@dataclass
class _Reading:
    """Reads one export after the other."""

    decisions: Decisions
    latest: date | None
    ledger: Ledger
    progress: Progress | None
    total: int
    earliest: date | None = None
    done: int = 0

    def read(self, grid: Grid, source: SourceMapping) -> tuple[Translated, pd.DataFrame]:
        if self.progress:
            self.progress(f"Reading {grid.place}", self.done, self.total)
        latest = self.latest + timedelta(days=366) if self.latest else None
        one = translate(grid, source, self.decisions, self.earliest, latest)
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


def _lines(frame: pd.DataFrame) -> Lines:
    return [(line,) for line in frame["line"].tolist()]


def _rows_of(plain: Mapping[str, TableRows], table: Table) -> Rows:
    return [cells for _, cells in plain[table.file].rows] if table.file in plain else []


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
    making: _Making,
    ledger: Ledger,
) -> None:
    """What was measured becomes readings; every inspection says how the part was found."""
    for _, frame in by_shape["readings"]:
        readings = measured(frame, boats, ledger)
        making.add(READINGS, plain_rows(readings, READINGS), _lines(readings))


def _parts(
    by_shape: dict[str, list[tuple[Translated, pd.DataFrame]]],
    making: _Making,
    twins: frozenset[str],
    launches: Mapping[str, Sequence[pd.Timestamp]],
    known: BoatFacts,
    settings: Settings,
    ledger: Ledger,
    progress: Progress | None,
) -> None:
    seen = seen_in([frame for _, frame in by_shape["readings"]])
    issues = [frame for _, frame in by_shape["issued"]]
    for _, frame in by_shape["lives"]:
        rows, lines = lives_of(frame, twins, launches, ledger)
        sound = seen[seen["condition"].isin(["sound", "degraded"])] if len(seen) else seen
        with_sound_days(rows, lines, frame, sound)
        making.add(PARTS, rows, lines)
    jobs = [(one, frame) for one, frame in by_shape["events"] if len(frame)]
    if not jobs:
        for frame in issues:
            without_job(frame["line"].tolist(), ledger)
        return
    frames = []
    for _, frame in jobs:
        tell_flags(frame, ledger)
        events = events_of(frame, ledger)
        frames.append(_invoiced(events, frame, launches, ledger))
    if known.rows:
        frames = list(map(seen_by_leaving, frames))
    events = pd.concat(frames, ignore_index=True)
    if issues:
        events = with_issues(
            events, pd.concat(issues, ignore_index=True), ledger, settings.currency
        )
    if len(seen):
        here = seen[seen["boat"].isin(set(events["boat"]))]
        events = pd.concat([events, with_every_column(here)], ignore_index=True)
    assembled = assemble(
        events,
        as_of=settings.as_of,
        positions=_positions(events, twins),
        left=known.left,
        progress=None if progress is None else _named(progress),
    )
    told = {id(one): ledger.tell(one.line, _finding(one, ledger)) for one in assembled.findings}
    for line, fate in assembled.fates.items():
        if fate.told is None or fate.outcome == "used":
            ledger.used.add(line)
        else:
            place, row = ledger.where(line)
            first = told.get(id(fate.told)) or _finding(fate.told, ledger)
            why = replace(first, file=place, row=row, done=fate.outcome, also=())
            ledger.out.setdefault(line, why)
    making.add(PARTS, assembled.lives, assembled.lines)
    making.add(HOURS, assembled.readings, [(line,) for line in assembled.reading_lines])


def _finding(told: Told, ledger: Ledger) -> Finding:
    remedy = told.remedy
    if told.beside is not None:
        place, row = ledger.where(told.beside)
        remedy = f"{remedy} The other is row {row} of {place}."
    return Finding(
        "",
        None,
        told.field,
        told.found,
        told.expected,
        told.done,
        remedy,
        told.sort,
        told.also,
    )


def _invoiced(
    events: pd.DataFrame,
    frame: pd.DataFrame,
    launches: Mapping[str, Sequence[pd.Timestamp]],
    ledger: Ledger,
) -> pd.DataFrame:
    """Events of which only an invoice's date is known: fitted between it and the next launch."""
    if "invoice_on_lo" not in frame:
        return events
    by_line = frame.drop_duplicates("line").set_index("line")
    lines = by_line.loc[events["line"]]
    dated = (
        lines["on_lo"].isna() if "on_lo" in lines else pd.Series(True, index=lines.index)
    ).to_numpy() & lines["invoice_on_lo"].notna().to_numpy()
    if not dated.any():
        return events
    some = lines[dated]
    last = between_invoice_and_launch(some, launches)
    events = events.copy()
    events.loc[dated, "on_hi"] = last.to_numpy()
    say(
        ledger,
        events.loc[dated, "line"].tolist(),
        "invoice_on",
        ", ".join(some["invoice_on"].head(3)),
        "the date of the job",
        "assumed",
        "Done between the invoice and the launch after it, or within half a year where no launch "
        "is written down.",
        "invoice_date",
    )
    return events


def _positions(events: pd.DataFrame, twins: frozenset[str]) -> dict[str, tuple[str, ...]]:
    """The shafts of each boat that is named."""
    boats = set(events["boat"]) | set(events["to_boat"]) - {""}
    return {boat: SIDES if boat in twins else ("single",) for boat in boats}


def _named(progress: Progress) -> Callable[[int, int], None]:
    def told(done: int, total: int) -> None:
        progress("Putting jobs together", done, total)

    return told


def _as_built(
    by_shape: Mapping[str, list[tuple[Translated, pd.DataFrame]]],
    making: _Making,
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
        _rows_of(plain, PARTS),
        known.built_on,
        is_as_built,
        ledger,
    )


def _about_parts(
    by_shape: Mapping[str, list[tuple[Translated, pd.DataFrame]]],
) -> list[tuple[Translated, pd.DataFrame]]:
    return [*by_shape["lives"], *by_shape["events"]]


def _together(
    making: _Making,
    plain: Mapping[str, TableRows],
    ledger: Ledger,
    translated: Sequence[Translated],
    *,
    listed: bool,
) -> Gathered:
    tables, traces = {}, {}
    for table in TABLES:
        rows, lines = making.rows[table.file], making.lines[table.file]
        if not rows:
            continue
        if table.file in plain:
            own = plain[table.file]
            numbers = ledger.add(own.grid.place, [row for row, _ in own.rows])
            ledger.findings.extend(own.findings)
            rows = [*rows, *(cells for _, cells in own.rows)]
            lines = [*lines, *((number,) for number in numbers)]
        derived = table is BOATS and not listed
        traces[table.file] = Trace(ledger, lines, counts=not derived)
        tables[table.file] = replace(_table_rows(table, rows), where=traces[table.file].named)
    return Gathered(tables, traces, ledger, tuple(translated))


def _table_rows(table: Table, rows: Rows) -> TableRows:
    """Rows as those of a file in the plain layout, numbered from 1."""
    held: set[str] = set().union(*map(dict.keys, rows))
    header = [column.name for column in table.columns if column.name in held or column.required]
    # A row that has every column of the table need not be made anew.
    most = len(held) if held.issuperset(header) else -1
    numbered = [
        (number, row if len(row) == most else {name: row.get(name, "") for name in header})
        for number, row in enumerate(rows, 1)
    ]
    grid = Grid(table.file, lambda: iter(()), chosen=_PLAIN)
    return TableRows(grid, header, 0, numbered, [])
