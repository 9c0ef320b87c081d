"""The sample fleet in every format gives the same lives, bit for bit, and says where they stand."""

import re
from collections.abc import Callable, Mapping

import pandas as pd
import pytest

from analytics import job
from analytics.records.findings import Finding
from tests.analytics.records.exports import (
    Sheet,
    delimited,
    gzipped,
    ods,
    rows_of,
    typed,
    xlsx,
    zipped,
)
from tests.analytics.records.fleet_folder import reconciled

Rows = Mapping[str, list[list[str]]]


def as_text(suffix: str, delimiter: str, encoding: str, **how: object) -> Callable[[Rows], dict]:
    def written(tables: Rows) -> dict[str, bytes]:
        return {
            name + suffix: delimited(rows, delimiter, encoding, **how)
            for name, rows in tables.items()
        }

    return written


def decimal_comma(tables: Rows) -> dict[str, bytes]:
    """Prices and hours with a decimal comma and points between thousands, as semicolons need."""
    written = {}
    for name, rows in tables.items():
        written[f"{name}.csv"] = delimited(
            [rows[0], *([_with_comma(cell) for cell in row] for row in rows[1:])], ";", "cp1252"
        )
    return written


def _with_comma(cell: str) -> str:
    if re.fullmatch(r"\d+\.\d+", cell):
        return f"{float(cell):,.2f}".translate(str.maketrans(",.", ".,"))
    return cell


def sheets(tables: Rows) -> dict[str, Sheet]:
    return {name: typed(rows) for name, rows in tables.items()}


FORMATS: dict[str, Callable[[Rows], dict[str, bytes]]] = {
    "tsv": as_text(".tsv", "\t", "utf-8-sig"),
    "txt": as_text(".TXT", "|", "utf-8", line_end="\r"),
    "semicolons": as_text(".csv", ";", "cp1252", line_end="\n"),
    "UTF-16": as_text(".csv", ",", "utf-16", quote_all=True),
    "decimal comma": decimal_comma,
    "sep=": lambda tables: {
        f"{name}.csv": b"sep=;\r\n" + delimited(rows, ";") for name, rows in tables.items()
    },
    "XLSX": lambda tables: {"fleet.xlsx": xlsx(sheets(tables))},
    "XLSX of 1904": lambda tables: {"fleet.xlsx": xlsx(sheets(tables), since_1904=True)},
    "XLSX of texts": lambda tables: {"fleet.xlsx": xlsx(tables)},
    "ODS": lambda tables: {"Fleet.ODS": ods(sheets(tables))},
    "a workbook each": lambda tables: {
        f"{name}.xlsx": xlsx({"Sheet1": rows}) for name, rows in sheets(tables).items()
    },
    "sheets by header": lambda tables: {
        "fleet.xlsx": xlsx({f"Page {n}": rows for n, rows in enumerate(sheets(tables).values())})
    },
    "gzip": lambda tables: {
        f"{name}.csv.gz": gzipped(delimited(rows)) for name, rows in tables.items()
    },
    "zip": lambda tables: {
        "export.zip": zipped({f"a/b/{n}.csv": delimited(r) for n, r in tables.items()})
    },
    "XLSX in zip": lambda tables: {"x.zip": zipped({"fleet.xlsx": xlsx(sheets(tables))})},
    "XLSX in gzip": lambda tables: {"fleet.xlsx.gz": gzipped(xlsx(sheets(tables)))},
    "a workbook called CSV": lambda tables: {"parts.csv": xlsx(sheets(tables))},
}


@pytest.fixture(scope="module")
def tables(sample_files: dict[str, bytes]) -> Rows:
    return {
        name.removesuffix(".csv"): rows_of(content)
        for name, content in sample_files.items()
        if name.endswith(".csv")
    }


@pytest.mark.parametrize("name", FORMATS)
def test_the_same_lives(
    name: str, tables: Rows, sample: job.Fleet, sample_files: dict[str, bytes]
) -> None:
    files = FORMATS[name](tables)
    fleet = job.open_fleet({**files, "fleet.toml": sample_files["fleet.toml"]})
    reconciled(fleet.records)
    # Rows of an export that begins with "sep=" stand one further down.
    lower = 1 if name == "sep=" else 0
    for file, table in sample.records.tables.items():
        expected = table.assign(row=table["row"] + lower) if len(table) else table
        pd.testing.assert_frame_equal(fleet.records.tables[file], expected, check_exact=True)
    key = fleet.lives.table.columns.drop(["source", "life"]).tolist()
    pd.testing.assert_frame_equal(fleet.lives.table[key], sample.lives.table[key], check_exact=True)
    pd.testing.assert_frame_equal(fleet.records.counts, sample.records.counts)
    for mine, other in zip(
        fleet.lives.usage.knot_hours, sample.lives.usage.knot_hours, strict=True
    ):
        assert mine.tobytes() == other.tobytes()
    place = fleet.records.places["parts.csv"]
    assert any(place.startswith(file) for file in files)
    assert set(fleet.lives.table["source"].str.rpartition(":")[0]) == {place}
    assert [_in_plain_words(one, fleet, lower) for one in findings(fleet)] == [
        _in_plain_words(one, sample, 0) for one in findings(sample)
    ]


def findings(fleet: job.Fleet) -> list[Finding]:
    every = [*fleet.records.findings, *fleet.lives.findings]
    return [one for one in every if one.expected != "UTF-8"]


def _in_plain_words(one: Finding, fleet: job.Fleet, lower: int) -> tuple[object, ...]:
    """A finding with the names and rows of the plain layout."""
    plain = {place: file for file, place in fleet.records.places.items()}
    row = None if one.row is None else one.row - lower
    return plain.get(one.file, one.file), row, one.field, one.done, one.expected[:20]


def test_the_fingerprint_is_of_the_files_that_were_read(
    tables: Rows, sample_files: dict[str, bytes]
) -> None:
    book = xlsx(sheets(tables))
    files = {"fleet.xlsx": book, "fleet.toml": sample_files["fleet.toml"]}
    first = job.open_fleet(files).records
    beside = job.open_fleet({**files, "other.csv": b"a,b\n1,2\n"}).records
    assert first.fingerprint == beside.fingerprint
    assert list(beside.files["taken_for"]).count("") == 1
    changed = files | {"fleet.xlsx": xlsx({**sheets(tables), "aside": [["x"]]})}
    assert job.open_fleet(changed).records.fingerprint != first.fingerprint
