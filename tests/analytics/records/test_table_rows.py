"""Bytes to rows of text. The outside check is the CSV grammar of RFC 4180 (from memory)."""

import pytest

from analytics.records.files.delimited import text_grid
from analytics.records.findings import FleetError
from analytics.records.table_rows import TableRows, read_rows
from analytics.records.tables import BOATS, PARTS


def boats(content: bytes) -> TableRows:
    return read_rows(BOATS, text_grid("boats.csv", content))


def rows(content: bytes) -> list[tuple[int, dict[str, str]]]:
    return boats(content).rows


def stopped(content: bytes) -> str:
    with pytest.raises(FleetError) as caught:
        read_rows(PARTS, text_grid("parts.csv", content))
    (finding,) = caught.value.findings
    assert finding.file == "parts.csv"
    return finding.sentence()


PLAIN = [(2, {"boat": "Zoë", "base": "a,b"}), (3, {"boat": "Otter", "base": ""})]


@pytest.mark.parametrize(
    "content",
    [
        'boat,base\nZoë,"a,b"\nOtter,\n'.encode(),
        'boat,base\r\nZoë,"a,b"\r\nOtter,\r\n'.encode(),
        'boat,base\rZoë,"a,b"\rOtter,'.encode(),
        '\ufeffboat,base\nZoë,"a,b"\nOtter'.encode(),
        'Boat , BASE\n Zoë ,"a,b"\n Otter , \n'.encode(),
        'boat,base\nZoë,"a,b"\nOtter,\n'.encode("cp1252"),
        'boat,base\nZoe\u0308,"a,b"\nOtter,\n'.encode(),  # the diaeresis as a mark of its own
    ],
)
def test_the_same_rows_however_they_are_saved(content: bytes) -> None:
    assert rows(content) == PLAIN


def test_rows_are_counted_by_the_line_on_which_they_begin() -> None:
    content = b'boat,base\n"Penny\nWren","two\n\nlines"\n\nOtter,x\n'
    assert [(line, cells["boat"]) for line, cells in rows(content)] == [
        (2, "Penny\nWren"),
        (6, ""),
        (7, "Otter"),
    ]


def test_quotes_within_quotes() -> None:
    assert rows(b'boat,base\n"The ""Wren""",=1+1\n') == [
        (2, {"boat": 'The "Wren"', "base": "=1+1"})
    ]


def test_windows_1252_is_said_aloud() -> None:
    read = boats("boat\nZoë\n".encode("cp1252"))
    assert [(one.done, one.expected) for one in read.findings] == [("assumed", "UTF-8")]


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "expected a header with boat, kind"),
        (b"boat,part\nWren,x\n", "Add the column"),
        (b"boat:kind\nWren:bellows\n", "set delimiter in fleet.toml"),
        (b"<html><table><tr><td>boat", "a web page"),
        (b"boat,kind\n\x81", "not UTF-8 or Windows-1252 from byte 11"),
        (("boat,kind," + ",".join(f"c{n}" for n in range(10_000))).encode(), "10,002 columns"),
        (b"boat,kind,Boat\n", "each header once"),
        (b'boat,kind\nWren,"bellows\nOtter,bellows\n', "row 2"),
        (b'boat,kind\nWren,bellows\nOtter,"bel"lows\n', "row 3"),
        (b"boat,kind\n" + b"x" * 200_000, "row 2"),
        (b"PK\x03\x04\x00\x00", "binary content"),
        ("boat,kind\n".encode("utf-16-le"), "set the encoding in fleet.toml"),
        ("boat,kind\n".encode("utf-16")[:-1], "half written"),
    ],
)
def test_what_stops_the_reading_says_where_and_what_to_do(content: bytes, words: str) -> None:
    assert words in stopped(content)


def test_a_file_too_large(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("analytics.records.files.limits.BIGGEST_FILE", 5)
    assert "at most 5 bytes" in stopped(b"boat,kind\n")


def test_extra_cells_and_unknown_columns_are_told() -> None:
    read = boats(b"boat,colour,\nWren,red,,loose\nOtter,blue,,\n")
    assert [(one.row, one.field, one.found, one.done) for one in read.findings] == [
        (1, "colour", "colour", "ignored"),
        (2, "", "loose", "noted"),
    ]
