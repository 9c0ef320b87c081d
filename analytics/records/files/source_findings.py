"""What is said of files as a whole: two that hold one table, those passed over or not there."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from analytics.records.files.grids import FileSettings
from analytics.records.files.names import base_name
from analytics.records.files.unpack import Piece
from analytics.records.findings import Finding
from analytics.records.mapping.model import SourceMapping


def two(what: str, places: Sequence[str]) -> Finding:
    """Two places that hold what may stand in one."""
    sheets = [place.split(", sheet ")[0] for place in places if ", sheet " in place]
    remedy = "Remove or rename all but one."
    if sheets:
        remedy = (
            f"Remove or rename all but one, or name the sheets that are read by sheet in "
            f'[files."{sheets[0].split(", ")[-1]}"] of fleet.toml.'
        )
    return Finding(
        what, None, "", " and ".join(places), "one place that holds it", "stopped", remedy
    )


def passed_over(finding: Finding) -> Finding:
    """A file that cannot be opened, where it is not missed."""
    if finding.done != "stopped":
        return finding
    return replace(finding, done="ignored", remedy=f"Not read. {finding.remedy}")


def settings_without_file(
    pieces: Iterable[Piece], chosen: Mapping[str, FileSettings]
) -> list[Finding]:
    """Settings of files that are not there."""
    names = {name for piece in pieces for name in (piece.name, base_name(piece.outer))}
    return [
        Finding(
            "fleet.toml",
            None,
            f"files.{name}",
            name,
            "the name of a file that is read",
            "ignored",
            "Check the spelling, or remove the section.",
        )
        for name in sorted(chosen.keys() - names)
    ]


def mapping_without_file(source: SourceMapping) -> Finding:
    """Entries of the mapping for which nothing is there."""
    return Finding(
        "mapping.toml",
        None,
        "file",
        f"{source.file}, sheet {source.sheet}" if source.sheet else source.file,
        "a file or sheet that is there",
        "noted",
        "Nothing is read for it: add the export, or remove the entry.",
        "file_missing",
    )
