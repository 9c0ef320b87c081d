"""Every page on the sample fleet: the numbers are those of `analytics.job`, and nothing breaks."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from streamlit.testing.v1 import AppTest

from analytics import job
from analytics.ageing.as_watched import as_watched
from analytics.ageing.curves import survival_and_hazard
from analytics.ageing.fit import FleetAgeing, kind_ageing
from analytics.ageing.nonparametric.kaplan_meier import at_risk, drawn_lives
from analytics.ageing.summary import key_figures
from analytics.decisions.consequence import by_cost
from analytics.intake import attention_of, findings_in
from analytics.outlook.season import SeasonRisk
from analytics.papers.cautions import CAUTIONS, NOT_AN_INSPECTION
from analytics.papers.words import assumptions, how_sure, percent
from dashboard import figures
from tests.analytics.records.exports import rows_of, typed, xlsx
from tests.dashboard.pages import PAGES, charts, named, opened, said, turned, turned_to, values

FORBIDDEN = ("safe", "seaworthy", "certified")


@pytest.fixture(autouse=True)
def _folder(monkeypatch: pytest.MonkeyPatch, sample_folder: Path) -> None:
    monkeypatch.setenv("TIDEWORN_FOLDER", str(sample_folder))


@pytest.fixture(scope="module")
def risk(sample: job.Fleet, sample_ageing: FleetAgeing) -> SeasonRisk:
    return job.boats_at_risk(sample, sample_ageing)


@pytest.mark.parametrize("page", PAGES)
def test_a_page_opens_without_an_error_and_says_that_the_fleet_is_invented(
    page: str, sample: job.Fleet
) -> None:
    at = opened(page)
    assert not at.exception
    assert not at.error
    text = said(at)
    assert sample.records.settings.note in text
    for word in FORBIDDEN:
        assert not re.search(rf"\b{word}\b", text, re.IGNORECASE)
    assert any(assumptions(sample.records.settings)[0] in one.value for one in at.markdown)


@pytest.mark.parametrize("page", ["season", "ageing", "boats", "budget"])
def test_the_cautions_stand_beside_every_risk(page: str) -> None:
    at = opened(page)
    assert NOT_AN_INSPECTION in [warning.value for warning in at.warning]
    listed = " ".join(one.value for one in at.markdown)
    assert all(caution in listed for caution in CAUTIONS)


def test_the_headline_is_the_number_of_the_job(risk: SeasonRisk, sample: job.Fleet) -> None:
    at = opened("season")
    low, high = risk.likely_range
    headline = next(one.value for one in at.subheader if "expected" in one.value)
    assert f"About {risk.expected:.0f} failures" in headline
    assert f"(likely {low} to {high})" in headline
    assert sample.reconciliation() in [caption.value for caption in at.caption]


def test_the_headline_of_a_later_season(sample: job.Fleet, sample_ageing: FleetAgeing) -> None:
    at = opened("season")
    year = sample.coming_season().year + 2
    at = at.selectbox(key="season").set_value(year).run()
    later = job.boats_at_risk(sample, sample_ageing, year)
    low, high = later.likely_range
    headline = next(one.value for one in at.subheader if "expected" in one.value)
    assert f"About {later.expected:.0f} failures" in headline
    assert f"{year} (likely {low} to {high})" in headline


def test_ten_boats_are_drawn_with_their_ranges_in_both_orders(risk: SeasonRisk) -> None:
    at = opened("season")
    for order, boats, column, unit in (
        ("by risk", risk.boats, "risk", 100.0),
        ("by expected cost", by_cost(risk.boats), "expected_cost", 1.0),
    ):
        at = at.radio(key="order").set_value(order).run()
        (chart,) = charts(at)
        ranges, dots = chart["data"][-3], chart["data"][-2]
        top = boats.head(10)
        assert [name.split("<br>")[0] for name in dots["y"]] == list(top["boat"])
        assert values(dots["x"]) == pytest.approx(top[column].to_numpy() * unit)
        ends = np.concatenate([top[f"{column}_low"], top[f"{column}_high"]]) * unit
        assert values(ranges["x"]) == pytest.approx(ends)
        table = at.dataframe[0].value
        assert list(table["Boat"]) == list(top["boat"])
        for shown, meant in (
            ("Before", "risk_before"),
            ("By season's end", "risk_by_end"),
            ("May already be worn", "risk_hidden"),
        ):
            assert table[shown].to_numpy() == pytest.approx(top[meant].to_numpy() * 100)
        first = top.iloc[0]
        assert first["boat"] in next(one.value for one in at.markdown if "**, " in one.value)
        says = "contributes most to the cost" if order == "by expected cost" else "most. The"
        assert any(says in caption.value for caption in at.caption)


def test_how_sure_every_kind_is(sample_ageing: FleetAgeing) -> None:
    text = said(opened("season"))
    for fitted in sample_ageing.values():
        assert how_sure(fitted) in text


def test_parts_past_their_limit_are_listed(risk: SeasonRisk) -> None:
    past = risk.parts[risk.parts["past_limit"].astype(bool)]
    assert len(past), "the sample has parts past a limit, or this test says nothing"
    at = opened("season")
    table = next(one.value for one in at.dataframe if "Limit" in one.value and "Boat" in one.value)
    assert sorted(table.loc[table["Past it"] == "now", "Boat"]) == sorted(past["boat"])
    by_end = risk.parts[risk.parts["past_limit_by_end"].astype(bool)]
    assert sorted(table["Boat"]) == sorted(by_end["boat"])
    at_lift = int(risk.parts["past_limit_at_lift"].sum())
    said_so = (
        f"{len(past)} parts are past a limit now; {at_lift - len(past)} more reach it by the lift "
        f"of 15 January 2027, {len(by_end) - at_lift} more by 31 October 2027."
    )
    assert said_so in said(at)


def test_what_comes_before_the_season_is_said(risk: SeasonRisk) -> None:
    text = said(opened("season"))
    assert (
        f"Besides these, about {risk.expected_before:.0f} parts may fail or prove worn before the "
        f"season; {risk.expected_hidden:.0f} of them"
    ) in text
    before = "Before: the chance that it has already failed, or fails, before 1 April 2027."
    for page in ("season", "boats"):
        (caption,) = (one.value for one in opened(page).caption if one.value.startswith("Before"))
        assert caption.startswith(f"{before} Most parts: from 1 November 2026. Cutless bearing: ")


def test_the_survival_figure_is_the_fitted_one(sample_ageing: FleetAgeing) -> None:
    fitted = sample_ageing["bellows", "all"]
    survival, hazard = charts(turned_to(opened("ageing"), "curves"))
    line = named(survival, "fitted")
    ages = values(line["x"])
    expected = survival_and_hazard(fitted, fitted.posterior, ages)
    assert values(line["y"]) == pytest.approx(expected["survival"].to_numpy() * 100)
    entry, exit, _, _ = drawn_lives(fitted.nodes)
    # Dashed from where no life of known age was watched.
    assert ages[-1] <= exit.max() < values(named(survival, "past the oldest age watched")["x"])[1]
    watched = next(trace for trace in survival["data"] if trace.get("mode") == "text")
    ticks = np.maximum(values(watched["x"]), 1e-9)
    assert [int(text) for text in watched["text"]] == list(at_risk(entry, exit, ticks))
    styles = {named(hazard, name)["line"]["dash"] for name in ("wear-out", "bad fit")}
    assert len(styles) == 2


def test_the_figures_of_a_kind_carry_their_intervals(sample_ageing: FleetAgeing) -> None:
    fitted = sample_ageing["bellows", "all"]
    figures = key_figures(fitted)
    life, shape = figures.life_10, figures.shape
    table = turned_to(opened("ageing"), "curves").table[0].value
    assert table.loc["10 % have failed by", "With the records"] == (
        f"{life.median:.1f} years ({life.low:.1f} to {life.high:.1f})"
    )
    assert table.loc["Shape", "With the records"] == (
        f"{shape.median:.1f} ({shape.low:.1f} to {shape.high:.1f})"
    )
    assert fitted.likelihood is not None
    assert (
        table.loc["Shape", "Most likely, records alone (no range)"]
        == f"{fitted.likelihood.shape:.1f}"
    )


def test_a_filter_fits_the_chosen_lives_again(
    sample: job.Fleet, sample_ageing: FleetAgeing
) -> None:
    at = turned_to(opened("ageing"), "curves")
    at = at.selectbox(key="field").set_value("base").run()
    base = "Quillhaven"
    at = at.selectbox(key="value of base").set_value(base).run()
    whole = sample_ageing["bellows", "all"]
    chosen = kind_ageing(sample.lives, whole.table[whole.table["base"] == base])
    assert 0 < chosen.lives < whole.lives
    assert f"{chosen.lives} of {whole.lives} are left" in at.info[0].value
    line = named(charts(at)[0], "fitted")
    expected = survival_and_hazard(chosen, chosen.posterior, values(line["x"]))
    assert values(line["y"]) == pytest.approx(expected["survival"].to_numpy() * 100)


def test_a_kind_with_an_hours_limit_in_years_says_where_it_lies(
    sample_ageing: FleetAgeing,
) -> None:
    at = turned_to(opened("ageing"), "curves")
    at = at.selectbox(key="kind").set_value(("lip_seal", "all")).run()
    fitted = sample_ageing["lip_seal", "all"]
    assert fitted.kind.limit_years == 7
    notes = [note["text"] for note in charts(at)[0]["layout"]["annotations"]]
    assert any(f"about {7 * fitted.units_per_year:,.0f} hours" in note for note in notes)


def test_boats_can_be_filtered_and_counted_by_kind(
    sample: job.Fleet, sample_ageing: FleetAgeing
) -> None:
    at = opened("boats")
    at = at.multiselect(key="kinds").set_value(["bellows"]).run()
    at = at.number_input(key="least").set_value(5).run()
    bellows = {key: one for key, one in sample_ageing.items() if key[0] == "bellows"}
    boats = job.boats_at_risk(sample, bellows).boats
    left = boats[boats["risk"] >= 0.05]
    assert 0 < len(left) < len(boats)
    table = at.dataframe[0].value
    assert list(table["Boat"]) == list(left["boat"])
    assert table["Risk"].to_numpy() == pytest.approx(left["risk"].to_numpy() * 100)
    total = len(job.boats_at_risk(sample, sample_ageing).boats)
    assert f"{len(left)} boats with these kinds at a risk of 5 % or more, of {total}." in said(at)
    at = at.number_input(key="least").set_value(100).run()
    assert not at.exception
    assert f"The highest with these kinds is {boats['boat'].iloc[0]}" in at.info[0].value
    assert "lower “Risk at least”" in at.info[0].value


def test_the_count_of_boats_names_the_base(risk: SeasonRisk) -> None:
    base = risk.boats["base"].iloc[0]
    at = opened("boats")
    at = at.multiselect(key="bases").set_value([base]).run()
    number = int((risk.boats["base"] == base).sum())
    assert f"{number} boats of {base}, of {len(risk.boats)}." in said(at)


def test_what_was_chosen_of_boats_outlasts_other_pages(risk: SeasonRisk) -> None:
    base = risk.boats["base"].iloc[0]
    of_base = risk.boats[risk.boats["base"] == base]
    at = opened("boats")
    at = at.multiselect(key="bases").set_value([base]).run()
    at = at.selectbox(key="boat").set_value(of_base["boat"].iloc[2]).run()
    at = at.radio(key="boats order").set_value("by expected cost").run()
    for elsewhere in ("season", "budget", "records"):
        at = turned(at, elsewhere)
    at = turned(at, "boats")
    assert at.multiselect(key="bases").value == [base]
    assert at.selectbox(key="boat").value == of_base["boat"].iloc[2]
    assert at.radio(key="boats order").value == "by expected cost"


def test_a_later_season_says_first_what_it_supposes(sample: job.Fleet) -> None:
    at = opened("season")
    assert "Parts budget" not in " ".join(one.value for one in at.warning)
    at = at.selectbox(key="season").set_value(sample.coming_season().year + 1).run()
    for page in ("season", "boats"):
        assert "nothing is renewed until then" in turned(at, page).warning[0].value


def test_a_boat_shows_its_parts_and_a_part_its_age_on_the_curve(risk: SeasonRisk) -> None:
    at = opened("boats")
    boat = risk.boats["boat"].iloc[3]
    at = at.selectbox(key="boat").set_value(boat).run()
    parts = risk.parts[risk.parts["boat"] == boat].sort_values("risk", ascending=False)
    table = at.dataframe[1].value
    assert table["Risk"].to_numpy() == pytest.approx(parts["risk"].to_numpy() * 100)
    sources = at.dataframe[2].value["Source"]
    assert list(sources) == [source.replace(":", " row ") for source in parts["source"]]
    mark = values(named(charts(at)[0], "this part")["x"])
    first = parts.iloc[0]
    assert first["age_low"] <= mark[0] == mark[1] <= first["age_high"]


def test_a_part_says_what_the_records_hold_of_its_age(
    risk: SeasonRisk, sample: job.Fleet, sample_ageing: FleetAgeing
) -> None:
    # The oldest part on its clock that is past a limit: few lives were watched so long.
    past = risk.parts[risk.parts["past_limit"].astype(bool)]
    row = past.sort_values("age_high").query("kind == 'bellows'").iloc[-1]
    at = opened("boats")
    at = at.selectbox(key="boat").set_value(row["boat"]).run()
    of_boat = risk.parts[risk.parts["boat"] == row["boat"]].sort_values("risk", ascending=False)
    place = list(zip(of_boat["kind"], of_boat["position"], strict=True)).index(
        (row["kind"], row["position"])
    )
    at = at.selectbox(key=f"part of {row['boat']}").set_value(place).run()
    text, fitted = said(at), sample_ageing[row["kind"], row["group"]]
    assert f"past its limit of {row['limit']:g} years" in text
    assert f"and {percent(row['risk_before'])} before that" in text
    age = (row["age_low"] + row["age_high"]) / 2
    curve = survival_and_hazard(fitted, fitted.posterior, np.array([age])).iloc[0]
    said_so = f"The curve says that about {percent(1 - curve['survival'])} of typical parts fail"
    assert said_so in text
    assert "hold the steps against the dotted line" in text
    drawn = next(
        each
        for each in charts(at)
        if any(trace.get("name") == figures.SAME_MIX for trace in each["data"])
    )
    mix = named(drawn, figures.SAME_MIX)
    ages_drawn = values(mix["x"])
    watched_so = as_watched(
        fitted.posterior,
        fitted.nodes,
        fitted.table,
        ages_drawn,
        units_per_year=fitted.units_per_year,
    )
    assert values(mix["y"]) == pytest.approx(watched_so["survival"].to_numpy() * 100)
    assert (
        f"(likely {percent(1 - curve['survival_high'])} to {percent(1 - curve['survival_low'])})"
        in text
    )
    entry, exit, _, _ = drawn_lives(fitted.nodes)
    (watched,) = at_risk(entry, exit, np.array([age]))
    assert (f"Only {watched} li" in text) == (0 < watched < 10)
    alone = kind_ageing(sample.lives, fitted.table[fitted.table["base"] == row["base"]])
    life = key_figures(alone).life_10
    said_alone = f"{row['base']} alone: 10 % by {life.median:.1f} years ({life.low:.1f} to"
    assert (said_alone in text) == (alone.worn_out >= 3)
    assert "Curve of all bases" in text


def test_what_was_read_adds_up(sample: job.Fleet) -> None:
    at = opened("records")
    assert sample.reconciliation() in [one.value for one in at.subheader]
    counts = at.dataframe[0].value
    sums = counts[["Used", "Merged", "Rejected", "Ignored"]].sum(axis=1)
    assert list(sums) == list(counts["Rows read"])
    files = at.dataframe[1].value
    assert list(files["File"]) == list(sample.records.files["file"])
    assert set(files["Between cells"]) == {"comma"}
    findings = sample.findings()
    assert len(_each_finding(at)) == len(findings)
    at = at.multiselect(key="done").set_value(["rejected"]).run()
    assert len(_each_finding(at)) == (findings["done"] == "rejected").sum()


def _each_finding(at: AppTest) -> pd.DataFrame:
    return next(one.value for one in at.dataframe if "Done" in one.value)


def test_findings_are_grouped_as_the_command_groups_them(sample: job.Fleet) -> None:
    at = opened("records")
    groups = attention_of(sample)
    table = next(one.value for one in at.dataframe if "It does" in one.value)
    assert list(table["What was found"]) == list(groups["says"])
    for group, touched in zip(groups["group"], groups["rows_touched"], strict=True):
        at = at.selectbox(key="finding group").set_value(group).run()
        assert not at.error
        rows = {(one.file, row) for one in findings_in(sample, group) for row in one.rows}
        # A finding about parts of several kinds stands in the group of each.
        assert len(rows) >= touched
        if touched:
            listed = next(one.value for one in at.dataframe if "The row as it stands" in one.value)
            assert len(listed) >= min(len(rows), 500)


def test_uploaded_files_do_what_the_folder_does(
    monkeypatch: pytest.MonkeyPatch, sample_files: dict[str, bytes], risk: SeasonRisk
) -> None:
    monkeypatch.delenv("TIDEWORN_FOLDER")
    at = opened("season")
    assert at.error
    files = [(name, content, "text/csv") for name, content in sample_files.items()]
    at = (
        at.file_uploader(key="uploaded")
        .set_value([*files, ("notes.csv", b"a\n", "text/csv")])
        .run()
    )
    assert f"About {risk.expected:.0f} failures" in said(at)
    assert any("notes.csv" in warning.value for warning in at.warning)


def test_an_uploaded_workbook_does_what_the_folder_does(
    monkeypatch: pytest.MonkeyPatch,
    sample: job.Fleet,
    sample_files: dict[str, bytes],
    risk: SeasonRisk,
) -> None:
    monkeypatch.delenv("TIDEWORN_FOLDER")
    tables = {
        name.removesuffix(".csv"): typed(rows_of(content))
        for name, content in sample_files.items()
        if name.endswith(".csv")
    }
    book = xlsx({**tables, "notes": [["Call the yard"]]})
    uploaded = [
        ("![x](y).xlsx", book, ""),  # a name that would draw a picture
        ("fleet.toml", sample_files["fleet.toml"], ""),
        ("~$fleet.xlsx", b"", ""),
    ]
    at = opened("season").file_uploader(key="uploaded").set_value(uploaded).run()
    assert not at.error
    assert f"About {risk.expected:.0f} failures" in said(at)
    at = turned(at, "records")
    assert "665 lives" in at.subheader[0].value
    assert ".xlsx, sheet parts read" in at.subheader[0].value
    assert not at.warning  # one of its sheets is left alone, the workbook is not
    files = at.dataframe[1].value
    assert list(files["Sheet"][:2]) == ["boats", "parts"]
    assert "left alone" in list(files["Taken for"])
    for element in [*at.markdown, *at.caption, *at.warning, *at.subheader]:
        assert "![x](" not in element.value


def test_two_uploaded_files_of_one_name_are_refused(
    monkeypatch: pytest.MonkeyPatch, sample_files: dict[str, bytes]
) -> None:
    monkeypatch.delenv("TIDEWORN_FOLDER")
    files = [(name, content, "text/csv") for name, content in sample_files.items()]
    at = opened("season").file_uploader(key="uploaded").set_value([*files, files[0]]).run()
    assert "two uploaded files of this name" in said(at)


def test_what_was_chosen_is_kept_on_the_way_through_the_pages(sample: job.Fleet) -> None:
    at = opened("season")
    year = sample.coming_season().year + 1
    at = at.selectbox(key="season").set_value(year).run()
    at = turned(turned(at, "records"), "season")
    assert at.selectbox(key="season").value == year


def test_tables_of_the_pages_hold_no_number_as_text(risk: SeasonRisk) -> None:
    # A column of texts would sort "9" after "10".
    table = opened("boats").dataframe[0].value
    for column in ("Risk", "Before", "By season's end", "Cost", "Past limit"):
        assert pd.api.types.is_numeric_dtype(table[column])
    assert not any("range" in column.lower() for column in table)
