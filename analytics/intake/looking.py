"""What is proposed for files of which nothing is said, and what a mapping would give."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from analytics.intake.own_text import text_in
from analytics.job import Fleet, Progress, open_fleet
from analytics.papers.masking import people_in
from analytics.papers.people import LONGEST_NAMES, Mask
from analytics.records.dating.styles import style_of
from analytics.records.decided.decision import Decisions
from analytics.records.decided.document import decisions_text
from analytics.records.files.grids import Grid
from analytics.records.files.names import DECISIONS, MAPPING
from analytics.records.files.sources import foreign_grids
from analytics.records.findings import Finding, FleetError
from analytics.records.mapping.document import changed_headers, mapping_text, read_mapping
from analytics.records.mapping.header_rows import header_of
from analytics.records.mapping.meanings import LEAVE
from analytics.records.mapping.model import FleetMapping, SourceMapping
from analytics.records.mapping.proposal import Proposal, propose_all
from analytics.records.mapping.translate import date_texts


@dataclass(frozen=True)
class Changed:
    """A file whose headers are others than when its mapping was made.

    Attributes
    ----------
    place : str
        The file, with its sheet.
    source : SourceMapping
    missing : mapping of str to str
        Headers that are gone, each with the one that may be its new name, or blank.
    """

    place: str
    source: SourceMapping
    missing: Mapping[str, str]

    def sentences(self) -> list[str]:
        """What has changed, and what is proposed."""
        return [
            f"{self.place}: the header '{gone}' is gone. "
            + (
                f"'{new}' may be its new name, and is proposed."
                if new
                else f"Nothing stands for it: correct the entry in {MAPPING}."
            )
            for gone, new in self.missing.items()
        ]

    def proposed(self) -> SourceMapping:
        """The mapping with the new names, where there are any."""
        columns = {
            name: self.missing.get(header) or header for name, header in self.source.columns.items()
        }
        return replace(self.source, columns=columns)


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
    changed : tuple of Changed
        Files whose headers have changed.
    """

    mapping: FleetMapping
    grids: tuple[Grid, ...]
    proposals: tuple[Proposal, ...]
    findings: tuple[Finding, ...]
    changed: tuple[Changed, ...] = ()

    def proposed(self) -> FleetMapping:
        """The mapping with every proposal taken as it is, those that leave a file out included."""
        mapping = self.mapping
        for changed in self.changed:
            mapping = replaced(mapping, changed.proposed())
        for one in self.proposals:
            # Exports of several months share one pattern, and are said once.
            mapping = replaced(mapping, one.source)
        return mapping

    def mask(self) -> Mask:
        """Masks the people whom columns of persons name, as they are read or would be."""
        mapping, people = self.proposed(), set[str]()
        for grid in self.grids:
            source = mapping.of(grid)
            if source is not None and "person" in source.columns:
                people |= set(_cells_under(grid, source.columns["person"]))
        return Mask(people_in(text for text in people if len(text) <= LONGEST_NAMES))


def look_at(files: Mapping[str, bytes]) -> Intake:
    """Look at the files of a folder: which are foreign, and how they may be read.

    Raises
    ------
    FleetError
        If `mapping.toml` is there and cannot be read, or is not UTF-8.
    """
    mapping, findings = read_mapping(text_in(files, MAPPING))
    grids, told = foreign_grids(files)
    unknown = [grid for grid in grids if mapping.of(grid) is None]
    changed = [one for grid in grids if (one := _changed(grid, mapping.of(grid)))]
    proposals = _with_order(propose_all(unknown), unknown)
    return Intake(mapping, tuple(grids), tuple(proposals), (*findings, *told), tuple(changed))


def _with_order(proposals: list[Proposal], grids: list[Grid]) -> list[Proposal]:
    """The order of day and month that the exports decide, kept for those that will not."""
    texts: dict[tuple[str, str], set[str]] = {}
    for one, grid in zip(proposals, grids, strict=True):
        if one.source.shape != LEAVE:
            key = (one.source.file, one.source.sheet)
            texts.setdefault(key, set()).update(date_texts(grid, one.source))
    orders = {}
    for key, dates in texts.items():
        style, seen = style_of(dates)
        decided = not seen.mixed and (seen.day_first.count or seen.month_first.count)
        orders[key] = style.order if decided else ""
    return [
        replace(
            one,
            source=replace(one.source, order=orders.get((one.source.file, one.source.sheet), "")),
        )
        for one in proposals
    ]


def _cells_under(grid: Grid, header: str) -> list[str]:
    try:
        top = header_of(grid)
    except FleetError:
        return []  # it is said where the file is read
    if header not in top.headers:
        return []
    at = top.headers.index(header)
    return [cells[at] for line, cells in grid.rows() if line > top.line and at < len(cells)]


def _changed(grid: Grid, source: SourceMapping | None) -> Changed | None:
    if source is None or source.shape == LEAVE:
        return None
    try:
        change = changed_headers(source, header_of(grid).headers)
    except FleetError:
        return None  # it is said where the file is read
    return Changed(grid.place, source, change.missing) if change.missing else None


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


def _without(files: Mapping[str, bytes], name: str) -> dict[str, bytes]:
    return {known: content for known, content in files.items() if known.lower() != name}
