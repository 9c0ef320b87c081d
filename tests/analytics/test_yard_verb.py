"""The verb `yard`: words, files and JSON that agree."""

from __future__ import annotations

import io
import json
import re
from contextlib import redirect_stdout
from pathlib import Path
from typing import Any

import pandas as pd
import pytest
from icalendar import Calendar
from python_calamine import CalamineWorkbook

from analytics import job
from analytics.ageing.fit import FleetAgeing
from analytics.cli import main
from analytics.papers.cautions import NOT_AN_INSPECTION
from analytics.papers.yard_sentences import RULES
from analytics.papers.yard_workbook import in_words
from analytics.records.wishes import Wish, wishes_text
from tests.analytics.decisions.yard_fleet import FINCH, WEEKS, WREN, folder, sample_ground

Answer = tuple[dict[str, Any], Path]


def run(capsys: pytest.CaptureFixture[str], *arguments: str | Path) -> tuple[int, str, str]:
    code = main([str(argument) for argument in arguments])
    captured = capsys.readouterr()
    return code, captured.out, captured.err


def written(at: Path, wishes: tuple[Wish, ...] = (), **given: Any) -> Path:
    at.mkdir(exist_ok=True)
    files = folder(**given)
    if wishes:
        files["plan.toml"] = wishes_text(wishes).encode()
    for name, content in files.items():
        (at / name).write_bytes(content)
    return at


@pytest.fixture(scope="module")
def sample_answer(
    tmp_path_factory: pytest.TempPathFactory,
    sample: job.Fleet,
    sample_folder: Path,
    sample_ageing: FleetAgeing,
) -> Answer:
    out, said = tmp_path_factory.mktemp("yard"), io.StringIO()
    ground = sample_ground(sample, sample_ageing)
    with pytest.MonkeyPatch.context() as patched, redirect_stdout(said):
        # Fitted once for all tests; the plan is the verb's own.
        patched.setattr(job, "how_it_ages", lambda *_: sample_ageing)
        patched.setattr(job, "yard_ground_of", lambda *_: ground)
        assert main(["yard", str(sample_folder), "--json", "--out", str(out)]) == 0
    return json.loads(said.getvalue()), out


def cells(value: Any) -> Any:
    """A cell of a workbook as JSON has it."""
    if value in ("", None):
        return None
    return round(value, 6) if isinstance(value, float | int) else str(value)


def test_files_and_json_are_the_same(sample_answer: Answer) -> None:
    answer, out = sample_answer
    sheets = CalamineWorkbook.from_filelike(io.BytesIO((out / "yard.xlsx").read_bytes()))
    for name, sheet in (("boats", "Boats"), ("jobs", "Jobs"), ("weeks", "Weeks")):
        rows = answer[name]
        head, *body = sheets.get_sheet_by_name(sheet).to_python()
        columns = list(rows[0])
        assert head[: len(columns)] == [in_words(column) for column in columns]
        assert len(body) == len(rows)
        for row, line in zip(rows, body, strict=True):
            for column, cell in zip(columns, line, strict=False):
                assert cells(cell) == cells(row[column]), column
    table = pd.read_csv(out / "yard.csv")
    assert table["cost"].to_numpy() == pytest.approx([row["cost"] for row in answer["boats"]])
    assert len(pd.read_csv(out / "yard_jobs.csv")) == len(answer["jobs"])
    events = Calendar.from_ical((out / "yard.ics").read_bytes()).walk("VEVENT")
    lifted = {row["boat"]: row for row in answer["boats"] if row["week"]}
    assert len(events) == len(lifted)
    for event in events:
        row = lifted[str(event["summary"]).split(":")[0]]
        assert (str(event["dtstart"].dt), str(event["dtend"].dt)) == (row["week"], row["launch"])
    packs = (out / "job_packs.html").read_text(encoding="utf-8")
    assert packs.count("<section>") == len(lifted)
    assert "Demo data, invented" in packs


def test_money_and_jobs_reconcile(sample_answer: Answer) -> None:
    answer, _ = sample_answer
    boats, jobs = answer["boats"], answer["jobs"]
    done = [row for row in jobs if row["done"]]
    assert sum(row["jobs"] for row in boats) == len(done)
    plan = answer["compared"][0]
    paid = plan["parts_cost"] + plan["labour_cost"] + plan["haul_cost"]
    assert sum(row["cost"] for row in boats) == pytest.approx(paid, abs=0.01)
    used = {row["week"]: row["slots_used"] for row in answer["weeks"]}
    assert sum(used.values()) == len(boats)
    assert all(row["slots_used"] <= row["slots"] for row in answer["weeks"])


def test_the_terminal_says_what_needs_a_person(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    booked = tuple({"boat": WREN, "from": str(week), "to": str(week)} for week in WEEKS)
    wishes = (Wish("pinned", FINCH, WEEKS[1], by="Ada"), Wish("pinned", "Nobody", WEEKS[0]))
    at = written(tmp_path / "fleet", wishes, bookings=booked)
    code, said, _ = run(capsys, "yard", at)
    said = re.sub(r"\s+", " ", said)
    assert code == 0
    for text in (
        "1 job that a rule asks for is left undone: a named person has to accept each.",
        "Penny Wren, bellows: it must be done, because it is past its written limit of 8 years",
        "No week admits Penny Wren: she is on charter",
        "Grey Finch: pinned to the week of 11 January 2021, by Ada",
        "found 'Nobody', expected a boat of boats.csv",
        "1 boat not lifted: 1 no week admits her.",
        *RULES.values(),
        NOT_AN_INSPECTION,
    ):
        assert text in said, text


def test_a_contradiction_is_an_answer_too(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    wishes = (Wish("pinned", WREN, WEEKS[1]), Wish("pinned", FINCH, WEEKS[1]))
    at = written(tmp_path / "fleet", wishes)
    code, document, _ = run(capsys, "yard", at, "--json", "--out", tmp_path / "out")
    answer = json.loads(document)
    assert (code, answer["status"], answer["boats"]) == (0, "contradiction", [])
    assert any("release 1" in row["text"] for row in answer["to_settle"])
    assert Calendar.from_ical((tmp_path / "out" / "yard.ics").read_bytes()).walk("VEVENT") == []


def test_no_slots_and_no_prices_still_give_a_plan(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    at = written(tmp_path / "fleet", slots=None, prices=None)
    code, said, _ = run(capsys, "yard", at)
    said = re.sub(r"\s+", " ", said)
    assert code == 0
    assert "There is no slots.csv: every week up to the season is taken to have 1 slot" in said
    assert "4 parts have no price" in said


def test_wrong_use_and_a_folder_that_is_not_there(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    with pytest.raises(SystemExit) as stopped:
        main(["yard", str(tmp_path), "--seconds", "0"])
    assert stopped.value.code == 2
    capsys.readouterr()
    code, _, wrong = run(capsys, "yard", tmp_path / "none")
    assert code == 1
    assert wrong
