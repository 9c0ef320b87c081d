"""The page What if, as a visitor uses it."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from analytics.job import Fleet, open_fleet
from analytics.records.reading import folder_files
from analytics.sample import TARNWICK, invent_fleet
from analytics.what_if.changes import Changes, Limits, Sold
from analytics.what_if.sentences import NOTHING
from analytics.what_if.text import link_text
from dashboard import words
from dashboard.what_if import words as says
from tests.dashboard.pages import opened, said, turned

AT_SIX = Changes("Bellows at six", 3, limits={"bellows": Limits(6.0)})


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Twelve invented boats."""
    made = tmp_path_factory.mktemp("twelve")
    for name, text in invent_fleet(TARNWICK, boats=12, seed=5).files.items():
        if name != "truth.json":
            (made / name).write_text(text, encoding="utf-8")
    return made


@pytest.fixture(scope="module")
def fleet(folder: Path) -> Fleet:
    return open_fleet(folder_files(folder))


@pytest.fixture(autouse=True)
def _folder(monkeypatch: pytest.MonkeyPatch, folder: Path) -> None:
    monkeypatch.setenv("TIDEWORN_FOLDER", str(folder))


def linked(changes: Changes | str) -> AppTest:
    """A visitor who opens the page by a link."""
    at = opened("season").switch_page("views/what_if.py")
    at.query_params["plan"] = changes if isinstance(changes, str) else link_text(changes)
    return at.run()


def press(at: AppTest, label: str) -> AppTest:
    return next(button for button in at.button if button.label == label).click().run()


def test_nothing_is_worked_out_before_the_button_is_pressed() -> None:
    at = opened("what_if")
    assert not at.exception
    assert not at.error
    assert says.START in [one.value for one in at.info]
    at.number_input(key="what if entry limit bellows age").set_value(6.0)
    at.run()
    assert "Beside today's plan" not in said(at)
    assert "plan" not in at.query_params


def test_the_form_the_link_and_the_way_back_show_the_same_view() -> None:
    at = opened("what_if")
    at.text_input(key="what if entry name").set_value("Bellows at six")
    at.number_input(key="what if entry seasons ahead").set_value(3)
    at.number_input(key="what if entry limit bellows age").set_value(6.0)
    at = press(at, says.WORK_OUT)
    assert not at.exception
    assert not at.error
    assert at.query_params["plan"] == link_text(AT_SIX)
    first = said(at)
    assert "Bellows renewed at the first lift after 6 years instead of 8:" in first
    assert "Beside today's plan" in first
    other = linked(AT_SIX)
    assert [one.value for one in other.markdown] == [one.value for one in at.markdown]
    for one, another in zip(at.dataframe, other.dataframe, strict=True):
        assert one.value.equals(another.value)
    assert other.number_input(key="what if entry limit bellows age").value == 6.0
    back = turned(turned(at, "season"), "what_if")
    assert back.number_input(key="what if entry limit bellows age").value == 6.0
    assert [one.value for one in back.markdown] == [one.value for one in at.markdown]


@pytest.mark.parametrize("link", ["1.abc", "x", "1." + "A" * 7000, "<script>alert(1)</script>"])
def test_a_link_of_nonsense_is_a_sentence(link: str) -> None:
    at = linked(link)
    assert not at.exception
    assert says.WRONG in [one.value for one in at.error]
    assert any("Expected" in one.value and "**link**" in one.value for one in at.markdown)
    assert says.START in [one.value for one in at.info]


def test_a_link_of_another_fleet_says_what_is_not_here(fleet: Fleet) -> None:
    day = fleet.records.as_of + timedelta(days=30)
    at = linked(Changes("Sale", 3, sold=(Sold("Some other boat", day),)))
    assert not at.exception
    assert says.WRONG in [one.value for one in at.error]
    assert any("Some other boat" in one.value for one in at.markdown)


def test_plans_are_kept_by_name_and_stand_side_by_side(fleet: Fleet) -> None:
    boat = str(fleet.lives.in_service()["boat"].iloc[0])
    at = press(linked(AT_SIX), "Keep this plan")
    at.text_input(key="what if entry name").set_value("Prices up")
    at.number_input(key="what if entry limit bellows age").set_value(8.0)
    at.number_input(key="what if entry all prices").set_value(150.0)
    at = press(at, says.WORK_OUT)
    assert not at.exception
    table = next(one.value for one in at.dataframe if "Prices up" in one.value)
    assert list(table.columns) == ["A season, on average", "Today", "Prices up", "Bellows at six"]
    parts = table[table["A season, on average"] == "Parts"].iloc[0]
    assert parts["Prices up"] == pytest.approx(1.5 * parts["Today"])
    assert boat not in at.query_params["plan"]
    at = press(at, "Let go of Bellows at six")
    assert not any("Bellows at six" in one.value for one in at.dataframe)


def three_boats(made: Path, as_of: str = "2024-06-30") -> Path:
    made.mkdir(exist_ok=True)
    (made / "fleet.toml").write_text(
        f"as_of = {as_of}\nrecords_from = 2005-01-01\n[kinds.bellows]\nlabel = 'Bellows [*old*]'\n"
    )
    (made / "boats.csv").write_text("boat,lay_up\nA,afloat\nB,afloat\nC,afloat\n")
    (made / "parts.csv").write_text(
        "boat,position,kind,fitted_on,removed_on,reason\nA,single,bellows,2012-02-01,2020-03-01,"
        "failed\nA,single,bellows,2020-03-01,,\nB,single,bellows,2017-05-01,,\n"
        "C,single,bellows,2019-05-01,,\n"
    )
    return made


def test_plans_of_a_folder_stay_when_its_files_change_and_are_checked_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TIDEWORN_FOLDER", str(three_boats(tmp_path)))
    at = press(linked(AT_SIX), "Keep this plan")
    sale = Sold("A", date(2024, 8, 1))
    at.session_state["what if kept"]["Sale"] = Changes("Sale", 3, sold=(sale,))
    three_boats(tmp_path, "2024-08-31")
    at.run()
    assert not at.exception
    assert at.session_state["what if current"] == AT_SIX
    assert set(at.session_state["what if kept"]) == {"Bellows at six", "Sale"}
    assert says.NOT_ANY_MORE in [one.value for one in at.warning]
    assert any("a day after 2024-08-31" in one.value for one in at.markdown)


def test_a_plan_that_is_no_longer_possible_is_not_shown(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TIDEWORN_FOLDER", str(three_boats(tmp_path)))
    at = linked(Changes("Sale", 3, sold=(Sold("A", date(2024, 8, 1)),)))
    assert "Beside today's plan" in said(at)
    three_boats(tmp_path, "2024-08-31")
    at.run()
    assert not at.exception
    assert says.WRONG in [one.value for one in at.error]
    assert "Beside today's plan" not in said(at)


def test_a_plan_does_not_go_along_to_another_fleet(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TIDEWORN_FOLDER", str(three_boats(tmp_path / "one")))
    at = press(linked(AT_SIX), "Keep this plan")
    other = three_boats(tmp_path / "other", "2024-08-31")
    at.text_input(key="folder").set_value(str(other)).run()
    assert not at.exception
    assert "plan" not in at.query_params
    assert says.START in [one.value for one in at.info]
    assert "what if kept" not in at.session_state


def test_a_name_of_the_settings_is_drawn_as_it_is_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TIDEWORN_FOLDER", str(three_boats(tmp_path)))
    label = opened("what_if").number_input(key="what if entry limit bellows age").label
    assert label == words.plain("Bellows [*old*], years")
    assert label != "Bellows [*old*], years"


def test_choices_stay_when_the_page_is_left() -> None:
    at = linked(AT_SIX)
    chosen = {"what if kind": "bellows", "what if measure": "total"}
    for key, value in chosen.items():
        at.selectbox(key=key).set_value(value)
    at.run()
    at = turned(at, "boats")
    offered = at.selectbox(key="what if").options
    at.selectbox(key="what if").select(offered[-1]).run()
    at = turned(at, "what_if")
    assert not at.exception
    assert not at.error
    assert {key: at.selectbox(key=key).value for key in chosen} == chosen
    assert turned(at, "boats").selectbox(key="what if").value == offered[-1]


def test_how_failures_are_counted_is_said() -> None:
    assert any(says.COUNTED in one.value for one in linked(AT_SIX).caption)


def test_a_form_without_changes_is_todays_plan() -> None:
    at = opened("what_if")
    at.number_input(key="what if entry seasons ahead").set_value(3)
    at = press(at, says.WORK_OUT)
    assert not at.exception
    assert any(NOTHING in one.value for one in at.markdown)


def test_fleets_that_cannot_answer_say_why(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    empty, gone = tmp_path / "empty", tmp_path / "gone"
    for where in (empty, gone):
        where.mkdir()
    (gone / "fleet.toml").write_text("as_of = 2024-06-30\nrecords_from = 2005-01-01\n")
    (gone / "boats.csv").write_text("boat,left_on\nA,2023-05-01\nB,2022-05-01\n")
    (gone / "parts.csv").write_text(
        "boat,position,kind,fitted_on,removed_on,reason\nA,single,bellows,2015-01-01,,\n"
        "B,single,bellows,2012-01-01,2019-03-01,failed\nB,single,bellows,2019-03-01,,\n"
    )
    for where in (empty, gone):
        monkeypatch.setenv("TIDEWORN_FOLDER", str(where))
        found = linked(AT_SIX)
        assert not found.exception
        assert found.error or found.warning
        assert "Beside today's plan" not in said(found)
