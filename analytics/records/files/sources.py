"""Which file or sheet holds which table, and what is left alone."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import islice

from analytics.records.files import limits
from analytics.records.files.delimited import is_prose, text_grid
from analytics.records.files.grids import AS_DETECTED, FileSettings, Grid
from analytics.records.files.names import MAPPING, SETTINGS, base_name, is_ours, suffix, table_named
from analytics.records.files.source_findings import (
    mapping_without_file,
    passed_over,
    settings_without_file,
    two,
)
from analytics.records.files.unpack import Piece, unpacked
from analytics.records.files.workbooks import workbook_grids
from analytics.records.findings import Finding, FleetError
from analytics.records.mapping.document import read_mapping
from analytics.records.mapping.meanings import LEAVE
from analytics.records.mapping.model import FleetMapping, SourceMapping
from analytics.records.settings import read_settings
from analytics.records.table_rows import dates_are_plain, table_of
from analytics.records.tables import BOATS, PARTS, TABLES, Table, as_word


@dataclass(frozen=True)
class Sources:
    """Where each table comes from.

    Attributes
    ----------
    grids : mapping of str to Grid
        By the table's file name in the plain layout.
    mapped : tuple of (Grid, SourceMapping)
        Files and sheets that are read by the mapping, in the order of their names.
    left_alone : tuple of Grid
        Files and sheets that hold no table.
    unknown : tuple of Grid
        Those of them of which the mapping says nothing, and that are none of the plain layout.
    read : frozenset of str
        The user's files from which a table is taken.
    unopened : frozenset of str
        Shapes of the files that the mapping names and that cannot be opened.
    findings : list of Finding
        What was left alone or passed over.
    stopped : list of Finding
        What stands in the way: a table in two places, a file that bears a
        table's name and cannot be opened, any such file where a needed table is
        missing.
    """

    grids: Mapping[str, Grid]
    mapped: tuple[tuple[Grid, SourceMapping], ...]
    left_alone: tuple[Grid, ...]
    unknown: tuple[Grid, ...]
    read: frozenset[str]
    unopened: frozenset[str]
    findings: list[Finding]
    stopped: list[Finding]


def own_piece(pieces: Iterable[Piece], name: str) -> Piece | None:
    """The one of this project's own files that bears a name.

    Raises
    ------
    FleetError
        If there are two.
    """
    found = [piece for piece in pieces if piece.name.lower() == name]
    if len(found) > 1:
        raise FleetError([two(name, [piece.place for piece in found])])
    return found[0] if found else None


def find_sources(
    pieces: Sequence[Piece],
    unopened: Sequence[Finding],
    chosen: Mapping[str, FileSettings],
    mapping: FleetMapping,
) -> Sources:
    """Find what each file or sheet holds: by the mapping, by its name, and else by its header.

    Parameters
    ----------
    pieces : sequence of Piece
    unopened : sequence of Finding
        From unpacking.
    chosen : mapping of str to FileSettings
        What the settings say, by file name.
    mapping : FleetMapping
    """
    findings = list(unopened)
    claims: list[_Claim] = []
    for piece in pieces:
        if not is_ours(piece.name):
            try:
                claims += _claims(piece, _settings_of(piece, chosen), mapping, findings)
            except FleetError as error:
                findings += error.findings
    said = [(claim, mapping.of(claim.grid)) for claim in claims]
    mapped = [(claim, how) for claim, how in said if how and how.shape != "leave"]
    left = [claim for claim, how in said if how and how.shape == "leave"]
    claims = [_if_plain(claim) for claim, how in said if how is None]
    stopped: list[Finding] = []
    taken: dict[str, _Claim] = {}
    for table in TABLES:
        named = [claim for claim in claims if claim.named is table]
        fitting = [claim for claim in claims if claim.named is None and claim.fits is table]
        candidates = named or fitting
        if len(candidates) > 1:
            stopped.append(two(table.file, [claim.grid.place for claim in candidates]))
        elif candidates:
            taken[table.file] = candidates[0]
    about_parts = any(how.shape in ("lives", "events") for _, how in mapped)
    complete = about_parts or {BOATS.file, PARTS.file} <= taken.keys()
    # What cannot be opened is passed over only where it would not be missed: not beside exports
    # that are mapped, any of which it may be, unless the mapping says that it is left alone.
    missed = [
        one
        for one in findings
        if one.done == "stopped"
        and not (
            complete
            and table_named(_file_of(one.file)) is None
            and (not mapping.sources or mapping.leaves(_file_with_archive(one.file)))
        )
    ]
    way_out = ' Or take the file away, or say shape = "leave" for it in mapping.toml.'
    stopped += [
        replace(one, remedy=one.remedy + way_out) if mapping.sources else one for one in missed
    ]
    findings = [one for one in findings if one not in missed]
    closed = [_file_with_archive(one.file) for one in missed]
    closed_shapes = frozenset(one.shape for one in mapping if any(map(one.names, closed)))
    used = {id(claim) for claim in taken.values()}
    others = [claim for claim in claims if id(claim) not in used]
    findings = [passed_over(one) for one in findings]
    findings += [_is_prose(one) if one.prose else _left_alone(one, taken) for one in others]
    findings += [_left_by_mapping(claim) for claim in left]
    findings += settings_without_file(pieces, chosen)
    unmet = [one for one in mapping if not any(one.is_of(claim.grid) for claim, _ in said)]
    there = [claim.grid for claim, _ in said]
    stopped += [_sheet_gone(one, there) for one in unmet if _is_sheet_gone(one, there)]
    findings += [mapping_without_file(one) for one in unmet if not _is_sheet_gone(one, there)]
    mapped.sort(key=lambda one: one[0].grid.place)
    return Sources(
        {file: claim.grid for file, claim in taken.items()},
        tuple((claim.grid, how) for claim, how in mapped),
        tuple(claim.grid for claim in (*others, *left)),
        tuple(claim.grid for claim in others if claim.is_unknown),
        frozenset(claim.outer for claim in (*taken.values(), *(one for one, _ in mapped))),
        closed_shapes,
        findings,
        stopped,
    )


def all_grids(files: Mapping[str, bytes]) -> list[Grid]:
    """Every file and sheet that can be opened."""
    pieces, _ = unpacked(files)
    grids: list[Grid] = []
    for piece in pieces:
        if not is_ours(piece.name):
            try:
                claims = _claims(piece, AS_DETECTED, FleetMapping(), [])
            except FleetError:
                continue
            grids += [claim.grid for claim in claims]
    return grids


def foreign_grids(files: Mapping[str, bytes]) -> tuple[list[Grid], list[Finding]]:
    """Files and sheets that are not in the plain layout, and what cannot be opened or is none.

    A file that bears the name of a table is foreign where its header is not the
    table's.

    Raises
    ------
    FleetError
        If `mapping.toml` is there and cannot be read.
    """
    pieces, findings = unpacked(files)
    chosen = read_settings(_own_text(pieces, SETTINGS))[0].files
    mapping, _ = read_mapping(_own_text(pieces, MAPPING))
    grids = []
    for piece in pieces:
        if is_ours(piece.name):
            continue
        try:
            claims = _claims(piece, _settings_of(piece, chosen), mapping, [])
            findings += [_is_prose(claim) for claim in claims if claim.prose]
            grids += [claim.grid for claim in claims if not (claim.prose or _is_plain(claim))]
        except FleetError as error:
            findings += error.findings
    return grids, findings


def _own_text(pieces: Iterable[Piece], name: str) -> str | None:
    own = own_piece(pieces, name)
    return None if own is None else own.content.decode("utf-8-sig", "replace")


@dataclass(frozen=True)
class _Claim:
    """A grid, the table whose name it bears, and the one that its header fits; or no table."""

    grid: Grid
    outer: str
    named: Table | None
    fits: Table | None
    prose: bool = False

    @property
    def is_unknown(self) -> bool:
        """True for a table of which nobody has said how it is read."""
        return not (self.named or self.fits or self.prose)


def _if_plain(claim: _Claim) -> _Claim:
    """A claim, unless the dates are in a writing of their own: then nobody knows the grid yet."""
    table = claim.named or claim.fits
    if table is None or dates_are_plain(table, claim.grid):
        return claim
    return replace(claim, named=None, fits=None)


def _is_plain(claim: _Claim) -> bool:
    """True where a header is a table's; one of a single column is where the name says so too."""
    if (table := table_of(claim.grid)) is not None:
        return dates_are_plain(table, claim.grid)
    if claim.named is None:
        return False
    known = {column.name for column in claim.named.columns}
    for _, cells in islice(claim.grid.rows(), limits.TITLE_ROWS):
        header = {as_word(cell) for cell in cells if cell.strip()}
        if header and header.issuperset(claim.named.needed) and header <= known:
            return dates_are_plain(claim.named, claim.grid)
    return False


def _settings_of(piece: Piece, chosen: Mapping[str, FileSettings]) -> FileSettings:
    for name in (piece.name, base_name(piece.outer)):
        if name in chosen:
            return chosen[name]
    return AS_DETECTED


def _claims(
    piece: Piece, chosen: FileSettings, mapping: FleetMapping, findings: list[Finding]
) -> list[_Claim]:
    table = table_named(piece.name)
    if not piece.is_workbook:
        grid = text_grid(piece.place, piece.content, chosen)
        is_said = table or chosen.delimiter or mapping.names(piece.place)
        if suffix(piece.name) == ".txt" and not is_said and is_prose(piece.content, chosen):
            return [_Claim(replace(grid, delimiter=""), piece.outer, None, None, prose=True)]
        return [_Claim(grid, piece.outer, table, None if table else table_of(grid))]
    grids = workbook_grids(piece.place, piece.content, chosen)
    if unknown := sorted(set(chosen.sheet) - {grid.sheet for grid in grids}):
        findings.append(
            Finding(
                piece.place,
                None,
                "sheet",
                ", ".join(unknown),
                "one of the sheets " + ", ".join(grid.sheet for grid in grids),
                "ignored",
                "Correct sheet for this file in fleet.toml.",
            )
        )
    if wanted := [grid for grid in grids if grid.sheet in chosen.sheet]:
        grids = wanted
    claims = [_Claim(grid, piece.outer, table_named(grid.sheet), table_of(grid)) for grid in grids]
    if table is None or any(claim.named is table for claim in claims):
        return claims
    # A workbook that bears a table's name holds it, in the sheet that fits or in its only one.
    unnamed = [claim for claim in claims if claim.named is None]
    its_own = [claim for claim in unnamed if claim.fits is table]
    if not its_own and len(unnamed) == 1:
        its_own = unnamed
    return [replace(claim, named=table) if claim in its_own else claim for claim in claims]


def _left_alone(claim: _Claim, taken: Mapping[str, _Claim]) -> Finding:
    table = claim.named or claim.fits
    if table and table.file in taken:
        why = f"{table.file} is taken from {taken[table.file].grid.place}."
    else:
        why = "If it should be read, run 'tideworn map' on the folder, which proposes how."
    return Finding(
        claim.grid.place,
        None,
        "",
        "",
        "a table of the fleet folder",
        "noted",
        f"Left alone. {why}",
        "file_left_alone",
    )


def _is_prose(claim: _Claim) -> Finding:
    return Finding(
        claim.grid.place,
        None,
        "",
        "text that no mark parts into columns",
        "a table, with commas, semicolons, tabs or bars between the cells",
        "noted",
        "Left alone. If it should be read, save it with such a mark, or name it in mapping.toml.",
        "file_left_alone",
    )


def _left_by_mapping(claim: _Claim) -> Finding:
    return Finding(
        claim.grid.place,
        None,
        "",
        "",
        "a table that is read",
        "noted",
        "Left alone, as mapping.toml says.",
        "file_left_alone",
    )


def _is_sheet_gone(source: SourceMapping, grids: Sequence[Grid]) -> bool:
    """True where the file is there and the sheet that is read of it is not."""
    return source.shape != LEAVE and any(source.names(grid.file) for grid in grids)


def _sheet_gone(source: SourceMapping, grids: Sequence[Grid]) -> Finding:
    own = [grid for grid in grids if source.names(grid.file)]
    sheets = ", ".join(grid.sheet for grid in own if grid.sheet)
    return Finding(
        own[0].file,
        None,
        "sheet",
        sheets or "no workbook, or an empty one",
        f"the sheet '{source.sheet}', which mapping.toml reads",
        "stopped",
        "Export it again, or correct the sheet in mapping.toml.",
        "header_changed",
    )


def _file_with_archive(place: str) -> str:
    return place.split(", sheet ")[0]


def _file_of(place: str) -> str:
    return place.split(", ")[-1]
