"""The log of what was accepted, and the folder that holds it. Outside checks: tomllib, hashlib."""

import hashlib
import os
import tomllib
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from analytics.records.findings import FleetError
from analytics.records.history.accepted import Accepted, PlaceCount, log_text, read_log
from analytics.records.history.rows import all_rows, place_rows
from analytics.records.history.store import AcceptedState, load_accepted, save_accepted

WHEN = datetime(2026, 11, 2, 9, 30, tzinfo=UTC)
FIRST = Accepted("A", WHEN, "ab12", (PlaceCount("jobs.csv", 4, 2, 1, 1, 0),), "first")
SECOND = Accepted("B", WHEN + timedelta(days=30), "cd34")

COUNTS = st.integers(0, 10**9)
LOG = st.lists(
    st.builds(
        Accepted,
        who=st.text(max_size=8),
        when=st.datetimes(datetime(1971, 1, 1), datetime(2100, 1, 1), timezones=st.just(UTC)),
        fingerprint=st.text("0123456789abcdef", max_size=8),
        counts=st.lists(
            st.builds(PlaceCount, st.text(max_size=5), COUNTS, COUNTS, COUNTS, COUNTS, COUNTS),
            max_size=2,
        ).map(tuple),
        note=st.text(max_size=8),
    ),
    max_size=3,
)


def rows(boat: str = "Otter") -> pd.DataFrame:
    return all_rows([place_rows("jobs*.csv", "jobs.csv", 1, ["Boat"], [(2, [boat])])])


def loaded(folder: Path) -> AcceptedState:
    state = load_accepted(folder)
    assert state is not None
    assert all(one.done in ("noted", "ignored") and one.remedy for one in state.findings)
    return state


@given(LOG)
def test_the_log_is_read_as_it_was_written(log: list[Accepted]) -> None:
    assert read_log(log_text(log)) == (log, [])


def test_times_are_kept_in_utc_to_the_second() -> None:
    local = datetime(2026, 11, 2, 10, 30, 0, 999, timezone(timedelta(hours=1)))
    assert Accepted("A", local, "").when == WHEN
    assert tomllib.loads(log_text([FIRST]))["accepted"][0]["when"] == WHEN
    with pytest.raises(ValueError, match="zone"):
        Accepted("A", datetime(2026, 11, 2), "")


@pytest.mark.parametrize(
    "entry",
    [
        "who = 3",
        'when = "soon"',
        "when = 2026-11-02T09:30:00",
        "when = 0001-01-01T00:00:00+10:00",
        "when = 2026-11-02T09:30:00Z",
        'when = 2026-11-02T09:30:00Z\nfingerprint = "xyz"',
        'when = 2026-11-02T09:30:00Z\nfingerprint = "ab"\ncounts = [1]',
        'when = 2026-11-02T09:30:00Z\nfingerprint = "ab"\ncounts = 1',
        'when = 2026-11-02T09:30:00Z\nfingerprint = "ab"\nmood = "good"',
    ],
)
def test_a_wrong_entry_leaves_the_others(entry: str) -> None:
    log, findings = read_log(f"{log_text([FIRST])}\n[[accepted]]\n{entry}\n")
    assert log == [FIRST]
    assert [finding.field for finding in findings] == ["entry 2"]


@given(st.text(max_size=40))
def test_no_text_stops_the_reading(text: str) -> None:
    read_log(text)
    read_log("accepted = " + text)


def test_nothing_accepted_yet(tmp_path: Path) -> None:
    assert load_accepted(tmp_path) is None
    (tmp_path / "accepted").mkdir()
    assert load_accepted(tmp_path) is None


def test_saved_and_loaded(tmp_path: Path) -> None:
    saved = save_accepted(tmp_path, FIRST, rows())
    content = (tmp_path / "accepted" / "rows.csv.gz").read_bytes()
    assert saved.rows_digest == hashlib.sha256(content).hexdigest()
    state = loaded(tmp_path)
    assert (state.log, state.findings) == ((saved,), ())
    pd.testing.assert_frame_equal(state.rows, rows())


def test_the_next_one_is_added_to_the_log_and_its_rows_replace_the_old(tmp_path: Path) -> None:
    first = save_accepted(tmp_path, FIRST, rows())
    log = tmp_path / "accepted" / "log.toml"
    log.write_text(log.read_text() + "# a remark of the user's\n")
    second = save_accepted(tmp_path, SECOND, rows("Zoë"))
    state = loaded(tmp_path)
    assert state.log == (first, second)
    pd.testing.assert_frame_equal(state.rows, rows("Zoë"))
    assert "# a remark of the user's" in log.read_text()
    assert sorted(path.name for path in log.parent.iterdir()) == ["log.toml", "rows.csv.gz"]


@pytest.mark.parametrize("keep", [0, 20, -1])
def test_half_written_rows_are_told(tmp_path: Path, keep: int) -> None:
    saved = save_accepted(tmp_path, FIRST, rows())
    file = tmp_path / "accepted" / "rows.csv.gz"
    file.write_bytes(file.read_bytes()[:keep])
    state = loaded(tmp_path)
    assert (state.log, state.rows) == ((saved,), None)
    assert [one.file for one in state.findings] == ["accepted/rows.csv.gz"]
    save_accepted(tmp_path, SECOND, rows())
    assert loaded(tmp_path).rows is not None


@pytest.mark.parametrize("name", ["log.toml", "rows.csv.gz"])
def test_a_file_that_is_missing_is_told(tmp_path: Path, name: str) -> None:
    save_accepted(tmp_path, FIRST, rows())
    (tmp_path / "accepted" / name).unlink()
    state = loaded(tmp_path)
    assert state.rows is None
    assert len(state.findings) == 1


def test_a_broken_log_is_told_and_not_written_over(tmp_path: Path) -> None:
    save_accepted(tmp_path, FIRST, rows())
    log = tmp_path / "accepted" / "log.toml"
    log.write_bytes(log.read_bytes()[:-20])
    before = [path.read_bytes() for path in sorted(log.parent.iterdir())]
    state = loaded(tmp_path)
    assert (state.log, state.rows) == ((), None)
    with pytest.raises(FleetError, match=r"log\.toml"):
        save_accepted(tmp_path, SECOND, rows())
    assert [path.read_bytes() for path in sorted(log.parent.iterdir())] == before


def test_stopped_between_the_two_files(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    first = save_accepted(tmp_path, FIRST, rows())
    replace = os.replace

    def stop_at_the_log(part: str, file: Path) -> None:
        if file.name == "log.toml":
            raise OSError(28, "No space left on device", str(file))
        replace(part, file)

    monkeypatch.setattr(os, "replace", stop_at_the_log)
    with pytest.raises(FleetError, match="No space left"):
        save_accepted(tmp_path, SECOND, rows("Zoë"))
    state = loaded(tmp_path)
    assert (state.log, state.rows) == ((first,), None)
    names = sorted(path.name for path in (tmp_path / "accepted").iterdir())
    assert names == ["log.toml", "rows.csv.gz"]


def test_a_folder_that_cannot_be_used(tmp_path: Path) -> None:
    (tmp_path / "accepted").write_text("a file")
    with pytest.raises(FleetError, match="accepted"):
        save_accepted(tmp_path, FIRST, rows())
    (tmp_path / "accepted").unlink()
    (tmp_path / "accepted" / "log.toml").mkdir(parents=True)
    assert loaded(tmp_path).rows is None
