"""What a failure in the season would cost, and which parts are past their limit.

Parts and boats are ranked by risk and by risk times consequence; both orders
are always shown, because a worn bearing and a split bellows of the same risk
are not the same thing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from zlib import crc32

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.ageing.curves import BAND
from analytics.ageing.fit import FleetAgeing
from analytics.decisions.prices import Price, PriceList
from analytics.lives import Lives
from analytics.outlook.bases import ALL_BASES
from analytics.outlook.joined import Grouped
from analytics.outlook.season import SeasonRisk, age_of
from analytics.outlook.worst_boats import chance_among_worst, how_many_worst
from analytics.records.kinds import Kind
from analytics.records.settings import Rates
from analytics.usage import DAYS_PER_YEAR, day_number, day_numbers, days_in_use, limit_reached_on

Floats = npt.NDArray[np.float64]


def failure_cost(
    kind: Kind, price: Price, rates: Rates, in_season: float = 1.0, *, ashore: bool = False
) -> float:
    """Expected cost of one failure, in the fleet's currency.

    Part and labour as in the budget (`Price.unplanned`); for a part that stops
    the boat also a lift out of turn, a tow and the lost charter days. A failure
    that shows only at a lift brings none of these. What
    water inside the boat would damage is not in it: that is a scenario of its
    own, not an average. Without a price the part and its labour are left out,
    and where they are all that it costs, the cost is not known (NaN).

    Parameters
    ----------
    in_season : float
        Share of its failures that fall in the charter season: 1 for one that does, less for
        a whole year. Out of season no charter day is lost.
    ashore : bool
        Whether the boat lies ashore out of season: what fails there is renewed at the
        planned price, and nothing follows.
    """
    work = price.unplanned(kind, rates)
    if ashore:
        work = in_season * work + (1.0 - in_season) * price.planned(rates)
    if not _stops_afloat(kind):
        return work
    cost = 0.0 if np.isnan(work) else work
    lift = rates.lift_and_launch * rates.emergency_multiplier
    tow = rates.tow if kind.tow is None else kind.tow
    cost += (lift + tow) * (in_season if ashore else 1.0)
    return cost + in_season * rates.lost_day * days_lost(kind, rates)


def failure_costs_all_year(
    lives: Lives, kind: Kind, rows: pd.DataFrame, priced: Sequence[Price]
) -> Floats:
    """Expected cost of a failure on any day of the year, for parts of one kind.

    Failures are taken to come evenly over the time that ages the part: the days of the year, or
    for a kind that ages by hours the days of use. Days cut off at a season's end are left out of
    account: `failure_cost` counts them whole.

    Parameters
    ----------
    rows : DataFrame
        Columns `boat, position`, shape (n_parts,).
    priced : sequence of Price, shape (n_parts,)

    Returns
    -------
    ndarray, shape (n_parts,)
    """
    rates, usage, rule = lives.settings.rates, lives.usage, lives.settings.seasons
    afloat = usage.afloat[usage.line_of(rows["boat"], rows["position"])]
    season = rule.alone.season(2002)  # a year of 365 days
    length = min((season.end - season.start).days + 1.0, DAYS_PER_YEAR)
    length = DAYS_PER_YEAR if rule.whole_year() else length
    by_calendar = length / DAYS_PER_YEAR
    by_use = by_calendar if kind.clock == "years" else length / days_in_use(rule)
    return np.array(
        [
            failure_cost(kind, price, rates, by_calendar if lies else by_use, ashore=not lies)
            for price, lies in zip(priced, afloat.tolist(), strict=True)
        ],
        dtype=np.float64,
    )


def days_lost(kind: Kind, rates: Rates) -> float:
    """Charter days that one failure in the season costs: those of the kind, else of the rates."""
    if not _stops_afloat(kind):
        return 0.0
    return rates.lost_days if kind.lost_days is None else kind.lost_days


def _stops_afloat(kind: Kind) -> bool:
    return kind.stops_the_boat and not kind.found_ashore_only


def with_consequence(
    risk: SeasonRisk, lives: Lives, ageing: FleetAgeing, prices: PriceList, seed: int = 0
) -> SeasonRisk:
    """Add consequence and limits to the parts, and their sums to the boats.

    Parameters
    ----------
    seed : int
        Source of the luck in what a season may cost beside what is expected.

    Returns
    -------
    SeasonRisk
        `parts` gains `consequence` (cost of one failure), `expected_cost`
        (risk times consequence), `limit`, `limit_unit`, whether it is
        `past_limit` on the last day watched, `past_limit_at_lift` (the lay-up
        lift before the season) and `past_limit_by_end` of it, all on the older
        bound of the age, `can_flood`, `lost_days` (charter days of one failure)
        and `expected_lost_days`; `boats` gains `expected_cost` with `_low` and
        `_high`, `costliest_kind`, `costliest_position`, the number of its parts
        past a limit, `expected_lost_days` and `among_costliest` (NaN where no cost is
        known); `bases` gains `expected_cost` with its range over the draws,
        `expected_lost_days`, and the 90 % range of both with luck on top:
        `cost_low`, `cost_high`, `lost_days_low`, `lost_days_high`.
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
        "past_limit_at_lift": day_number(risk.season.lift_after(lives.as_of) or lives.as_of),
        "past_limit_by_end": day_number(risk.season.end),
    }
    for name, day in days.items():
        parts[name] = _past_limit(parts, lives, ageing, day)
    parts["can_flood"] = [kinds[kind].can_flood for kind in parts["kind"]]
    parts["lost_days"] = [days_lost(kinds[kind], rates) for kind in parts["kind"]]
    parts["expected_lost_days"] = parts["risk"].astype(float) * parts["lost_days"]
    costs = risk.at_start * np.nan_to_num(parts["consequence"].to_numpy(dtype=float))
    boats = risk.boats.merge(_per_boat(parts, costs), on="boat", how="left")
    bases = _with_money(risk, parts, costs, seed)
    return replace(risk, parts=_ordered(parts), boats=boats[_in_order(boats)], bases=bases)


_LATEST = [
    *("risk_after", "lost_days", "expected_lost_days", "sound_on", "life"),
    *("among_worst", "among_costliest"),
]
"""Columns that stand last, so that files keep the order of those before them."""


def _in_order(table: pd.DataFrame) -> list[str]:
    last = [name for name in _LATEST if name in table]
    return [*(name for name in table.columns if name not in last), *last]


def _ordered(parts: pd.DataFrame) -> pd.DataFrame:
    order = [name for name in _in_order(parts) if name != "consequence"]
    order.insert(order.index("lives"), "consequence")
    return parts[order]


def _past_limit(
    parts: pd.DataFrame, lives: Lives, ageing: FleetAgeing, day: float
) -> npt.NDArray[np.bool_]:
    """Which parts have reached a limit by a day, if fitted as early as they may have been."""
    past = np.zeros(len(parts), dtype=bool)
    start = day_numbers(parts["start_lo"])
    for (name, group), fitted in ageing.items():
        rows = ((parts["kind"] == name) & (parts["group"] == group)).to_numpy()
        limit, by_hours = fitted.kind.limit, fitted.kind.clock == "hours"
        for years in (fitted.kind.limit_years, None if by_hours else limit):
            if years is not None:
                past[rows] |= day >= limit_reached_on(start[rows], years)
        if limit is not None and by_hours:
            past[rows] |= age_of(lives, fitted, parts[rows], start[rows], day) >= limit
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


def _per_boat(parts: pd.DataFrame, costs: Floats) -> pd.DataFrame:
    costliest = parts.sort_values(
        ["boat", "expected_cost", "kind", "position"], ascending=[True, False, True, True]
    ).drop_duplicates("boat")
    summed = ["expected_cost", "past_limit", "past_limit_at_lift", "past_limit_by_end"]
    sums = parts.groupby("boat", sort=True)[summed].sum(min_count=1)
    sums["expected_lost_days"] = parts.groupby("boat", sort=True)["expected_lost_days"].sum()
    drawn = Grouped(parts["boat"]).sum_of(costs) if len(parts) else costs
    low, high = np.quantile(drawn, BAND, axis=0)
    known = sums["expected_cost"].notna()
    sums["expected_cost_low"] = pd.Series(low, sums.index).where(known)
    sums["expected_cost_high"] = pd.Series(high, sums.index).where(known)
    sums["among_costliest"] = float("nan")
    if known.any():
        among = chance_among_worst(drawn[:, known.to_numpy()], how_many_worst(int(known.sum())))
        sums.loc[known, "among_costliest"] = among
    named = costliest.set_index("boat")[["kind", "position"]]
    named.columns = pd.Index(["costliest_kind", "costliest_position"])
    return sums.join(named).reset_index()


def _with_money(risk: SeasonRisk, parts: pd.DataFrame, costs: Floats, seed: int) -> pd.DataFrame:
    """What the season's failures cost each base and the fleet, expected and with luck on top."""
    table = risk.bases.copy()
    if table.empty:
        return table.reindex(columns=[*table.columns, *_MONEY])
    of_one = np.column_stack(
        [np.nan_to_num(parts[name].to_numpy(dtype=float)) for name in ("consequence", "lost_days")]
    )
    where = parts["base"].to_numpy()
    sides = [(base, np.flatnonzero(where == base)) for base in table["base"][:-1]]
    lucky = _with_luck(risk.during, of_one, [chosen for _, chosen in sides], seed)
    rows = []
    for at, (_, chosen) in enumerate([*sides, (ALL_BASES, np.arange(len(parts)))]):
        known = parts["expected_cost"].iloc[chosen].notna().any()
        expected = np.quantile(costs[:, chosen].sum(axis=1), BAND)
        of_cost, of_days = np.quantile(lucky[at], BAND, axis=1).T
        sums = parts[["expected_cost", "expected_lost_days"]].iloc[chosen].astype(float).sum()
        row = [sums["expected_cost"], *expected, *of_cost]
        row = row if known else [float("nan")] * 5
        rows.append([*row, sums["expected_lost_days"], *of_days])
    return table.join(pd.DataFrame(rows, columns=_MONEY, index=table.index))


_MONEY = [
    *("expected_cost", "expected_cost_low", "expected_cost_high", "cost_low", "cost_high"),
    *("expected_lost_days", "lost_days_low", "lost_days_high"),
]
_CELLS_AT_ONCE = 2_000_000


def _with_luck(
    during: Floats, of_one: Floats, sides: list[npt.NDArray[np.int64]], seed: int
) -> Floats:
    """Cost and lost days in one season drawn by each draw, shape (n_bases + 1, 2, n_draws).

    Each part fails or does not, by its chance in that draw.
    """
    n_draws, n_parts = during.shape
    rng = np.random.default_rng([seed, crc32(b"what the season may cost")])
    totals = np.empty((len(sides) + 1, 2, n_draws))
    step = max(1, _CELLS_AT_ONCE // n_parts)
    for at in range(0, n_draws, step):
        some = slice(at, at + step)
        failed = rng.random((len(during[some]), n_parts)) < during[some]
        for side, chosen in enumerate(sides):
            totals[side, :, some] = (failed[:, chosen] @ of_one[chosen]).T
        totals[-1, :, some] = (failed @ of_one).T
    return totals
