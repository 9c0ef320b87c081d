"""What a failure in the season would cost, and which parts are past their limit.

Parts and boats are ranked by risk and by risk times consequence; both orders
are always shown, because a worn bearing and a split bellows of the same risk
are not the same thing.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.ageing.curves import BAND
from analytics.ageing.fit import FleetAgeing
from analytics.decisions.prices import Price, PriceList
from analytics.lives import Lives
from analytics.outlook.season import SeasonRisk
from analytics.records.kinds import Kind
from analytics.records.settings import Rates
from analytics.usage import DAYS_PER_YEAR, day_number, day_numbers


def failure_cost(kind: Kind, price: Price, rates: Rates) -> float:
    """Expected cost of one failure in the season, in the fleet's currency.

    Part and labour as in the budget (`Price.unplanned`); for a part that stops
    the boat also a lift out of turn, a tow and the lost charter days. What
    water inside the boat would damage is not in it: that is a scenario of its
    own, not an average. A part without a price counts as nothing.
    """
    work = price.unplanned(kind, rates)
    cost = 0.0 if np.isnan(work) else work
    if not kind.stops_the_boat:
        return cost
    lift = rates.lift_and_launch * rates.emergency_multiplier
    return cost + lift + rates.tow + rates.lost_day * rates.lost_days


def with_consequence(
    risk: SeasonRisk, lives: Lives, ageing: FleetAgeing, prices: PriceList
) -> SeasonRisk:
    """Add consequence and limits to the parts, and their sums to the boats.

    Returns
    -------
    SeasonRisk
        `parts` gains `consequence` (cost of one failure), `expected_cost`
        (risk times consequence), `limit`, `limit_unit`, `past_limit` (on the
        older bound of the age) and `can_flood`; `boats` gains `expected_cost`
        with `_low` and `_high`, `costliest_kind` and `past_limit` (number of parts).
    """
    rates, parts = lives.settings.rates, risk.parts.copy()
    kinds = {name: lives.settings.kind(name) for name in parts["kind"].unique()}
    parts["consequence"] = [
        failure_cost(kinds[kind], prices.of(kind, part_no), rates)
        for kind, part_no in zip(parts["kind"], parts["part_no"], strict=True)
    ]
    parts["expected_cost"] = parts["risk"].astype(float) * parts["consequence"].astype(float)
    years = (day_number(lives.as_of) - day_numbers(parts["start_lo"])) / DAYS_PER_YEAR
    limits = [_limit(kinds[kind]) for kind in parts["kind"]]
    parts["limit"] = np.array([limit for limit, _ in limits], dtype=float)
    parts["limit_unit"] = [unit for _, unit in limits]
    age = np.where(parts["limit_unit"] == "years", years, parts["age_high"].astype(float))
    past = age >= parts["limit"].to_numpy()
    # A kind may have a limit on both clocks: whichever is reached first, as in the simulated lifts.
    calendar = np.array([kinds[kind].limit_years or np.inf for kind in parts["kind"]])
    by_calendar = ~past & (years >= calendar)
    parts.loc[by_calendar, "limit"] = calendar[by_calendar]
    parts.loc[by_calendar, "limit_unit"] = "years"
    parts["past_limit"] = past | by_calendar
    parts["can_flood"] = [kinds[kind].can_flood for kind in parts["kind"]]
    boats = risk.boats.merge(_per_boat(parts, risk.during), on="boat", how="left")
    return SeasonRisk(risk.season, parts, boats, risk.during, risk.counts)


def by_cost(boats: pd.DataFrame) -> pd.DataFrame:
    """Boats in the order of risk times consequence."""
    return boats.sort_values(["expected_cost", "boat"], ascending=[False, True], ignore_index=True)


def _limit(kind: Kind) -> tuple[float, str]:
    """The limit of a kind: on its own clock, else in calendar years; NaN where it has none."""
    if kind.limit is not None:
        return kind.limit, kind.unit
    if kind.limit_years is not None:
        return kind.limit_years, "years"
    return float("nan"), ""


def _per_boat(parts: pd.DataFrame, during: npt.NDArray[np.float64]) -> pd.DataFrame:
    costliest = parts.sort_values(
        ["boat", "expected_cost", "kind", "position"], ascending=[True, False, True, True]
    ).drop_duplicates("boat")
    sums = parts.groupby("boat", sort=True).agg(
        expected_cost=("expected_cost", "sum"), past_limit=("past_limit", "sum")
    )
    sums["expected_cost_low"] = sums["expected_cost_high"] = np.nan
    cost = during * parts["consequence"].to_numpy(dtype=float)
    for boat, at in parts.groupby("boat", sort=True).indices.items():
        low, high = np.quantile(cost[:, at].sum(axis=1), BAND)
        sums.loc[boat, ["expected_cost_low", "expected_cost_high"]] = low, high
    named = costliest.set_index("boat")[["kind", "position"]]
    named.columns = ["costliest_kind", "costliest_position"]
    return sums.join(named).reset_index()
