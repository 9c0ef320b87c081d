"""Who accepted which exports, every row of them, and what has changed since."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pandas as pd

from analytics.job import Fleet
from analytics.records.findings import FleetError
from analytics.records.gather.again import KEYS
from analytics.records.gather.exports import Export
from analytics.records.history.accepted import Accepted, PlaceCount
from analytics.records.history.changes import Changes, changes
from analytics.records.history.rows import all_rows, place_rows
from analytics.records.history.store import AcceptedState, load_accepted, save_accepted
from analytics.records.tables import PARTS, TABLES


def rows_of(fleet: Fleet, known: frozenset[str] = frozenset()) -> pd.DataFrame:
    """Every row that was read, what became of it and of which lives it is part.

    Parameters
    ----------
    fleet : Fleet
    known : frozenset of str
        Sources that were accepted before: of exports that are read alike, whose
        rows are one list, the list goes by the name that is among them.

    Returns
    -------
    DataFrame
        Columns `history.rows.ROW_COLUMNS`.
    """
    lives = _lives_by_row(fleet.lives.table)
    called = _called(fleet.records.exports, known)
    tables = []
    for export in fleet.records.exports:
        # What stands in a newer export of the same kind as well is compared there.
        export = replace(
            export, rows=[one for one in export.rows if not _stands_again(export, one)]
        )
        keys = _keys(export)
        fates = [export.fates[row][0] for row, _ in export.rows]
        made = [lives.get(f"{export.place}:{row}", "") for row, _ in export.rows]
        tables.append(
            place_rows(
                called[export.place],
                export.place,
                export.header_row,
                export.header,
                export.rows,
                keys=keys,
                fates=fates,
                lives=made,
            )
        )
    return all_rows(tables)


def _called(exports: Sequence[Export], known: frozenset[str]) -> dict[str, str]:
    alike: dict[tuple[object, ...], list[Export]] = {}
    for export in exports:
        columns = tuple(sorted(export.columns.items()))
        key = (export.holds, columns) if columns else (export.place,)
        alike.setdefault(key, []).append(export)
    names: dict[str, str] = {}
    for several in alike.values():
        sources = sorted(export.source for export in several)
        name = next((one for one in sources if one in known), sources[0])
        names |= {export.place: name for export in several}
    return names


def _stands_again(export: Export, row: tuple[int, Sequence[str]]) -> bool:
    why = export.fates[row[0]][1]
    return why is not None and why.sort == "row_again"


def _lives_by_row(lives: pd.DataFrame) -> dict[str, str]:
    by_row: dict[str, list[str]] = {}
    for life, source in zip(lives["life"], lives["source"], strict=True):
        for place in source.split("; "):
            by_row.setdefault(place, []).append(str(life))
    return {place: ", ".join(numbers) for place, numbers in by_row.items()}


_PLAIN_KEYS = {PARTS.file: ("boat", "position", "kind", "fitted_on")}


def _keys(export: Export) -> list[str]:
    """What each row is recognised by when something in it has changed."""
    names: Sequence[str]
    if export.columns:
        job = ("job",) if "job" in export.columns else ()
        wanted = job or KEYS.get(export.holds, ())
        extra = ("boat", "kind", "position") if job else ()
        names = [export.columns[name] for name in (*wanted, *extra) if name in export.columns]
    else:
        needed = next((table.needed for table in TABLES if table.file == export.holds), [])
        names = _PLAIN_KEYS.get(export.holds, tuple(needed))
    places = [export.header.index(name) for name in names if name in export.header]
    return [" | ".join(cells[at] for at in places).strip(" |") for _, cells in export.rows]


def since_accepted(fleet: Fleet, folder: Path) -> tuple[AcceptedState | None, Changes | None]:
    """What has changed since the exports of a folder were last accepted.

    Returns
    -------
    AcceptedState or None
        None where nothing was ever accepted.
    Changes or None
        None where there is nothing to compare with.
    """
    state = load_accepted(folder)
    if state is None or state.rows is None:
        return state, None
    known = frozenset(state.rows["source"])
    return state, changes(state.rows, rows_of(fleet, known))


def accept(folder: Path, fleet: Fleet, who: str, note: str = "") -> Accepted:
    """Keep who accepted these exports, when, and every row of them.

    Raises
    ------
    FleetError
        If nobody is named, or the folder cannot be written.
    """
    if not who.strip():
        raise FleetError.because(
            "accepted/log.toml",
            field="who",
            found="",
            expected="who accepts these exports",
            remedy="Give a name or initials.",
        )
    counts = [
        PlaceCount(export.place, *(int(row[name]) for name in ("rows_read", *_FATES)))
        for export, (_, row) in zip(
            fleet.records.exports, fleet.records.counts.iterrows(), strict=True
        )
    ]
    accepted = Accepted(
        who.strip(), datetime.now(UTC), fleet.records.fingerprint, tuple(counts), note.strip()
    )
    return save_accepted(folder, accepted, rows_of(fleet))


_FATES = ("used", "merged", "rejected", "ignored")
