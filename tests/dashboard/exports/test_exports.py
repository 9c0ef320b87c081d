"""The page of exports: from files nobody has said anything of to accepted records."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Sequence
from pathlib import Path

import pandas as pd
import pytest
from streamlit.testing.v1 import AppTest

from analytics import cli, intake, job
from analytics.papers.cautions import NOT_AN_INSPECTION
from tests.analytics.records.exports import xlsx
from tests.dashboard.foreign_fleet import BOATS, HEADER, MISSPELT, as_csv, jobs, yachts
from tests.dashboard.pages import opened, said, turned

SOURCE = "jobs_*.csv\x1f"


@pytest.fixture
def folder(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    """An empty fleet folder, named in the sidebar."""
    place = tmp_path / "fleet"
    place.mkdir()
    monkeypatch.setenv("TIDEWORN_FOLDER", str(place))
    return place


def brought(at: AppTest, *files: tuple[str, bytes], turn: int = 0) -> AppTest:
    """The page after these files were dropped on it."""
    uploaded = [(name, content, "text/csv") for name, content in files]
    return at.file_uploader(key=f"exports upload {turn}").set_value(uploaded).run()


def accepted(at: AppTest, by: str = "RS") -> AppTest:
    """The page after somebody accepted what is on it."""
    at = at.text_input(key="exports accepted by").set_value(by).run()
    return at.button(key="exports accept").click().run()


def sound(at: AppTest) -> AppTest:
    """The same page; it neither broke nor refused."""
    assert not at.exception
    assert not [one.value for one in at.error]
    return at


def sentence_of_check(folder: Path, capsys: pytest.CaptureFixture[str]) -> str:
    """The reconciliation as `tideworn check` says it."""
    capsys.readouterr()
    assert cli.main(["check", str(folder)]) == 0
    told = re.sub(r"\s+", " ", capsys.readouterr().out)
    found = re.search(r"[\d,]+ rows of .+? read = .+? ignored(?:; they make [\d,]+ lives)?", told)
    assert found is not None
    return found[0]


def shown(at: AppTest) -> str:
    """What the page says, without the marks that keep texts from being markup."""
    return re.sub(r"\\([\\`*_\[\]<>$!~|])", r"\1", said(at)).replace("\u2060", "")


def test_a_fresh_folder_is_mapped_accepted_and_answers(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    at = opened("season")
    assert at.error
    at = sound(turned(at, "exports"))
    at = sound(brought(at, ("jobs_2025.csv", jobs(misspelt=False))))
    assert at.selectbox(key=f"exports shape {SOURCE}").value == "events"
    assert at.selectbox(key=f"exports column {SOURCE} Yacht").value == "boat"
    fleet = job.open_fleet(
        intake.with_mapping(
            {"jobs_2025.csv": jobs(misspelt=False)},
            intake.look_at({"jobs_2025.csv": jobs(misspelt=False)}).proposed(),
        )
    )
    assert fleet.reconciliation() in shown(at)
    assert not list(folder.iterdir()), "nothing is written before it is accepted"
    assert at.button(key="exports accept").disabled
    at = sound(accepted(at))
    assert any("Accepted by RS" in one.value for one in at.success)
    assert any("These exports are those accepted on" in one.value for one in at.markdown)
    assert "exports accept" not in {one.key for one in at.button}, "nothing is left to accept"
    assert sorted(path.name for path in folder.iterdir()) == [
        "accepted",
        "jobs_2025.csv",
        "mapping.toml",
    ]
    sentence = sentence_of_check(folder, capsys)
    assert sentence in shown(at)
    assert sentence == fleet.reconciliation()
    at = sound(turned(at, "season"))
    assert any("expected" in one.value for one in at.subheader)
    assert not any("not accepted yet" in one.value for one in at.info)


def test_files_of_the_folder_need_no_upload(folder: Path) -> None:
    (folder / "jobs_2025.csv").write_bytes(jobs())
    (folder / "yachts.csv").write_bytes(yachts())
    at = opened("season")
    assert at.error
    assert "waits to be mapped" in said(at)
    at = sound(turned(at, "exports"))
    files = at.dataframe[0].value
    assert dict(zip(files["File"], files["Taken for"], strict=True)) == {
        "jobs_2025.csv": "a row is a job or event: something fitted, failed, removed or looked at",
        "yachts.csv": "a row is a boat",
    }
    assert set(files["Why"]) == {"proposed"}
    at = sound(accepted(at))
    assert set(at.dataframe[0].value["Why"]) == {"as saved"}
    sound(turned(at, "season"))


def test_a_broken_file_is_told_and_taken_out_the_others_go_on(folder: Path) -> None:
    """It may be any of the exports: nothing is read without it unless a person says so."""
    at = opened("exports")
    at = brought(
        at,
        ("jobs_2025.csv", jobs()),
        ("fleet_list.xlsx", b"PK\x03\x04 no workbook"),
        ("empty.csv", b""),
    )
    assert not at.exception
    assert "a broken file" in shown(at)
    assert "exports accept" not in {one.key for one in at.button}
    files = at.dataframe[0].value.set_index("File")
    assert files.loc["fleet_list.xlsx", "Taken for"] == "cannot be opened"
    assert files.loc["fleet_list.xlsx", "Why"]
    at = sound(at.button(key="exports take out fleet_list.xlsx").click().run())
    assert "lives" in shown(at)


def test_a_file_of_no_use_is_left_alone_and_nothing_breaks(folder: Path) -> None:
    at = opened("exports")
    at = brought(at, ("menu.csv", b"Dish,Price\nSoup,4\n"))
    assert not at.exception
    assert at.error, "no parts: it says what stands in the way"
    assert "accept" not in {one.key for one in at.button}
    assert "left alone" in at.dataframe[0].value["Taken for"].tolist()


@pytest.mark.parametrize(
    "name", ["../../jobs_2025.csv", "C:\\exports\\jobs_2025.csv", "/etc/jobs_2025.csv"]
)
def test_a_path_in_a_name_leads_nowhere(folder: Path, name: str) -> None:
    at = sound(brought(opened("exports"), (name, jobs())))
    at = sound(accepted(at))
    assert (folder / "jobs_2025.csv").read_bytes() == jobs()
    everywhere = {path.name for path in folder.parent.rglob("*.csv")}
    assert everywhere == {"jobs_2025.csv"}
    assert list(folder.parent.iterdir()) == [folder]


def test_names_that_no_file_here_may_have_are_refused(folder: Path) -> None:
    at = brought(opened("exports"), ("C:evil.csv", b"a\n"), (".jobs.csv", b"a\n"))
    assert not at.exception
    (warning,) = at.warning
    assert warning.value.count("its name has marks") == 2
    assert not list(folder.iterdir())


def test_another_file_of_that_name_is_not_written_over_unasked(folder: Path) -> None:
    (folder / "jobs_2025.csv").write_bytes(jobs(more=2))
    at = sound(brought(opened("exports"), ("JOBS_2025.csv", jobs())))
    at = at.text_input(key="exports accepted by").set_value("RS").run()
    assert at.button(key="exports accept").disabled
    assert "Write over jobs_2025.csv" in re.sub(r"\\", "", at.checkbox(key="exports replace").label)
    at = at.checkbox(key="exports replace").check().run()
    at = sound(at.button(key="exports accept").click().run())
    assert (folder / "jobs_2025.csv").read_bytes() == jobs()
    assert not (folder / "JOBS_2025.csv").exists()


def test_a_misspelt_boat_is_decided_on_and_replayed(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    at = sound(brought(opened("exports"), ("jobs_2025.csv", jobs()), ("yachts.csv", yachts())))
    before = at.dataframe[0]
    assert before is not None
    group = next(option for option in groups(at) if option.startswith("boat_name_unknown"))
    at = sound(at.selectbox(key="exports group").set_value(group).run())
    assert at.selectbox(key=f"exports name {MISSPELT}").value == "Quillback"
    assert at.button(key="exports decide").disabled, "nobody has said who decides"
    at = at.text_input(key="exports who").set_value("RS").run()
    at = at.text_input(key="exports why").set_value("a slip").run()
    at = sound(at.button(key="exports decide").click().run())
    assert not [option for option in groups(at) if option.startswith("boat_name_unknown")]
    at = sound(accepted(at))
    (decision,) = tomllib.loads((folder / "decisions.toml").read_text())["decision"]
    assert decision["what"] == "name"
    assert (decision["found"], decision["read_as"]) == (MISSPELT, "Quillback")
    assert (decision["by"], decision["why"]) == ("RS", "a slip")
    assert sentence_of_check(folder, capsys) in shown(at)
    fleet = job.open_fleet(intake.of_folder(folder))
    assert MISSPELT not in set(fleet.lives.table["boat"])
    assert fleet.records.rejected.empty
    # Taken back, it is asked again.
    at = sound(at.selectbox(key="exports undo").set_value(0).run())
    at = sound(at.button(key="exports undoing").click().run())
    assert [option for option in groups(at) if option.startswith("boat_name_unknown")]


def groups(at: AppTest) -> Sequence[str]:
    """What can be looked into: the names of the groups, by what they say."""
    looked = at.dataframe
    table = next(one.value for one in looked if "It does" in one.value)
    by_title = {
        "Boats' names that are not in the list": "boat_name_unknown",
        "Cells that cannot be read": "cell_unreadable",
        "Codes and words that mean nothing yet": "words_unknown",
    }
    return [
        key
        for says in table["What was found"]
        for title, key in by_title.items()
        if says.startswith(title)
    ]


def test_a_cell_is_corrected_and_a_row_left_out(folder: Path) -> None:
    content = jobs(misspelt=False) + b"7001,31/31/2020,Quillback,Bellows,renewed,leaking,\r\n"
    content += b"7002,32/01/2021,Stonechat,Bellows,renewed,leaking,\r\n"
    at = sound(brought(opened("exports"), ("jobs_2025.csv", content)))
    at = sound(at.text_input(key="exports who").set_value("RS").run())
    for number in ("31/31/2020", "32/01/2021"):
        assert number in said(at)
    rows = content.count(b"\r\n")
    at = at.selectbox(key="exports group").set_value("cell_unreadable").run()
    at = at.radio(key="exports way cell_unreadable").set_value("cell").run()
    at = at.selectbox(key="exports row").set_value(("jobs_2025.csv", rows - 1, "Date")).run()
    cell = f"exports text of jobs_2025.csv {rows - 1} Date"
    assert at.text_input(key=cell).value == "31/31/2020"
    at = sound(at.text_input(key=cell).set_value("31/12/2020").run())
    at = sound(at.button(key="exports decide").click().run())
    at = at.selectbox(key="exports group").set_value("cell_unreadable").run()
    at = at.radio(key="exports way cell_unreadable").set_value("leave_out").run()
    at = sound(at.button(key="exports decide").click().run())
    assert "cell_unreadable" not in groups(at)
    at = sound(accepted(at))
    fleet = job.open_fleet(intake.of_folder(folder))
    assert fleet.records.rejected.empty
    assert {one.what for one in fleet.records.decisions} == {"cell", "leave_out"}


NAMED = (
    ("Job no", "Date", "Yacht", "Part", "Work done", "Reason", "Fitter", "Remarks"),
    ("1", "01/02/2015", "Quillback", "Bellows", "fitted", "", "Tamsin Orrery", ""),
    ("2", "01/02/2018", "Quillback", "Bellows", "renewed", "zonked by Tamsin Orrery", "sam", ""),
    ("3", "01/02/2019", "Stonechat", "Bellows", "fitted", "", "Tamsin Orrery", ""),
    ("4", "31/31/2020", "Stonechat", "Bellows", "renewed", "leaking", "Sam", "T. Orrery saw"),
    ("4", "31/31/2020", "Stonechat", "Bellows", "renewed", "leaking", "Sam", "T. Orrery saw"),
)
"""A list of jobs that names people, one row of it twice."""


def test_the_editor_of_words_keeps_the_text_as_it_stands(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is shown is masked; what is saved is the text that stands in the file."""

    def edited(table: pd.DataFrame, **_: object) -> pd.DataFrame:
        at = table["Text"] == "zonked by (name)"
        return table.assign(**{"Read as": table["Read as"].mask(at, "failed")})

    monkeypatch.setattr("streamlit.data_editor", edited)
    at = sound(brought(opened("exports"), ("jobs_2025.csv", as_csv(list(NAMED)))))
    at = at.selectbox(key=f"exports words of {SOURCE}").set_value("reason").run()
    at = sound(at.button(key=f"exports save words {SOURCE}").click().run())
    accepted(at)
    (source,) = tomllib.loads((folder / "mapping.toml").read_text())["sources"]
    assert source["words"] == {"reason": {"zonked by Tamsin Orrery": "failed"}}


def test_nobody_is_named_on_the_page_and_two_rows_alike_are_told(folder: Path) -> None:
    at = sound(brought(opened("exports"), ("jobs_2025.csv", as_csv(list(NAMED)))))
    table = next(one.value for one in at.dataframe if "It does" in one.value)
    assert list(table["What was found"]) == at.selectbox(key="exports group").options
    at = at.selectbox(key="exports group").set_value("cell_unreadable").run()
    at = at.text_input(key="exports who").set_value("RS").run()
    at = at.radio(key="exports way cell_unreadable").set_value("leave_out").run()
    assert any("All 2 rows with these cells are left out" in one.value for one in at.warning)
    cells = next(one.value for one in at.dataframe if "Stands there" in one.value)
    shown_cells = dict(zip(cells["Column"], cells["Stands there"], strict=True))
    assert (shown_cells["Fitter"], shown_cells["Remarks"]) == ("(name)", "(name) saw")
    nobody_named(at)
    for group in ("words_unknown bellows [noted]", "person_named"):
        at = sound(at.selectbox(key="exports group").set_value(group).run())
        rows = next(one.value for one in at.dataframe if "The row as it stands" in one.value)
        assert "(name)" in rows.to_csv()
        nobody_named(at)
    at = at.selectbox(key="exports group").set_value("cell_unreadable").run()
    at = at.radio(key="exports way cell_unreadable").set_value("leave_out").run()
    at = sound(at.button(key="exports decide").click().run())
    nobody_named(at)
    accepted(at)
    (decision,) = tomllib.loads((folder / "decisions.toml").read_text())["decision"]
    assert ["Remarks", "T. Orrery saw"] in decision["cells"]


def test_a_cell_with_a_name_is_written_anew_or_left(folder: Path) -> None:
    at = sound(brought(opened("exports"), ("jobs_2025.csv", as_csv(list(NAMED)))))
    at = at.selectbox(key="exports group").set_value("cell_unreadable").run()
    at = at.text_input(key="exports who").set_value("RS").run()
    at = at.radio(key="exports way cell_unreadable").set_value("cell").run()
    place = at.selectbox(key="exports row").value
    at = at.selectbox(key=f"exports cell {place[0]} {place[1]}").set_value("Remarks").run()
    box = f"exports text of {place[0]} {place[1]} Remarks"
    assert at.text_input(key=box).value == "(name) saw"
    assert at.button(key="exports decide").disabled
    at = at.text_input(key=box).set_value("(name) saw it").run()
    assert at.button(key="exports decide").disabled, "nobody is called (name)"
    at = at.text_input(key=box).set_value("seen").run()
    assert not at.button(key="exports decide").disabled


def nobody_named(at: AppTest) -> None:
    """No person of `NAMED` stands anywhere on the page."""
    labels = [one.label for kind in (at.selectbox, at.button, at.text_input) for one in kind]
    options = [option for one in at.selectbox for option in one.options]
    told = "\n".join([said(at), *labels, *options])
    assert not [name for name in ("Orrery", "Tamsin", "Sam,", "| sam", "| Sam") if name in told]


def test_a_column_is_read_as_something_else_and_the_preview_follows(folder: Path) -> None:
    at = sound(brought(opened("exports"), ("jobs_2025.csv", jobs())))
    before = shown(at)
    at = at.selectbox(key=f"exports column {SOURCE} Reason").set_value("").run()
    assert not at.exception
    after = shown(at)
    assert "removed, reason not known" in after
    assert "removed, reason not known" not in before
    # The field goes from one column to another, and is never in two.
    at = at.selectbox(key=f"exports column {SOURCE} Remarks").set_value("reason").run()
    at = at.selectbox(key=f"exports column {SOURCE} Reason").set_value("reason").run()
    assert at.selectbox(key=f"exports column {SOURCE} Remarks").value == ""
    assert shown(at).count("removed, reason not known") == 0


def test_a_column_may_say_more_than_one_thing(folder: Path) -> None:
    rows = [line.split(",") for line in jobs(misspelt=False).decode().splitlines()]
    one_text = [
        ("Date", "Yacht", "Job"),
        *((r[1], r[2], f"{r[3]} {r[4]} {r[5]}") for r in rows[1:]),
    ]
    at = brought(opened("exports"), ("jobs_2025.csv", as_csv(one_text)))
    at = at.selectbox(key=f"exports shape {SOURCE}").set_value("events").run()
    assert not at.exception
    for name in ("kind", "action", "reason"):
        columns = {
            one.value
            for one in at.selectbox
            if str(one.key).startswith(f"exports column {SOURCE} Job")
        }
        if name not in columns:
            at = at.selectbox(key=f"exports more {SOURCE}").set_value("Job").run()
            at = at.selectbox(key=f"exports more of {SOURCE}").set_value(name).run()
    fleet = job.open_fleet(intake.with_mapping({"jobs_2025.csv": jobs(misspelt=False)},
        intake.look_at({"jobs_2025.csv": jobs(misspelt=False)}).proposed()))  # fmt: skip
    assert f"they make {len(fleet.lives.table)} lives" in shown(sound(at))
    at = at.selectbox(key=f"exports column {SOURCE} Job 1").set_value("").run()
    assert not at.exception


def test_leaving_the_page_loses_nothing(folder: Path) -> None:
    at = sound(brought(opened("exports"), ("jobs_2025.csv", jobs()), ("yachts.csv", yachts())))
    at = at.selectbox(key=f"exports column {SOURCE} Remarks").set_value("").run()
    at = turned(at, "season")
    assert at.error, "nothing is accepted yet"
    at = sound(turned(at, "exports"))
    assert at.selectbox(key=f"exports column {SOURCE} Remarks").value == ""
    assert set(at.dataframe[0].value["File"]) == {"jobs_2025.csv", "yachts.csv"}


def test_other_pages_say_that_a_draft_is_not_in_their_numbers(folder: Path) -> None:
    at = sound(accepted(sound(brought(opened("exports"), ("jobs_2025.csv", jobs())))))
    at = sound(brought(at, ("yachts.csv", yachts()), turn=1))
    at = sound(turned(at, "season"))
    assert any("not accepted yet" in one.value for one in at.info)


def test_next_month_is_told_row_by_row(folder: Path) -> None:
    at = sound(accepted(sound(brought(opened("exports"), ("jobs_2025.csv", jobs())))))
    (folder / "jobs_2025.csv").unlink()
    # The new export has another date in its name, and is read as the one before.
    at = sound(brought(at.run(), ("jobs_2026.csv", jobs(more=3)), turn=1))
    assert at.dataframe[0].value.set_index("File").loc["jobs_2026.csv", "Why"] == "as saved"
    assert "rows the same, 3 new, 0 changed, 0 gone" in shown(at)
    new = next(one.value for one in at.dataframe if "The row" in one.value)
    assert len(new) == 3
    at = sound(accepted(at))
    assert len(tomllib.loads((folder / "accepted" / "log.toml").read_text())["accepted"]) == 2


def test_a_header_that_changed_is_told_and_taken(folder: Path) -> None:
    at = sound(accepted(sound(brought(opened("exports"), ("jobs_2025.csv", jobs())))))
    (folder / "jobs_2025.csv").unlink()
    renamed = jobs(more=1).replace(b"Work done,Reason", b"Works done,Reason")
    at = brought(at.run(), ("jobs_2026.csv", renamed), turn=1)
    assert not at.exception
    assert any("Works done" in one.value and "gone" in one.value for one in at.warning)
    assert any("Headers have changed" in one.value for one in at.error)
    assert all("jobs_2025" not in option for option in at.selectbox(key="exports source").options)
    at = sound(at.button(key=f"exports headers {SOURCE}").click().run())
    assert at.selectbox(key=f"exports column {SOURCE} Works done").value == "action"
    sound(accepted(at))


def test_words_that_are_not_sure_are_said_here(folder: Path) -> None:
    content = jobs().replace(b"by age", b"code Z9")
    at = sound(brought(opened("exports"), ("jobs_2025.csv", content)))
    key = f"exports word {SOURCE} reason code Z9"
    assert at.selectbox(key=key).value not in ("failed", "replaced_sound")
    at = sound(at.selectbox(key=key).set_value("replaced_sound").run())
    assert "replaced while sound" in shown(at)
    at = sound(accepted(at))
    (source,) = tomllib.loads((folder / "mapping.toml").read_text())["sources"]
    assert source["words"] == {"reason": {"code Z9": "replaced_sound"}}


def test_a_sheet_of_a_workbook_is_mapped_on_its_own(folder: Path) -> None:
    rows = [line.split(",") for line in jobs(misspelt=False).decode().splitlines()]
    book = xlsx({"Work 2025": rows, "Menu": [["Dish", "Price"], ["Soup", 4.0]]})
    at = sound(brought(opened("exports"), ("office.xlsx", book)))
    files = at.dataframe[0].value.set_index("Sheet")["Taken for"]
    assert files["Menu"] == "left alone"
    assert files["Work 2025"].startswith("a row is a job")
    sound(turned(sound(accepted(at)), "season"))


def test_without_a_folder_the_two_files_are_handed_out(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("TIDEWORN_FOLDER", raising=False)
    at = sound(brought(opened("exports"), ("jobs_2025.csv", jobs())))
    assert any("no fleet folder" in one.value for one in at.info)
    assert [one for one in at.get("download_button") if "ZIP" in one.proto.label]
    assert "exports accept" not in {one.key for one in at.button}


def test_the_sample_needs_no_mapping(
    monkeypatch: pytest.MonkeyPatch, sample_folder: Path, sample: job.Fleet
) -> None:
    monkeypatch.setenv("TIDEWORN_FOLDER", str(sample_folder))
    at = sound(opened("exports"))
    assert sample.reconciliation() in shown(at)
    assert sample.records.settings.note in said(at)
    assert NOT_AN_INSPECTION in [one.value for one in at.caption]


@pytest.mark.parametrize("name", ["mapping.toml", "decisions.toml"])
def test_a_broken_file_of_ours_is_told_and_not_written_over(folder: Path, name: str) -> None:
    (folder / "jobs_2025.csv").write_bytes(jobs())
    (folder / name).write_text("this is no TOML [")
    at = opened("exports")
    assert not at.exception
    assert name in shown(at)
    # Nothing can be added to a file that would lose what it holds.
    assert "exports decide" not in {one.key for one in at.button}
    assert (folder / name).read_text() == "this is no TOML ["


def test_markup_in_headers_cells_and_names_stays_text(folder: Path) -> None:
    mark = "![x](http://other.invalid/x.png) **$a$** <b>"
    rows = [line.split(",") for line in jobs(misspelt=False).decode().splitlines()]
    rows = [[*row, mark] for row in rows]
    rows[0][-1] = mark
    rows[1][2] = mark
    rows[2][5] = "# big\n\n# bigger\n1. one"
    rows[3][5] = "1. one"
    content = as_csv([tuple(row) for row in rows])
    at = sound(
        brought(opened("exports"), ("jobs <b>![x](y).csv", content), ("yachts.csv", yachts()))
    )
    at = at.selectbox(key="exports group").set_value("boat_name_unknown").run()
    every = [*at.markdown, *at.caption, *at.warning, *at.info, *at.subheader, *at.success]
    labels = [one.label for kind in (at.selectbox, at.button, at.text_input)
              for one in kind]  # fmt: skip
    assert labels
    for text in [*(one.value for one in every), *labels]:
        assert "![x]" not in text
        assert "$a$" not in text
        assert "\n# bigger" not in text
    assert not [text for text in labels if text.startswith(("#", "1."))]


def test_the_foreign_fleet_is_foreign() -> None:
    assert len(HEADER) == len(jobs().splitlines()[0].split(b","))
    assert len(intake.look_at({"jobs.csv": jobs(), "yachts.csv": yachts()}).proposals) == 2
    assert MISSPELT not in BOATS
