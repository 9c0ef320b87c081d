"""Text files: which encoding, which mark between cells, and any table read back cell for cell."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from analytics.records.files.delimited import DELIMITERS, delimiter_of, text_grid
from analytics.records.files.grids import FileSettings, Grid
from analytics.records.findings import FleetError
from analytics.records.table_rows import read_rows
from analytics.records.tables import PARTS
from tests.analytics.records.exports import delimited

# Letters whose bytes in Windows-1252 are never UTF-8: no byte from 80 to BF (from memory).
CELLS = st.text(st.sampled_from("aZ9 .,;|\t\"'\n\réßñü"), max_size=6)
HEADER = ["boat", "kind", "note"]


@given(
    st.lists(st.lists(CELLS, min_size=3, max_size=3), max_size=6),
    st.sampled_from(DELIMITERS),
    st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "cp1252"]),
    st.booleans(),
    st.sampled_from(["\n", "\r\n", "\r"]),
)
def test_any_table_is_read_back(
    rows: list[list[str]], delimiter: str, encoding: str, quote_all: bool, line_end: str
) -> None:
    content = delimited([HEADER, *rows], delimiter, encoding, line_end, quote_all=quote_all)
    grid = text_grid("parts.csv", content)
    assert grid.delimiter == delimiter
    assert [cells for _, cells in grid.rows()] == [HEADER, *rows]
    read = read_rows(PARTS, grid)
    assert [list(cells.values()) for _, cells in read.rows] == [
        [cell.strip() for cell in row] for row in rows
    ]


@pytest.mark.parametrize(
    ("text", "delimiter"),
    [
        ("Boot;Teil;Stunden\nWren;Balg;12,5\nOtter;Balg;3,25\n", ";"),
        ("Boot\tTeil\nWren, the old\tBalg\nOtter\tBalg\n", "\t"),
        ("Boot|Teil\n", "|"),
        ('Boot,Teil\n"a;b;c",d\n"e;f",g\n', ","),
        # Quoted marks are none, and headers that are known weigh more than what agrees by chance.
        ('"a,b";"c,d"\n"e,f";"g,h"\n', ";"),
        ("boat,note;kind\nWren,a;b\nOtter,c;d\n", ","),
        ("Fleet list; spring\n\nboat;kind\nWren;bellows\n", ";"),
        ("boat\nWren; the old one\n", ","),
        ("boat\n", ","),
        ("", ","),
        ("boat;kind\n" + "x" * 200_000, ";"),
    ],
)
def test_the_mark_between_cells(text: str, delimiter: str) -> None:
    assert delimiter_of(text) == delimiter


def grid(content: bytes, **chosen: object) -> Grid:
    return text_grid("parts.csv", content, FileSettings(**chosen))


def cells(grid: Grid) -> list[tuple[int, list[str]]]:
    return list(grid.rows())


def test_a_first_line_that_names_the_mark() -> None:
    for content in (b"sep=|\r\na,b|c\r\n", b'"SEP=|"\na,b|c\n', b"\xef\xbb\xbfsep=|\na,b|c\n"):
        assert cells(grid(content)) == [(2, ["a,b", "c"])]
    assert cells(grid(b"sep=\t\na,b\tc\n")) == [(2, ["a,b", "c"])]
    assert cells(grid(b"separator\n"))[0] == (1, ["separator"])


@pytest.mark.parametrize(
    ("content", "encoding", "shown"),
    [
        ("Zoë".encode(), None, "UTF-8"),
        ("Zoë".encode("utf-8-sig"), None, "UTF-8"),
        ("Zoë".encode("utf-16"), None, "UTF-16"),
        (b"\xfe\xff" + "Zoë".encode("utf-16-be"), None, "UTF-16"),
        ("Zoë".encode("cp1252"), None, "Windows-1252"),
        ("Zoë".encode("cp437"), "cp437", "cp437"),
        ("Zoë".encode("utf-16-le"), "utf-16-le", "utf-16-le"),
        ("Zoë".encode("utf-8-sig"), "utf-8", "utf-8"),
    ],
)
def test_encodings(content: bytes, encoding: str | None, shown: str) -> None:
    found = grid(content, encoding=encoding)
    assert (found.encoding, cells(found)) == (shown, [(1, ["Zoë"])])
    assert bool(found.findings) == (shown == "Windows-1252")


@pytest.mark.parametrize(
    ("content", "encoding"),
    [
        (b"\x81", None),
        (b"Zo\xeb", "utf-8"),
        (b"\xff\xfea", None),
        (b"a\x00", None),
        (b"a\x00\xe9", None),
    ],
)
def test_no_text(content: bytes, encoding: str | None) -> None:
    with pytest.raises(FleetError) as caught:
        grid(content, encoding=encoding)
    (one,) = caught.value.findings
    assert "encoding" in one.remedy


def test_the_settings_name_the_mark() -> None:
    assert cells(grid(b"a;b,c\n", delimiter=";")) == [(1, ["a", "b,c"])]
    assert cells(grid(b"sep=,\na;b,c\n", delimiter=";")) == [(2, ["a", "b,c"])]
