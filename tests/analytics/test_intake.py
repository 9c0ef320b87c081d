"""From a folder of exports to accepted records: what is looked at, previewed, kept and compared."""

from __future__ import annotations

from pathlib import Path

import pytest

from analytics import intake, job
from analytics.records.decided.decision import Decision, Decisions
from analytics.records.findings import FleetError
from analytics.records.mapping.model import FleetMapping
from tests.analytics.records.mapped_folder import Export, export, folder, plain

LIVES = export(
    "parts 2024.csv",
    "lives",
    {"boat": "Boat", "kind": "Part", "fitted_on": "Fitted", "removed_on": "Removed",
     "reason": "Reason"},
    """Boat|Part|Fitted|Removed|Reason
Penny Wren|bellows|13/05/2016|14/06/2019|leaking
Penny Wren|bellows|14/06/2019||
Quiet Otter|lip seal|15/06/2017||""",
)  # fmt: skip
BOATS = plain("boats.csv", "boat\nPenny Wren\nQuiet Otter")
UNMAPPED = {
    name: content for name, content in folder(BOATS, LIVES).items() if name != "mapping.toml"
}


def test_what_nobody_has_said_is_proposed_and_what_is_said_is_not() -> None:
    looked = intake.look_at(UNMAPPED)
    assert [one.source.shape for one in looked.proposals] == ["lives"]
    said = intake.look_at(folder(BOATS, LIVES))
    assert (said.proposals, len(said.grids)) == ((), 1)
    assert said.proposed() == said.mapping


def test_a_preview_reads_and_writes_nothing() -> None:
    looked = intake.look_at(UNMAPPED)
    before = dict(UNMAPPED)
    fleet = intake.preview(UNMAPPED, looked.proposed())
    assert before == UNMAPPED
    assert len(fleet.lives.table) == 3
    with pytest.raises(FleetError):
        intake.preview(UNMAPPED, FleetMapping())


def test_one_source_said_anew_stands_for_the_one_before() -> None:
    assert LIVES.source is not None
    other = export("PARTS 2024.csv", "leave", {}, "Boat").source
    assert other is not None
    mapping = intake.replaced(FleetMapping((LIVES.source,)), other)
    assert mapping.sources == (other,)


def test_decisions_beside_the_files_are_replayed() -> None:
    one = Decision("name", found="Quiet Otter", read_as="Penny Wren")
    files = intake.with_decisions(folder(BOATS, LIVES), Decisions((one,)))
    assert set(job.open_fleet(files).lives.table["boat"]) == {"Penny Wren"}


def test_rows_know_their_lives_and_what_became_of_them() -> None:
    fleet = job.open_fleet(folder(BOATS, LIVES))
    rows = intake.rows_of(fleet)
    own = rows[(rows["place"] == LIVES.file) & (rows["fate"] != "header")]
    assert own["fate"].tolist() == ["used"] * 3
    assert sorted(own["lives"]) == ["1", "2", "3"]
    by_source = fleet.lives.table.set_index("source")["life"]
    for row, life in zip(own["row"], own["lives"], strict=True):
        assert str(by_source[f"{LIVES.file}:{row}"]) == life


def test_what_changed_since_the_last_acceptance(tmp_path: Path) -> None:
    fleet = job.open_fleet(folder(BOATS, LIVES))
    assert intake.since_accepted(fleet, tmp_path) == (None, None)
    with pytest.raises(FleetError):
        intake.accept(tmp_path, fleet, "  ")
    intake.accept(tmp_path, fleet, "K. Vale", "first")
    state, changes = intake.since_accepted(fleet, tmp_path)
    assert state is not None
    assert changes is not None
    assert state.log[-1].who == "K. Vale"
    assert changes.none
    text = LIVES.content.replace(b"leaking", b"by age") + b"Quiet Otter,bellows,2020,,\n"
    later = job.open_fleet(folder(BOATS, Export(LIVES.file, text, LIVES.source)))
    _, changes = intake.since_accepted(later, tmp_path)
    assert changes is not None
    assert (len(changes.changed), len(changes.new), len(changes.vanished)) == (1, 1, 0)


def test_a_file_is_written_whole_or_not_at_all(tmp_path: Path) -> None:
    assert LIVES.source is not None
    path = intake.save_mapping(tmp_path, FleetMapping((LIVES.source,)))
    assert intake.look_at({path.name: path.read_bytes()}).mapping.sources == (LIVES.source,)
    assert [one.name for one in tmp_path.iterdir()] == ["mapping.toml"]
    blocked = tmp_path / "file"
    blocked.write_text("x")
    with pytest.raises(FleetError):
        intake.save_mapping(blocked, FleetMapping())
