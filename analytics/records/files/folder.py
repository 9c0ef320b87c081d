"""The files of a fleet folder, as bytes; the only place where the reader touches the disk."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from pathlib import Path

from analytics.records.files import limits
from analytics.records.files.delimited import is_prose
from analytics.records.files.names import (
    is_foreign,
    is_lock,
    is_ours,
    is_read,
    suffix,
    table_named,
)
from analytics.records.findings import FleetError


def folder_files(folder: Path) -> dict[str, bytes]:
    """The files of a fleet folder that Tideworn looks into, as bytes by name.

    Those are its settings, text files, workbooks and archives. The marks that
    office programs leave beside an open workbook, and files of other sorts such
    as pictures, come with nothing in them, so that they can be named. A file too
    large is passed over where its name is not that of a table.

    Raises
    ------
    FleetError
        If the folder is missing, cannot be read or is too large, or holds no
        such file.
    """
    if not folder.is_dir():
        raise FleetError.because(
            str(folder),
            found="a file" if folder.exists() else "no such folder",
            expected="a fleet folder",
            remedy="Check the name; 'tideworn sample FOLDER' writes an example.",
        )
    place, files, total = folder, {}, 0
    try:
        there = sorted(path.name for path in folder.iterdir())
        for name in there:
            place = folder / name
            if is_lock(name):
                files[name] = b""  # often unreadable, and nothing in it matters
            elif is_read(name) and place.is_file() and _fits(place):
                total += place.stat().st_size
                if total > limits.BIGGEST_FOLDER:
                    raise _too_large(folder, total, limits.BIGGEST_FOLDER)
                files[name] = place.read_bytes()
            elif is_foreign(name) and place.is_file():
                files[name] = b""
    except OSError as error:
        raise FleetError.because(
            str(place),
            found=error.strerror or "unreadable",
            expected="files that can be read",
            remedy="Close it in any other program, and check the permissions of the folder "
            "and its files.",
        ) from None
    if not any(_may_be_records(name, content) for name, content in files.items()):
        raise FleetError.because(
            str(folder),
            found=", ".join(there[:5]) or "an empty folder",
            expected="the fleet's exports, or boats.csv and parts.csv",
            remedy="Put the exports there as they come, as text files or workbooks; the README "
            "says what they need to tell and 'tideworn sample FOLDER' writes an example.",
        )
    return files


def _may_be_records(name: str, content: bytes) -> bool:
    if suffix(name) == ".txt" and table_named(name) is None:
        return not is_prose(content)
    return is_read(name) and not is_ours(name)


def _fits(path: Path) -> bool:
    size = path.stat().st_size
    if size > limits.BIGGEST_FILE and table_named(path.name):
        raise _too_large(path, size, limits.BIGGEST_FILE)
    return size <= limits.BIGGEST_FILE


def _too_large(path: Path, size: int, most: int) -> FleetError:
    return FleetError.because(
        str(path),
        found=f"{size:,} bytes",
        expected=f"at most {most:,} bytes",
        remedy="Check that these are the right files, or split the export by base.",
    )


def fingerprint(files: Mapping[str, bytes]) -> str:
    """SHA-256 over names and bytes of the files that are looked into, in the order of names."""
    digest = hashlib.sha256()
    for name in sorted(filter(is_read, files)):
        digest.update(f"{name}\0{len(files[name])}\0".encode())
        digest.update(files[name])
    return digest.hexdigest()
