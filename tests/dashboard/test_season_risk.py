"""The season by base, the truly worst boats, lost days, and what would change a boat's risk."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from pathlib import Path
from types import MappingProxyType

import pandas as pd
import pytest
from streamlit.testing.v1 import AppTest

from analytics import job
from analytics.ageing.fit import FleetAgeing
from analytics.decisions.what_changes import FITTED, RENEWED, STANDS, TODAY
from analytics.outlook.season import SeasonRisk
from analytics.outlook.with_this import Dated, Passed, Renewed
from analytics.papers.season_counts import bridge
from analytics.papers.words import percent
from dashboard import fleet_words, risk_tables, risk_words, with_this_words
from tests.dashboard.pages import charts, opened, said, turned, values


@pytest.fixture(autouse=True)
def _folder(monkeypatch: pytest.MonkeyPatch, sample_folder: Path) -> None:
    monkeypatch.setenv("TIDEWORN_FOLDER", str(sample_folder))


@pytest.fixture(scope="module")
def risk(sample: job.Fleet, sample_ageing: FleetAgeing) -> SeasonRisk:
    return job.boats_at_risk(sample, sample_ageing)


def table_with(at: AppTest, column: str) -> pd.DataFrame:
    return next(one.value for one in at.dataframe if column in one.value)


def test_the_season_page_tells_the_bases_and_who_is_truly_worst(risk: SeasonRisk) -> None:
    at = opened("season")
    bases = table_with(at, "After it")
    assert bases["Base"].tolist() == risk.bases["base"].tolist()
    for shown, meant in (
        ("Before the season", "expected_before"),
        ("In the season", "expected_in_season"),
        ("After it", "expected_after"),
        ("Lost days", "expected_lost_days"),
    ):
        assert bases[shown].to_numpy() == pytest.approx(risk.bases[meant].to_numpy())
    for order, column in (("by risk", "among_worst"), ("by expected cost", "among_costliest")):
        at = at.radio(key="order").set_value(order).run()
        boats = table_with(at, "In the worst")
        meant = risk.boats.set_index("boat")[column][boats["Boat"]] * 100
        assert boats["In the worst"].to_numpy() == pytest.approx(meant.to_numpy())
    whole = risk.bases.iloc[-1]
    text = said(at)
    assert f"EUR {whole['expected_cost']:,.0f} (likely {whole['cost_low']:,.0f}" in text
    assert f"with {whole['expected_lost_days']:,.0f} charter days" in text
    assert fleet_words.SOUND_WHEN_SEEN in text


def test_who_is_truly_among_the_worst_is_said_by_number() -> None:
    share = [0.99, 0.95, 0.6, 0.3, 0.16]
    boats = pd.DataFrame({"boat": list("ABCDE"), "among_worst": share})
    told = fleet_words.among(boats, 3, costly=False)
    assert "Of the 3 boats that stand highest 2 are truly among the 3 worst" in told
    assert "90 % or more; the least sure is **C**, 60 %. Nearest behind them: **D**, 30 %." in told
    assert fleet_words.among(boats.head(3), 3, costly=False) == ""
    assert fleet_words.among(boats, 1, costly=False).startswith("**A** is truly the first with a")
    unpriced = boats.assign(among_costliest=[0.9, float("nan"), 0.1, float("nan"), float("nan")])
    assert "**C**" in fleet_words.among(unpriced, 1, costly=True)


def test_the_third_order_counts_what_has_failed_already(risk: SeasonRisk) -> None:
    meant = risk.boats.sort_values(["risk_by_end", "boat"], ascending=[False, True])
    worn = risk.parts.sort_values("risk_hidden").iloc[-1]
    at = opened("season")
    at = at.radio(key="order").set_value("by the season's end").run()
    assert not at.exception
    boats = table_with(at, "By season's end")
    assert boats["Boat"].tolist() == meant["boat"].head(10).tolist()
    assert boats["By season's end"].to_numpy() == pytest.approx(
        meant["risk_by_end"].head(10).to_numpy() * 100
    )
    # The bearing most likely worn already is among them, though not by risk.
    assert worn["boat"] in boats["Boat"].tolist()
    first = risk.parts[risk.parts["boat"] == meant["boat"].iloc[0]]
    likely = first.sort_values("risk_by_end").iloc[-1]
    assert boats["Most from"].iloc[0].startswith(likely["kind"].replace("_", " "))
    text = said(at)
    assert f"**{meant['boat'].iloc[0]}**, {percent(meant['risk_by_end'].iloc[0])}" in text
    assert risk_words.WORN_BELONG in text
    (chart,) = charts(at)
    dots = chart["data"][-2]
    assert values(dots["x"]) == pytest.approx(meant["risk_by_end"].head(10).to_numpy() * 100)
    assert "by the season's end" in chart["layout"]["xaxis"]["title"]["text"]
    at = turned(at, "boats")
    at = at.radio(key="boats order").set_value("by the season's end").run()
    assert not at.exception
    assert table_with(at, "By season's end")["Boat"].tolist() == meant["boat"].tolist()


def test_the_number_of_failures_is_bridged_to_those_of_other_pages(
    sample: job.Fleet, risk: SeasonRisk
) -> None:
    settings = sample.records.settings
    unseen = risk.parts["kind"] == "cutless_bearing"
    of_kind = risk.parts["risk"].groupby(unseen).sum()
    told = bridge(risk, settings)
    assert told.startswith(f"About {of_kind[False]:.0f} of these failures would be seen afloat;")
    assert f"about {of_kind[True]:.0f} would be wear (cutless bearing) that only a lift" in told
    assert "the budget counts renewals over the season year" in told
    afloat = replace(risk, parts=risk.parts[~unseen])
    assert bridge(afloat, settings).startswith("All of these failures would be seen afloat;")
    assert told in said(opened("season"))


def test_costs_without_prices_say_what_they_leave_out(risk: SeasonRisk) -> None:
    left_out = "cost, without parts and their labour, which have no price, EUR"
    assert left_out in fleet_words.lost(risk, "EUR", priced=False)
    assert "without parts" not in fleet_words.lost(risk, "EUR")


def test_a_part_past_a_limit_in_years_shows_its_age_in_years(
    sample: job.Fleet, risk: SeasonRisk
) -> None:
    as_of, settings = sample.records.as_of, sample.records.settings
    clocks = risk.parts["kind"].map(lambda kind: settings.kind(kind).clock)
    by_hours = risk.parts[(risk.parts["limit_unit"] == "years") & (clocks == "hours")]
    known = by_hours[by_hours["start_lo"] == by_hours["start_hi"]].head(1)
    html = risk_tables.parts(known, settings, as_of).to_html()
    days = (as_of - known["start_lo"].iloc[0].date()).days
    assert f">{days / 365.25:.1f} years<" in html
    in_hours = risk.parts[risk.parts["kind"] == "cutless_bearing"].head(1)
    assert " h<" in risk_tables.parts(in_hours, settings, as_of).to_html()


def test_damage_by_water_is_told_where_it_was_stated_and_never_averaged(
    sample: job.Fleet, risk: SeasonRisk
) -> None:
    settings = sample.records.settings
    unsaid = {name: replace(kind, damage=None) for name, kind in settings.kinds.items()}
    unsaid_settings = replace(settings, kinds=MappingProxyType(unsaid))
    assert fleet_words.damage(unsaid_settings, risk.parts) == ""
    stated = replace(settings.kind("bellows"), damage=40_000.0)
    with_it = replace(settings, kinds=MappingProxyType({**unsaid, "bellows": stated}))
    told = fleet_words.damage(with_it, risk.parts)
    assert "bellows EUR 40,000" in told
    assert "in no average" in told


def test_a_boat_says_what_would_change_her_risk(sample: job.Fleet, risk: SeasonRisk) -> None:
    width = risk.parts["start_hi"] - risk.parts["start_lo"]
    vague = risk.parts.loc[width.idxmax()]
    boat = risk.boats.set_index("boat").loc[vague["boat"]]
    at = opened("boats")
    at = at.selectbox(key="boat").set_value(vague["boat"]).run()
    hers = risk.parts[risk.parts["boat"] == vague["boat"]]
    hers = hers.sort_values("risk", ascending=False, ignore_index=True)
    at = at.selectbox(key=f"part of {vague['boat']}").set_value(
        int(hers.index[hers["life"] == vague["life"]][0])
    ).run()  # fmt: skip
    table = table_with(at, "If")
    # What a narrow screen shows first is the boat.
    assert list(table.columns[:2]) == ["If", "Boat in the season"]
    first = table.iloc[0]
    assert first["If"] == "as things stand"
    assert first["Part in the season"] == vague["risk"] * 100
    assert first["Boat in the season"] == boat["risk"] * 100
    assert first["Part by the end"] == vague["risk_by_end"] * 100
    years = [case for case in table["If"] if case.startswith("fitted in ")]
    assert years[0].startswith(f"fitted in {vague['start_hi'].year}")
    assert re.search(rf"{percent(vague['risk'])} in the season as things stand", said(at))
    # What is found out on a day of one's own becomes a line more.
    at = at.selectbox(key="what if").set_value(with_this_words.DATE).run()
    day = date(vague["start_lo"].year + 2, 5, 4)
    for end in ("last", "first", "last"):
        at = at.date_input(key=f"case {end} {vague['life']}").set_value(day).run()
    assert not at.exception
    longer = table_with(at, "If")
    assert longer["If"].iloc[-1] == f"fitted on 4 May {day.year}"
    assert len(longer) == len(table) + 1
    of_year = table.loc[table["If"] == f"fitted in {day.year}", "Part in the season"].iloc[0]
    assert longer["Part in the season"].iloc[-1] == pytest.approx(of_year, rel=0.1)
    for what in (with_this_words.PASSED, with_this_words.RENEW):
        at = at.selectbox(key="what if").set_value(what).run()
        assert not at.exception
        assert not at.error


def test_counting_one_kind_the_boat_is_that_of_the_page(
    sample: job.Fleet, sample_ageing: FleetAgeing
) -> None:
    at = opened("boats")
    at = at.multiselect(key="kinds").set_value(["face_seal"]).run()
    boats, cases = at.dataframe[0].value, table_with(at, "If")
    chosen = at.selectbox(key="boat").value
    page = boats.loc[boats["Boat"] == chosen, "Risk"].iloc[0]
    assert cases["Boat in the season"].iloc[0] == page
    seals = {key: one for key, one in sample_ageing.items() if key[0] == "face_seal"}
    of_job = job.boats_at_risk(sample, seals).boats.set_index("boat")
    assert page == of_job.at[chosen, "risk"] * 100


@pytest.mark.parametrize(
    ("case", "on", "until", "told"),
    [
        (STANDS, None, None, "as things stand"),
        (TODAY, "2026-10-31", None, "sound on 31 Oct 2026"),
        (RENEWED, "2027-01-15", None, "renewed at the lift on 15 Jan 2027"),
        (FITTED, "2014-01-01", "2014-12-31", "fitted in 2014"),
        (FITTED, "2014-03-01", "2014-12-31", "fitted in 2014 (1 Mar to 31 Dec)"),
        (FITTED, "2014-03-01", "2014-03-01", "fitted on 1 Mar 2014"),
        (FITTED, "2014-03-01", "2016-03-01", "fitted from 1 March 2014 to 1 March 2016"),
    ],
)
def test_cases_in_words(case: str, on: str | None, until: str | None, told: str) -> None:
    row = {
        "case": case,
        "on": pd.NaT if on is None else pd.Timestamp(on),
        "until": pd.NaT if until is None else pd.Timestamp(until),
        "renewed": 0,
    }
    assert with_this_words.case(row, date(2027, 1, 15)) == told


def test_changes_in_words() -> None:
    day = date(2027, 1, 15)
    assert with_this_words.change(Passed(day)) == "sound on 15 Jan 2027"
    assert with_this_words.change(Renewed(day)) == "renewed on 15 Jan 2027"
    assert with_this_words.change(Dated(day, day)) == "fitted on 15 Jan 2027"


def test_from_when_on_a_risk_counts() -> None:
    as_of, fitted = date(2026, 10, 31), pd.Timestamp("2020-03-01")

    def told(sound: str) -> str:
        return fleet_words.sound(
            pd.Series({"sound_on": pd.Timestamp(sound), "start_hi": fitted}), as_of
        )

    assert told("2026-10-31").startswith("No failure was recorded up to 31 October 2026")
    assert told("2024-02-18") == (
        "It was last known sound on 18 February 2024, so its risk begins there."
    )
    assert "since it was fitted" in told("2020-03-01")
