"""Folders that cannot give an answer: a sentence and a remedy on every page, never a traceback."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest

from analytics import job
from analytics.records.reading import folder_files
from analytics.sample import TARNWICK, invent_fleet
from tests.dashboard.pages import PAGES, charts, named, opened, said, turned, values


@pytest.fixture(scope="module")
def small() -> dict[str, bytes]:
    """Twelve invented boats."""
    files = invent_fleet(TARNWICK, boats=12, seed=5).files
    return {name: text.encode() for name, text in files.items() if name != "truth.json"}


def written(folder: Path, files: dict[str, bytes]) -> Path:
    for name, content in files.items():
        (folder / name).write_bytes(content)
    return folder


def chosen(content: bytes, keep: object) -> bytes:
    """A CSV file with some of its rows."""
    rows = list(csv.DictReader(io.StringIO(content.decode())))
    text = io.StringIO()
    writer = csv.DictWriter(text, list(rows[0]))
    writer.writeheader()
    writer.writerows(row for at, row in enumerate(rows) if keep(at, row))  # type: ignore[operator]
    return text.getvalue().encode()


def refusals(monkeypatch: pytest.MonkeyPatch, folder: Path) -> str:
    """What all pages say where none can answer."""
    monkeypatch.setenv("TIDEWORN_FOLDER", str(folder))
    at, texts = opened(PAGES[0]), []
    for page in PAGES:
        at = turned(at, page)
        assert not at.exception
        assert at.error, page
        assert "What to do" in said(at), page
        assert not charts(at), page
        texts.append(said(at))
    return "\n".join(texts)


def test_an_empty_folder(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    assert "boats.csv and parts.csv" in refusals(monkeypatch, tmp_path)


def test_no_such_folder(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    assert ": no such folder. Expected" in refusals(monkeypatch, tmp_path / "nowhere")


def test_headers_only(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, small: dict[str, bytes]
) -> None:
    heads = {name: text.splitlines()[0] + b"\n" for name, text in small.items() if "csv" in name}
    assert "parts.csv" in refusals(monkeypatch, written(tmp_path, heads))


def test_a_file_that_is_no_table(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, small: dict[str, bytes]
) -> None:
    broken = small | {"parts.csv": b"PK\x03\x04" + bytes(range(256)) * 4}
    assert "parts.csv" in refusals(monkeypatch, written(tmp_path, broken))


def test_failures_alone_are_refused_but_what_was_read_is_shown(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, small: dict[str, bytes]
) -> None:
    failed = chosen(small["parts.csv"], lambda _, row: row["reason"] == "failed")
    monkeypatch.setenv("TIDEWORN_FOLDER", str(written(tmp_path, small | {"parts.csv": failed})))
    at = opened("season")
    assert at.error
    assert "parts that did not fail" in said(at)
    at = turned(at, "records")
    assert not at.error
    assert at.dataframe


def test_no_part_in_service(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, small: dict[str, bytes]
) -> None:
    gone = chosen(small["parts.csv"], lambda _, row: row["removed_on"] != "")
    monkeypatch.setenv("TIDEWORN_FOLDER", str(written(tmp_path, small | {"parts.csv": gone})))
    at = opened("season")
    for page in PAGES:
        at = turned(at, page)
        assert not at.exception
        assert not at.error, page
        if page in ("season", "boats", "budget"):
            assert any("still in service" in warning.value for warning in at.warning), page


def test_no_prices_gives_quantities(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, small: dict[str, bytes]
) -> None:
    files = {name: content for name, content in small.items() if name != "prices.csv"}
    monkeypatch.setenv("TIDEWORN_FOLDER", str(written(tmp_path, files)))
    at = opened("budget")
    assert not at.error
    fleet = job.open_fleet(folder_files(tmp_path))
    budget = job.budget_of(fleet, job.futures_of(fleet, job.how_it_ages(fleet)))
    (chart,) = charts(at)
    assert values(named(chart, "P80")["y"]) == pytest.approx(budget.fleet()["quantity_p80"])
    assert "prices.csv" in said(at)
    assert "prices.csv" in said(turned(at, "season"))


def test_a_single_life_shows_the_prior_alone(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, small: dict[str, bytes]
) -> None:
    bellows = [
        at
        for at, row in enumerate(csv.DictReader(io.StringIO(small["parts.csv"].decode())))
        if row["kind"] == "bellows" and not row["removed_on"]
    ]
    one = chosen(small["parts.csv"], lambda at, row: row["kind"] != "bellows" or at == bellows[0])
    monkeypatch.setenv("TIDEWORN_FOLDER", str(written(tmp_path, small | {"parts.csv": one})))
    at = opened("ageing")
    assert at.selectbox(key="kind").value == ("bellows", "all")
    assert "Too few failures to say" in at.warning[0].value
    survival = charts(at)[0]
    assert named(survival, "prior alone")
    assert all(trace.get("name") != "fitted" for trace in survival["data"])
    dashed = [t for t in survival["data"] if t.get("name") == "records alone, not a fit"]
    assert all(trace["line"]["dash"] == "dash" for trace in dashed)
    assert not at.exception


def test_a_boat_that_boats_csv_does_not_know(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, small: dict[str, bytes]
) -> None:
    fewer = chosen(small["boats.csv"], lambda at, _: at > 0)
    monkeypatch.setenv("TIDEWORN_FOLDER", str(written(tmp_path, small | {"boats.csv": fewer})))
    at = opened("season")
    assert not at.error
    assert "rejected" in said(turned(at, "records"))


def test_choices_made_in_other_records_are_dropped(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, sample_folder: Path, small: dict[str, bytes]
) -> None:
    monkeypatch.setenv("TIDEWORN_FOLDER", str(sample_folder))
    at = opened("boats")
    at = at.selectbox(key="season").set_value(2030).run()
    at = at.multiselect(key="bases").set_value(["Port Ellorn"]).run()
    at = at.multiselect(key="kinds").set_value(["face_seal"]).run()
    other = {
        "boats.csv": b"boat,base\nHeron,North\nTeal,South\n",
        "parts.csv": b"boat,position,kind,fitted_on,removed_on,reason\n"
        b"Heron,single,bellows,2012-03-01,,\nTeal,single,bellows,2011-03-01,,\n",
        "fleet.toml": b"as_of = 2015-10-31\n",
    }
    at = at.text_input(key="folder").set_value(str(written(tmp_path, other))).run()
    assert not at.exception
    assert not at.error
    assert at.selectbox(key="season").value == 2016
    assert sorted(at.dataframe[0].value["Boat"]) == ["Heron", "Teal"]
    for page in PAGES:
        at = turned(at, page)
        assert not at.exception
        assert not at.error


def test_markup_in_a_name_stays_text(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    # A picture in a name would make the browser ask another host for it.
    name = "![x](http://other.invalid/x.png) **$a$** <b>"
    files = {
        "boats.csv": f"boat,base\n{name},North\n".encode(),
        "parts.csv": f"boat,position,kind,fitted_on\n{name},single,bellows,2019-03-01\n"
        f"{name}!,single,bellows,2019-03-01\n".encode(),
        "fleet.toml": f'name = "{name}"\nas_of = 2025-10-31\n'.encode(),
    }
    monkeypatch.setenv("TIDEWORN_FOLDER", str(written(tmp_path, files)))
    at = opened("season")
    for page in PAGES:
        at = turned(at, page)
        assert not at.error
        texts = [*at.markdown, *at.caption, *at.subheader, *at.info, *at.warning]
        tables = [table.value.to_csv() for table in at.table]  # these take markup, st.dataframe not
        for text in [*(element.value for element in texts), *tables]:
            assert "![x]" not in text
            assert "$a$" not in text


def test_a_fault_of_the_program_is_said_in_words(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, small: dict[str, bytes]
) -> None:
    # Files of its own, so that no answer is kept from another test.
    files = small | {"fleet.toml": small["fleet.toml"] + b"\n# another\n"}
    monkeypatch.setenv("TIDEWORN_FOLDER", str(written(tmp_path, files)))

    def broken(*_: object, **__: object) -> None:
        raise ZeroDivisionError("a fault put there by this test")

    monkeypatch.setattr(job, "budget_of", broken)
    at = opened("budget")
    assert not at.exception
    assert "the fault is the program's" in at.error[0].value
    assert "a fault put there by this test" in at.error[0].value
    assert "Traceback" not in said(at)
