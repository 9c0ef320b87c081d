"""What lies beside the exports: notes, pictures, workbooks of old formats, and files misnamed."""

from __future__ import annotations

import io
import re
from pathlib import Path

import pytest
from odf.opendocument import OpenDocument, OpenDocumentPresentation, OpenDocumentText

from analytics import intake
from analytics.records.files.delimited import is_prose
from analytics.records.files.folder import folder_files
from analytics.records.findings import Finding, FleetError
from analytics.records.mapping.document import mapping_text
from analytics.records.mapping.model import FleetMapping, SourceMapping
from analytics.records.reading import Records, read_fleet
from tests.analytics.records.exports import gzipped, zipped
from tests.analytics.records.mapped_folder import export, folder, opened, plain

BOATS = b"boat\nWren\nOtter\n"
PARTS = b"boat,kind,fitted_on\nWren,bellows,2014-06-03\n"
PLAIN = {"boats.csv": BOATS, "parts.csv": PARTS}
JOBS = b"Boat\tPart\tIn\nWren\tlip seal\t2016-05-13\nOtter\tlip seal\t2017-05-13\n"
PROSE = (
    b"Dear all,\n\nthe yard wrote that, as before, the Wren comes out in May; the Otter later.\n"
    b'Please call them, "the sooner the better.\nThanks\n\nSandy\n'
)
LIST = b"Name of boat\nWren\nOtter\n"

OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(504)
"""How a compound file begins: MS-CFB 2.2, header signature and sector size (from memory)."""


def about(records: Records, file: str) -> list[Finding]:
    return [one for one in records.findings if one.file == file]


def mapped(*sources: SourceMapping) -> dict[str, bytes]:
    return {"mapping.toml": mapping_text(FleetMapping(sources)).encode()}


@pytest.mark.parametrize(
    ("content", "prose"),
    [
        (PROSE, True),
        (b"", True),
        (b"one line, with a comma", True),
        (LIST, True),
        ("Käme sie früh".encode("cp1252"), True),
        (JOBS, False),
        (b"a;b;c\n1;2;3\n4;5;6\n", False),
        (b"Fleet list, spring\n\nBoat|Part\nWren|bellows\nOtter|bellows\n", False),
        (b"boat,kind\n", False),  # headers of the plain layout, and no row yet
        (b"sep=;\na;b\n", False),
        (b"\x00\x01", False),  # no text: told of as such
        (b"<html>", False),
    ],
)
def test_what_is_no_table(content: bytes, prose: bool) -> None:
    assert is_prose(content) == prose


@pytest.mark.parametrize("note", [PROSE, b"", LIST])
def test_a_note_is_left_alone_in_words_and_stops_nothing(note: bytes) -> None:
    records = read_fleet({**PLAIN, "notes.txt": note})
    (one,) = about(records, "notes.txt")
    assert (one.done, one.sort) == ("noted", "file_left_alone")
    assert "no mark parts into columns" in one.sentence()
    row = records.files.set_index("file").loc["notes.txt"]
    assert (row["taken_for"], row["delimiter"]) == ("", "")
    assert records.fingerprint == read_fleet(PLAIN).fingerprint
    # Nor does it ask for a mapping where something else is missing.
    with pytest.raises(FleetError) as caught:
        read_fleet({"boats.csv": BOATS, "notes.txt": note})
    assert [finding.file for finding in caught.value.findings] == ["parts.csv"]
    looked = intake.look_at({**PLAIN, "notes.txt": note})
    assert not looked.grids
    assert [finding.file for finding in looked.findings] == ["notes.txt"]


def test_a_text_that_cannot_be_read_stops_nothing_either() -> None:
    for content in (b"\x00\x01", b"<html><table>", b'a,b\n1,2\n3,4\n"x,5\n6,7\n8,9\n'):
        (one,) = about(read_fleet({**PLAIN, "notes.txt": content}), "notes.txt")
        assert one.done == "ignored"


def test_a_txt_export_is_proposed_and_read_by_a_mapping() -> None:
    (grid,) = intake.look_at({**PLAIN, "Export 2024.txt": JOBS}).grids
    assert (grid.file, grid.delimiter) == ("Export 2024.txt", "\t")
    said = export("jobs.txt", "lives", {"boat": "Boat", "kind": "Part", "fitted_on": "In"},
                  "Boat|Part|In\nWren|lip seal|2016-05-13\nOtter|lip seal|2017-05-13")  # fmt: skip
    assert len(opened(said, plain("boats.csv", "boat\nWren\nOtter")).lives.table) == 2
    # The same name in a folder on the disk.
    files = folder(said)
    assert "jobs.txt" in files


def test_a_list_of_one_column_is_read_where_the_mapping_names_it() -> None:
    said = SourceMapping("names.txt", "boats", headers=("Name of boat",),
                         columns={"boat": "Name of boat"})  # fmt: skip
    files = {"parts.csv": PARTS, "names.txt": LIST, **mapped(said)}
    records = read_fleet(files)
    assert sorted(records.tables["boats.csv"]["boat"]) == ["Otter", "Wren"]
    assert [grid.file for grid in intake.look_at(files).grids] == ["names.txt"]


def test_a_folder_with_nothing_but_a_note_has_no_exports(tmp_path: Path) -> None:
    (tmp_path / "notes.txt").write_bytes(PROSE)
    with pytest.raises(FleetError, match="Put the exports there"):
        folder_files(tmp_path)
    (tmp_path / "jobs.txt").write_bytes(JOBS)
    assert folder_files(tmp_path) == {"notes.txt": PROSE, "jobs.txt": JOBS}


def test_other_files_are_named_once_and_never_opened(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    others = ["cv.pdf", "photo.JPG", "plan.docx"]
    for name in (*PLAIN, *others, ".hidden", "desktop.ini", "truth.json"):
        (tmp_path / name).write_bytes(PLAIN.get(name, b"x"))
    (tmp_path / "accepted").mkdir()
    read: list[str] = []

    def opened(path: Path) -> bytes:
        read.append(path.name)
        return PLAIN[path.name]

    monkeypatch.setattr(Path, "read_bytes", opened)
    files = folder_files(tmp_path)
    assert read == ["boats.csv", "parts.csv"]
    records = read_fleet(files)
    (one,) = about(records, "other files")
    assert one.found == "not a table: cv.pdf, photo.JPG, plan.docx"
    assert (one.done, one.sort) == ("noted", "file_left_alone")
    assert records.fingerprint == read_fleet(PLAIN).fingerprint
    assert not about(read_fleet(PLAIN), "other files")


def test_of_many_other_files_some_are_named() -> None:
    photos = {f"photo {number:03}.jpg": b"" for number in range(250)}
    (one,) = about(read_fleet({**PLAIN, **photos}), "other files")
    assert one.found.endswith("photo 009.jpg and 240 more")


def test_other_files_in_an_archive_are_named_with_it() -> None:
    packed = zipped({**PLAIN, "a/photo.jpg": b"x", "._photo.jpg": b"x"})
    (one,) = about(read_fleet({"all.zip": packed}), "other files")
    assert one.found == "not a table: all.zip, photo.jpg"


def open_document(document: OpenDocument) -> bytes:
    """A file by odfpy."""
    made = io.BytesIO()
    document.write(made)
    return made.getvalue()


MISNAMED = {
    "PDF": (b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n1 0 obj, x\n", "a PDF"),
    "JPEG": (b"\xff\xd8\xff\xe0\x00\x10JFIF", "a picture (JPEG)"),
    "PNG": (b"\x89PNG\r\n\x1a\n\x00\x00", "a picture (PNG)"),
    "old": (OLE + "Workbook".encode("utf-16-le"), "a workbook of an old format (XLS)"),
    "older": (OLE + "Book\0".encode("utf-16-le"), "a workbook of an old format (XLS)"),
    "locked": (OLE + "EncryptedPackage".encode("utf-16-le"), "a workbook with a password"),
    "letter": (
        zipped({"[Content_Types].xml": b"<x/>", "word/document.xml": b"<x/>"}),
        "a text document (DOCX)",
    ),
    "open letter": (open_document(OpenDocumentText()), "a text document (ODT)"),
    "open slides": (open_document(OpenDocumentPresentation()), "slides (ODP)"),
}


@pytest.mark.parametrize("name", ["parts.xlsx", "parts.csv", "parts.xls", "parts.txt"])
@pytest.mark.parametrize("case", MISNAMED)
def test_a_file_of_another_sort_is_called_what_it_is(case: str, name: str) -> None:
    content, words = MISNAMED[case]
    for files in (
        {name: content},
        {f"{name}.gz": gzipped(content)},
        {"a.zip": zipped({name: content})},
    ):
        with pytest.raises(FleetError) as caught:
            read_fleet({"boats.csv": BOATS, **files})
        (one,) = caught.value.findings
        assert one.found == words
        assert re.search(r"save .* as XLSX", one.remedy)
    # Where nobody misses it, it is passed over with the same words.
    (one,) = about(read_fleet({**PLAIN, name.replace("parts", "cv"): content}),
                   name.replace("parts", "cv"))  # fmt: skip
    assert (one.done, one.found) == ("ignored", words)


def test_an_archive_under_the_name_of_a_workbook() -> None:
    with pytest.raises(FleetError, match="a ZIP archive that is no workbook"):
        read_fleet({"boats.csv": BOATS, "parts.xlsx": zipped({"a.jpg": b"x"})})
    # One that holds tables is as good as any.
    assert len(read_fleet({"fleet.xlsx": zipped(PLAIN)}).tables["parts.csv"]) == 1


def test_a_text_under_the_name_of_an_old_workbook_is_read() -> None:
    records = read_fleet({"boats.csv": BOATS, "parts.xls": PARTS.replace(b",", b"\t")})
    assert records.places["parts.csv"] == "parts.xls"
