"""With this, the risk becomes: the same numbers as records that say so, and laws that must hold."""

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pandas as pd
import pytest
from scipy.integrate import quad

from analytics.ageing.fit import Ageing, FleetAgeing
from analytics.ageing.posterior import point
from analytics.ageing.wear.fleet_wear import FleetOwnLives
from analytics.job import Fleet, how_it_ages, own_lives_of
from analytics.lives import Lives
from analytics.outlook.season import SeasonRisk, season_risk
from analytics.outlook.with_this import (
    BoatAhead,
    Dated,
    Passed,
    Renewed,
    boat_ahead,
    renewal_day,
    why_not,
    with_this,
)
from analytics.records.seasons import Season
from tests.analytics.ageing.folders import fleet_of

RISKS = ["risk", "risk_low", "risk_high", "risk_before", "risk_hidden", "risk_by_end", "risk_after"]
SHAPE, SCALE = 4.0, 9.0
YEAR = 365.25


@pytest.fixture(scope="module")
def own(sample: Fleet, sample_ageing: FleetAgeing) -> FleetOwnLives:
    return own_lives_of(sample, sample_ageing)


@pytest.fixture(scope="module")
def whole(sample: Fleet, sample_ageing: FleetAgeing, own: FleetOwnLives) -> SeasonRisk:
    return season_risk(sample.lives, sample_ageing, sample.coming_season(), 0, own)


def looked_into(
    sample: Fleet, ageing: FleetAgeing, own: FleetOwnLives, whole: SeasonRisk, boat: str
) -> BoatAhead:
    return boat_ahead(sample.lives, ageing, whole.season, boat, 0, own, whole.read)


def boats_to_ask(whole: SeasonRisk, own: FleetOwnLives) -> list[str]:
    """Some with bearings that were measured, some with an undated part, one with a bad lot."""
    parts = whole.parts
    read = parts[parts["life"].isin([life for one in own.values() for life in one.life])]
    undated = parts[parts["start_hi"] - parts["start_lo"] > pd.Timedelta(days=400)]
    picked = [*read["boat"].head(3), *undated["boat"].head(3), *parts["boat"].tail(2)]
    assert len(read) > 10
    assert len(undated)
    return list(dict.fromkeys(picked))


def test_where_nothing_is_changed_the_season_is_the_same_to_the_last_digit(
    sample: Fleet, sample_ageing: FleetAgeing, own: FleetOwnLives, whole: SeasonRisk
) -> None:
    for boat in boats_to_ask(whole, own):
        hers = with_this(looked_into(sample, sample_ageing, own, whole, boat), {})
        page = whole.parts[whole.parts["boat"] == boat].reset_index(drop=True)
        pd.testing.assert_frame_equal(hers.parts[RISKS], page[RISKS], check_exact=True)
        row = whole.boats[whole.boats["boat"] == boat][RISKS].reset_index(drop=True)
        pd.testing.assert_frame_equal(hers.boats[RISKS], row, check_exact=True)


def test_it_is_so_without_what_was_kept_as_well(
    sample: Fleet, sample_ageing: FleetAgeing, own: FleetOwnLives, whole: SeasonRisk
) -> None:
    boat = boats_to_ask(whole, own)[0]
    alone = boat_ahead(sample.lives, sample_ageing, whole.season, boat, 0, own)
    kept = looked_into(sample, sample_ageing, own, whole, boat)
    pd.testing.assert_frame_equal(alone.risk.parts[RISKS], kept.risk.parts[RISKS])
    assert alone.risk.boats["risk"].iloc[0] == kept.risk.boats["risk"].iloc[0]


def changed(ahead: BoatAhead, life: int, change: Passed | Renewed) -> tuple[pd.Series, float]:
    """The part, and her boat's risk by the season's end; that no other part moves is seen to."""
    risk = with_this(ahead, {life: change})
    others, stood = (
        parts[parts["life"] != life][RISKS] for parts in (risk.parts, ahead.risk.parts)
    )
    pd.testing.assert_frame_equal(others, stood, check_exact=True)
    part = risk.parts[risk.parts["life"] == life].iloc[0]
    return part, float(risk.boats["risk_by_end"].iloc[0])


def test_what_must_hold_of_every_part(
    sample: Fleet, sample_ageing: FleetAgeing, own: FleetOwnLives, whole: SeasonRisk
) -> None:
    as_of = sample.lives.as_of
    lift = renewal_day(whole.season, as_of)
    worn_out = 0
    most = whole.parts["risk_worn_out"].astype(float).idxmax()
    for boat in (whole.parts["boat"][most], boats_to_ask(whole, own)[3]):
        ahead = looked_into(sample, sample_ageing, own, whole, boat)
        stands = ahead.risk
        for _, part in stands.parts.iterrows():
            life = int(part["life"])
            today, of_boat_today = changed(ahead, life, Passed(as_of))
            then, of_boat_then = changed(ahead, life, Passed(lift))
            # Whatever the hazard: to have lasted longer leaves less to fail by the same day.
            by_end = [part["risk_by_end"], today["risk_by_end"], then["risk_by_end"]]
            of_boat = [stands.boats["risk_by_end"].iloc[0], of_boat_today, of_boat_then]
            assert (np.diff(by_end) <= 1e-9).all()
            assert (np.diff(of_boat) <= 1e-9).all()
            assert today["risk_hidden"] == pytest.approx(0.0, abs=1e-12)
            new, _ = changed(ahead, life, Renewed(lift))
            assert new["age_high"] == 0.0
            if part["risk_worn_out"] > 0.1:
                worn_out += 1
                assert new["risk"] < part["risk"]
    assert worn_out, "no part of these boats wears out: this says nothing of renewals"


def of_point(fleet: Fleet, scales: dict[str, float]) -> dict[tuple[str, str], Ageing]:
    """Curves of one known Weibull each, whatever the records."""
    return {
        key: replace(fitted, posterior=point(fitted.kind, np.log(SHAPE), np.log(scales[key[0]])))
        for key, fitted in how_it_ages(fleet).items()
    }


SCALES = {"bellows": SCALE, "cutless_bearing": 3000.0}
OTHERS = [f"O{n},single,{kind},,,2016-0{n + 1}-10" for n in range(4) for kind in SCALES]


def asked(row: str, **files: list[str]) -> tuple[Fleet, FleetAgeing, Season]:
    fleet = fleet_of([row, *OTHERS], 'season_start = "04-01"\nseason_end = "10-31"\n', **files)
    return fleet, of_point(fleet, SCALES), fleet.records.settings.seasons.season(2025)


def hers(risk: SeasonRisk) -> pd.Series:
    return risk.parts[risk.parts["boat"] == "A"].iloc[0]


def life_of(lives: Lives) -> int:
    return int(lives.table.loc[lives.table["boat"] == "A", "life"].iloc[0])


def ages(fitted: date, *days: date) -> list[float]:
    return [(day - fitted).days / YEAR for day in days]


def lasting(years: float, scale: float = SCALE) -> float:
    return float(np.exp(-((years / scale) ** SHAPE)))


def test_a_date_that_is_found_does_what_a_record_of_it_does() -> None:
    vague, ageing, season = asked("A,single,bellows,,,2012..2018")
    known, same, _ = asked("A,single,bellows,,,2015-05-20")
    ahead = boat_ahead(vague.lives, ageing, season, "A")
    found = with_this(ahead, {life_of(vague.lives): Dated(date(2015, 5, 20), date(2015, 5, 20))})
    recorded = season_risk(known.lives, same, season)
    for name in RISKS:
        assert hers(found)[name] == pytest.approx(hers(recorded)[name], rel=1e-12)
    # And by hand: watched sound to 2024-06-30, the season from April to October 2025.
    now, begin, end = ages(date(2015, 5, 20), date(2024, 6, 30), season.start, date(2025, 11, 1))
    by_hand = (lasting(begin) - lasting(end)) / lasting(now)
    assert hers(found)["risk"] == pytest.approx(by_hand, rel=1e-9)


def test_a_year_that_is_found_does_what_a_record_of_it_does() -> None:
    vague, ageing, season = asked("A,single,bellows,,,2012..2018")
    known, same, _ = asked("A,single,bellows,,,2015")
    change = Dated(date(2015, 1, 1), date(2015, 12, 31))
    found = with_this(boat_ahead(vague.lives, ageing, season, "A"), {life_of(vague.lives): change})
    recorded = season_risk(known.lives, same, season)
    for name in RISKS:
        assert hers(found)[name] == pytest.approx(hers(recorded)[name], rel=1e-12)


def test_halves_of_a_window_make_up_the_whole_of_it() -> None:
    # Bayes' rule: each half weighs as its days do times the chance of having lasted until now.
    fleet, ageing, season = asked("A,single,bellows,,,2015-01-01..2016-05-01")
    first, last, middle = date(2015, 1, 1), date(2016, 5, 1), date(2015, 7, 1)
    ahead, life = boat_ahead(fleet.lives, ageing, season, "A"), life_of(fleet.lives)
    halves = [Dated(first, middle), Dated(middle, last)]
    risks = [hers(with_this(ahead, {life: half}))["risk"] for half in halves]
    now = (date(2024, 6, 30) - date(1970, 1, 1)).days

    def weight(half: Dated) -> float:
        lo, hi = ((day - date(1970, 1, 1)).days for day in (half.first, half.last))
        return float(quad(lambda day: lasting((now - day) / YEAR), lo, hi)[0])

    weights = [weight(half) for half in halves]
    assert hers(ahead.risk)["risk"] == pytest.approx(np.average(risks, weights=weights), rel=1e-5)


def test_an_inspection_that_is_passed_does_what_a_record_of_it_does() -> None:
    row = "A,single,cutless_bearing,,,2017-03-01"
    unseen, ageing, season = asked(row, lifts=["A,2019-01-10"])
    seen, same, _ = asked(row, lifts=["A,2019-01-10", "A,2024-06-30"])
    passed = {life_of(unseen.lives): Passed(date(2024, 6, 30))}
    changed = with_this(boat_ahead(unseen.lives, ageing, season, "A"), passed)
    stands, recorded = (
        season_risk(unseen.lives, ageing, season),
        with_this(boat_ahead(seen.lives, same, season, "A"), passed),
    )
    assert hers(stands)["risk_hidden"] > 0.05
    for name in RISKS:
        assert hers(changed)[name] == pytest.approx(hers(recorded)[name], rel=1e-9, abs=1e-12)
    assert hers(changed)["risk_by_end"] < hers(stands)["risk_by_end"] - 0.05


def test_an_inspection_to_come_by_hand() -> None:
    fleet, ageing, season = asked("A,single,bellows,,,2015-05-20")
    on = date(2025, 1, 15)
    risk = with_this(
        boat_ahead(fleet.lives, ageing, season, "A"), {life_of(fleet.lives): Passed(on)}
    )
    seen, begin, end = ages(date(2015, 5, 20), on, season.start, date(2025, 11, 1))
    part = hers(risk)
    assert part["risk_before"] == pytest.approx(1 - lasting(begin) / lasting(seen), rel=1e-9)
    by_hand = (lasting(begin) - lasting(end)) / lasting(seen)
    assert part["risk"] == pytest.approx(by_hand, rel=1e-9)


def test_a_renewal_to_come_by_hand() -> None:
    fleet, ageing, season = asked("A,single,bellows,,,2013-05-20")
    accidents = 0.02
    key = ("bellows", "all")
    busy = replace(ageing[key].posterior, accidents=np.array([accidents]))
    ageing = {**ageing, key: replace(ageing[key], posterior=busy)}
    ahead = boat_ahead(fleet.lives, ageing, season, "A")
    on = date(2025, 1, 15)
    part = hers(with_this(ahead, {life_of(fleet.lives): Renewed(on)}))
    begin, end = ages(on, season.start, date(2025, 11, 1))
    # Accidents wait from the day of fitting on, not from today.
    both = [lasting(age) * np.exp(-accidents * age) for age in (begin, end)]
    # Until then the old part may fail, and then there is nothing left to renew at the lift.
    now, then = ages(date(2013, 5, 20), fleet.lives.as_of, on)
    lasts = lasting(then) / lasting(now) * np.exp(-accidents * (then - now))
    assert lasts < 0.9
    assert part["risk"] == pytest.approx(lasts * (both[0] - both[1]), rel=1e-9)
    assert part["risk_before"] == pytest.approx(1 - lasts * both[0], rel=1e-9)
    assert part["risk_by_end"] == pytest.approx(1 - lasts * both[1], rel=1e-9)
    causes = part[["risk_worn_out", "risk_early", "risk_accident"]].sum()
    assert causes == pytest.approx(part["risk"], rel=1e-9)
    assert part["risk"] < 0.2 * hers(ahead.risk)["risk"]


def test_a_part_bought_later_is_of_no_lot_that_was_set_apart() -> None:
    rows = [f"B{n},single,bellows,,L{n % 2},201{n}-03-01" for n in range(4, 9)]
    fleet = fleet_of(rows, '[kinds.bellows]\napart = ["L1"]\n')
    fitted = how_it_ages(fleet)
    assert set(fitted) == {("bellows", "all"), ("bellows", "lot L1")}
    bad = {
        key: replace(one, posterior=point(one.kind, np.log(SHAPE), np.log(scale)))
        for (key, one), scale in zip(fitted.items(), (SCALE, 5.0), strict=True)
    }
    season = fleet.records.settings.seasons.season(2025)
    ahead = boat_ahead(fleet.lives, bad, season, "B5")
    (life,) = ahead.risk.parts["life"]
    on = date(2025, 1, 15)
    part = with_this(ahead, {int(life): Renewed(on)}).parts.iloc[0]
    begin, end = ages(on, season.start, date(2025, 11, 1))
    assert (part["group"], part["lot"]) == ("all", "")
    # Where the old part, of the lot, has lasted.
    fitted_on = fleet.lives.table.set_index("boat").at["B5", "start_lo"].date()
    now, then = ages(fitted_on, fleet.lives.as_of, on)
    lasts = lasting(then, 5.0) / lasting(now, 5.0)
    expected = lasts * (lasting(begin) - lasting(end))
    assert part["risk"] == pytest.approx(expected, rel=1e-9)


def test_what_cannot_be_asked_is_said(sample: Fleet, sample_ageing: FleetAgeing,
                                      own: FleetOwnLives, whole: SeasonRisk) -> None:  # fmt: skip
    read = whole.parts[whole.parts["life"].isin(own["cutless_bearing", "all"].life)].iloc[0]
    ahead = looked_into(sample, sample_ageing, own, whole, read["boat"])
    life, as_of = int(read["life"]), sample.lives.as_of
    for change, told in (
        (Dated(as_of, as_of), "readings"),
        (Passed(whole.season.end + timedelta(days=1)), "over"),
        (Passed(read["start_hi"].date() - timedelta(days=1)), "fitted as late as"),
        (Renewed(as_of), "after"),
        (Renewed(whole.season.end), "before the season"),
    ):
        assert told in why_not(ahead, life, change)
        with pytest.raises(ValueError, match=told):
            with_this(ahead, {life: change})
    with pytest.raises(KeyError):
        with_this(ahead, {-1: Passed(as_of)})
    with pytest.raises(ValueError, match="in service"):
        boat_ahead(sample.lives, sample_ageing, whole.season, "No Such Boat")
