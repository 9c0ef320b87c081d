"""The files of a folder or an upload, those packed in archives taken out; nothing touches the disk.

What a packed file's path says is not heeded: only its last part counts, as a name.
"""

from __future__ import annotations

import zlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import PurePath

from analytics.records.files.inflate import Allowance, inflate, inflated, members
from analytics.records.files.names import (
    WORKBOOK_SUFFIXES,
    base_name,
    is_foreign,
    is_lock,
    is_read,
    is_resource_fork,
    suffix,
)
from analytics.records.findings import Finding, FleetError

_GZIP, _ZIP = b"\x1f\x8b", b"PK"
_OLD_WORKBOOK = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_WORKBOOK_STREAMS = tuple(name.encode("utf-16-le") for name in ("Workbook", "Book\0"))
_PASSWORD_STREAM = "EncryptedPackage".encode("utf-16-le")
_OTHER_SORTS = (
    (b"%PDF-", "a PDF"),
    (b"\xff\xd8\xff", "a picture (JPEG)"),
    (b"\x89PNG\r\n", "a picture (PNG)"),
    (b"GIF87a", "a picture (GIF)"),
    (b"GIF89a", "a picture (GIF)"),
    (b"II*\x00", "a picture (TIFF)"),
    (b"MM\x00*", "a picture (TIFF)"),
    (b"{\\rtf", "a text document (RTF)"),
)
"""How files begin that are no tables, whatever they are called."""

_OTHER_PARTS = (("word/", "a text document (DOCX)"), ("ppt/", "slides (PPTX)"))
_MOST_NAMED = 10
_WORKBOOK_PARTS = ("[Content_Types].xml", "META-INF/manifest.xml")


@dataclass(frozen=True)
class Piece:
    """One file with content of its own.

    Attributes
    ----------
    outer : str
        The file of the folder or the upload that it is, or is packed in.
    name : str
        Its own name, without folders and without `.gz`.
    content : bytes
    is_workbook : bool
        What the content is, whatever the name says.
    """

    outer: str
    name: str
    content: bytes
    is_workbook: bool = False

    @property
    def place(self) -> str:
        """How findings name it."""
        own = base_name(self.outer).startswith(self.name)
        return self.outer if own else f"{self.outer}, {self.name}"

    @property
    def stem(self) -> str:
        """The name without its suffix."""
        return PurePath(self.name).stem


def unpacked(files: Mapping[str, bytes]) -> tuple[list[Piece], list[Finding]]:
    """Every file that may hold a table or the settings.

    Parameters
    ----------
    files : mapping of str to bytes
        Content by name.

    Returns
    -------
    list of Piece
        In the order of the names.
    list of Finding
        What could not be opened, `stopped`; what was passed over, `noted`.
    """
    pieces: list[Piece] = []
    findings: list[Finding] = []
    others: list[str] = []
    for outer in sorted(files):
        name = base_name(outer)
        if is_lock(name):
            findings.append(_lock(outer))
        elif is_read(name):
            try:
                pieces += _pieces(outer, name, files[outer], findings, others)
            except FleetError as error:
                findings += error.findings
        elif is_foreign(name):
            others.append(outer)
    return pieces, findings + _not_tables(others)


def _pieces(
    outer: str, name: str, content: bytes, findings: list[Finding], others: list[str]
) -> list[Piece]:
    if content.startswith(_GZIP):
        return [_gunzipped(outer, name, content)]
    if content.startswith(_ZIP) and not _is_workbook(outer, content):
        return _unzipped(outer, content, findings, others)
    return [_opened(Piece(outer, name, content))]


def _opened(piece: Piece) -> Piece:
    """A piece whose content is known for what it is."""
    content = piece.content
    if content.startswith(_OLD_WORKBOOK):
        raise FleetError.because(
            piece.place,
            found=_old_sort(content),
            expected="an XLSX or ODS workbook that opens without a password",
            remedy="Open it in the program it came from and save it as XLSX without a password.",
        )
    if other := _other_sort(piece.place, content):
        raise FleetError.because(
            piece.place,
            found=other,
            expected="a table: a text file or a workbook",
            remedy="It is not opened: save the table it was made from as XLSX or CSV (UTF-8).",
        )
    if content.startswith(_ZIP) and _is_workbook(piece.place, content):
        return replace(piece, is_workbook=True)
    if suffix(piece.name) in (*WORKBOOK_SUFFIXES, ".xls") and b"\x00" in content[:1000]:
        raise FleetError.because(
            piece.place,
            found="content of another sort",
            expected="an XLSX or ODS workbook",
            remedy="Open it in the program it came from and save it again.",
        )
    return piece


def _old_sort(content: bytes) -> str:
    """What a file of the old office programs is, by the names of the streams in it."""
    if _PASSWORD_STREAM in content:
        return "a workbook with a password"
    if any(name in content for name in _WORKBOOK_STREAMS):
        return "a workbook of an old format (XLS)"
    return "a workbook of an old format, or one with a password"


def _other_sort(place: str, content: bytes) -> str:
    """What a file is that is no table, blank where it may be one."""
    found = next((what for begins, what in _OTHER_SORTS if content.startswith(begins)), "")
    if found or not content.startswith(_ZIP):
        return found
    # An open document says in its first bytes what it is.
    for mark, what in ((b"text", "a text document (ODT)"), (b"presentation", "slides (ODP)")):
        if b"application/vnd.oasis.opendocument." + mark in content[:120]:
            return what
    parts = [one.filename for one in members(place, content)]
    return next(
        (what for at, what in _OTHER_PARTS if any(part.startswith(at) for part in parts)), ""
    )


def _is_workbook(place: str, content: bytes) -> bool:
    return any(one.filename in _WORKBOOK_PARTS for one in members(place, content))


def _gunzipped(outer: str, name: str, content: bytes) -> Piece:
    inner = name[: -len(".gz")] if name.lower().endswith(".gz") else name
    if inner.lower().endswith((".tar", ".tgz")):
        raise FleetError.because(
            outer,
            found="a tar archive",
            expected="one file packed with gzip, or a zip archive",
            remedy="Unpack it, or pack the files with zip.",
        )
    data = inflate(content, zlib.MAX_WBITS | 16, Allowance(outer, len(content)))
    if _is_archive(outer, data):
        raise _twice(outer)
    return _opened(Piece(outer, inner, data))


def _unzipped(
    outer: str, content: bytes, findings: list[Finding], others: list[str]
) -> list[Piece]:
    pieces: list[Piece] = []
    allowance = Allowance(outer, len(content))
    found = False
    aside: list[str] = []
    for member in members(outer, content):
        name = base_name(member.filename)
        if is_foreign(name):
            aside.append(f"{outer}, {name}")
        if is_resource_fork(name) or not is_read(name):
            continue
        found = True
        try:
            data = inflated(content, member, allowance)
            if _is_archive(outer, data):
                raise _twice(outer)
            pieces.append(_opened(Piece(outer, name, data)))
        except FleetError as error:
            # What went wrong is wrong with the member.
            findings += [replace(one, file=f"{outer}, {name}") for one in error.findings]
            if allowance.is_spent:
                break
    if found:
        others += aside
    elif suffix(outer) in (*WORKBOOK_SUFFIXES, ".xls"):
        raise FleetError.because(
            outer,
            found="a ZIP archive that is no workbook",
            expected="an XLSX or ODS workbook",
            remedy="Open it in the program it came from and save it again as XLSX.",
        )
    else:
        raise FleetError.because(
            outer,
            found="no file of a fleet folder",
            expected="an archive of CSV, XLSX or ODS files",
            remedy="Pack the files of the fleet folder.",
        )
    return pieces


def _is_archive(place: str, data: bytes) -> bool:
    return data.startswith(_GZIP) or (data.startswith(_ZIP) and not _is_workbook(place, data))


def _twice(place: str) -> FleetError:
    return FleetError.because(
        place,
        found="an archive within an archive",
        expected="files packed once",
        remedy="Unpack it once.",
    )


def _lock(outer: str) -> Finding:
    return Finding(
        outer,
        None,
        "",
        "the mark of a workbook that is open in another program",
        "files that nobody is changing",
        "noted",
        "Passed over. Save and close the workbook, so that what is read is complete.",
    )


def _not_tables(others: Sequence[str]) -> list[Finding]:
    """One finding that names the files of other sorts."""
    if not others:
        return []
    named = ", ".join(others[:_MOST_NAMED])
    more = len(others) - _MOST_NAMED
    return [
        Finding(
            "other files",
            None,
            "",
            f"not a table: {named}{f' and {more:,} more' if more > 0 else ''}",
            "text files (CSV, TSV, TXT) or workbooks (XLSX, ODS)",
            "noted",
            "Not opened. If one of them holds records, save them as a table.",
            "file_left_alone",
        )
    ]
