"""Workbooks: which sheet is which table, what stands above and below it, what a cell is."""

import datetime
from datetime import date

import pytest

from analytics.records.findings import Finding, FleetError
from analytics.records.reading import Records, read_fleet
from tests.analytics.records.exports import Sheet, delimited, ods, xlsx
from tests.analytics.records.fleet_folder import counts, reconciled

HEADER = ["boat", "kind", "fitted_on", "fitted_hours"]
WREN = ["Wren", "bellows", date(2014, 6, 3), 120]
BOATS = {"boats.csv": b"boat,joined_on\nWren,2010\nOtter,2010\n"}
SETTINGS = b"as_of = 2020-12-31\nrecords_from = 2010-01-01\n"


def read(*, settings: str = "", **books: bytes) -> Records:
    """The two boats and further files; two underscores in a name stand for its dot."""
    files = {name.replace("__", "."): content for name, content in books.items()}
    records = read_fleet({**BOATS, **files, "fleet.toml": SETTINGS + settings.encode()})
    reconciled(records)
    return records


def stopped(**how: bytes | str) -> list[Finding]:
    with pytest.raises(FleetError) as caught:
        read(**how)
    return list(caught.value.findings)


def about(records: Records, file: str) -> list[tuple[int | None, str, str, str]]:
    return [
        (one.row, one.field, one.found, one.done) for one in records.findings if one.file == file
    ]


@pytest.mark.parametrize("written", [xlsx, ods])
def test_titles_blank_rows_and_totals(written: object) -> None:
    sheet: Sheet = [
        ["Parts of the fleet"],
        ["", "", ""],
        ["", *HEADER],
        ["", *WREN],
        ["", "", "", "", ""],
        ["", "Otter", "bellows", date(2016, 6, 3), 90],
        ["", "TOTAL:", "", "", 210],
        ["", "", "", "", 210],
    ]
    book = written({"Notes": [["Call the yard"]], "My fleet": sheet})
    records = read(book__xlsx=book)
    place = "book.xlsx, sheet My fleet"
    assert records.places["parts.csv"] == place
    assert about(records, place) == [
        (1, "", "Parts of the fleet", "noted"),
        (7, "", "TOTAL:, 210", "ignored"),
        (8, "", "210", "ignored"),
    ]
    assert counts(records) == {"rows_read": 5, "used": 2, "ignored": 3}
    table = records.tables["parts.csv"]
    assert table["row"].tolist() == [4, 6]
    assert table["fitted_on_lo"].dt.date.tolist() == [date(2014, 6, 3), date(2016, 6, 3)]
    assert table["fitted_hours"].tolist() == [120, 90]
    files = records.files.set_index("sheet")
    assert files.loc["My fleet", "header_row"] == 3
    assert files.loc["Notes", "taken_for"] == ""
    assert [row for row, *_ in about(records, "book.xlsx, sheet Notes")] == [None]


@pytest.mark.parametrize(
    ("row", "totals"),
    [
        (["Total", "", "", "1.234,50"], True),
        (["Summe", "", "", ""], True),
        (["grand total", "", "", "12"], True),
        (["", "", "", "12"], True),
        # Not every row that begins so adds up others.
        (["Total", "bellows", "", "12"], False),
        (["Total Eclipse", "", "", "12"], False),
        (["", "bellows", "", "12"], False),
        (["", "", "", "twelve"], False),
    ],
)
def test_what_is_a_row_of_totals(row: list[str], totals: bool) -> None:
    wren = ["Wren", "bellows", "2014-06-03", "120"]
    records = read(parts__csv=delimited([HEADER, wren, row], ";"))
    left_out = {"ignored": 1} if totals else {"rejected": 1}
    assert counts(records) == {"rows_read": 2, "used": 1} | left_out


def test_a_boat_may_be_called_total() -> None:
    boats = b"boat,hours_per_season\nTotal,\nWren,\nTotal,400\n"
    records = read_fleet(
        {"boats.csv": boats, "parts.csv": delimited([HEADER, ["Total", "bellows", "2014", ""]])}
    )
    assert counts(records, "boats.csv") == {"rows_read": 3, "used": 2, "ignored": 1}


def test_a_header_below_data_that_is_set() -> None:
    sheet: Sheet = [HEADER, WREN, HEADER, WREN]
    with_two = xlsx({"parts": sheet})
    assert read(x__xlsx=with_two).files.set_index("taken_for")["header_row"]["parts.csv"] == 1
    records = read(x__xlsx=with_two, settings='[files."x.xlsx"]\nheader_row = 3')
    assert records.tables["parts.csv"]["row"].tolist() == [4]
    (one,) = stopped(x__xlsx=with_two, settings='[files."x.xlsx"]\nheader_row = 9')
    assert "Correct header_row" in one.remedy


def test_a_table_in_two_places_stops_and_says_what_to_do() -> None:
    book = xlsx({"parts": [HEADER, WREN], "old parts": [HEADER, WREN]})
    (one,) = stopped(parts__csv=delimited([HEADER]), fleet__xlsx=book)
    assert one.found == "fleet.xlsx, sheet parts and parts.csv"
    assert one.remedy.startswith("Remove or rename all but one")
    (one,) = stopped(parts__csv=delimited([HEADER]), parts__tsv=delimited([HEADER], "\t"))
    assert one.found == "parts.csv and parts.tsv"
    # A name goes before a header; the other sheet is left alone and said so.
    records = read(fleet__xlsx=book)
    assert records.places["parts.csv"] == "fleet.xlsx, sheet parts"
    (told,) = [one for one in records.findings if one.file == "fleet.xlsx, sheet old parts"]
    assert "parts.csv is taken from fleet.xlsx, sheet parts" in told.remedy


def test_the_sheet_can_be_chosen() -> None:
    otter = ["Otter", *WREN[1:]]
    book = xlsx({"2025": [HEADER, WREN], "2026": [HEADER, otter]})
    for name in ("parts__xlsx", "fleet__xlsx"):
        (one,) = stopped(**{name: book})
        assert one.found.count("sheet 202") == 2
        file = name.replace("__", ".")
        assert f'[files."{file}"]' in one.remedy
        records = read(**{name: book}, settings=f'[files."{file}"]\nsheet = "2026"')
        assert records.tables["parts.csv"]["boat"].tolist() == ["Otter"]
        assert records.places["parts.csv"] == f"{file}, sheet 2026"
    both = xlsx({"parts": [HEADER, WREN], "boats": [["boat"], ["Wren"]], "lifts": [["x"]]})
    records = read_fleet(
        {"f.xlsx": both, "fleet.toml": SETTINGS + b'[files."f.xlsx"]\nsheet = ["parts", "boats"]'}
    )
    assert set(records.places.values()) == {"f.xlsx, sheet parts", "f.xlsx, sheet boats"}
    with pytest.raises(FleetError, match="lifted_on"):
        read_fleet({"f.xlsx": both})


def test_a_sheet_that_is_not_there() -> None:
    book = xlsx({"parts": [HEADER, WREN]})
    records = read(f__xlsx=book, settings='[files."f.xlsx"]\nsheet = "Parts 2026"')
    assert about(records, "f.xlsx") == [(None, "sheet", "Parts 2026", "ignored")]
    assert counts(records)["used"] == 1


def test_a_section_without_its_file() -> None:
    records = read(
        parts__csv=delimited([HEADER, ["Wren", "bellows", "2014", ""]]),
        settings='[files."part.csv"]\nencoding = "utf-8"',
    )
    assert (None, "files.part.csv", "part.csv", "ignored") in about(records, "fleet.toml")


def test_numbers_of_a_sheet_are_taken_as_they_are_and_texts_are_weighed() -> None:
    rows = [
        [*WREN[:3], 1.125],
        ["Otter", "bellows", "2014-06", "1.200"],
        ["Otter", "face_seal", 2015, "0.5"],
    ]
    records = read(parts__xlsx=xlsx({"Sheet1": [HEADER, *rows[:2]]}))
    hours = records.tables["parts.csv"]["fitted_hours"]
    assert hours[0] == 1.125
    assert hours.isna()[1]  # beside a number of the sheet a text still has two readings
    hours = read(parts__xlsx=xlsx({"Sheet1": [HEADER, *rows]})).tables["parts.csv"]["fitted_hours"]
    assert hours.tolist() == [1.125, 1.2, 0.5]
    records = read(
        parts__xlsx=xlsx({"Sheet1": [HEADER, *rows[:2]]}),
        settings='[files."parts.xlsx"]\ndecimal = ","',
    )
    assert records.tables["parts.csv"]["fitted_hours"].tolist() == [1.125, 1200]


def test_an_ambiguous_number_rejects_a_row_that_needs_it() -> None:
    hours = delimited([["boat", "read_on", "hours"], ["Wren", "2014", "1.200"]], ";")
    parts = delimited([HEADER, ["Wren", "bellows", "2014", ""]])
    records = read(hours__csv=hours, parts__csv=parts)
    (one,) = [one for one in records.findings if one.file == "hours.csv"]
    assert (one.row, one.found, one.done) == (2, "1.200", "rejected")
    assert "1.2 or 1200" in one.expected
    assert "set decimal" in one.remedy
    settings = '[files."hours.csv"]\nthousands = "."'
    records = read(hours__csv=hours, parts__csv=parts, settings=settings)
    assert records.tables["hours.csv"]["hours"].tolist() == [1200]
    assert records.files.set_index("taken_for")["decimal"]["hours.csv"] == "comma"
    assert records.files.set_index("taken_for")["thousands"]["hours.csv"] == "point"


@pytest.mark.parametrize("since_1904", [False, True])
def test_a_day_is_a_day_whatever_its_format_and_the_first_year(since_1904: bool) -> None:
    times = [datetime.datetime(2014, 6, 3, 16, 30), date(2016, 2, 29)]
    rows = [["Wren", "bellows", times[0], ""], ["Otter", "bellows", times[1], ""]]
    records = read(parts__xlsx=xlsx({"S": [HEADER, *rows]}, since_1904=since_1904))
    table = records.tables["parts.csv"]
    assert table["fitted_on_lo"].dt.date.tolist() == [date(2014, 6, 3), date(2016, 2, 29)]
    assert table["fitted_on_lo"].equals(table["fitted_on_hi"])


def test_several_findings_name_the_sheet_also_in_lives() -> None:
    from analytics import job

    book = xlsx({"parts": [HEADER, [*WREN[:2], "", ""]], "boats": [["boat"], ["Wren"]]})
    fleet = job.open_fleet({"a.xlsx": book, "fleet.toml": SETTINGS})
    assert fleet.lives.table["source"].tolist() == ["a.xlsx, sheet parts:2"]
    assert {one.file for one in fleet.lives.findings} == {"a.xlsx, sheet parts"}
    assert "rows of a.xlsx, sheet parts read" in fleet.reconciliation()
    failed = [["Wren", "bellows", date(year, 1, 1), ""] for year in range(2011, 2019)]
    rows = [[*row, date(row[2].year, 9, 1), "failed"] for row in failed]
    header = [*HEADER, "removed_on", "reason"]
    only = xlsx({"parts": [header, *rows], "boats": [["boat"], ["Wren"]]})
    with pytest.raises(FleetError) as caught:
        job.how_it_ages(job.open_fleet({"a.xlsx": only, "fleet.toml": SETTINGS}))
    assert caught.value.findings[0].file == "a.xlsx, sheet parts"
