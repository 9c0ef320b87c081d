"""From a folder of exports to records that somebody has accepted.

What is proposed for files of which nothing is said, what a mapping would give,
what a person decides, and what has changed since the exports were last
accepted. The user's own files are never written.
"""

from __future__ import annotations

import os
import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path

import pandas as pd

from analytics.job import Fleet, Progress, open_fleet
from analytics.papers.attention import attention, findings_of
from analytics.papers.masking import people_in
from analytics.records.decided.decision import Decision, Decisions
from analytics.records.decided.document import decisions_text, read_decisions
from analytics.records.decided.marks import row_mark, same_text
from analytics.records.files.folder import folder_files
from analytics.records.files.grids import Grid
from analytics.records.files.names import DECISIONS, MAPPING, OURS, base_name, is_read
from analytics.records.files.sources import foreign_grids
from analytics.records.findings import Finding, FleetError
from analytics.records.gather.again import KEYS
from analytics.records.gather.exports import Export
from analytics.records.history.accepted import Accepted, PlaceCount
from analytics.records.history.changes import Changes, changes
from analytics.records.history.rows import all_rows, place_rows
from analytics.records.history.store import AcceptedState, load_accepted, save_accepted
from analytics.records.mapping.document import mapping_text, read_mapping
from analytics.records.mapping.model import FleetMapping, SourceMapping
from analytics.records.mapping.proposal import Proposal, propose_all
from analytics.records.tables import PARTS, TABLES


@dataclass(frozen=True)
class Intake:
    """What is known of a folder's files before they are read.

    Attributes
    ----------
    mapping : FleetMapping
        As it is saved.
    grids : tuple of Grid
        Files and sheets that are not in the plain layout.
    proposals : tuple of Proposal
        For those of them of which the mapping says nothing.
    findings : tuple of Finding
        Files that cannot be opened, and what is wrong in the mapping.
    """

    mapping: FleetMapping
    grids: tuple[Grid, ...]
    proposals: tuple[Proposal, ...]
    findings: tuple[Finding, ...]

    def proposed(self) -> FleetMapping:
        """The mapping with every proposal taken as it is, those that leave a file out included."""
        mapping = self.mapping
        for one in self.proposals:
            # Exports of several months share one pattern, and are said once.
            mapping = replaced(mapping, one.source)
        return mapping


def look_at(files: Mapping[str, bytes]) -> Intake:
    """Look at the files of a folder: which are foreign, and how they may be read.

    Raises
    ------
    FleetError
        If `mapping.toml` is there and cannot be read.
    """
    mapping, findings = read_mapping(_text(files, MAPPING))
    grids, told = foreign_grids(files)
    unknown = [grid for grid in grids if mapping.of(grid) is None]
    return Intake(mapping, tuple(grids), tuple(propose_all(unknown)), (*findings, *told))


def with_mapping(files: Mapping[str, bytes], mapping: FleetMapping) -> dict[str, bytes]:
    """The files with another mapping beside them."""
    return {**_without(files, MAPPING), MAPPING: mapping_text(mapping).encode()}


def with_decisions(files: Mapping[str, bytes], decisions: Decisions) -> dict[str, bytes]:
    """The files with other decisions beside them."""
    return {**_without(files, DECISIONS), DECISIONS: decisions_text(decisions).encode()}


def preview(
    files: Mapping[str, bytes], mapping: FleetMapping, progress: Progress | None = None
) -> Fleet:
    """The fleet as a mapping would give it; nothing is saved.

    Raises
    ------
    FleetError
        If the files cannot be read that way.
    """
    return open_fleet(with_mapping(files, mapping), progress)


def replaced(mapping: FleetMapping, source: SourceMapping) -> FleetMapping:
    """A mapping with one source said anew: in its place, or last where it is new."""
    key = (source.file.casefold(), source.sheet)
    keys = [(one.file.casefold(), one.sheet) for one in mapping.sources]
    if key not in keys:
        return FleetMapping((*mapping.sources, source))
    at = keys.index(key)
    kept = [one for one, its in zip(mapping.sources, keys, strict=True) if its != key]
    return FleetMapping((*kept[:at], source, *kept[at:]))


def save_mapping(folder: Path, mapping: FleetMapping) -> Path:
    """Write `mapping.toml` into a fleet folder."""
    return write_beside(folder / MAPPING, mapping_text(mapping).encode())


def decide(folder: Path, decision: Decision) -> Decisions:
    """Add a decision to `decisions.toml`; the same question decided before is replaced.

    Raises
    ------
    FleetError
        If the file is there and is no TOML: it is not written over.
    """
    path = folder / DECISIONS
    before = path.read_text(encoding="utf-8") if path.exists() else None
    decisions, findings = read_decisions(before)
    if not decisions.complete:
        raise FleetError([replace(one, done="stopped") for one in findings])
    decisions = decisions.with_(decision)
    write_beside(path, decisions_text(decisions).encode())
    return decisions


def write_beside(path: Path, content: bytes) -> Path:
    """Write a file whole, or leave it as it was.

    Raises
    ------
    FleetError
        If the place cannot be written.
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
        try:
            with os.fdopen(handle, "wb") as part:
                part.write(content)
            os.replace(name, path)
        except BaseException:
            Path(name).unlink(missing_ok=True)
            raise
    except OSError as error:
        raise FleetError.because(
            str(path),
            found=error.strerror or str(error),
            expected="a folder that can be written",
            remedy="Check the permissions of the folder and the space left on the disk.",
        ) from None
    return path


def bring_in(
    folder: Path, files: Mapping[str, bytes], instead_of: Mapping[str, bytes]
) -> list[Path]:
    """Write files that somebody brought into a fleet folder.

    Parameters
    ----------
    folder : Path
    files : mapping of str to bytes
        By plain names, without a folder.
    instead_of : mapping of str to bytes
        Files of the folder that may be written over, as they were when somebody said so.

    Returns
    -------
    list of Path
        The files written; one that is there already, byte by byte, is not.

    Raises
    ------
    FleetError
        Before anything is written, if a name is more than a name or another file would be lost;
        or if the folder cannot be written.
    """
    wrong = [
        Finding(name, None, "", why, "a file that may be written", "stopped", remedy)
        for name, content in files.items()
        for why, remedy in _against_writing(folder, name, content, instead_of)
    ]
    if wrong:
        raise FleetError(wrong)
    return [
        write_beside(folder / name, content)
        for name, content in files.items()
        if _there(folder / name) != content
    ]


def _against_writing(
    folder: Path, name: str, content: bytes, instead_of: Mapping[str, bytes]
) -> list[tuple[str, str]]:
    if name != base_name(name) or not is_read(name) or ":" in name or not name.isprintable():
        return [("a name that is not that of an export", "Rename it and bring it in again.")]
    there = _there(folder / name)
    if there is None or there == content or there == instead_of.get(name):
        return []
    return [
        (
            "another file of this name in the folder",
            "Say that it takes the place of the other, or rename it and bring it in again.",
        )
    ]


def _there(path: Path) -> bytes | None:
    try:
        return path.read_bytes()
    except FileNotFoundError:
        return None
    except OSError as error:
        raise FleetError.because(
            str(path),
            found=error.strerror or "unreadable",
            expected="a file that can be read",
            remedy="Close it in any other program, and check its permissions.",
        ) from None


def attention_of(fleet: Fleet) -> pd.DataFrame:
    """What to look at first, see `papers.attention.attention`."""
    return attention(fleet.told, fleet.lives.table)


def findings_in(fleet: Fleet, group: str) -> list[Finding]:
    """The findings of one group of `attention_of`."""
    return findings_of(group, [*fleet.records.findings, *fleet.lives.findings], fleet.lives.table)


def row_as_it_stands(fleet: Fleet, place: str, row: int) -> tuple[Export, list[str]] | None:
    """A row of a user's file, with what was decided about its cells taken back.

    Returns
    -------
    (Export, list of str) or None
        Its file and its cells; None where no such row was read.
    """
    export = next((one for one in fleet.records.exports if one.place == place), None)
    cells = next((cells for at, cells in export.rows if at == row), None) if export else None
    if export is None or cells is None:
        return None
    file, _, sheet = place.partition(", sheet ")
    column = {same_text(name): at for at, name in enumerate(export.header)}
    by_mark: dict[str, list[Decision]] = {}
    for one in fleet.records.decisions:
        if one.what == "cell" and one.is_of(file, sheet) and same_text(one.field) in column:
            by_mark.setdefault(one.row_mark, []).append(one)
    for mark, decided in by_mark.items():
        before = list(cells)
        for one in decided:
            before[column[same_text(one.field)]] = one.found
        if row_mark(export.header, before) == mark:
            return export, before
    return export, list(cells)


def people_of(fleet: Fleet) -> frozenset[str]:
    """Names in the columns that hold persons: masked in whatever is shown."""
    found: set[str] = set()
    for export in fleet.records.exports:
        if "person" in export.columns:
            at = export.header.index(export.columns["person"])
            found |= people_in(cells[at] for _, cells in export.rows)
    return frozenset(found)


def rows_of(fleet: Fleet) -> pd.DataFrame:
    """Every row that was read, what became of it and of which lives it is part.

    Returns
    -------
    DataFrame
        Columns `history.rows.ROW_COLUMNS`.
    """
    lives = _lives_by_row(fleet.lives.table)
    tables = []
    for export in fleet.records.exports:
        keys = _keys(export)
        fates = [export.fates[row][0] for row, _ in export.rows]
        made = [lives.get(f"{export.place}:{row}", "") for row, _ in export.rows]
        tables.append(
            place_rows(
                export.source,
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
    return state, changes(state.rows, rows_of(fleet))


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


def of_folder(folder: Path) -> dict[str, bytes]:
    """The files of a fleet folder, see `files.folder.folder_files`."""
    return folder_files(folder)


def said_in(folder: Path) -> dict[str, bytes]:
    """What was said of a fleet, whether or not its exports are there: the files of `names.OURS`."""
    there = {name: _there(folder / name) for name in OURS}
    return {name: content for name, content in there.items() if content is not None}


def _text(files: Mapping[str, bytes], name: str) -> str | None:
    content = next((one for known, one in files.items() if known.lower() == name), None)
    return None if content is None else content.decode("utf-8-sig", "replace")


def _without(files: Mapping[str, bytes], name: str) -> dict[str, bytes]:
    return {known: content for known, content in files.items() if known.lower() != name}
