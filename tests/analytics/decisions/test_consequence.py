"""What a failure costs, by hand, and which parts are past their limit."""

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from analytics.ageing.fit import Ageing
from analytics.ageing.posterior import point
from analytics.decisions.consequence import (
    _with_luck,
    by_cost,
    days_lost,
    failure_cost,
    failure_costs_all_year,
)
from analytics.decisions.prices import UNPRICED, Price
from analytics.decisions.replacement_groups import lift_of
from analytics.job import Fleet, boats_at_risk, how_it_ages
from analytics.outlook.season import SeasonRisk
from analytics.records.kinds import KINDS
from analytics.records.settings import Rates
from tests.analytics.ageing.folders import fleet_of

RATES = Rates(
    labour_per_hour=80.0, emergency_multiplier=1.5, lift_and_launch=600.0, tow=1000.0,
    lost_day=400.0, lost_days=3.0,
)  # fmt: skip
MONEY = (
    "[rates]\nlabour_per_hour = 80\nemergency_multiplier = 1.5\nlift_and_launch = 600\n"
    "tow = 1000\nlost_day = 400\nlost_days = 3\n"
)
PRICES = ["bellows,,200,5,10", "packed_gland,,5,0.5,10"]


def test_a_failure_that_stops_the_boat_by_hand() -> None:
    # Part 200; labour 5 x 80 and lift 600, one and a half times; tow 1000; three days of 400.
    expected = 200 + (400 + 600) * 1.5 + 1000 + 1200
    assert failure_cost(KINDS["bellows"], Price(200.0, 5.0, 10.0), RATES) == expected


def test_consequence_and_budget_price_the_same_work() -> None:
    price = Price(30.0, 2.0, 10.0)
    for name in ("packed_gland", "cutless_bearing"):
        assert failure_cost(KINDS[name], price, RATES) == price.unplanned(KINDS[name], RATES)


def test_a_failure_found_ashore_costs_part_and_labour() -> None:
    assert failure_cost(KINDS["cutless_bearing"], Price(90.0, 7.0, 21.0), RATES) == 90 + 7 * 80


def test_without_prices_the_lost_days_remain() -> None:
    assert failure_cost(KINDS["bellows"], UNPRICED, RATES) == 600 * 1.5 + 1000 + 1200
    assert np.isnan(failure_cost(KINDS["cutless_bearing"], UNPRICED, RATES))


@pytest.fixture(scope="module")
def fleet() -> Fleet:
    # B: packing, the likeliest of all to fail in a season, and the cheapest.
    return fleet_of(
        [
            "A,single,bellows,,,2016-06-01",
            "B,single,packed_gland,,,2024-01-01",
            "C,port,bellows,,,2014..2018",
            "C,starboard,bellows,,,2016-07-02",
            "D,single,bellows,,,2016-06-30",
            "D,single,gland_hose,,,2012-07-01",
            "E,single,lip_seal,,,2017-01-01",
        ],
        MONEY,
        prices=PRICES,
    )


def known_ages(fleet: Fleet) -> dict[tuple[str, str], Ageing]:
    scale = {"bellows": 14.0, "packed_gland": 60.0, "gland_hose": 16.0, "lip_seal": 4000.0}
    return {
        key: replace(fitted, posterior=point(fitted.kind, np.log(3.0), np.log(scale[key[0]])))
        for key, fitted in how_it_ages(fleet).items()
    }


@pytest.fixture(scope="module")
def risk(fleet: Fleet) -> SeasonRisk:
    return boats_at_risk(fleet, known_ages(fleet))


def part(risk: SeasonRisk, boat: str, position: str = "single", kind: str = "") -> pd.Series:
    parts = risk.parts
    chosen = (parts["boat"] == boat) & (parts["position"] == position)
    return parts[chosen & (parts["kind"].eq(kind) | (kind == ""))].iloc[0]


def test_risk_times_consequence(risk: SeasonRisk) -> None:
    bellows, packing = part(risk, "A"), part(risk, "B")
    assert bellows["consequence"] == 200 + (400 + 600) * 1.5 + 2200
    # Packing is renewed afloat, out of turn, and no charter is lost.
    assert packing["consequence"] == 5 + 0.5 * 80 * 1.5
    assert bellows["expected_cost"] == pytest.approx(bellows["risk"] * bellows["consequence"])
    boats = risk.boats.set_index("boat")
    twins = part(risk, "C", "port")["expected_cost"] + part(risk, "C", "starboard")["expected_cost"]
    assert boats.at["C", "expected_cost"] == pytest.approx(twins)


def test_the_two_orders_differ(risk: SeasonRisk) -> None:
    by_risk = risk.boats["boat"].tolist()
    costs = by_cost(risk.boats)
    assert by_risk[0] == "B"
    assert costs["boat"].iloc[0] != "B"
    assert costs["expected_cost"].is_monotonic_decreasing
    assert sorted(costs["boat"]) == sorted(by_risk)


def test_boats_of_one_cost_come_by_name() -> None:
    boats = pd.DataFrame({"boat": ["Z", "A", "M"], "expected_cost": [5.0, 5.0, 9.0]})
    assert by_cost(boats)["boat"].tolist() == ["M", "A", "Z"]


def test_past_the_limit_on_the_older_bound_of_the_age(risk: SeasonRisk) -> None:
    # Watched to 2024-06-30, limit of a bellows eight years: 2016-06-30 is 2922 days back, that is
    # 8.0 years of 365.25; 2016-07-02 two days short of it; 2014..2018 could be ten years old.
    assert part(risk, "D", kind="bellows")["past_limit"]
    assert not part(risk, "C", "starboard")["past_limit"]
    assert part(risk, "C", "port")["past_limit"]
    # A gland hose has twelve: 2012-07-01 is a day short of them. Packing has no limit.
    assert not part(risk, "D", kind="gland_hose")["past_limit"]
    assert not part(risk, "B")["past_limit"]
    assert np.isnan(part(risk, "B")["limit"])
    boats = risk.boats.set_index("boat")["past_limit"]
    assert boats[["B", "C", "D"]].tolist() == [0, 1, 1]


def test_a_calendar_limit_on_a_part_that_ages_by_hours(risk: SeasonRisk) -> None:
    # A lip seal has seven years: 2017-01-01 is 7.5 back.
    seal = part(risk, "E")
    assert (seal["limit"], seal["limit_unit"], seal["past_limit"]) == (7.0, "years", True)


def test_whichever_of_two_limits_comes_first() -> None:
    # Seven years are over while the shaft has run 2,250 of 9,000 hours, and the other way round.
    rows = ["A,single,lip_seal,,,2017-01-01", "B,single,lip_seal,,,2023-06-30"]
    settings = "[kinds.lip_seal]\nlimit = {}\nlimit_years = 7\n"
    many = fleet_of(rows, settings.format(9000))
    past = boats_at_risk(many, how_it_ages(many)).parts.set_index("boat")["past_limit"]
    assert past.to_dict() == {"A": True, "B": False}
    few = fleet_of(rows, settings.format(250))
    past = boats_at_risk(few, how_it_ages(few)).parts.set_index("boat")["past_limit"]
    assert past.to_dict() == {"A": True, "B": True}


def test_a_kind_may_say_what_its_failure_costs_in_days_and_tow() -> None:
    # Part 200; labour and lift one and a half times; its own tow of 250 and five days of 400.
    own = replace(KINDS["bellows"], lost_days=5.0, tow=250.0)
    price = Price(200.0, 5.0, 10.0)
    assert failure_cost(own, price, RATES) == 200 + (400 + 600) * 1.5 + 250 + 5 * 400
    assert (days_lost(own, RATES), days_lost(KINDS["bellows"], RATES)) == (5.0, 3.0)
    # None at all is something said; and damage by water is no part of any cost.
    none = replace(own, lost_days=0.0, tow=0.0, damage=90_000.0)
    assert failure_cost(none, price, RATES) == 200 + (400 + 600) * 1.5
    # A kind that does not stop the boat loses no day, whatever it says.
    packing = replace(KINDS["packed_gland"], lost_days=5.0, tow=250.0)
    assert days_lost(packing, RATES) == 0.0
    assert failure_cost(packing, price, RATES) == price.unplanned(packing, RATES)


def test_what_only_a_lift_shows_stops_no_boat_afloat() -> None:
    bearing = replace(KINDS["cutless_bearing"], stops_the_boat=True)
    assert failure_cost(bearing, Price(90.0, 7.0, 21.0), RATES) == 90 + 7 * 80
    assert days_lost(bearing, RATES) == 0.0


def test_a_failure_on_any_day_of_the_year_by_hand() -> None:
    # Part 200; labour 400 and lift 600, one and a half times; tow 1000; three days of 400.
    price, full, planned = Price(200.0, 5.0, 10.0), 200 + 1500 + 1000 + 1200, 600.0
    bellows, seal = KINDS["bellows"], KINDS["lip_seal"]
    assert failure_cost(bellows, price, RATES, 0.25) == full - 0.75 * 1200
    assert failure_cost(bellows, price, RATES, 0.25, ashore=True) == 0.25 * full + 0.75 * planned
    laid_up = fleet_of(
        ["F,single,bellows,,,2016-06-01", "A,single,bellows,,,2016-06-01"],
        MONEY,
        boats=["F,afloat", "A,ashore"],
    )
    # From 1 April to 31 October there are 214 days. Ashore an hour's kind ages by days of use,
    # 214 in the season and 2 % of each of the others.
    rows, lives = laid_up.lives.in_service(), laid_up.lives
    assert rows["boat"].tolist() == ["A", "F"]
    year = 214 / 365.25
    found = failure_costs_all_year(lives, bellows, rows, [price, price])
    expected = [year * full + (1 - year) * planned, full - (1 - year) * 1200]
    assert found == pytest.approx(expected, rel=1e-12)
    use = 214 / (214 + 0.02 * (365.25 - 214))
    by_use = failure_costs_all_year(lives, seal, rows, [price, price])
    expected = [use * full + (1 - use) * planned, full - (1 - year) * 1200]
    assert by_use == pytest.approx(expected, rel=1e-12)


def test_lost_charter_days(risk: SeasonRisk) -> None:
    parts, boats = risk.parts, risk.boats.set_index("boat")
    assert part(risk, "A")["lost_days"] == 3.0
    assert part(risk, "B")["lost_days"] == 0.0
    expected = parts["risk"].astype(float) * parts["lost_days"]
    assert parts["expected_lost_days"].to_numpy() == pytest.approx(expected.to_numpy())
    twins = sum(part(risk, "C", side)["expected_lost_days"] for side in ("port", "starboard"))
    assert boats.at["C", "expected_lost_days"] == pytest.approx(twins)
    assert boats.at["B", "expected_lost_days"] == 0.0
    fleet_row = risk.bases.iloc[-1]
    assert fleet_row["expected_lost_days"] == pytest.approx(expected.sum())
    assert fleet_row["expected_cost"] == pytest.approx(parts["expected_cost"].sum())


def test_what_a_season_may_cost_with_luck_on_top(risk: SeasonRisk) -> None:
    # The mean of the seasons drawn is the expected cost, their spread that of the single failures.
    sure = replace(risk, during=np.repeat(risk.during, 20_000, axis=0))
    of_one = risk.parts[["consequence", "lost_days"]].to_numpy(dtype=float)
    cost, days = _with_luck(sure.during, of_one, [], 0)[0]
    chance = risk.during[0]
    for drawn, one in ((cost, of_one[:, 0]), (days, of_one[:, 1])):
        spread = np.sqrt((one**2 * chance * (1 - chance)).sum())
        assert drawn.mean() == pytest.approx(one @ chance, abs=4 * spread / np.sqrt(20_000))
        assert drawn.std() == pytest.approx(spread, rel=0.05)


def test_among_the_costliest_adds_up_over_boats_of_known_cost(fleet: Fleet) -> None:
    bare = replace(fleet, records=replace(fleet.records, tables={
        **fleet.records.tables, "prices.csv": fleet.records.tables["prices.csv"].iloc[:0]
    }))  # fmt: skip
    boats = boats_at_risk(bare, known_ages(fleet)).boats.set_index("boat")
    # Packing alone has no cost without a price; of the four others two places are shared.
    assert boats.index[boats["among_costliest"].isna()].tolist() == ["B"]
    assert boats["among_costliest"].sum() == pytest.approx(2.0)
    assert boats["among_worst"].sum() == pytest.approx(2.0)


def test_columns_that_files_had_before_keep_their_order(risk: SeasonRisk) -> None:
    parts, boats = list(risk.parts.columns), list(risk.boats.columns)
    assert parts[:14] == [
        "boat", "position", "kind", "age_low", "age_high", "clock", "risk", "risk_low",
        "risk_high", "risk_before", "consequence", "lives", "failures", "grade",
    ]  # fmt: skip
    assert parts.index("can_flood") < parts.index("risk_after")
    assert boats[:2] == ["boat", "base"]
    assert boats.index("costliest_position") < boats.index("risk_after")


def test_a_limit_is_reached_at_the_lift_on_the_anniversary() -> None:
    # 1,826 days from lift to lift, a quarter of a day less than five times 365.25: as the rule on
    # paper says, the fifth lift after the fitting.
    limits = "[kinds.bellows]\nlimit = 5\n[kinds.face_seal]\nlimit = false\nlimit_years = 5\n"
    head = "as_of = 2025-12-01\nrecords_from = 2005-01-01\nshaft_share = 1.0\n"
    rows = ["A,single,bellows,,,2021-01-15", "A,single,face_seal,,,2021-01-15"]
    late = ["B,single,bellows,,,2021-01-17"]
    fleet = fleet_of([*rows, *late], limits, head=head)
    parts = boats_at_risk(fleet, how_it_ages(fleet)).parts
    assert not parts["past_limit"].any()
    assert parts.groupby("boat")["past_limit_at_lift"].all().to_dict() == {"A": True, "B": False}
    assert lift_of(fleet.records.settings.kind("bellows"), 1.0) == 5.0


def test_past_the_lay_up_day_a_limit_is_reached_at_the_lift_that_can_still_take_place() -> None:
    head = "as_of = 2024-02-15\nrecords_from = 2005-01-01\nshaft_share = 1.0\n"
    rows = [f"{boat},single,bellows,,,2019-02-{day}" for boat, day in (("A", 16), ("B", 18))]
    fleet = fleet_of(rows, "[kinds.bellows]\nlimit = 5\n", head=head)
    parts = boats_at_risk(fleet, how_it_ages(fleet)).parts.set_index("boat")
    assert not parts["past_limit"].any()
    assert parts["past_limit_at_lift"].to_dict() == {"A": True, "B": False}
