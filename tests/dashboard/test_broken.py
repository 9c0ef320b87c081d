"""Folders that cannot give an answer: a sentence and a remedy on every page, never a traceback."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pyarrow as pa
import pytest

from analytics import job
from analytics.ageing.agreement import disagreement
from analytics.ageing.fit import FleetAgeing
from analytics.records.reading import folder_files
from analytics.sample import TARNWICK, invent_fleet
from tests.dashboard.pages import PAGES, charts, named, opened, said, turned, turned_to, values


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
    text = refusals(monkeypatch, tmp_path)
    assert "Expected the fleet's exports" in text
    assert "Bring in exports" in text


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
    chart, months = charts(at)
    assert values(named(chart, "P80")["y"]) == pytest.approx(budget.fleet()["quantity_p80"])
    first = budget.months[budget.months["season"] == budget.seasons[0].year]
    assert values(named(months, "unplanned, mean")["y"]) == pytest.approx(first["unplanned"])
    assert "prices.csv" in said(at)
    assert "prices.csv" in said(turned(at, "season"))


def test_money_without_prices_is_not_known(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, small: dict[str, bytes]
) -> None:
    files = {name: content for name, content in small.items() if name != "prices.csv"}
    monkeypatch.setenv("TIDEWORN_FOLDER", str(written(tmp_path, files)))
    fleet = job.open_fleet(folder_files(tmp_path))
    risk = job.boats_at_risk(fleet, job.how_it_ages(fleet))
    # A part that has no price and does not stop the boat: what its failure costs is not known.
    unknown = risk.parts[risk.parts["consequence"].fillna(0) == 0]
    assert len(unknown), "this fleet has no such part, or this test says nothing"
    boat = unknown["boat"].iloc[0]
    at = opened("boats")
    at = at.selectbox(key="boat").set_value(boat).run()
    table = at.dataframe[1]
    cells = table.proto.arrow_data.styler.display_values
    texts = pa.ipc.open_stream(cells).read_pandas()
    at_cost = list(table.value.columns).index("Cost of a failure")
    shown = list(texts.iloc[:, at_cost])
    assert shown.count("not known") == (unknown["boat"] == boat).sum()
    assert "0" not in shown
    at = turned(at, "season")
    at = at.radio(key="order").set_value("by expected cost").run()
    assert not at.exception
    assert not at.error
    at = turned(at, "budget")
    assert not any("EUR" in one.value for one in at.subheader)
    assert not at.metric


def test_a_last_day_that_nobody_gave_is_said_on_page_one(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, small: dict[str, bytes]
) -> None:
    toml = b"\n".join(line for line in small["fleet.toml"].splitlines() if b"as_of" not in line)
    monkeypatch.setenv("TIDEWORN_FOLDER", str(written(tmp_path, small | {"fleet.toml": toml})))
    as_of = job.open_fleet(folder_files(tmp_path)).records.as_of
    text = f"Records end on {as_of.day} {as_of:%B %Y} (the latest date in the files; set `as_of`)."
    assert text in [one.value for one in opened("season").info]


def test_in_mid_season_the_days_left_are_counted(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, small: dict[str, bytes]
) -> None:
    toml = small["fleet.toml"].replace(b"as_of = 2026-10-31", b"as_of = 2026-07-15")
    assert toml != small["fleet.toml"]
    monkeypatch.setenv("TIDEWORN_FOLDER", str(written(tmp_path, small | {"fleet.toml": toml})))
    fleet = job.open_fleet(folder_files(tmp_path))
    risk = job.boats_at_risk(fleet, job.how_it_ages(fleet))
    at = opened("season")
    text = said(at)
    assert "The season has begun: the risk is that of the days left. Before: Cutless bear" in text
    past, by_end = (
        int(risk.parts[name].astype(bool).sum()) for name in ("past_limit", "past_limit_by_end")
    )
    (limits,) = (one.value for one in at.markdown if "past a limit now" in one.value)
    assert limits.startswith(f"**{past} part" if past else "**No part")
    assert "by the lift" not in limits
    more = by_end - past
    assert (f"{more} more" if more else "no more reach it") in limits


def test_kinds_with_too_few_failures_share_a_line(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, small: dict[str, bytes]
) -> None:
    kept = chosen(
        small["parts.csv"],
        lambda _, row: row["kind"] not in ("bellows", "gland_hose") or not row["removed_on"],
    )
    monkeypatch.setenv("TIDEWORN_FOLDER", str(written(tmp_path, small | {"parts.csv": kept})))
    fitted = job.how_it_ages(job.open_fleet(folder_files(tmp_path)))
    few = {name: one for (name, _), one in fitted.items() if one.worn_out < 3}
    assert {"bellows", "gland_hose"} <= set(few)
    (line,) = [one.value for one in opened("season").markdown if "Too few failures" in one.value]
    listed = ", ".join(f"{one.kind.label.lower()} ({one.worn_out})" for one in few.values())
    assert f"**Too few failures to say:** {listed}." in line
    assert line.count("Too few") == 1


def test_where_records_and_curve_disagree_it_is_said(
    monkeypatch: pytest.MonkeyPatch, sample_folder: Path, sample_ageing: FleetAgeing
) -> None:
    monkeypatch.setenv("TIDEWORN_FOLDER", str(sample_folder))
    at = turned_to(opened("ageing"), "curves")
    for key, fitted in sample_ageing.items():
        at = at.selectbox(key="kind").set_value(key).run()
        sentence = disagreement(fitted)
        warnings = [one.value for one in at.warning]
        assert (sentence in warnings) == (sentence is not None)


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
    at = turned_to(opened("ageing"), "curves")
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
