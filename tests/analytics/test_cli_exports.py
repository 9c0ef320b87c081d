"""The verbs about foreign exports: how they are read, decided on, accepted, and what leaves.

Every boat, base and person is invented.
"""

from __future__ import annotations

import json
from pathlib import Path

import pandas as pd
import pytest
from python_calamine import CalamineWorkbook

from tests.analytics.records.mapped_folder import as_csv, cells
from tests.analytics.test_cli import run

BOATS = """Vessel|Built|Home base|Engines
Penny Wren|2012|North Quay|1
Quiet Otter|2013|North Quay|1"""
PARTS = """Vessel|Component|Date fitted|Date removed|Reason removed|Fitted by|Remarks
Penny Wren|shaft bellows|13/05/2016|14/06/2019|leaking|Tamsin Orrery|T. Orrery, +44 1632 960123
Penny Wren|shaft bellows|14/06/2019|||Tamsin Orrery|
Quiet Otter|lip seal|15/06/2017|16/06/2020|zonked by Tamsin Orrery|Orrery, Tamsin|
Quiet Otter|lip seal|16/06/2020|||Wim Tarn|
Quet Otter|face seal|16/06/2020|||Wim Tarn|by Wim Tarn of North Quay"""
NAMES = ("Orrery", "Tamsin", "Tarn", "960123")


@pytest.fixture
def fleet(tmp_path: Path) -> Path:
    folder = tmp_path / "fleet"
    folder.mkdir()
    (folder / "vessels.csv").write_bytes(as_csv(cells(BOATS)))
    (folder / "components 2024.csv").write_bytes(as_csv(cells(PARTS)))
    (folder / "fleet.toml").write_text("as_of = 2024-12-31\n")
    return folder


def nobody_named(text: str) -> None:
    assert [name for name in NAMES if name.casefold() in text.casefold()] == []


def test_map_proposes_and_saves_only_when_asked(
    capsys: pytest.CaptureFixture[str], fleet: Path
) -> None:
    code, said, _ = run(capsys, "map", fleet)
    assert code == 0
    assert "Nothing was saved" in said
    assert not (fleet / "mapping.toml").exists()
    nobody_named(said)
    code, document, _ = run(capsys, "map", fleet, "--save", "--json")
    answer = json.loads(document)
    assert code == 0
    assert answer["saved"] is True
    assert {one["shape"] for one in answer["sources"]} == {"boats", "lives"}
    assert answer["preview"]["lives"] == 4
    nobody_named(document)
    assert (fleet / "mapping.toml").exists()
    code, said, _ = run(capsys, "map", fleet)
    assert (code, "No file waits to be mapped." in said) == (0, True)


def test_an_unmapped_folder_says_what_to_do(
    capsys: pytest.CaptureFixture[str], fleet: Path
) -> None:
    code, document, said = run(capsys, "check", fleet, "--json")
    assert code == 1
    assert "tideworn map" in said
    assert json.loads(document)["error"]


def test_a_decision_is_kept_and_replayed(capsys: pytest.CaptureFixture[str], fleet: Path) -> None:
    run(capsys, "map", fleet, "--save")
    _, document, _ = run(capsys, "check", fleet, "--json")
    assert len(json.loads(document)["rejected"]) == 1
    code, said, _ = run(capsys, "decide", fleet, "Quet Otter", "Quiet Otter", "--by", "K. Vale")
    assert code == 0
    assert "1 decision" in said
    code, document, _ = run(
        capsys, "decide", fleet, "zonked by Tamsin Orrery", "failed", "--field", "reason", "--json"
    )
    assert (code, json.loads(document)["decisions"]) == (0, 2)
    _, document, _ = run(capsys, "check", fleet, "--json")
    answer = json.loads(document)
    assert answer["rejected"] == []
    counts = {one["file"]: one["used"] for one in answer["counts"]}
    assert counts["components 2024.csv"] == 5
    assert run(capsys, "decide", fleet / "nowhere", "a", "b")[0] == 1
    (fleet / "decisions.toml").write_text("no = [")
    code, _, said = run(capsys, "decide", fleet, "a", "b")
    assert (code, (fleet / "decisions.toml").read_text()) == (1, "no = [")


def test_what_was_accepted_is_compared_with_what_comes_next(
    capsys: pytest.CaptureFixture[str], fleet: Path
) -> None:
    run(capsys, "map", fleet, "--save")
    code, document, _ = run(capsys, "accept", fleet, "--by", "K. Vale", "--json")
    assert code == 0
    assert json.loads(document)["accepted_by"] == "K. Vale"
    code, said, _ = run(capsys, "check", fleet)
    assert "These exports are those accepted on" in said
    changed = PARTS.replace("leaking", "by age").replace("Quet", "Quiet")
    (fleet / "components 2024.csv").write_bytes(as_csv(cells(changed)))
    code, document, _ = run(capsys, "check", fleet, "--json")
    changes = json.loads(document)["changes"]
    assert code == 0
    assert changes["changed"] + changes["new"] == 2
    _, said, _ = run(capsys, "check", fleet)
    nobody_named(said)
    assert run(capsys, "accept", fleet, "--by", " ")[0] == 1


def test_nobody_is_named_in_what_leaves(
    capsys: pytest.CaptureFixture[str], fleet: Path, tmp_path: Path
) -> None:
    run(capsys, "map", fleet, "--save")
    out = tmp_path / "out"
    code, said, _ = run(capsys, "check", fleet, "--out", out)
    assert code == 0
    nobody_named(said)
    _, document, _ = run(capsys, "check", fleet, "--json")
    nobody_named(document)
    for name in ("findings", "rejected", "lives", "attention"):
        nobody_named((out / f"{name}.csv").read_text(encoding="utf-8"))
    rejected = (out / "rejected.csv").read_text(encoding="utf-8")
    assert "(name)" in rejected
    assert "North Quay" in rejected
    # The user's own rows in the user's own folder stay as they are.
    run(capsys, "accept", fleet, "--by", "K. Vale")
    kept = pd.read_csv(fleet / "accepted" / "rows.csv.gz")
    assert kept["cells"].str.contains("Orrery").any()


def test_check_writes_a_workbook_of_the_same_tables(
    capsys: pytest.CaptureFixture[str], fleet: Path, tmp_path: Path
) -> None:
    run(capsys, "map", fleet, "--save")
    run(capsys, "check", fleet, "--out", tmp_path)
    book = CalamineWorkbook.from_path(tmp_path / "check.xlsx")
    assert book.sheet_names == ["findings", "rejected", "lives", "attention"]
    for name in book.sheet_names:
        sheet = book.get_sheet_by_name(name).to_python()
        table = pd.read_csv(tmp_path / f"{name}.csv")
        assert sheet[0] == list(table.columns)
        assert len(sheet) - 1 == len(table)
        nobody_named(str(sheet))


def test_nobody_is_named_where_the_folder_cannot_be_used(
    capsys: pytest.CaptureFixture[str], fleet: Path
) -> None:
    """No row has a date that can be read, and a person stands in its place."""
    head, *rows = [line.split("|") for line in PARTS.splitlines()]
    rows = [[*row[:2], "no day of Tamsin Orrery", "", *row[4:]] for row in rows]
    text = "\n".join("|".join(row) for row in (head, *rows))
    (fleet / "components 2024.csv").write_bytes(as_csv(cells(text)))
    (fleet / "fleet.toml").unlink()
    _, said, _ = run(capsys, "map", fleet)
    assert "cannot be used yet" in said
    nobody_named(said)
    _, document, _ = run(capsys, "map", fleet, "--json")
    assert json.loads(document)["preview"]["error"]
    assert "no day of (name)" in document
    nobody_named(document)


def test_a_side_by_number_is_said_for_one_file(
    capsys: pytest.CaptureFixture[str], fleet: Path
) -> None:
    """A word decided on holds in all files; a number is another side at each base."""
    head, *rows = [line.split("|") for line in PARTS.splitlines()]
    rows = [[*head[:2], "Side", *head[2:]], *([*row[:2], "1", *row[2:]] for row in rows)]
    text = "\n".join("|".join(row) for row in rows)
    (fleet / "components 2024.csv").write_bytes(as_csv(cells(text)))
    boats = BOATS.replace("North Quay|1", "North Quay|2")
    (fleet / "vessels.csv").write_bytes(as_csv(cells(boats)))
    run(capsys, "map", fleet, "--save")
    run(capsys, "check", fleet, "--out", fleet.parent / "out")
    found = pd.read_csv(fleet.parent / "out" / "findings.csv")
    remedies = found.loc[found["sort"] == "side_by_number", "remedy"]
    assert len(remedies)
    for remedy in remedies:
        assert "mapping.toml" in remedy
        assert "section 2" in remedy
        assert "decide" not in remedy
