"""The page of the haul-out plan: the job's own plan, decisions that hold for the visit, files."""

from __future__ import annotations

import json
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pandas as pd
import plotly.graph_objects as go
import pytest
from streamlit.testing.v1 import AppTest

from analytics import job
from analytics.papers.cautions import CAUTIONS, NOT_AN_INSPECTION
from analytics.papers.yard_sentences import RULES
from analytics.papers.yard_tables import BOAT_COLUMNS, WEEK_COLUMNS
from analytics.records.wishes import Wish, read_wishes, wishes_text
from dashboard.yard import deciding, figures
from tests.analytics.decisions.yard_fleet import FINCH, WEEKS, WREN, folder, lives
from tests.dashboard.pages import charts, opened, said

Write = Any


@pytest.fixture
def write(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Write:
    def writes(wishes: tuple[Wish, ...] = (), **given: Any) -> AppTest:
        files = folder(**given)
        if wishes:
            files["plan.toml"] = wishes_text(wishes).encode()
        for name, content in files.items():
            (tmp_path / name).write_bytes(content)
        monkeypatch.setenv("TIDEWORN_FOLDER", str(tmp_path))
        at = opened("yard")
        assert not at.exception
        return at

    return writes


def week_of(at: AppTest, boat: str) -> str:
    table = at.dataframe[0].value
    return str(table.loc[table["Boat"] == boat, "Week of"].iloc[0])


def decide(at: AppTest, what: str, boat: str, **chosen: Any) -> AppTest:
    at = at.selectbox(key="yard decide boat").set_value(boat).run()
    at = at.selectbox(key="yard what").set_value(what).run()
    for name, value in chosen.items():
        kind = at.text_input if name in ("by", "note") else at.selectbox
        at = kind(key=f"yard {name}").set_value(value).run()
    at = at.button(key="yard apply").click().run()
    assert not at.exception
    return at


def kept(at: AppTest) -> tuple[Wish, ...]:
    wishes: tuple[Wish, ...] = at.session_state[deciding.WISHES]
    return wishes


def test_the_page_shows_the_plan_of_the_job(write: Write) -> None:
    at = write()
    assert not at.error
    fleet = job.open_fleet(folder())
    plan = job.haul_outs_of(fleet, job.how_it_ages(fleet)).plan
    text = said(at)
    assert {boat: week_of(at, boat) for boat in (WREN, FINCH)} == {
        haul.boat: str(haul.week) for haul in plan.hauls
    }
    assert "2 boats, 1 job in the lay-up before season 2021: EUR 400 of parts and labour" in text
    assert all(name in text for name in RULES.values())
    assert NOT_AN_INSPECTION in [one.value for one in at.warning]
    assert all(caution in text for caution in CAUTIONS)
    (drawn,) = charts(at)
    texts = [one for trace in drawn["data"] for one in trace.get("text", [])]
    assert f"{WREN}<br>1 job, 1 must" in texts
    assert f"{FINCH}<br>no job" in texts
    for word in ("safe", "seaworthy", "certified"):
        assert f" {word} " not in text.lower()


def test_a_pinned_boat_moves_and_the_move_is_told_and_taken_back(write: Write) -> None:
    at = write()
    before = week_of(at, WREN)
    at = decide(at, "pinned", WREN, week=WEEKS[2], by="Ada")
    assert week_of(at, WREN) == str(WEEKS[2]) != before
    assert kept(at) == (Wish("pinned", WREN, WEEKS[2], by="Ada"),)
    text = said(at)
    assert "Penny Wren moves from the week of 4 January 2021" in text
    assert "more than without what was decided" in text
    assert any(trace.get("name") == "week promised or pinned" for trace in charts(at)[0]["data"])
    at = decide(at, "promised", WREN, week=WEEKS[1])
    assert kept(at) == (Wish("promised", WREN, WEEKS[1]),)
    at = at.button(key="yard drop 0").click().run()
    assert week_of(at, WREN) == before
    assert kept(at) == ()


def test_a_job_done_and_a_week_ruled_out(write: Write) -> None:
    at = decide(write(), "done", WREN, job=("single", "bellows"))
    assert "No rule asks for a job." in said(at)
    at = decide(at, "ruled_out", WREN, week=WEEKS[0])
    assert week_of(at, WREN) != str(WEEKS[0])
    assert len(kept(at)) == 2


def test_an_exception_needs_a_name(write: Write) -> None:
    booked = tuple({"boat": WREN, "from": str(week), "to": str(week)} for week in WEEKS)
    at = write(bookings=booked)
    assert "has to accept" in said(at)
    at = at.selectbox(key="yard decide boat").set_value(WREN).run()
    at = at.selectbox(key="yard what").set_value("accepted").run()
    assert at.button(key="yard apply").disabled
    at = at.text_input(key="yard by").set_value("  ").run()
    assert at.button(key="yard apply").disabled
    at = decide(at, "accepted", WREN, by="Ada [x](y) <b>")
    assert kept(at)[0].by == "Ada [x](y) <b>"
    assert "may wait: somebody accepted that" in said(at)
    shown = next(one.value for one in at.markdown if "accepts that" in one.value)
    assert r"Ada \[x\](y) \<b\>" in shown
    at = at.selectbox(key="yard decide boat").set_value(FINCH).run()
    assert "nothing to accept" in said(at)


def test_the_plan_of_the_folder_stands_first_and_wrong_wishes_are_told(write: Write) -> None:
    wishes = (Wish("pinned", WREN, WEEKS[1]), Wish("pinned", "Nobody", WEEKS[1]))
    at = write(wishes)
    assert week_of(at, WREN) == str(WEEKS[1])
    assert any("found Nobody" in one.value for one in at.warning)


def test_a_contradiction_can_be_taken_back_on_the_page(write: Write) -> None:
    at = write((Wish("pinned", WREN, WEEKS[1]), Wish("pinned", FINCH, WEEKS[1])))
    assert next(one.value for one in at.error).startswith("What is asked for contradicts itself")
    assert "release 1" in said(at)
    assert not charts(at)
    at = at.button(key="yard drop 0").click().run()
    assert not at.error
    assert week_of(at, FINCH) == str(WEEKS[1])


def test_what_is_decided_is_handed_out_as_it_is_read(write: Write) -> None:
    at = decide(write(), "pinned", WREN, week=WEEKS[2])
    wishes, findings = read_wishes(wishes_text(kept(at)))
    assert (wishes, findings) == (kept(at), [])
    labels = [one.proto.label for one in at.get("download_button")]
    for label in ("Calendar", "Workbook", "Job packs to print", "Decisions as plan.toml"):
        assert label in labels


def test_without_slots_prices_or_parts_in_service_the_page_says_so(
    write: Write,
) -> None:
    text = said(write(slots=None, prices=None))
    assert "There is no slots.csv: every week up to the season is taken to have 1 slot" in text
    assert "No part has a price" in text


def test_a_fleet_without_parts_in_service(write: Write) -> None:
    ended = [row for row in lives() if row["removed_on"]]
    at = write(parts=ended)
    assert not charts(at)
    assert at.warning or at.error


def test_odd_names_do_not_break_out(write: Write) -> None:
    odd = 'A "b" <script>x</script> & $x$ 🐦 ' + "é" * 200
    rows = [{**row, "boat": odd if row["boat"] == WREN else FINCH} for row in lives()]
    at = write(parts=rows, boats=({"boat": odd}, {"boat": FINCH}))
    assert not at.error
    drawn = json.dumps(charts(at))
    assert "<script>" not in drawn
    assert "…<br>1 job" in drawn or "\\u2026<br>1 job" in drawn


def yard(slots: int, lifted: int, weeks: int = 10) -> tuple[pd.DataFrame, pd.DataFrame]:
    starts = [date(2021, 1, 4) + timedelta(days=7 * at) for at in range(weeks)]
    rows = [[one, slots, lifted, None, 0.0, None, lifted, "", ""] for one in starts]
    boats = [
        dict.fromkeys(BOAT_COLUMNS, "")
        | {"boat": f"Boat {at}-{n}", "week": one, "launch": one, "jobs": 2, "must": 0, "hours": 3.0}
        for at, one in enumerate(starts)
        for n in range(lifted)
    ]
    return pd.DataFrame(rows, columns=WEEK_COLUMNS), pd.DataFrame(boats, columns=BOAT_COLUMNS)


def texts_of(figure: go.Figure) -> list[str]:
    return [text for trace in figure.data if trace.text is not None for text in trace.text]


def test_every_boat_has_one_mark_in_her_week() -> None:
    figure = figures.calendar(*yard(4, 3))
    texts = texts_of(figure)
    assert sum(text.startswith("Boat") for text in texts) == 30
    assert sum("1 slot free" in text for text in texts) == 10
    places = [
        (trace.xaxis, x, y)
        for trace in figure.data
        for x, y in zip(trace.x, trace.y, strict=True)
        if x is not None
    ]
    assert len(places) == len(set(places)) == 40


def test_many_slots_take_one_line_each_and_free_ones_one_line_together() -> None:
    tall = figures.calendar(*yard(500, 20))
    assert tall.layout.height < 2 * 22 * 21 + 250
    assert len(texts_of(tall)) == 210
    assert all("<br>" not in text for text in texts_of(tall))
