"""From the files of a fleet folder to checked records; nothing is lost on the way."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta

import pandas as pd

from analytics.records.boat_rows import check_boat_rows
from analytics.records.boats import check_boats
from analytics.records.cells import CheckedRows, Row, check_rows
from analytics.records.decided.decision import Decisions
from analytics.records.decided.document import read_decisions
from analytics.records.decided.replay import unmet
from analytics.records.detected import FILE_COLUMNS, files_table
from analytics.records.files.folder import fingerprint, folder_files
from analytics.records.files.names import DECISIONS, MAPPING, OURS, WISHES, table_named
from analytics.records.files.sources import Sources, find_sources, own_piece
from analytics.records.files.unpack import Piece, unpacked
from analytics.records.findings import Done, Finding, FleetError, findings_table, located
from analytics.records.gather.doubts import lives_in_doubt
from analytics.records.gather.exports import (
    COUNT_COLUMNS,
    REJECTED_COLUMNS,
    Export,
    counts_of,
    exports_of,
    rejected_of,
)
from analytics.records.gather.gather import gather
from analytics.records.gather.job_lives import Progress
from analytics.records.gather.ledger import Trace
from analytics.records.gather.plain import PlainTables, plain_tables
from analytics.records.mapping.document import read_mapping
from analytics.records.parts import check_parts
from analytics.records.price_rows import check_prices
from analytics.records.settings import FILE as SETTINGS_FILE
from analytics.records.settings import Settings, read_settings
from analytics.records.stock_rows import check_stock
from analytics.records.table_rows import TableRows
from analytics.records.tables import (
    BOATS,
    HOURS,
    LIFTS,
    PARTS,
    PRICES,
    READINGS,
    STOCK,
    TABLES,
    Table,
)
from analytics.records.wishes import Wish, read_wishes

__all__ = [
    "COUNT_COLUMNS",
    "FILES",
    "FILE_COLUMNS",
    "REJECTED_COLUMNS",
    "Progress",
    "Records",
    "fingerprint",
    "folder_files",
    "read_fleet",
]

FILES = (*(table.file for table in TABLES), *OURS)
"""Names of the files in the plain layout, and of those that say how the others are read."""


@dataclass(frozen=True)
class Records:
    """The checked content of one fleet folder.

    Attributes
    ----------
    tables : mapping of str to DataFrame
        Typed rows by the table's file name in the plain layout; `row` is the row
        of the user's file, or of the table where it was put together from
        mapped exports; a date is a pair of columns `_lo` and `_hi` (datetime64,
        NaT where unknown). Empty with its columns where the file is missing.
    settings : Settings
        With `as_of` and `records_from` filled in.
    findings : tuple of Finding
        All of them.
    counts : DataFrame
        Columns `COUNT_COLUMNS`, `file` being the table's name in the plain
        layout or the mapped file with its sheet; in each row the last four add
        up to the second.
    rejected : DataFrame
        Columns `REJECTED_COLUMNS`; `cells` is the row as it stood.
    fingerprint : str
        SHA-256 of the names and bytes of the files read.
    files : DataFrame
        Columns `FILE_COLUMNS`: how each file and sheet was read.
    places : mapping of str to str
        The user's file, and sheet, by the table's name in the plain layout.
    traces : mapping of str to Trace
        For tables that were put together: where their rows come from.
    exports : tuple of Export
        Every row of every file that was read, and what became of it.
    decisions : Decisions
        What a person decided, as it was replayed.
    people : frozenset of str
        What stands in columns of persons.
    wishes : tuple of Wish
        What people decided about the haul-outs to come.
    """

    tables: Mapping[str, pd.DataFrame]
    settings: Settings
    findings: tuple[Finding, ...]
    counts: pd.DataFrame
    rejected: pd.DataFrame
    fingerprint: str
    files: pd.DataFrame
    places: Mapping[str, str]
    traces: Mapping[str, Trace]
    exports: tuple[Export, ...]
    decisions: Decisions
    people: frozenset[str]
    wishes: tuple[Wish, ...] = ()

    @property
    def as_of(self) -> date:
        """Last day on which the records were watched."""
        assert self.settings.as_of is not None  # read_fleet fills it in
        return self.settings.as_of

    def findings_table(self) -> pd.DataFrame:
        """All findings as rows, see `findings.findings_table`."""
        return findings_table(self.findings)

    def source(self, table: str, row: int) -> str:
        """The user's file and row, or all of them, of which a row of a table was made."""
        if table in self.traces:
            return self.traces[table].source(row)
        return f"{self.places[table]}:{row}"

    def located(self, findings: Iterable[Finding]) -> list[Finding]:
        """Findings about tables of the plain layout, each where the user's own file holds it."""
        placed: list[Finding] = []
        for one in findings:
            trace = self.traces.get(one.file)
            placed += trace.located(one) if trace else located([one], self.places)
        return placed


def read_fleet(files: Mapping[str, bytes], progress: Progress | None = None) -> Records:
    """Read and check the files of a fleet.

    Parameters
    ----------
    files : mapping of str to bytes
        Content by file name, from `folder_files` or an upload.
    progress : callable, optional
        Called with what is done, how far and of how much.

    Raises
    ------
    FleetError
        If a required file is missing or a file is not what its name says; the
        findings name every file that is wrong, not the first alone.
    """
    pieces, passed_over = unpacked(files)
    own = {name: own_piece(pieces, name) for name in OURS}
    settings, findings = read_settings(_text(own[SETTINGS_FILE]))
    mapping, wrong = read_mapping(_text(own[MAPPING]))
    if wrong:
        # A column or word that is not read as somebody meant would change results unseen.
        raise FleetError([replace(one, done="stopped") for one in wrong])
    decisions, told = read_decisions(_text(own[DECISIONS]))
    findings += told
    wishes, told = read_wishes(_text(own[WISHES]))
    findings += told
    sources = find_sources(pieces, passed_over, settings.files, mapping)
    plain = plain_tables(sources.grids, decisions)
    _require_tables(sources, plain)
    gathered = gather(sources.mapped, plain.read, decisions, settings, progress)
    read = {**plain.read, **gathered.tables}
    checked = {
        table.file: check_rows(table, read[table.file])
        if table.file in read
        else CheckedRows.none(table)
        for table in TABLES
    }
    places = {file: one.grid.place for file, one in read.items()}
    traces = gathered.traces
    try:
        settings, as_of, assumed = _fill_dates(settings, checked, gathered.latest)
    except FleetError as error:
        rejected = [one for one in gathered.ledger.findings if one.done == "rejected"]
        raise FleetError([*located(error.findings, places), *rejected[:20]]) from None
    boats = check_boats(checked[BOATS.file], as_of)
    lives, merged = check_parts(checked[PARTS.file], boats, settings, as_of)
    rows = {BOATS.file: list(boats.rows.values()), PARTS.file: lives}
    for table in TABLES:
        if table is PRICES:
            rows[PRICES.file] = check_prices(checked[PRICES.file], settings)
        elif table is STOCK:
            rows[STOCK.file] = check_stock(checked[STOCK.file], settings, as_of)
        elif table.file not in rows:
            part = checked[table.file]
            names_boats = "boat" in table.needed
            rows[table.file] = check_boat_rows(part, boats, as_of) if names_boats else part.rows
    findings += assumed
    for file, part in checked.items():
        trace = traces.get(file)
        findings += (
            [one for finding in part.findings for one in trace.located(finding)]
            if trace
            else part.findings
        )
    replayed = [*plain.replays.values(), *(one.replayed for one in gathered.translated)]
    findings += lives_in_doubt(gathered.unread, lives, gathered.ledger)
    findings += [*gathered.ledger.findings, *sources.findings, *_missing_tables(read)]
    findings += unmet(decisions, replayed)
    exports = exports_of(plain, gathered, checked, rows, merged)
    from_files = set(sources.read) | {piece.outer for piece in own.values() if piece}
    return Records(
        tables={table.file: _frame(table, rows[table.file]) for table in TABLES},
        settings=settings,
        findings=tuple(findings),
        counts=counts_of(exports),
        rejected=rejected_of(exports),
        fingerprint=fingerprint({name: files[name] for name in from_files}),
        files=files_table(plain.read, checked, gathered.translated, sources.left_alone),
        places=places,
        traces=traces,
        exports=exports,
        decisions=decisions,
        people=gathered.people,
        wishes=wishes,
    )


def _text(piece: Piece | None) -> str | None:
    return None if piece is None else piece.content.decode("utf-8-sig", "replace")


def _require_tables(sources: Sources, plain: PlainTables) -> None:
    """Stop where a table that is needed is not there, or a file that is one cannot be read."""
    stopped = [*sources.stopped, *plain.stopped]
    told = {table_named(one.file.split(", ")[-1]) for one in stopped}
    shapes = {how.shape for _, how in sources.mapped} | sources.unopened
    about_parts = bool(shapes & {"lives", "events"})
    for table, there in ((BOATS, about_parts or "boats" in shapes), (PARTS, about_parts)):
        if there or table.file in sources.grids or table in told:
            continue
        if sources.unknown:
            stopped += [_not_known_yet(grid.place) for grid in sources.unknown]
            break
        stopped.append(
            Finding(
                table.file,
                None,
                "",
                "no such file",
                f"a file or sheet with {', '.join(table.needed)}",
                "stopped",
                f"Add {table.file}, a sheet named {table.stem}, or an export that tells of it; the "
                f"README shows its columns. Without it, {table.without}.",
                "file_missing",
            )
        )
    if stopped:
        raise FleetError(sorted(stopped, key=_in_order_of_tables))


def _not_known_yet(place: str) -> Finding:
    return Finding(
        place,
        None,
        "",
        "an export of which nobody has said yet how it is read",
        "the plain layout, or an entry in mapping.toml",
        "stopped",
        "Run 'tideworn map' on the folder, or open its page of exports: both propose how it is "
        "read, and keep what you confirm.",
        "file_left_alone",
    )


def _in_order_of_tables(finding: Finding) -> int:
    table = table_named(finding.file)
    return len(TABLES) if table is None else TABLES.index(table)


def _fill_dates(
    settings: Settings, checked: Mapping[str, CheckedRows], told: date | None
) -> tuple[Settings, date, list[Finding]]:
    """The last day watched and the day the records began, assumed aloud where not given."""
    findings: list[Finding] = []

    def say(key: str, found: object, expected: str, done: Done, remedy: str) -> None:
        findings.append(
            Finding(SETTINGS_FILE, None, key, str(found), expected, done, remedy, "setting")
        )

    as_of = settings.as_of
    if as_of is None:
        as_of = _latest_day(checked, told)
        say(
            "as_of",
            "",
            "the last day on which the records were watched",
            "assumed",
            f"The latest date in the files, {as_of}, stands in: "
            "set as_of if the records were kept longer.",
        )
    records_from = settings.records_from
    if records_from and records_from > as_of:
        say(
            "records_from",
            records_from,
            f"a day up to {as_of}, the last one watched",
            "ignored",
            "Correct records_from or as_of.",
        )
        records_from = None
    removals = [row["removed_on_lo"] for row in checked[PARTS.file].rows if row["removed_on_lo"]]
    earliest = min(removals, default=as_of)
    if records_from is None and removals and earliest <= as_of:
        # The day before: the earliest removal was itself written down.
        records_from = earliest - timedelta(days=1)
        say(
            "records_from",
            "",
            "the day from which removals were written down",
            "assumed",
            f"The earliest removal in the files, {earliest}, stands in: parts fitted before it "
            "count from then on. Set records_from if every removal was written down from an "
            "earlier day.",
        )
    return replace(settings, as_of=as_of, records_from=records_from), as_of, findings


def _latest_day(checked: Mapping[str, CheckedRows], told: date | None) -> date:
    """The latest day that any row tells of: the last of its year where that is all."""
    dated = [
        (PARTS.file, "fitted_on"),
        (PARTS.file, "removed_on"),
        (HOURS.file, "read_on"),
        (READINGS.file, "read_on"),
        (LIFTS.file, "lifted_on"),
        (LIFTS.file, "launched_on"),
    ]
    days: list[date] = [told] if told else []
    for file, name in dated:
        for row in checked[file].rows:
            first, last = row[f"{name}_lo"], row[f"{name}_hi"]
            if first:
                # A window of years says little of how long anybody watched.
                days.append(last if last - first <= timedelta(days=366) else first)
    if not days:
        raise FleetError.because(
            PARTS.file,
            found="no dated row",
            expected="at least one life with a date",
            remedy="Add rows with fitted_on or removed_on; headers alone tell nothing.",
        )
    return max(days)


def _missing_tables(read: Mapping[str, TableRows]) -> list[Finding]:
    return [
        Finding(
            table.file,
            None,
            "",
            "no such file",
            f"a file in which each row is {table.row_is}",
            "noted",
            f"Without it: {table.without}.",
            "file_missing",
        )
        for table in TABLES
        if table.file not in read
    ]


def _frame(table: Table, rows: list[Row]) -> pd.DataFrame:
    columns: dict[str, str] = {"row": "int64"}
    for column in table.columns:
        if column.holds == "window":
            columns |= {
                f"{column.name}_lo": "datetime64[ns]",
                f"{column.name}_hi": "datetime64[ns]",
            }
        else:
            columns[column.name] = "float64" if column.holds == "number" else "object"
    return pd.DataFrame(rows, columns=list(columns)).astype(columns)
