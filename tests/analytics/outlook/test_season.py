"""The risk of a season against the formulas it stands for, and against simulation."""

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest
from scipy.integrate import quad

from analytics.ageing.fit import Ageing
from analytics.ageing.likelihood import Parameters
from analytics.ageing.posterior import (
    Posterior,
    point,
)
from analytics.job import Fleet, how_it_ages
from analytics.outlook.chances import AgesAhead, Chances, _picks, ages_ahead
from analytics.outlook.chances import chances as drawn_chances
from analytics.outlook.season import season_risk
from analytics.records.kinds import KINDS
from tests.analytics.ageing.folders import fleet_of

BELLOWS, WITHIN = KINDS["bellows"], 90 / 365.25
SHAPE, SCALE, EARLY, ACCIDENTS = 3.0, 12.0, 0.05, 0.03


def belief(n: int = 1) -> Posterior:
    """One known set of parameters, or several close by."""
    rng = np.random.default_rng(1)
    near = np.exp(0.2 * rng.standard_normal((3, n))) if n > 1 else np.ones((3, 1))
    theta = Parameters(
        np.log(SHAPE * near[0]), np.log(SCALE * near[1]), np.minimum(EARLY * near[2], 0.5)
    )
    return replace(point(BELLOWS, 0.0, 0.0), parameters=theta, accidents=np.full(n, ACCIDENTS))


def ahead(
    sound: list[float], until_begin: float, until_end: float, parts: list[list[float]] | None = None
) -> AgesAhead:
    """Ages in years; without `parts` each age is a part whose fitting is known."""
    weights = parts or [[1.0]] * len(sound)
    now = np.array(sound)
    return AgesAhead(
        first=np.cumsum([0, *[len(w) for w in weights[:-1]]]),
        weight=np.concatenate([np.array(w) for w in weights]),
        sound=now,
        now=now,
        begin=now + until_begin,
        end=now + until_end,
        sound_years=now,
        now_years=now,
        begin_years=now + until_begin,
        end_years=now + until_end,
        until_begin=np.full(len(now), until_begin),
        until_end=np.full(len(now), until_end),
    )


def chances(posterior: Posterior, ages: AgesAhead) -> Chances:
    return drawn_chances(posterior, ages, np.random.default_rng(0))


def survival(years: float) -> float:
    return (1 - EARLY * min(years / WITHIN, 1.0)) * float(np.exp(-((years / SCALE) ** SHAPE)))


def hazards(years: float) -> tuple[float, float, float]:
    """Wear-out, early and accident, per year."""
    wear = SHAPE / SCALE * (years / SCALE) ** (SHAPE - 1)
    early = EARLY / (WITHIN - EARLY * years) if years < WITHIN else 0.0
    return wear, early, ACCIDENTS


@pytest.mark.parametrize("age", [0.0, 0.1, 0.2, 3.0, 9.0, 25.0])
def test_a_part_of_known_age(age: float) -> None:
    # From the distribution itself, with accidents as a constant rate from today on.
    found = chances(belief(), ahead([age], 0.15, 0.75))

    def lasting(ahead_years: float) -> float:
        return survival(age + ahead_years) / survival(age) * float(np.exp(-ACCIDENTS * ahead_years))

    assert found.before[0, 0] == pytest.approx(1 - lasting(0.15), rel=1e-9)
    assert found.during[0, 0] == pytest.approx(lasting(0.15) - lasting(0.75), rel=1e-9)


@pytest.mark.parametrize("age", [0.0, 0.1, 3.0, 9.0])
def test_causes_against_their_integrals(age: float) -> None:
    # Chance that a cause strikes first: the integral of its hazard times survival of all three.
    found = chances(belief(), ahead([age], 0.0, 0.6))
    exact = []
    for cause in range(3):

        def strikes(u: float, cause: int = cause) -> float:
            alive = survival(age + u) / survival(age) * np.exp(-ACCIDENTS * u)
            return float(hazards(age + u)[cause] * alive)

        corner = [WITHIN - age] if 0 < WITHIN - age < 0.6 else None
        exact.append(quad(strikes, 0.0, 0.6, points=corner)[0])
    told = (found.worn_out[0], found.early[0], found.accident[0])
    # Causes share the window in proportion to their cumulative hazards: right to first order.
    assert told == pytest.approx(exact, abs=0.03 * sum(exact))
    assert sum(told) == pytest.approx(sum(exact), rel=1e-6)


def test_a_part_of_unknown_age_is_weighed_by_its_chance_of_being_alive() -> None:
    # By Bayes' rule over three possible days of fitting.
    weights, ages = [0.5, 0.3, 0.2], [2.0, 8.0, 14.0]
    found = chances(belief(), ahead(ages, 0.0, 1.0, [weights]))
    alive = np.array([w * survival(a) for w, a in zip(weights, ages, strict=True)])
    one = [1 - survival(a + 1) / survival(a) * np.exp(-ACCIDENTS) for a in ages]
    assert found.during[0, 0] == pytest.approx((alive * one).sum() / alive.sum(), rel=1e-9)
    wrong = float(np.dot(weights, one))
    assert found.during[0, 0] < 0.95 * wrong


def test_causes_add_up_and_before_joins_during() -> None:
    many = belief(200)
    parts = ahead([0.0, 0.1, 5.0, 11.0], 0.2, 0.8)
    found = chances(many, parts)
    total = found.worn_out + found.early + found.accident
    np.testing.assert_allclose(total, found.during.mean(axis=0), rtol=1e-12)
    whole = chances(many, replace(parts, begin=parts.sound, begin_years=parts.sound_years,
                                  until_begin=np.zeros(4)))  # fmt: skip
    assert not whole.before.any()
    np.testing.assert_allclose(found.before + found.during, whole.during, rtol=1e-10)


def test_the_interval_spreads_over_the_days_of_fitting_too() -> None:
    # With the parameters known, all that is not known of an undated part is its age.
    weights, ages = [0.5, 0.3, 0.2], [2.0, 8.0, 14.0]
    known = replace(
        belief(),
        parameters=Parameters(
            *(np.repeat(x, 4000) for x in (np.log([SHAPE]), np.log([SCALE]), np.array([EARLY])))
        ),
        accidents=np.full(4000, ACCIDENTS),
    )
    found = chances(known, ahead(ages, 0.0, 1.0, [weights]))
    alive = np.array([w * survival(a) for w, a in zip(weights, ages, strict=True)])
    one = [1 - survival(a + 1) / survival(a) * np.exp(-ACCIDENTS) for a in ages]
    for share, chance in zip(alive / alive.sum(), one, strict=True):
        hit = np.isclose(found.at_start[:, 0], chance)
        assert hit.mean() == pytest.approx(share, abs=4 * np.sqrt(share * (1 - share) / 4000))
    np.testing.assert_allclose(found.during, found.during[0, 0])


def test_what_a_lift_would_show_today() -> None:
    # Known sound at 5, now 8: by then 1 - S(8) / S(5) have gone, whatever comes after.
    parts = replace(ahead([5.0], 3.2, 4.0), now=np.array([8.0]), now_years=np.array([8.0]))
    found = chances(belief(), parts)
    assert found.hidden[0, 0] == pytest.approx(1 - survival(8.0) / survival(5.0), rel=1e-9)
    seen = chances(belief(), ahead([5.0], 0.2, 1.0))
    assert seen.hidden[0, 0] == pytest.approx(0.0, abs=1e-12)


def test_a_boat_that_leaves_counts_until_then(ageing: dict[tuple[str, str], Ageing],
                                              fleet: Fleet) -> None:  # fmt: skip
    fitted = ageing["bellows", "all"]
    rows = fitted.table["boat"] == "B03"
    gone = fitted.table["leaves_on"].where(~rows, np.datetime64("2024-08-01"))
    leaving = replace(fitted, table=fitted.table.assign(leaves_on=gone))
    season = fleet.coming_season()
    stays, leaves = (
        season_risk(fleet.lives, {("bellows", "all"): one}, season).parts.set_index("boat")["risk"]
        for one in (fitted, leaving)
    )
    # 32 of the 124 days left of the season, at a hazard that rises a little in them.
    ratio = (leaves["B03"] / stays["B03"]).to_numpy()
    assert ((ratio > 0.9 * 32 / 124) & (ratio < 32 / 124)).all()
    assert (leaves.drop("B03") == stays.drop("B03")).all()


def test_a_very_old_part_is_a_number_still() -> None:
    found = chances(belief(), ahead([400.0], 0.1, 0.6))
    assert found.before[0, 0] + found.during[0, 0] == pytest.approx(1.0)
    assert np.isfinite([found.worn_out, found.early, found.accident]).all()


def test_against_simulated_lives() -> None:
    rng = np.random.default_rng(3)
    n = 400_000
    wear = SCALE * rng.weibull(SHAPE, n)
    bad = np.where(rng.random(n) < EARLY, WITHIN * rng.random(n), np.inf)
    life, age = np.minimum(wear, bad), 0.1
    life = np.minimum(life, age + rng.exponential(1 / ACCIDENTS, n))[life > age]
    share = ((life > age + 0.3) & (life <= age + 1.3)).mean()
    found = chances(belief(), ahead([age], 0.3, 1.3)).during[0, 0]
    assert found == pytest.approx(share, abs=4 * np.sqrt(share / n))


@pytest.fixture(scope="module")
def fleet() -> Fleet:
    rows = [
        f"B{n:02d},{side},{kind},,,{2008 + (3 * n + len(side)) % 15}-0{1 + n % 9}-10"
        for n in range(12)
        for side in ("port", "starboard")
        for kind in ("bellows", "face_seal", "cutless_bearing")
    ]
    rows += [f"O{n},single,bellows,,,2009-05-01,2019-07-0{n + 1},failed,afloat" for n in range(5)]
    return fleet_of([*rows, "U,single,bellows,,,1998..2004"])


@pytest.fixture(scope="module")
def ageing(fleet: Fleet) -> dict[tuple[str, str], Ageing]:
    return dict(how_it_ages(fleet))


def test_a_fleet_adds_up(fleet: Fleet, ageing: dict[tuple[str, str], Ageing]) -> None:
    risk = season_risk(fleet.lives, ageing, fleet.coming_season())
    parts, boats = risk.parts, risk.boats
    assert len(parts) == len(fleet.lives.in_service()) == 73
    np.testing.assert_allclose(parts["risk"].astype(float), risk.during.mean(axis=0))
    causes = parts[["risk_worn_out", "risk_early", "risk_accident"]].astype(float).sum(axis=1)
    np.testing.assert_allclose(causes, parts["risk"].astype(float), rtol=1e-12)
    assert (parts["risk_low"] <= parts["risk_high"]).all()
    assert risk.expected == pytest.approx(parts["risk"].sum())
    assert (risk.counts * np.arange(len(risk.counts))).sum() == pytest.approx(risk.expected)
    for _, boat in boats.iterrows():
        own = (parts["boat"] == boat["boat"]).to_numpy()
        joint = 1 - np.prod(1 - risk.during[:, own], axis=1)
        assert boat["risk"] == pytest.approx(joint.mean())
        of_starts = 1 - np.prod(1 - risk.at_start[:, own], axis=1)
        low, high = np.quantile(of_starts, (0.05, 0.95))
        assert (boat["risk_low"], boat["risk_high"]) == pytest.approx((low, high))
        assert boat["expected_failures"] == pytest.approx(parts.loc[own, "risk"].sum())
        assert boat["worst_risk"] == parts.loc[own, "risk"].max()
        assert boat["parts"] == own.sum()
    assert boats["risk"].is_monotonic_decreasing


def test_in_the_middle_of_a_season_nothing_comes_before_it(
    fleet: Fleet, ageing: dict[tuple[str, str], Ageing]
) -> None:
    # The records end on 2024-06-30, inside the season of April to October.
    now = fleet.coming_season()
    assert now.year == 2024
    this, following = (
        season_risk(fleet.lives, ageing, season)
        for season in (now, fleet.records.settings.seasons.season(2025))
    )
    afloat = this.parts["kind"] != "cutless_bearing"
    assert not this.parts.loc[afloat, "risk_before"].any()
    # A worn bearing shows ashore alone: it may have gone since it was last lifted.
    assert (this.parts.loc[~afloat, "risk_before"] > 0).all()
    assert (following.parts["risk_before"] > this.parts["risk"]).mean() > 0.5
    with pytest.raises(ValueError, match="over"):
        season_risk(fleet.lives, ageing, fleet.records.settings.seasons.season(2023))


def test_ages_ahead_of_both_clocks(fleet: Fleet, ageing: dict[tuple[str, str], Ageing]) -> None:
    now = 19904.0  # 2024-06-30
    for kind, units in (("bellows", 1.0), ("face_seal", 300.0)):
        ages = ages_ahead(fleet.lives, ageing[kind, "all"], now, now + 365.25)
        np.testing.assert_allclose(ages.begin, ages.sound, rtol=1e-9)
        # 300 shaft hours a year stand in where no meter is read.
        np.testing.assert_allclose(ages.end - ages.begin, units, rtol=1e-9)
        np.testing.assert_allclose(ages.end_years - ages.begin_years, 1.0, rtol=1e-9)


def test_undated_parts_whose_names_hold_a_stroke_draw_days_of_their_own() -> None:
    # Joined by strokes both would read bellows|B|port|x.
    told = pd.DataFrame({"kind": "bellows", "boat": ["B|port", "B"], "position": ["x", "port|x"]})
    picks = _picks(told, 100, 0)
    assert np.corrcoef(picks, rowvar=False)[0, 1] < 0.5
    np.testing.assert_array_equal(picks[:, ::-1], _picks(told.iloc[::-1], 100, 0))


def test_a_day_of_fitting_needs_a_source_of_chance() -> None:
    with pytest.raises(ValueError, match="neither picks nor a generator"):
        drawn_chances(belief(), ahead([5.0], 0.2, 1.0))
