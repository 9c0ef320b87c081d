"""The command: files of changes in, sentences, one CSV and one document out."""

import json
from pathlib import Path

import pandas as pd
import pytest

from analytics.cli import main
from analytics.what_if.changes import Changes, Factors, Limits
from analytics.what_if.compared import COLUMNS
from analytics.what_if.text import changes_text, link_text


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Three boats with one bellows each."""
    made = tmp_path_factory.mktemp("three")
    (made / "fleet.toml").write_text("as_of = 2024-06-30\nrecords_from = 2005-01-01\n")
    (made / "boats.csv").write_text("boat,lay_up\nA,afloat\nB,afloat\nC,afloat\n")
    (made / "parts.csv").write_text(
        "boat,position,kind,fitted_on,removed_on,reason\nA,single,bellows,2012-02-01,2020-03-01,"
        "failed\nA,single,bellows,2020-03-01,,\nB,single,bellows,2017-05-01,,\n"
        "C,single,bellows,2019-05-01,,\n"
    )
    (made / "prices.csv").write_text("kind,part_no,part_price,labour_hours\nbellows,,100,5\n")
    return made


def test_two_plans_are_told_written_and_printed(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    plans = [
        Changes("At six", 2, limits={"bellows": Limits(6.0)}),
        Changes("Dearer", 2, prices=Factors(2.0)),
    ]
    given = []
    for at, plan in enumerate(plans):
        (tmp_path / f"{at}.toml").write_text(changes_text(plan), encoding="utf-8")
        given += ["--changes", str(tmp_path / f"{at}.toml")]
    assert main(["what-if", str(folder), *given, "--json", "--out", str(tmp_path)]) == 0
    printed = json.loads(capsys.readouterr().out)
    assert [one["name"] for one in printed["plans"]] == ["At six", "Dearer"]
    assert printed["plans"][0]["link"] == link_text(plans[0])
    assert printed["plans"][0]["changed"] == [
        "Bellows renewed at the first lift after 6 years instead of 8."
    ]
    table = pd.read_csv(tmp_path / "what_if.csv", keep_default_na=False)
    assert list(table.columns) == COLUMNS
    assert list(table["plan"].unique()) == ["At six", "Dearer"]
    dearer = table[(table["plan"] == "Dearer") & (table["measure"] == "parts")]
    assert dearer["changed"].tolist() == pytest.approx((2 * dearer["today"]).tolist())
    assert main(["what-if", str(folder), *given[:2]]) == 0
    told = capsys.readouterr().out
    assert "Bellows renewed at the first lift after 6 years instead of 8." in told
    assert "in 90 of 100 futures" in told


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("what_if = 1\n[limits.rudder]\nage = 3\n", "a kind of these records: bellows"),
        ("what_if = 1\nspeed = 3\n", "an entry that Tideworn knows"),
        ("[limits", "a TOML file"),
        (None, "a TOML file with the changes"),
    ],
)
def test_a_wrong_file_is_refused_in_a_sentence(
    folder: Path,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    text: str | None,
    expected: str,
) -> None:
    path = tmp_path / "changes.toml"
    if text is not None:
        path.write_text(text)
    assert main(["what-if", str(folder), "--changes", str(path)]) == 1
    assert expected in capsys.readouterr().err
