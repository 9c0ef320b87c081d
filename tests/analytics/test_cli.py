"""The command: exit codes, words, files and JSON that agree, and no traceback for any folder."""

from __future__ import annotations

import csv
import io
import json
import os
import subprocess
import sys
from pathlib import Path

import pandas as pd
import pytest
from python_calamine import CalamineWorkbook

from analytics import job
from analytics.ageing.fit import FleetAgeing
from analytics.ageing.summary import key_figures
from analytics.cli import main
from analytics.papers.cautions import NOT_AN_INSPECTION

FORBIDDEN = ("safe", "seaworthy", "certified")


def run(capsys: pytest.CaptureFixture[str], *arguments: str | Path) -> tuple[int, str, str]:
    code = main([str(argument) for argument in arguments])
    captured = capsys.readouterr()
    return code, captured.out, captured.err


def test_the_committed_fleet_is_what_the_command_writes(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, sample_folder: Path
) -> None:
    code, said, _ = run(capsys, "sample", tmp_path / "fleet", "--seed", "0")
    assert code == 0
    assert "invented" in said
    written = {path.name: path.read_bytes() for path in (tmp_path / "fleet").iterdir()}
    assert written == {path.name: path.read_bytes() for path in sample_folder.iterdir()}


def test_check_counts_every_row(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, sample_folder: Path, sample: job.Fleet
) -> None:
    code, said, _ = run(capsys, "check", sample_folder, "--out", tmp_path)
    assert code == 0
    assert sample.reconciliation() in said
    with (sample_folder / "parts.csv").open(newline="") as file:
        rows_read = sum(1 for _ in csv.reader(file)) - 1
    lives = pd.read_csv(tmp_path / "lives.csv")
    rejected = pd.read_csv(tmp_path / "rejected.csv")
    findings = pd.read_csv(tmp_path / "findings.csv")
    gone = set(rejected["row"]) | set(findings.loc[findings["done"] == "merged", "row"])
    assert len(lives) + len(gone) == rows_read
    assert {f"parts.csv:{row}" for row in gone}.isdisjoint(lives["source"])


@pytest.mark.usefixtures("fitted_once")
def test_season_says_the_same_everywhere(
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
    sample_folder: Path,
    sample: job.Fleet,
    sample_ageing: FleetAgeing,
) -> None:
    code, said, _ = run(capsys, "season", sample_folder, "--out", tmp_path)
    assert code == 0
    code, document, _ = run(capsys, "season", sample_folder, "--json")
    assert code == 0
    answer = json.loads(document)
    risk = job.boats_at_risk(sample, sample_ageing)
    assert answer["expected_failures"] == risk.expected
    assert f"{risk.expected:.1f} failures expected" in said.replace("\n", " ")
    boats = pd.read_csv(tmp_path / "boats_at_risk.csv")
    assert list(boats["boat"]) == list(risk.boats["boat"]) == [b["boat"] for b in answer["boats"]]
    parts = pd.read_csv(tmp_path / "season.csv")
    assert parts["risk"].to_numpy() == pytest.approx(risk.parts["risk"].to_numpy(float), rel=1e-9)
    bases = pd.read_csv(tmp_path / "bases.csv")
    assert list(bases["base"]) == list(risk.bases["base"]) == [b["base"] for b in answer["bases"]]
    for name in ("expected_before", "expected_in_season", "expected_after", "expected_cost"):
        assert bases[name].to_numpy() == pytest.approx(risk.bases[name].to_numpy(), rel=1e-9)
    assert boats["among_worst"].sum() == pytest.approx(answer["worst"], rel=1e-6)
    wanted = (
        "boat position kind age_low age_high clock risk risk_low risk_high risk_before consequence"
    )
    assert set(f"{wanted} lives failures".split()) <= set(parts.columns)
    assert NOT_AN_INSPECTION in said.replace("\n", " ")


@pytest.mark.usefixtures("fitted_once")
def test_ageing_writes_curves_and_figures(
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
    sample_folder: Path,
    sample_ageing: FleetAgeing,
) -> None:
    code, said, _ = run(capsys, "ageing", sample_folder, "--out", tmp_path)
    assert code == 0
    written = json.loads((tmp_path / "ageing.json").read_text())["kinds"]
    assert [one["kind"] for one in written] == [kind for kind, _ in sample_ageing]
    for one, fitted in zip(written, sample_ageing.values(), strict=True):
        assert one["with_records"]["shape"]["median"] == key_figures(fitted).shape.median
        assert one["lives"] == one["failures"] + one["accidents"] + one["censored"]
        assert f"{one['lives']} lives, {one['failures']} failures" in said.replace("\n", " ")
    curves = pd.read_csv(tmp_path / "curves.csv")
    for name in ("survival", "hazard"):
        assert (curves[f"{name}_low"] <= curves[f"{name}_high"]).all()
    assert curves.groupby(["kind", "group"])["survival"].is_monotonic_decreasing.all()
    assert set(curves["kind"]) == {kind for kind, _ in sample_ageing}


@pytest.mark.usefixtures("fitted_once")
def test_budget_totals_are_totals(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, sample_folder: Path
) -> None:
    code, told, _ = run(
        capsys, "budget", sample_folder, "--out", tmp_path, "--seasons", "3", "--futures", "300"
    )
    assert code == 0
    lines = pd.read_csv(tmp_path / "budget.csv", keep_default_na=False)
    assert sorted(set(lines["season"])) == [2027, 2028, 2029]
    by_part = lines[lines["part_no"] != "all"].groupby("season")["cost_mean"].sum()
    fleet = lines[lines["kind"] == "all"].set_index("season")["cost_mean"]
    assert fleet.to_numpy() == pytest.approx(by_part.to_numpy(), rel=1e-9)
    assert (lines["currency"] == "EUR").all()
    # Files keep ten significant digits.
    assert lines["quantity_mean"].to_numpy() == pytest.approx(
        (lines["planned"] + lines["unplanned"]).to_numpy(), rel=1e-9
    )
    # Orders are those of the verb `spares`, and of no other.
    assert "What to order, and by when: tideworn spares." in told
    assert not (tmp_path / "spares.csv").exists()


@pytest.mark.usefixtures("fitted_once")
def test_every_file_of_an_invented_fleet_says_so(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, sample_folder: Path
) -> None:
    for verb in ("check", "ageing", "season"):
        assert run(capsys, verb, sample_folder, "--out", tmp_path)[0] == 0
    for path in tmp_path.iterdir():
        if path.suffix == ".xlsx":
            book = CalamineWorkbook.from_path(path)
            for name in book.sheet_names:
                assert "invented" in str(book.get_sheet_by_name(name).to_python()).lower()
            continue
        assert "invented" in path.read_text(encoding="utf-8").lower(), path.name


@pytest.mark.usefixtures("fitted_once")
def test_nothing_is_called_what_a_statistic_cannot_say(
    capsys: pytest.CaptureFixture[str], sample_folder: Path
) -> None:
    for verb in ("check", "ageing", "season", "budget"):
        _, said, _ = run(capsys, verb, sample_folder)
        assert not [word for word in FORBIDDEN if word in said.lower().split()]


def test_the_same_folder_and_seed_give_the_same_bytes(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, sample_folder: Path
) -> None:
    shuffled = tmp_path / "shuffled"
    shuffled.mkdir()
    for path in sample_folder.iterdir():
        text = path.read_text(encoding="utf-8")
        if path.suffix == ".csv":
            header, *rows = list(csv.reader(io.StringIO(text)))
            reordered = io.StringIO()
            csv.writer(reordered, lineterminator="\n").writerows([header, *reversed(rows)])
            text = reordered.getvalue()
        (shuffled / path.name).write_text(text, encoding="utf-8")
    written = []
    for name, folder in (("a", sample_folder), ("b", sample_folder), ("c", shuffled)):
        out = tmp_path / name
        assert run(capsys, "season", folder, "--out", out, "--seed", "5")[0] == 0
        parts = pd.read_csv(out / "season.csv", dtype=str).drop(columns="source")
        written.append((parts, (out / "boats_at_risk.csv").read_bytes()))
    (first, boats), (again, boats_again), (other_order, boats_other) = written
    assert boats == boats_again == boats_other
    pd.testing.assert_frame_equal(first, again)
    pd.testing.assert_frame_equal(first, other_order)


BOATS = "boat,joined_on\nTin Kettle,2015-01-01\n"
PARTS = "boat,position,kind,fitted_on,removed_on,reason\n"

BROKEN = {
    "empty folder": ({}, 1, ["boats.csv", "parts.csv"]),
    "headers only": (
        {"boats.csv": "boat\n", "parts.csv": PARTS},
        1,
        ["parts.csv", "headers alone"],
    ),
    "not a CSV": (
        {"boats.csv": BOATS, "parts.csv": "\x89PNG\x00\x00\x01"},
        1,
        ["parts.csv", "binary content"],
    ),
    "boat not listed": (
        {"boats.csv": BOATS, "parts.csv": PARTS + "Tin Ketle,single,bellows,2016-01-01,,\n"},
        1,
        ["row 2", "Tin Ketle", "Did you mean 'Tin Kettle'?"],
    ),
    "only failures": (
        {
            "boats.csv": BOATS,
            "parts.csv": PARTS
            + "".join(
                f"Tin Kettle,single,bellows,{year}-01-01,{year}-12-01,failed\n"
                for year in range(2015, 2022)
            ),
        },
        1,
        ["7 failures and nothing else", "Export every part"],
    ),
    "parted by colons": (
        {"boats.csv": BOATS, "parts.csv": PARTS.replace(",", ":")},
        1,
        ["parts.csv", "set delimiter in fleet.toml"],
    ),
}


@pytest.mark.parametrize("case", BROKEN)
@pytest.mark.parametrize("verb", ["ageing", "season", "budget"])
def test_a_broken_folder_is_explained(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, case: str, verb: str
) -> None:
    files, expected_code, expected_words = BROKEN[case]
    for name, text in files.items():
        (tmp_path / name).write_bytes(text.encode("latin-1"))
    code, said, complained = run(capsys, verb, tmp_path)
    assert code == expected_code
    for word in expected_words:
        assert word in said + complained
    assert "Traceback" not in said + complained


def test_a_kind_with_one_life_is_answered_with_the_prior(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    (tmp_path / "boats.csv").write_text(BOATS)
    (tmp_path / "parts.csv").write_text(PARTS + "Tin Kettle,single,bellows,2016-01-01,,\n")
    (tmp_path / "fleet.toml").write_text("as_of = 2024-10-31\nrecords_from = 2015-01-01\n")
    code, said, complained = run(capsys, "season", tmp_path)
    assert (code, complained) == (0, "")
    assert "Too few failures to say (1 life, 0 failures" in said.replace("\n", " ")


def test_refusals_are_json_too(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    code, document, _ = run(capsys, "season", tmp_path, "--json")
    assert code == 1
    error = json.loads(document)["error"][0]
    assert set(error) == {
        "file",
        "row",
        "field",
        "found",
        "expected",
        "done",
        "remedy",
        "sort",
        "also",
    }


@pytest.mark.parametrize(
    "arguments",
    [
        [],
        ["season"],
        ["sink", "folder"],
        ["season", "folder", "--season", "next"],
        ["budget", "folder", "--seasons", "0"],
    ],
)
def test_wrong_use_exits_with_two(capsys: pytest.CaptureFixture[str], arguments: list[str]) -> None:
    with pytest.raises(SystemExit) as stopped:
        main(arguments)
    assert stopped.value.code == 2
    assert "usage: tideworn" in capsys.readouterr().err


def test_a_season_that_is_over_is_refused(
    capsys: pytest.CaptureFixture[str], sample_folder: Path
) -> None:
    code, _, complained = run(capsys, "season", sample_folder, "--season", "2020")
    assert code == 1
    assert "2027" in complained


def test_a_place_that_cannot_be_written_is_named(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, sample_folder: Path
) -> None:
    (tmp_path / "file").write_text("in the way")
    code, _, complained = run(capsys, "check", sample_folder, "--out", tmp_path / "file")
    assert code == 1
    assert "file" in complained
    assert "Traceback" not in complained


def test_a_sample_is_not_written_over_a_fleet_of_somebody(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    (tmp_path / "parts.csv").write_text(PARTS)
    code, _, complained = run(capsys, "sample", tmp_path)
    assert code == 1
    assert (tmp_path / "parts.csv").read_text() == PARTS
    assert complained


def test_a_reader_that_stops_early_is_no_error(sample_folder: Path) -> None:
    with subprocess.Popen(
        [sys.executable, "-m", "analytics.cli", "check", str(sample_folder)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env={**os.environ, "PYTHONUNBUFFERED": "1"},
    ) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        process.stdout.readline()
        process.stdout.close()
        complained = process.stderr.read()
        process.wait()
    assert b"Traceback" not in complained
    assert process.returncode == 0
