"""What a failure in the season would cost, and which parts are past their limit.

Parts and boats are ranked by risk and by risk times consequence; both orders
are always shown, because a worn bearing and a split bellows of the same risk
are not the same thing.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.ageing.curves import BAND
from analytics.ageing.fit import FleetAgeing
from analytics.decisions.prices import Price, PriceList
from analytics.lives import Lives
from analytics.outlook.season import SeasonRisk, age_of
from analytics.records.kinds import Kind
from analytics.records.settings import Rates
from analytics.usage import DAYS_PER_YEAR, day_number, day_numbers


def failure_cost(kind: Kind, price: Price, rates: Rates) -> float:
    """Expected cost of one failure in the season, in the fleet's currency.

    Part and labour as in the budget (`Price.unplanned`); for a part that stops
    the boat also a lift out of turn, a tow and the lost charter days. What
    water inside the boat would damage is not in it: that is a scenario of its
    own, not an average. Without a price the part and its labour are left out,
    and where they are all that it costs, the cost is not known (NaN).
    """
    work = price.unplanned(kind, rates)
    if not kind.stops_the_boat:
        return work
    cost = 0.0 if np.isnan(work) else work
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
        (risk times consequence), `limit`, `limit_unit`, whether it is
        `past_limit` on the last day watched, `past_limit_at_lift` (the lay-up
        lift before the season) and `past_limit_by_end` of it, all on the older
        bound of the age, and `can_flood`; `boats` gains `expected_cost` with
        `_low` and `_high`, `costliest_kind`, `costliest_position` and the
        number of its parts past a limit.
    """
    rates, parts = lives.settings.rates, risk.parts.copy()
    kinds = {name: lives.settings.kind(name) for name in parts["kind"].unique()}
    parts["consequence"] = [
        failure_cost(kinds[kind], prices.of(kind, part_no), rates)
        for kind, part_no in zip(parts["kind"], parts["part_no"], strict=True)
    ]
    parts["expected_cost"] = parts["risk"].astype(float) * parts["consequence"].astype(float)
    limits = [_limit(kinds[kind]) for kind in parts["kind"]]
    parts["limit"] = np.array([limit for limit, _ in limits], dtype=float)
    parts["limit_unit"] = [unit for _, unit in limits]
    now = day_number(lives.as_of)
    days = {
        "past_limit": now,
        "past_limit_at_lift": max(now, day_number(risk.season.lift_on)),
        "past_limit_by_end": day_number(risk.season.end),
    }
    for name, day in days.items():
        parts[name] = _past_limit(parts, lives, ageing, day)
    parts["can_flood"] = [kinds[kind].can_flood for kind in parts["kind"]]
    order = [name for name in parts.columns if name != "consequence"]
    order.insert(order.index("lives"), "consequence")
    boats = risk.boats.merge(_per_boat(parts, risk.at_start), on="boat", how="left")
    return replace(risk, parts=parts[order], boats=boats)


def _past_limit(
    parts: pd.DataFrame, lives: Lives, ageing: FleetAgeing, day: float
) -> npt.NDArray[np.bool_]:
    """Which parts have reached a limit by a day, if fitted as early as they may have been."""
    past = np.zeros(len(parts), dtype=bool)
    start = day_numbers(parts["start_lo"])
    for (name, group), fitted in ageing.items():
        rows = ((parts["kind"] == name) & (parts["group"] == group)).to_numpy()
        years = (day - start[rows]) / DAYS_PER_YEAR
        if fitted.kind.limit_years is not None:
            past[rows] |= years >= fitted.kind.limit_years
        if fitted.kind.limit is not None:
            past[rows] |= age_of(lives, fitted, parts[rows], start[rows], day) >= fitted.kind.limit
    return past


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


def _per_boat(parts: pd.DataFrame, chances: npt.NDArray[np.float64]) -> pd.DataFrame:
    costliest = parts.sort_values(
        ["boat", "expected_cost", "kind", "position"], ascending=[True, False, True, True]
    ).drop_duplicates("boat")
    summed = ["expected_cost", "past_limit", "past_limit_at_lift", "past_limit_by_end"]
    sums = parts.groupby("boat", sort=True)[summed].sum(min_count=1)
    numbers = pd.factorize(parts["boat"], sort=True)[0]
    order = np.argsort(numbers, kind="stable")
    first = np.flatnonzero(np.diff(numbers[order], prepend=-1))
    cost = (chances * np.nan_to_num(parts["consequence"].to_numpy(dtype=float)))[:, order]
    drawn = np.add.reduceat(cost, first, axis=1) if len(first) else cost
    low, high = np.quantile(drawn, BAND, axis=0)
    known = sums["expected_cost"].notna()
    sums["expected_cost_low"] = pd.Series(low, sums.index).where(known)
    sums["expected_cost_high"] = pd.Series(high, sums.index).where(known)
    named = costliest.set_index("boat")[["kind", "position"]]
    named.columns = pd.Index(["costliest_kind", "costliest_position"])
    return sums.join(named).reset_index()
