"""The measure of next season's coverage itself, on a few fleets: it passes a forecast that is right
and finds out one that is wrong. The full run is by hand, see `money_coverage`."""

from __future__ import annotations

from datetime import date

import numpy as np
import pandas as pd
import pytest

from analytics.decisions.prices import Price, PriceList
from analytics.job import open_fleet
from analytics.records.kinds import KINDS
from analytics.records.seasons import SeasonRule
from analytics.records.settings import Rates
from analytics.usage import day_number
from tests.benchmarks.money_coverage_answers import QUANTITIES, Asked, answer, beside
from tests.benchmarks.money_coverage_fleets import (
    believing,
    known_fleet,
    with_the_next_season,
)
from tests.benchmarks.money_coverage_tables import between, even, tables
from tests.benchmarks.money_coverage_truth import (
    Place,
    Strike,
    happens,
    parts_and_labour,
    years_between,
)

FLEETS = 15
AS_OF = day_number(date(2026, 10, 31))
SEASON = SeasonRule().season(2027)


def test_a_right_forecast_passes_and_half_the_hazard_is_found_out() -> None:
    # Small fleets whose curves the forecast is told: what is left is the luck of the season.
    asked = [
        Asked("prior", (3, i), seasons=1, lives=90, told=True, n_futures=400) for i in range(FLEETS)
    ]
    fleets = [known_fleet(one.seed, one.lives, told=True) for one in asked]
    right, halved = (
        pd.DataFrame(
            [beside(believing(f, factor), one) for f, one in zip(fleets, asked, strict=True)]
        )
        for factor in (1.0, 0.5)
    )
    for name in QUANTITIES:
        assert right[f"{name} truth"].tolist() == halved[f"{name} truth"].tolist()
        assert even(right[f"{name} pit"])[0] > 0.01
    for name in ("renewals out of turn or worn", "failures in the season"):
        seen, expected = right[f"{name} truth"].sum(), right[f"{name} mean"].sum()
        # Independent parts spread no wider than a Poisson count.
        assert abs(seen - expected) < 3 * np.sqrt(expected)
        too_few = halved[f"{name} mean"].sum()
        assert seen > too_few + 3 * np.sqrt(too_few)
        assert even(halved[f"{name} pit"])[0] < 0.01
        assert between(halved[f"{name} pit"]) < between(right[f"{name} pit"])
    assert even(halved["spend pit"])[0] < even(right["spend pit"])[0]


def place(
    name: str, fitted_years: float, fails: float, position: str = "port", **more: bool
) -> Place:
    """A part fitted so many years before, that fails so many days after the last day watched."""
    return Place(
        boat="Heron",
        position=position,
        kind=KINDS[name],
        part_no="",
        fitted_on=AS_OF - 365.25 * fitted_years,
        first=Strike(AS_OF + fails, False),
        renewed=lambda day: Strike(np.inf, False),
        age=years_between,
    )


@pytest.mark.parametrize(
    ("parts", "renewals", "money"),
    [
        # Nothing due: 8 years is the limit of bellows.
        ([place("bellows", 5, 5000)], 0, 0.0),
        # At the lift on 15 January, 76 days on: price and labour alone.
        ([place("bellows", 7.9, 5000)], 1, 100 + 7 * 50),
        # A failure in the season is out of turn.
        ([place("bellows", 5, 200)], 1, 100 + 7 * 50 * 2),
        # It fails before the lift, and the new one is not due then.
        ([place("bellows", 7.9, 10)], 1, 100 + 7 * 50 * 2),
        # After the season.
        ([place("bellows", 5, 367)], 0, 0.0),
        # A worn bearing waits for the lift, and one that wears out after it for the next.
        ([place("cutless_bearing", 5, 10)], 1, 60 + 6 * 50),
        ([place("cutless_bearing", 5, 80)], 0, 0.0),
        # One shaft drawn once: 1 and 1.5 hours shared, and the longer drawing, 6 hours.
        ([place("bellows", 7.9, 5000), place("cutless_bearing", 5, 10)], 2, 160 + 8.5 * 50),
        # Two shafts are drawn each for itself.
        (
            [place("bellows", 7.9, 5000), place("cutless_bearing", 5, 10, "starboard")],
            2,
            160 + 13 * 50,
        ),
    ],
)
def test_a_season_by_hand(parts: list[Place], renewals: int, money: float) -> None:
    prices = PriceList(
        {}, {"bellows": Price(100, 7, 10, 1), "cutless_bearing": Price(60, 6, 10, 1.5)}
    )
    rates = Rates(labour_per_hour=50, emergency_multiplier=2)
    events = happens(parts, SEASON, AS_OF)
    assert len(events) == renewals
    assert parts_and_labour(events, prices, rates) == pytest.approx(money)


def test_a_fitted_fleet_is_told_in_tables() -> None:
    found = answer(Asked("prior", (4, 0), lives=40, seasons=2, n_futures=200))
    text = tables([found, found | {"setting": "sample"}])
    assert text.count("| spend |") == 2
    assert text.count("1 fleets of") == 2
    for name in QUANTITIES:
        numbers = {what: float(found[f"{name} {what}"]) for what in ("low", "mean", "high", "pit")}
        assert 0 <= numbers["pit"] <= 1
        assert numbers["low"] <= numbers["mean"] <= numbers["high"]
        assert float(found[f"{name} inside"]) >= 0.8


def test_parts_of_the_invented_fleet_live_on_where_its_records_end() -> None:
    invented, rows = with_the_next_season(3, 10)
    assert "truth.json" in invented.files
    fleet = open_fleet({name: text.encode() for name, text in invented.files.items()})
    today = fleet.lives.as_of.toordinal()
    in_service = fleet.lives.in_service()
    assert len(in_service) > 30
    for source, kind in zip(in_service["source"], in_service["kind"], strict=True):
        row = rows[int(source.rsplit(":", 1)[1])]
        assert row.life.kind.name == kind
        assert row.life.ended_on is None
        # Wear that only a lift shows may have come already; nothing else has.
        assert row.life.fails_on > today or row.life.kind.seen_ashore_only
        hours = row.line.hours
        # No boat of the scenario runs less than 120 hours in a season.
        assert hours.at(today + 365) - hours.at(today) > 100
