"""The folder `accepted` on the disk: the only place where what was accepted is read or written."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path

import pandas as pd

from analytics.records.findings import Finding, FleetError
from analytics.records.history import accepted as log
from analytics.records.history import rows
from analytics.records.history.accepted import Accepted
from analytics.records.history.writing import write_whole


@dataclass(frozen=True)
class AcceptedState:
    """What was accepted so far.

    Attributes
    ----------
    log : tuple of Accepted
        The latest last.
    rows : DataFrame or None
        Columns `rows.ROW_COLUMNS`, as last accepted; None where they cannot be
        relied on, and a finding says why.
    findings : tuple of Finding
    """

    log: tuple[Accepted, ...]
    rows: pd.DataFrame | None
    findings: tuple[Finding, ...] = ()


def save_accepted(folder: Path, accepted: Accepted, table: pd.DataFrame) -> Accepted:
    """Save an acceptance: its entry is added to the log, its rows replace those before.

    Each file is there whole or as it was before; where the program is stopped
    between the two, `load_accepted` notices that they do not belong together.

    Parameters
    ----------
    folder : Path
        The fleet folder; `accepted` is made in it.
    accepted : Accepted
    table : DataFrame
        Columns `rows.ROW_COLUMNS`.

    Returns
    -------
    Accepted
        As it stands in the log, with the digest of the rows.

    Raises
    ------
    FleetError
        If the folder cannot be written, or the log that is there cannot be
        read, so that nothing could be added to it.
    """
    content = rows.rows_bytes(table)
    accepted = replace(accepted, rows_digest=hashlib.sha256(content).hexdigest())
    log_file, rows_file = folder / log.FILE, folder / rows.FILE
    with _told(folder):
        log_file.parent.mkdir(exist_ok=True)
        text = log.log_text([])
        if log_file.exists():
            text = _log_text(log_file)
            _, findings = log.read_log(text)
            if any(not finding.field for finding in findings):
                raise FleetError([replace(one, done="stopped") for one in findings])
        text = text.rstrip("\n") + "\n" + log.entry_text(accepted)
        write_whole(rows_file, content)
        write_whole(log_file, text.encode())
    return accepted


def load_accepted(folder: Path) -> AcceptedState | None:
    """What was accepted of a fleet folder; None where nothing ever was.

    Files that are broken, half written or of two different acceptances give
    findings, and no rows.
    """
    log_file, rows_file = folder / log.FILE, folder / rows.FILE
    try:
        with _told(folder):
            if not log_file.exists() and not rows_file.exists():
                return None
            text = _log_text(log_file) if log_file.exists() else ""
            content = rows_file.read_bytes() if rows_file.exists() else b""
    except FleetError as error:
        return AcceptedState((), None, _noted(error))
    done, findings = log.read_log(text)
    if not done or hashlib.sha256(content).hexdigest() != done[-1].rows_digest:
        findings.append(_apart(done, content))
        return AcceptedState(tuple(done), None, tuple(findings))
    try:
        table = rows.read_rows_bytes(content)
    except FleetError as error:
        return AcceptedState(tuple(done), None, (*findings, *_noted(error)))
    return AcceptedState(tuple(done), table, tuple(findings))


def _log_text(file: Path) -> str:
    return file.read_bytes().decode("utf-8-sig", "replace")


def _noted(error: FleetError) -> tuple[Finding, ...]:
    return tuple(replace(one, done="noted") for one in error.findings)


def _apart(done: list[Accepted], content: bytes) -> Finding:
    if not done:
        found = "no acceptance in the log"
    elif not content:
        found = "no such file"
    else:
        found = "rows of another acceptance, or half written ones"
    return Finding(
        rows.FILE,
        None,
        "",
        found,
        f"the rows that go with the last entry of {log.FILE}",
        "noted",
        "What has changed since cannot be told. Bring the folder 'accepted' back from a copy, or "
        "accept the export as it is now.",
    )


@contextmanager
def _told(folder: Path) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        raise FleetError.because(
            str(error.filename or folder),
            found=error.strerror or "a folder that cannot be used",
            expected="a folder 'accepted' that can be read and written",
            remedy="Check the permissions of the fleet folder, the room on the disk, and whether "
            "another program has the file open.",
        ) from None
