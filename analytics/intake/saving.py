"""What a person said, kept in the fleet folder; the user's own files are never changed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from analytics.intake.own_text import text_of
from analytics.records.decided.decision import Decision, Decisions
from analytics.records.decided.document import decisions_text, read_decisions
from analytics.records.files.folder import folder_files
from analytics.records.files.names import DECISIONS, MAPPING, OURS, base_name, is_read
from analytics.records.findings import Finding, FleetError
from analytics.records.history.writing import write_whole
from analytics.records.mapping.document import mapping_text
from analytics.records.mapping.model import FleetMapping


def save_mapping(folder: Path, mapping: FleetMapping) -> Path:
    """Write `mapping.toml` into a fleet folder."""
    return write_beside(folder / MAPPING, mapping_text(mapping).encode())


def decide(folder: Path, decision: Decision) -> Decisions:
    """Add a decision to `decisions.toml`; the same question decided before is replaced.

    Raises
    ------
    FleetError
        If the file is there and is no TOML, or not UTF-8: it is not written over.
    """
    path = folder / DECISIONS
    before = _there(path)
    decisions, findings = read_decisions(None if before is None else text_of(before, path.name))
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
        write_whole(path, content)
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


def of_folder(folder: Path) -> dict[str, bytes]:
    """The files of a fleet folder, see `files.folder.folder_files`."""
    return folder_files(folder)


def said_in(folder: Path) -> dict[str, bytes]:
    """What was said of a fleet, whether or not its exports are there: the files of `names.OURS`."""
    there = {name: _there(folder / name) for name in OURS}
    return {name: content for name, content in there.items() if content is not None}
