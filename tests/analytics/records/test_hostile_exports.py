"""Exports meant to do harm, or half there: mapped or not, they are told of and nothing is run."""

from __future__ import annotations

import pytest

from analytics import intake, job
from analytics.papers.files import csv_text
from analytics.records.files.folder import folder_files
from analytics.records.findings import FleetError
from analytics.records.mapping.model import SourceMapping
from tests.analytics.records.exports import typed, xlsx, zipped
from tests.analytics.records.mapped_folder import (
    Export,
    as_csv,
    cells,
    counts,
    export,
    folder,
    opened,
    read,
    told,
)
from tests.analytics.records.test_fuzz import check_sentences

COLUMNS = {"boat": "Boat", "kind": "Part", "fitted_on": "In", "removed_on": "Out", "reason": "Why"}
HEADER = list(COLUMNS.values())
ROW = ["Penny Wren", "bellows", "13/05/2016", "14/06/2019", "leaking"]


def lives(*table: list[str], **said: object) -> Export:
    one = export("lives.csv", "lives", COLUMNS, "|".join(HEADER), **said)
    return Export(one.file, as_csv([HEADER, *table]), one.source)


NAMES = [
    "<script>alert(1)</script>",
    "[a](http://x.invalid)",
    "=HYPERLINK(1)",
    "+1-1",
    "@SUM(A1)",
    "-2+3",
    "\x1b[31mred",
    "two\nlines",
    "a\tb",
    "‮txet",
    "|pipe|",
    "'quoted",
    "%s {0} ${x}",
]


def test_names_that_a_page_a_terminal_or_a_spreadsheet_would_obey() -> None:
    table = [[name, *ROW[1:]] for name in NAMES]
    fleet = opened(lives(*table, ["Penny Wren", "=cmd()", *ROW[2:]]))
    assert sorted(fleet.lives.table["boat"]) == sorted(NAMES)
    check_sentences([*fleet.records.findings, *fleet.lives.findings, *fleet.told])
    settings = fleet.records.settings
    for written in (fleet.lives.for_files(), fleet.findings(), fleet.rejected()):
        for line in csv_text(written, settings).splitlines():
            assert not line.lstrip('"').startswith(("=", "+", "@", "-2", "\t"))
    assert counts(fleet.records, "lives.csv") == {
        "rows_read": len(NAMES) + 1, "used": len(NAMES), "rejected": 1
    }  # fmt: skip


@pytest.mark.parametrize(
    "path", ["../../lives.csv", "/etc/lives.csv", "C:\\x\\lives.csv", "a/./b/lives.csv"]
)
def test_paths_in_archives_and_uploads_are_names_and_nothing_else(path: str) -> None:
    one = lives(ROW)
    files = folder(one)
    packed = {**files, "all.zip": zipped({path: one.content})}
    del packed["lives.csv"]
    uploaded = {**files, path: one.content}
    del uploaded["lives.csv"]
    for there in (packed, uploaded):
        assert len(job.open_fleet(there).lives.table) == 1


def test_a_half_written_workbook_that_the_mapping_names_stops() -> None:
    book = xlsx({"Parts": typed(cells("Boat|Part|In\nPenny Wren|lip seal|2016-05-13"))})
    said = export("book.xlsx", "lives", {"boat": "Boat", "kind": "Part", "fitted_on": "In"},
                  "Boat|Part|In", sheet="Parts")  # fmt: skip
    other = lives(ROW)
    assert len(opened(Export("book.xlsx", book, said.source), other).lives.table) == 2
    for half in (book[: len(book) // 2], b"", b"PK\x03\x04"):
        with pytest.raises(FleetError) as stopped:
            opened(Export("book.xlsx", half, said.source), other)
        # What cannot be opened, and not also that what it holds is missing.
        assert {one.file for one in stopped.value.findings} == {"book.xlsx"}
    # So does one of which nothing is said: it may hold half of the fleet. Left alone by the
    # mapping, it is passed over aloud.
    with pytest.raises(FleetError) as stopped:
        opened(Export("strange.xlsx", book[:300], None), other)
    assert [one.file for one in stopped.value.findings] == ["strange.xlsx"]
    assert "mapping.toml" in stopped.value.findings[0].remedy
    left = SourceMapping("strange.xlsx", "leave")
    records = read(Export("strange.xlsx", book[:300], left), other)
    (finding,) = [one for one in records.findings if one.file == "strange.xlsx"]
    assert finding.done == "ignored"


def test_a_half_written_member_of_an_archive_that_the_mapping_names_stops() -> None:
    said = export("book.xlsx", "lives", {"boat": "Boat"}, "Boat", sheet="Parts").source
    packed = zipped({"book.xlsx": b"PK\x03\x04 half"})
    with pytest.raises(FleetError) as stopped:
        read(Export("all.zip", packed, said), lives(ROW))
    assert "all.zip, book.xlsx" in {one.file for one in stopped.value.findings}


def test_a_file_that_is_still_being_written_is_missed_and_told_of(tmp_path) -> None:  # type: ignore[no-untyped-def]
    files = folder(lives(ROW), export("jobs.csv", "events", {"boat": "B"}, "B"))
    for name, content in files.items():
        (tmp_path / name.replace("jobs.csv", "jobs.csv.part")).write_bytes(content)
    (tmp_path / "~$jobs.csv").write_bytes(b"")
    fleet = job.open_fleet(folder_files(tmp_path))
    missing = [one for one in told(fleet.records, "file_missing") if one.file == "mapping.toml"]
    assert [one.found for one in missing] == ["jobs.csv"]
    assert [one.done for one in fleet.records.findings if one.file == "~$jobs.csv"] == ["noted"]


def test_a_row_of_ten_thousand_cells_is_one_row() -> None:
    records = read(lives([*ROW, *(["x"] * 10_000)], ROW[:2]))
    assert counts(records, "lives.csv")["rows_read"] == 2
    (finding,) = [one for one in records.findings if one.expected == "5 cells"]
    assert len(finding.found) <= 200


def test_a_cell_of_a_megabyte_is_refused_aloud() -> None:
    with pytest.raises(FleetError) as stopped:
        read(lives([*ROW[:4], "x" * 2**20]))
    (finding,) = stopped.value.findings
    assert (finding.file, finding.row) == ("lives.csv", 2)


def test_only_the_beginning_of_a_very_long_cell_is_looked_at_for_words() -> None:
    long = ("no leak and not replaced, seal port " * 3_600)[:131_000]
    columns = {**COLUMNS, "note": "Note", "position": "Side", "person": "By"}
    header = list(columns.values())
    about_lives = export("lives.csv", "lives", columns, "|".join(header)).source
    about_jobs = export(
        "work.csv",
        "events",
        {"boat": "Boat", "on": "In", "kind": "Part", "action": "Why", "condition": "Out",
         "note": "Note"},
        "|".join(header),
    ).source  # fmt: skip
    table = as_csv(
        [
            header,
            [*ROW, "", "", ""],
            *([*ROW[:at], long, *ROW[at + 1 :], long, long, long] for at in range(len(ROW))),
        ]
    )
    fleet = opened(Export("lives.csv", table, about_lives), Export("work.csv", table, about_jobs))
    check_sentences(fleet.told)
    assert fleet.rejected()["cells"].str.len().max() > 100_000
    intake.look_at({"lives.csv": table})
