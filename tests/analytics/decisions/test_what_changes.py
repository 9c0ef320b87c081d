"""What would change a boat's season: which cases are looked at, and what they come to in money."""

from datetime import date

import pandas as pd
import pytest

from analytics import job
from analytics.ageing.fit import FleetAgeing
from analytics.decisions.prices import price_list
from analytics.decisions.what_changes import (
    AT_LIFT,
    FITTED,
    RENEWED,
    RENEWED_ALL,
    STANDS,
    TODAY,
    Case,
    cases_of,
    cases_table,
    season_with,
)
from analytics.outlook.season import SeasonRisk
from analytics.outlook.with_this import BoatAhead, Renewed, boat_ahead, renewal_day
from analytics.records.seasons import Season


@pytest.fixture(scope="module")
def risk(sample: job.Fleet, sample_ageing: FleetAgeing) -> SeasonRisk:
    return job.boats_at_risk(sample, sample_ageing, own={})


def ahead_of(sample: job.Fleet, ageing: FleetAgeing, risk: SeasonRisk, boat: str) -> BoatAhead:
    return boat_ahead(sample.lives, ageing, risk.season, boat)


def names(cases: list[Case]) -> list[str]:
    return [case.name for case in cases]


def test_an_inspection_today_is_asked_only_of_what_nobody_has_seen(
    sample: job.Fleet, sample_ageing: FleetAgeing, risk: SeasonRisk
) -> None:
    bearing = risk.parts[risk.parts["kind"] == "cutless_bearing"].iloc[0]
    hers = risk.parts[risk.parts["boat"] == bearing["boat"]]
    seal = hers[hers["kind"] != "cutless_bearing"].iloc[0]
    ahead = ahead_of(sample, sample_ageing, risk, bearing["boat"])
    shown = [names(cases_of(ahead, int(part["life"]), hers)) for part in (bearing, seal)]
    assert shown[0][:4] == [STANDS, TODAY, AT_LIFT, RENEWED]
    assert shown[1][:3] == [STANDS, AT_LIFT, RENEWED]
    assert TODAY not in shown[1]


def test_every_year_of_a_wide_window_is_a_case(
    sample: job.Fleet, sample_ageing: FleetAgeing, risk: SeasonRisk
) -> None:
    width = risk.parts["start_hi"] - risk.parts["start_lo"]
    vague = risk.parts.loc[width.idxmax()]
    ahead = ahead_of(sample, sample_ageing, risk, vague["boat"])
    hers = risk.parts[risk.parts["boat"] == vague["boat"]]
    life, prices = int(vague["life"]), price_list(sample.records)
    cases = cases_of(ahead, life, hers)
    years = [case for case in cases if case.name == FITTED]
    assert len(years) == vague["start_hi"].year - vague["start_lo"].year + 1
    table = cases_table(ahead, life, cases, prices)
    fitted = table[table["case"] == FITTED]
    assert fitted["on"].min() == vague["start_lo"]
    assert fitted["until"].max() == vague["start_hi"]
    # As things stand is between what the years would give.
    stands = table[table["case"] == STANDS].iloc[0]
    for name in ("part_risk", "boat_risk"):
        assert fitted[name].min() < stands[name] < fitted[name].max()
    assert stands["part_risk"] == vague["risk"]


def test_all_parts_past_their_limit(
    sample: job.Fleet, sample_ageing: FleetAgeing, risk: SeasonRisk
) -> None:
    past = risk.parts[risk.parts["past_limit_at_lift"].astype(bool)].iloc[0]
    hers = risk.parts[risk.parts["boat"] == past["boat"]]
    other = hers[~hers["past_limit_at_lift"].astype(bool)].iloc[0]
    ahead = ahead_of(sample, sample_ageing, risk, past["boat"])
    life, prices = int(other["life"]), price_list(sample.records)
    cases = cases_of(ahead, life, hers)
    table = cases_table(ahead, life, cases, prices).set_index("case")
    number = int(hers["past_limit_at_lift"].sum())
    assert table.at[RENEWED, "renewed"] == 1
    assert table.at[RENEWED_ALL, "renewed"] == 1 + number
    assert table.at[RENEWED_ALL, "boat_risk"] < table.at[RENEWED, "boat_risk"]
    # Asked of the part itself there is nothing more to renew than it.
    if number == 1:
        assert RENEWED_ALL not in names(cases_of(ahead, int(past["life"]), hers))
    # By hand: part and labour of both, each as if done alone.
    rates = sample.records.settings.rates
    both = [prices.of(part["kind"], part["part_no"]).planned(rates) for part in (other, past)]
    if number == 1:
        assert table.at[RENEWED_ALL, "planned_cost"] == pytest.approx(sum(both))
    assert table.at[RENEWED, "planned_cost"] == pytest.approx(both[0])
    assert table.at[STANDS, "planned_cost"] == 0.0
    lift = renewal_day(risk.season, sample.lives.as_of)
    after = season_with(ahead, {int(past["life"]): Renewed(lift)}, prices).parts
    assert not after.loc[after["life"] == past["life"], "past_limit_at_lift"].any()


def test_the_first_line_is_the_one_of_the_page(
    sample: job.Fleet, sample_ageing: FleetAgeing, risk: SeasonRisk
) -> None:
    boat = risk.boats.iloc[2]
    part = risk.parts[risk.parts["boat"] == boat["boat"]].iloc[0]
    ahead = job.boat_ahead_of(sample, sample_ageing, boat["boat"], own={}, risk=risk)
    table = job.what_would_change(sample, ahead, int(part["life"]))
    assert table["case"].iloc[0] == STANDS
    first = table.iloc[0]
    for name in ("risk", "risk_low", "risk_high", "risk_before", "risk_by_end"):
        assert first[f"part_{name}"] == part[name]
        assert first[f"boat_{name}"] == boat[name]
    assert first["expected_cost"] == pytest.approx(boat["expected_cost"])
    assert first["expected_lost_days"] == pytest.approx(boat["expected_lost_days"])
    # What is asked for is added, unless it stands there already.
    again = Case(
        RENEWED, {int(part["life"]): Renewed(renewal_day(risk.season, sample.lives.as_of))}
    )
    later = Case(RENEWED, {int(part["life"]): Renewed(risk.season.start)})
    longer = job.what_would_change(sample, ahead, int(part["life"]), (again, later))
    assert len(longer) == len(table) + 1
    assert longer["on"].iloc[-1] == pd.Timestamp(risk.season.start)


def test_the_next_lift_once_the_season_has_begun() -> None:
    season = Season(2027, date(2027, 4, 1), date(2027, 10, 31), date(2026, 10, 31),
                    date(2027, 1, 15))  # fmt: skip
    assert renewal_day(season, date(2026, 11, 3)) == date(2027, 1, 15)
    assert renewal_day(season, date(2027, 1, 15)) == date(2027, 1, 16)
    assert renewal_day(season, date(2027, 6, 1)) == date(2027, 6, 2)
