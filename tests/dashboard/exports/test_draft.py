"""What was brought in and said, and how it reaches the folder: no page needed."""

from __future__ import annotations

import io
import zipfile
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from analytics import intake, job
from analytics.papers.people import Mask
from analytics.records.decided.decision import Decision, Decisions
from analytics.records.files.names import MAPPING
from analytics.records.findings import FleetError
from analytics.records.mapping.model import FleetMapping, SourceMapping
from dashboard.exports import questions as asking
from dashboard.exports import tables as tables
from dashboard.exports.changes import (
    in_shape,
    suggested,
    with_fields,
    with_fixed,
    with_order,
    with_words,
)
from dashboard.exports.draft import Draft, Given, desk, named, packed, together
from dashboard.exports.sources import (
    Source,
    looked_into,
    sources,
    unsaid,
    word_fields,
    word_rows,
)
from tests.dashboard.foreign_fleet import jobs, yachts

FILES = {"jobs_2025.csv": jobs(), "yachts.csv": yachts()}


def fleet_of(files: dict[str, bytes]) -> job.Fleet:
    return intake.preview(files, intake.look_at(files).proposed())


def source_of(files: dict[str, bytes], name: str) -> Source:
    looked = intake.look_at(files)
    tables = looked_into(looked.grids, looked.proposals)
    proposed = unsaid(tables, FleetMapping(), FleetMapping())
    found = sources(tables, FleetMapping(tuple(proposed)), FleetMapping(), FleetMapping())
    return next(one for one in found if name in one.name)


@given(
    st.lists(st.tuples(st.text(max_size=12).map(lambda name: f"{name}.csv"), st.binary(max_size=3)))
)
def test_names_are_names_and_each_stands_for_one_file(files: list[tuple[str, bytes]]) -> None:
    kept, refused = named(files)
    for name, content in kept.items():
        assert not set(name) & set("/\\:\0")
        assert name.isprintable()
        assert not name.startswith(".")
        assert any(content == one for _, one in files)
    assert len({name.casefold() for name in kept}) == len(kept)
    assert len(kept) + len(refused) <= len(files)


def test_names_that_lead_elsewhere() -> None:
    kept, refused = named(
        [("../a.csv", b"1"), ("..\\b.csv", b"2"), ("..", b"3"), ("C:c.csv", b"4"), ("d.exe", b"5")]
    )
    assert kept == {"a.csv": b"1", "b.csv": b"2"}
    assert [one.name for one in refused] == ["..", "C:c.csv", "d.exe"]


def test_two_files_of_one_name_are_refused_and_the_same_twice_is_one() -> None:
    kept, refused = named([("a.csv", b"1"), ("x/A.csv", b"2"), ("b.csv", b"3"), ("b.csv", b"3")])
    assert kept == {"b.csv": b"3"}
    assert [one.name for one in refused] == ["A.csv"]


@pytest.mark.parametrize("name", ["../out.csv", "a/b.csv", "C:x.csv", "x.exe", "..", "", "a\n.csv"])
def test_nothing_is_written_under_a_name_that_is_more_than_a_name(
    tmp_path: Path, name: str
) -> None:
    place = tmp_path / "fleet"
    place.mkdir()
    with pytest.raises(FleetError):
        intake.bring_in(place, {"jobs.csv": b"1", name: b"2"}, {})
    assert not list(place.iterdir())
    assert list(tmp_path.iterdir()) == [place]


def test_a_file_that_changed_meanwhile_is_not_written_over(tmp_path: Path) -> None:
    (tmp_path / "jobs.csv").write_bytes(b"newer")
    with pytest.raises(FleetError, match="another file of this name"):
        intake.bring_in(tmp_path, {"jobs.csv": b"mine"}, {"jobs.csv": b"older"})
    assert (tmp_path / "jobs.csv").read_bytes() == b"newer"
    written = intake.bring_in(tmp_path, {"jobs.csv": b"mine"}, {"jobs.csv": b"newer"})
    assert [path.name for path in written] == ["jobs.csv"]
    assert intake.bring_in(tmp_path, {"jobs.csv": b"mine"}, {}) == []


def test_a_source_said_anew_keeps_its_place() -> None:
    first, second = SourceMapping("a*.csv", "events"), SourceMapping("ab.csv", "lives")
    changed = intake.replaced(FleetMapping((first, second)), SourceMapping("A*.csv", "hours"))
    assert [one.shape for one in changed] == ["hours", "lives"]
    assert intake.replaced(FleetMapping((first,)), second).sources == (first, second)


def test_what_is_saved_stays_byte_by_byte_until_something_is_said() -> None:
    own = b"# mine\n" + intake.with_mapping({}, intake.look_at(FILES).proposed())[MAPPING]
    there = desk(Given({**FILES, MAPPING: own}), Draft())
    assert there.as_read(there.mapping([]))[MAPPING] == own
    said = desk(
        Given({**FILES, MAPPING: own}), Draft().with_source(SourceMapping("x.csv", "leave"))
    )
    assert said.as_read(said.mapping([]))[MAPPING] != own


def test_a_file_brought_in_takes_the_place_of_the_one_of_its_name() -> None:
    assert together({"Jobs.csv": b"1"}, {"JOBS.csv": b"2", "b.csv": b"3"}) == {
        "Jobs.csv": b"2",
        "b.csv": b"3",
    }


def test_a_decision_is_taken_back_and_made_again() -> None:
    one = Decision("name", found="Qillback", read_as="Quillback", by="RS")
    saved = intake.with_decisions(dict(FILES), Decisions((one,)))
    assert list(desk(Given(saved), Draft()).decisions) == [one]
    back = Draft().without_decision(one)
    assert not len(desk(Given(saved), back).decisions)
    assert len(desk(Given(saved), back.with_decision(one)).decisions) == 1


def test_the_archive_is_the_same_each_time() -> None:
    made = packed({"mapping.toml": b"a", "decisions.toml": b"b"})
    assert made == packed({"decisions.toml": b"b", "mapping.toml": b"a"})
    with zipfile.ZipFile(io.BytesIO(made)) as archive:
        assert archive.namelist() == ["decisions.toml", "mapping.toml"]


def test_a_field_belongs_to_one_column_and_a_column_may_have_several() -> None:
    source = source_of(FILES, "jobs")
    changed = with_fields(source, "Remarks", ["note", "kind", "action"])
    assert changed.columns["kind"] == changed.columns["action"] == "Remarks"
    assert "Part" not in changed.columns.values()
    assert changed.headers == source.headers


def test_a_fixed_text_stands_in_for_a_column() -> None:
    source = source_of(FILES, "jobs")
    changed = with_fixed(source, "kind", " bellows ")
    assert changed.fixed == {"kind": "bellows"}
    assert "kind" not in changed.columns


def test_another_shape_is_proposed_anew_and_back_again() -> None:
    source = source_of(FILES, "jobs")
    assert in_shape(source, "leave").shape == "leave"
    hours = in_shape(source, "hours")
    assert hours.shape == "hours"
    assert hours.columns["boat"] == "Yacht"
    assert in_shape(source, "events") == source.mapping


def test_words_not_sure_come_first_and_are_settled_by_saying_so() -> None:
    content = jobs().replace(b"by age", b"cracked").replace(b"fitted", b"xq9")
    source = source_of({"jobs_2025.csv": content}, "jobs")
    by_name = {field.name: field for field in word_fields(source)}
    rows = word_rows(source, by_name["reason"])
    assert [row.use.certain for row in rows] == sorted(row.use.certain for row in rows)
    assert rows[0].use.text == "cracked"
    assert rows[0].to_look_at
    taken = suggested(source)
    assert taken.words["reason"] == {"cracked": rows[0].use.read_as}
    assert "action" not in taken.words, "nothing is guessed of xq9"
    assert with_words(source, "reason", {"cracked": None}).words == {}


def test_doubts_go_when_they_are_settled() -> None:
    content = jobs().replace(b"by age", b"cracked")
    source = source_of({"jobs_2025.csv": content}, "jobs")
    assert source.to_look_at == 1
    said = Source(with_words(source, "reason", {"cracked": "failed"}), source.exports, False, False)
    assert said.to_look_at == 0
    assert [row.said for row in said.unsure["reason"]] == ["failed"], "it can be taken back"


def test_the_order_of_day_and_month_is_asked_until_it_is_said() -> None:
    content = b"Date,Yacht,Part,Work done\n03/04/2019,Quillback,Bellows,fitted\n" * 2
    source = source_of({"jobs.csv": content}, "jobs")
    assert any("day-month or month-day" in one for one in source.doubts())
    said = Source(with_order(source, "day"), source.exports, False, False)
    assert not said.doubts()


def test_a_row_is_recognised_as_it_stands_after_a_cell_was_corrected() -> None:
    fleet = fleet_of(FILES)
    export = next(one for one in fleet.records.exports if one.place == "jobs_2025.csv")
    row, cells = export.rows[3]
    first = asking.of_row("cell", fleet, "jobs_2025.csv", row)
    assert first is not None
    decided = asking.with_cell(first, "Remarks", "seen again")
    files = intake.with_mapping(FILES, intake.look_at(FILES).proposed())
    again = job.open_fleet(intake.with_decisions(files, Decisions((decided,))))
    now = next(one for one in again.records.exports if one.place == "jobs_2025.csv")
    assert dict(now.rows)[row] != cells
    found = intake.row_as_it_stands(again, "jobs_2025.csv", row)
    assert found is not None
    assert list(found[1]) == list(cells)
    second = asking.of_row("cell", again, "jobs_2025.csv", row)
    assert second is not None
    assert second.row_mark == first.row_mark


def test_a_misspelt_name_is_asked_about_with_the_boat_most_like_it() -> None:
    fleet = fleet_of(FILES)
    groups = intake.attention_of(fleet)
    findings = intake.findings_in(fleet, "boat_name_unknown")
    assert (groups["group"] == "boat_name_unknown").sum() == 1
    (question,) = asking.names(findings, asking.boats_of(fleet))
    assert (question.found, question.suggested, question.rows) == ("Qillback", "Quillback", 1)


def test_a_finding_kept_as_it_stands_is_said_with_its_person() -> None:
    fleet = fleet_of(FILES)
    groups = intake.attention_of(fleet)
    sort = next(one for one in groups["sort"] if one == "renewed_by_age")
    group = groups.loc[groups["sort"] == sort, "group"].iloc[0]
    findings = intake.findings_in(fleet, group)
    assert asking.kept(sort, findings, fleet) == ""
    keeping = asking.signed(
        asking.keeping(sort, findings, fleet), "RS", "our rule", date(2026, 11, 2)
    )
    files = intake.with_mapping(FILES, intake.look_at(FILES).proposed())
    again = job.open_fleet(intake.with_decisions(files, Decisions(tuple(keeping))))
    told = asking.kept(sort, intake.findings_in(again, group), again)
    assert told == "decided by RS on 2026-11-02: our rule"


def test_a_decision_about_a_row_is_about_all_that_hold_its_cells() -> None:
    twice = b"7001,01/02/2021,Quillback,Bellows,renewed,leaking,again\r\n"
    content = jobs(misspelt=False) + twice + twice.replace(b",again", b" , again ")
    fleet = fleet_of({"jobs_2025.csv": content, "yachts.csv": yachts()})
    rows = content.count(b"\r\n")
    for row, alike in ((2, 1), (rows, 2), (rows - 1, 2)):
        decision = asking.of_row("leave_out", fleet, "jobs_2025.csv", row)
        assert decision is not None
        assert asking.rows_alike(fleet, decision, "jobs_2025.csv", row) == alike


def test_decisions_in_another_encoding_are_told_and_not_written_over() -> None:
    there = desk(Given({**FILES, "decisions.toml": "# Zoë\n".encode("latin-1")}), Draft())
    assert not there.decisions.complete
    (finding,) = there.told
    assert "UTF-8" in finding.found


def test_a_name_stays_in_the_word_that_is_kept_and_out_of_what_is_shown() -> None:
    content = jobs(misspelt=False).replace(b"by age", b"zonked by Tamsin Orrery")
    source = source_of({"jobs_2025.csv": content}, "jobs")
    field = next(one for one in word_fields(source) if one.name == "reason")
    rows = word_rows(source, field)
    table = tables.word_table(rows, "-", tables.people_in_source(source))
    assert "zonked by (name)" in set(table["Text"])
    assert "zonked by Tamsin Orrery" in {row.use.text for row in rows}
    kept = Decision("word", found="zonked by Tamsin Orrery", read_as="failed", field="reason")
    shown = tables.decisions([kept], Mask())
    assert "Orrery" not in shown.to_csv()
    assert "(name)" in shown.to_csv()
