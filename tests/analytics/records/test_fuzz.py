"""Any bytes and any rows: only `FleetError` comes out, no row is lost, and lives make sense."""

import csv
import io
import random
from collections.abc import Iterable

import pandas as pd
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from analytics.lives import COLUMNS, Lives, require_survivors, table_of_lives
from analytics.records.findings import Finding, FleetError, findings_table
from analytics.records.reading import FILES, Records, read_fleet
from analytics.records.sorts import SORTS
from analytics.records.tables import REASONS
from tests.analytics.records.fleet_folder import (
    NEARLY_RIGHT,
    SETTINGS_TEXTS,
    csv_bytes,
    files,
    reconciled,
)

QUICK = settings(
    max_examples=50,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)


def opened(content: dict[str, bytes]) -> tuple[Records, Lives] | None:
    try:
        records = read_fleet(content)
    except FleetError as error:
        stopped = error.findings
    else:
        stopped = ()
    if stopped:
        assert {one.done for one in stopped} == {"stopped"}
        check_sentences(stopped)
        return None
    reconciled(records)
    lives = table_of_lives(records)
    check_sentences([*records.findings, *lives.findings])
    check_lives(records, lives)
    return records, lives


def check_sentences(findings: Iterable[Finding]) -> None:
    for one in findings:
        assert one.file
        assert one.expected
        assert not one.sort or one.sort in SORTS
        assert list(one.also) == sorted(set(one.also) - {one.row})
        assert one.remedy.endswith((".", "?"))
        assert one.sentence().isprintable()
        if one.row is not None:
            assert f"row {one.row}" in one.sentence()
    findings_table(findings)


def check_lives(records: Records, lives: Lives) -> None:
    table = lives.table
    assert list(table.columns[: len(COLUMNS)]) == COLUMNS
    rows = records.tables["parts.csv"]["row"]
    assert sorted(table["source"]) == sorted(f"parts.csv:{row}" for row in rows)
    assert not table[["start_lo", "start_hi", "end_lo", "end_hi"]].isna().any(axis=None)
    assert (table["start_lo"] <= table["start_hi"]).all()
    assert (table["start_hi"] <= table["end_hi"]).all()
    assert (table["start_lo"] <= table["end_lo"]).all()
    assert (table["end_lo"] <= table["end_hi"]).all()
    assert (table["end_hi"] <= pd.Timestamp(records.as_of)).all()
    assert not (table["seen_from"] > table["end_hi"]).any()
    assert set(table["outcome"]) <= {*REASONS, "in_service"}
    assert set(table["boat"]) <= set(records.tables["boats.csv"]["boat"])
    assert set(table["position"]) <= {"single", "port", "starboard"}
    lines = lives.usage.line_of(table["boat"], table["position"])
    hours = [
        lives.usage.hours_at(lines, table[day].to_numpy().astype("datetime64[D]").astype(float))
        for day in ("start_lo", "end_hi")
    ]
    assert (hours[1] >= hours[0]).all()
    try:
        require_survivors(lives)
    except FleetError as error:
        check_sentences(error.findings)


@QUICK
@given(st.dictionaries(st.sampled_from(FILES), st.binary(max_size=60)))
def test_any_bytes(content: dict[str, bytes]) -> None:
    opened(content)


MARKS = st.text(st.sampled_from('boat,kind\n\r";\t= .2019-01é\x00\x85'), max_size=80)


@QUICK
@given(MARKS, MARKS, MARKS)
def test_marks_that_mean_something(boats: str, parts: str, fleet: str) -> None:
    opened(
        {
            "boats.csv": b"boat,lay_up\n" + boats.encode(),
            "parts.csv": b"boat,kind,fitted_on,removed_on,reason\n" + parts.encode("latin-1"),
            "fleet.toml": fleet.encode(),
        }
    )


@QUICK
@given(NEARLY_RIGHT, SETTINGS_TEXTS, st.randoms(use_true_random=False))
def test_rows_nearly_right_in_any_order(
    tables: dict[str, list[dict[str, str]]], fleet: str, chance: random.Random
) -> None:
    boats = tables.pop("boats")
    missing = {"Penny Wren", "Quiet Otter", "Tin Lantern"} - {row["boat"] for row in boats}
    boats += [{"boat": name} for name in sorted(missing)]
    content = files(*tables.pop("parts"), boats=boats, settings=fleet, **tables)
    first = opened(content)
    shuffled = files(settings=fleet, boats=[], parts=[])
    for name, bytes_ in content.items():
        if name.endswith(".csv"):
            rows = list(_rows(bytes_))
            chance.shuffle(rows)
            shuffled[name] = csv_bytes(rows)
    again = opened(shuffled)
    assert (first is None) == (again is None)
    if first and again:
        pd.testing.assert_frame_equal(
            first[1].table.drop(columns="source"),
            again[1].table.drop(columns="source"),
            check_exact=True,
        )
        for one, other in zip(first[1].usage.knot_hours, again[1].usage.knot_hours, strict=True):
            assert one.tobytes() == other.tobytes()
        assert first[0].counts.equals(again[0].counts)


def _rows(content: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(content.decode(), newline="")))
