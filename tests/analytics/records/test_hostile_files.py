"""Files that are broken, locked, packed to do harm or not what they are called: a clear message."""

import contextlib
import io
import zipfile
import zlib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from analytics.records.files import limits
from analytics.records.files.unpack import unpacked
from analytics.records.findings import Finding, FleetError
from analytics.records.reading import Records, folder_files, read_fleet
from tests.analytics.records.exports import delimited, gzipped, ods, rows_of, xlsx, zipped

BOATS = b"boat\nWren\n"
PARTS = b"boat,kind,fitted_on\nWren,bellows,2014-06-03\n"
PLAIN = {"boats.csv": BOATS, "parts.csv": PARTS}
BOOK = xlsx({"parts": rows_of(PARTS)})
OPEN_BOOK = ods({"parts": rows_of(PARTS)})


def stopped(files: dict[str, bytes]) -> Finding:
    """What stands in the way; it also only passes by where nothing is missed."""
    with pytest.raises(FleetError) as caught:
        read_fleet(files)
    (one,) = caught.value.findings
    assert one.done == "stopped"
    assert one.remedy.endswith(".")
    return one


def parts_as(name: str, content: bytes) -> dict[str, bytes]:
    return {"boats.csv": BOATS, name: content}


def noted(records: Records, file: str) -> str:
    (one,) = [one for one in records.findings if one.file == file]
    return f"{one.done}: {one.sentence()}"


def doctored(book: bytes, member: str, old: bytes, new: bytes) -> bytes:
    """A workbook with something in one of its files replaced."""
    made = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(book)) as read, zipfile.ZipFile(made, "w", 8) as written:
        for name in read.namelist():
            content = read.read(name)
            if name == member:
                assert old in content
                content = content.replace(old, new)
            written.writestr(name, content)
    return made.getvalue()


def with_password(archive: bytes) -> bytes:
    """An archive whose members say that they are encrypted (APPNOTE 4.4.4, bit 0)."""
    marked = bytearray(archive)
    for mark, flags in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        at = marked.find(mark)
        while at >= 0:
            marked[at + flags] |= 1
            at = marked.find(mark, at + 4)
    return bytes(marked)


def lying(content: bytes) -> bytes:
    """An archive that says less of the size of its member than comes out."""
    archive = bytearray(zipped({"parts.csv": content}))
    short = len(PARTS).to_bytes(4, "little")
    archive[22:26] = short
    at = archive.index(b"PK\x01\x02")
    archive[at + 24 : at + 28] = short
    return bytes(archive)


ZEROS = b"0," * 30_000_000
SHEET = "xl/worksheets/sheet1.xml"

HOSTILE = {
    "gzip bomb": ("parts.csv.gz", gzipped(ZEROS), "200 times"),
    "zip bomb": ("parts.zip", zipped({"parts.csv": ZEROS}), "200 times"),
    "bomb that lies": ("parts.zip", lying(ZEROS), "200 times"),
    "sheet of one far cell": (
        "parts.xlsx",
        doctored(BOOK, SHEET, b'r="C2"', b'r="XFD1048576"'),
        "17,179,869,184 cells",
    ),
    "far cell, small letters": (
        "parts.xlsx",
        doctored(BOOK, SHEET, b'r="C2"', b"r = 'xfd1048576'"),
        "17,179,869,184 cells",
    ),
    "far row": (
        "parts.xlsx",
        doctored(BOOK, SHEET, b'<row r="2"', b'<row r="99999999"'),
        "299,999,997 cells",
    ),
    "repeated row": (
        "parts.ods",
        doctored(
            OPEN_BOOK,
            "content.xml",
            b"<table:table-row>",
            b"<table:table-row table:style-name='>' table:number-rows-repeated='99999999'>",
        ),
        "599,999,994 cells",
    ),
    "repeated row between comments": (
        "parts.ods",
        doctored(
            OPEN_BOOK,
            "content.xml",
            b"<table:table-row>",
            b'<!--<table:table/>--><table:table-row table:number-rows-repeated="9999999">',
        ),
        "59,999,994 cells",
    ),
    "long list": (
        "parts.xlsx",
        doctored(BOOK, "xl/sharedStrings.xml", b"uniqueCount=", b'uniqueCount="999999999" x='),
        "a list of 999,999,999 entries",
    ),
    "XML that breaks off": (
        "parts.ods",
        doctored(OPEN_BOOK, "styles.xml", b"</office:document-styles>", b""),
        "styles.xml",
    ),
    "XML with entities": (
        "parts.xlsx",
        doctored(BOOK, SHEET, b"<worksheet", b'<!DOCTYPE x [<!ENTITY a "b">]><worksheet'),
        "it defines entities",
    ),
    "long text in every cell": (
        "parts.xlsx",
        doctored(
            xlsx({"parts": [["bellows"] * 50] * 1000}),
            "xl/sharedStrings.xml",
            b"bellows",
            bytes(range(97, 123)) * 1000,
        ),
        "characters",
    ),
    "many members": (
        "parts.zip",
        zipped({f"{number}.csv": b"" for number in range(limits.MEMBERS + 1)}),
        "1,001 files",
    ),
    "password": ("parts.zip", with_password(zipped({"parts.csv": PARTS})), "a password"),
    "workbook with a password": (
        "parts.xlsx",
        b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600),
        "pass",
    ),
    "encrypted members": ("parts.xlsx", with_password(BOOK), "a password"),
    "half a workbook": ("parts.xlsx", BOOK[: len(BOOK) // 2], "half written"),
    "half an ODS": ("parts.ods", OPEN_BOOK[: len(OPEN_BOOK) // 2], "half written"),
    "half an archive": ("parts.zip", zipped({"parts.csv": PARTS * 99})[:-30], "half written"),
    "half a gzip": ("parts.csv.gz", gzipped(PARTS * 99)[:-30], "half written"),
    "workbook without its sheet": (
        "parts.xlsx",
        zipped({"[Content_Types].xml": b"<x/>", "docProps/app.xml": b""}),
        "broken workbook",
    ),
    "archive in archive": ("parts.zip", zipped({"parts.zip": zipped(PLAIN)}), "packed once"),
    "gzip in gzip": ("parts.csv.gz", gzipped(gzipped(PARTS)), "packed once"),
    "tar": ("parts.tar.gz", gzipped(b"x" * 600), "tar archive"),
    "empty": ("parts.csv", b"", "an empty file"),
    "blank": ("parts.csv", b"\r\n \r\n", "an empty file"),
    "empty workbook": ("parts.xlsx", b"", "an empty file"),
    "zero bytes": ("parts.csv", PARTS + b"\x00" * 20, "binary content"),
    "picture": ("parts.csv", b"\x89PNG\r\n\x1a\n\x00\x00", "a picture (PNG)"),
    "picture as workbook": ("parts.xlsx", b"\x89PNG\r\n\x1a\n\x00\x00", "a picture (PNG)"),
    "web page as workbook": ("parts.xlsx", b"<html><table><tr><td>boat", "a web page"),
    "ten thousand columns": (
        "parts.csv",
        delimited([["boat", "kind", *map(str, range(10_000))]]),
        "10,002 columns",
    ),
    "ten thousand columns in a sheet": (
        "parts.xlsx",
        xlsx({"parts": [["boat", "kind", *map(str, range(10_000))]]}),
        "10,002 columns",
    ),
}


@pytest.mark.parametrize("case", HOSTILE)
def test_it_is_said_what_is_wrong(case: str) -> None:
    name, content, words = HOSTILE[case]
    with pytest.raises(FleetError) as caught:
        read_fleet(parts_as(name, content))
    told = [one.sentence() for one in caught.value.findings]
    assert any(words in one and one.startswith(("parts", name)) for one in told), told


def test_an_unusual_way_of_packing() -> None:
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_LZMA) as archive:
        archive.writestr("parts.csv", PARTS)
    assert "usual way" in stopped(parts_as("parts.zip", made.getvalue())).expected


def test_what_is_not_missed_does_not_stop() -> None:
    beside = {"photos.zip": zipped({"a.jpg": b"x"}), "old.xlsx": BOOK[:99], "x.csv": b"\x00"}
    records = read_fleet(PLAIN | beside)
    for name in beside:
        assert noted(records, name).startswith("ignored")
    assert records.fingerprint == read_fleet(PLAIN).fingerprint


def test_the_path_of_a_packed_file_goes_nowhere() -> None:
    packed = {"../../etc/boats.csv": BOATS, "C:\\Windows\\parts.csv": PARTS, "/fleet.toml": b""}
    records = read_fleet({"x.zip": zipped(packed)})
    assert records.places["parts.csv"] == "x.zip, parts.csv"
    uploaded = read_fleet({"../boats.csv": BOATS, "a\\parts.csv": PARTS})
    assert uploaded.counts["used"].tolist() == [1, 1]


def test_folders_and_what_systems_add_are_passed_over() -> None:
    packed = {
        "d/": b"",
        "d/._parts.csv": b"\x00",
        "d/~$parts.xlsx": b"",
        "read me.txt": b"",
        **PLAIN,
    }
    assert read_fleet({"x.zip": zipped(packed)}).counts["used"].tolist() == [1, 1]


def test_the_mark_of_an_open_workbook_is_passed_over_and_told() -> None:
    for lock in ("~$parts.xlsx", ".~lock.parts.ods#"):
        records = read_fleet({**PLAIN, lock: b"\x05Somebody"})
        assert "Save and close" in noted(records, lock)
        assert records.fingerprint == read_fleet(PLAIN).fingerprint


def test_two_files_of_settings() -> None:
    packed = zipped({"fleet.toml": b""})
    one = stopped({**PLAIN, "fleet.toml": b"", "x.zip": packed})
    assert one.found == "fleet.toml and x.zip, fleet.toml"
    assert (
        read_fleet({**PLAIN, "x.zip": zipped({"fleet.toml": b'name = "A"'})}).settings.name == "A"
    )


def test_gzip_in_several_streams_and_filled_up() -> None:
    content = gzipped(PARTS[:20]) + gzipped(PARTS[20:]) + bytes(10)
    assert read_fleet(parts_as("parts.csv.gz", content)).counts["used"].tolist() == [1, 1]


def test_the_unpacked_size_is_limited_too(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(limits, "UNPACKED_BYTES", 100)
    assert "at most 100 bytes" in stopped(parts_as("parts.csv.gz", gzipped(PARTS * 3))).expected
    packed = zipped({"parts.csv": PARTS, "hours.csv": PARTS, "lifts.csv": PARTS})
    with pytest.raises(FleetError, match="at most 100 bytes"):
        read_fleet(parts_as("parts.zip", packed))


@given(
    st.sampled_from([BOOK, OPEN_BOOK, zipped(PLAIN), gzipped(PARTS)]),
    st.lists(st.tuples(st.integers(0, 2000), st.integers(0, 255)), max_size=4),
    st.integers(0, 400),
)
def test_any_damage_is_said_in_words(
    content: bytes, changes: list[tuple[int, int]], cut: int
) -> None:
    damaged = bytearray(content[: max(1, len(content) - cut)])
    for at, byte in changes:
        damaged[at % len(damaged)] = byte
    with contextlib.suppress(FleetError):
        read_fleet(parts_as("parts.xlsx", bytes(damaged)))


@given(st.binary(max_size=200))
def test_any_stream_is_unpacked_or_refused(content: bytes) -> None:
    for wrapped in (b"\x1f\x8b" + content, b"PK" + content, gzipped(content)[:-4] + content):
        unpacked({"parts.csv.gz": wrapped})
    (piece,), findings = unpacked({"hours.csv.gz": gzipped(b"a" + content)})
    assert (piece.name, piece.content, findings) == ("hours.csv", b"a" + content, [])


def test_check_sums_are_heeded() -> None:
    archive = bytearray(zipped({"parts.csv": PARTS}))
    right = zlib.crc32(PARTS).to_bytes(4, "little")
    wrong = bytes(archive.replace(right, bytes(4)))
    assert "check sum" in stopped(parts_as("parts.zip", wrong)).found


def test_a_folder_of_other_formats(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    files = {"Boats.TSV": BOATS, "fleet.xlsx": BOOK, "a.zip": zipped(PLAIN), "parts.txt": PARTS}
    files["notes.txt"] = b"x"
    unopened = ("a.pdf", "~$fleet.xlsx")
    aside = ("truth.json", ".hidden", "Thumbs.db")
    for name, content in {**files, **dict.fromkeys((*unopened, *aside), b"x")}.items():
        (tmp_path / name).write_bytes(content)
    assert folder_files(tmp_path) == {**files, **dict.fromkeys(unopened, b"")}
    monkeypatch.setattr(limits, "BIGGEST_FILE", 60)
    (tmp_path / "large.csv").write_bytes(b"x" * 61)
    (tmp_path / "fleet.xlsx").unlink()
    (tmp_path / "a.zip").unlink()
    assert set(folder_files(tmp_path)) == {"Boats.TSV", "parts.txt", "notes.txt", *unopened}
    (tmp_path / "hours.csv").write_bytes(b"x" * 61)
    with pytest.raises(FleetError, match="at most 60 bytes"):
        folder_files(tmp_path)
    (tmp_path / "hours.csv").unlink()
    monkeypatch.setattr(limits, "BIGGEST_FOLDER", 50)
    with pytest.raises(FleetError, match="at most 50 bytes"):
        folder_files(tmp_path)


def test_a_locked_file_is_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "parts.csv").write_bytes(PARTS)

    def locked(path: Path) -> bytes:
        raise PermissionError(13, "Permission denied", str(path))

    monkeypatch.setattr(Path, "read_bytes", locked)
    with pytest.raises(FleetError, match=r"parts.csv: found 'Permission denied'.*Close it"):
        folder_files(tmp_path)
