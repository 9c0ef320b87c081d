"""From a folder of exports to accepted records: what is looked at, previewed, kept and compared."""

from __future__ import annotations

import os
import stat
from collections.abc import Iterator
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
    alone = plain("boats.csv", "boat\nPenny Wren")
    files = intake.with_decisions(folder(alone, LIVES), Decisions((one,)))
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


@pytest.fixture
def narrow_mask() -> Iterator[None]:
    """New files are readable by the group, and by nobody else."""
    before = os.umask(0o027)
    yield
    os.umask(before)


@pytest.mark.skipif(os.name != "posix", reason="rights of files as POSIX has them")
@pytest.mark.usefixtures("narrow_mask")
def test_whoever_could_read_a_file_still_can(tmp_path: Path) -> None:
    """A new file has the rights that the user's mask leaves (POSIX umask)."""
    fleet = job.open_fleet(folder(BOATS, LIVES))
    intake.accept(tmp_path, fleet, "K. Vale")
    written = [
        intake.write_beside(tmp_path / "decisions.toml", b""),
        tmp_path / "accepted" / "log.toml",
    ]
    for path in written:
        assert stat.S_IMODE(path.stat().st_mode) == 0o640
        path.chmod(0o664)
    intake.write_beside(written[0], b"# anew")
    intake.accept(tmp_path, fleet, "K. Vale")
    for path in written:
        assert stat.S_IMODE(path.stat().st_mode) == 0o664


def test_decisions_saved_by_another_editor(tmp_path: Path) -> None:
    one = Decision("name", found="Otter", read_as="Quiet Otter")
    intake.decide(tmp_path, one)
    path = tmp_path / "decisions.toml"
    # With the mark that some editors put before UTF-8.
    path.write_bytes(b"\xef\xbb\xbf" + path.read_bytes())
    assert len(intake.decide(tmp_path, Decision("name", found="Zoë", read_as="Penny Wren"))) == 2
    in_latin = path.read_text(encoding="utf-8").encode("latin-1")
    path.write_bytes(in_latin)
    with pytest.raises(FleetError) as told:
        intake.decide(tmp_path, one)
    (finding,) = told.value.findings
    assert (finding.file, finding.done) == ("decisions.toml", "stopped")
    assert finding.row == in_latin[: in_latin.index(b"\xeb")].count(b"\n") + 1
    assert "UTF-8" in finding.found
    assert path.read_bytes() == in_latin


def test_what_is_saved_says_that_comments_go(tmp_path: Path) -> None:
    assert LIVES.source is not None
    intake.save_mapping(tmp_path, FleetMapping((LIVES.source,)))
    intake.decide(tmp_path, Decision("name", found="Otter", read_as="Quiet Otter"))
    for name in ("mapping.toml", "decisions.toml"):
        head = (tmp_path / name).read_text(encoding="utf-8").split("\n[[")[0]
        assert "Comments of your own are not kept" in head


def test_findings_are_shown_without_people_and_decided_about_as_written() -> None:
    parts = export(
        "parts.csv",
        "lives",
        {"boat": "Boat", "kind": "Part", "fitted_on": "Fitted", "person": "Fitter",
         "note": "Remarks"},
        """Boat|Part|Fitted|Fitter|Remarks
Penny Wren|bellows|13/05/2016|Tamsin Orrery|
Otter of Tamsin Orrery|bellows|14/06/2019|Tamsin Orrery|seen by Tamsin Orrery""",
    )  # fmt: skip
    fleet = job.open_fleet(folder(BOATS, parts))
    groups = intake.attention_of(fleet)
    for group, rows in zip(groups["group"], groups["rows_touched"], strict=True):
        shown = intake.findings_in(fleet, group)
        written = intake.findings_as_written(fleet, group)
        assert len({(one.file, row) for one in shown for row in one.rows}) == rows
        assert [one.rows for one in shown] == [one.rows for one in written]
        assert "Orrery" not in str(shown)
    assert "person_named" in set(groups["sort"])
    (unknown,) = intake.findings_as_written(fleet, "boat_name_unknown")
    assert unknown.found == "Otter of Tamsin Orrery"


def test_a_further_export_under_another_name_is_the_same_list(tmp_path: Path) -> None:
    for name, content in folder(BOATS, LIVES).items():
        (tmp_path / name).write_bytes(content)
    intake.accept(tmp_path, job.open_fleet(intake.of_folder(tmp_path)), "A. Tester")
    more = LIVES.content + b"Quiet Otter,bellows,2024-02-03,,\n"
    (tmp_path / "gear of December.csv").write_bytes(more)
    looked = intake.look_at(intake.of_folder(tmp_path))
    intake.save_mapping(tmp_path, looked.proposed())
    fleet = job.open_fleet(intake.of_folder(tmp_path))
    _, found = intake.since_accepted(fleet, tmp_path)
    assert found is not None
    # Two boats and three lives as before.
    assert (found.same, len(found.new), len(found.changed), len(found.vanished)) == (5, 1, 0, 0)
    assert len(fleet.lives.table) == 4


def test_new_rows_that_are_not_used_are_said(tmp_path: Path) -> None:
    for name, content in folder(BOATS, LIVES).items():
        (tmp_path / name).write_bytes(content)
    intake.accept(tmp_path, job.open_fleet(intake.of_folder(tmp_path)), "A. Tester")
    later = b"Quiet Otter,cutless,2025-02-03,,\nPenny Wren,lip seal,2024-02-03,,\n"
    (tmp_path / LIVES.file).write_bytes(LIVES.content + later)
    _, found = intake.since_accepted(job.open_fleet(intake.of_folder(tmp_path)), tmp_path)
    assert found is not None
    assert found.new_told() == "2 new (1 of them not used: see what was found)"
