"""What each boat asks of the yard this lay-up: from risks, values to go, bookings and wishes.

Which job is worth its hours, and which week admits which boat, is for `haul_out` to say; here
the records become its problem. What is assumed on the way is said in `papers.yard_sentences`.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from itertools import pairwise

import numpy as np
import pandas as pd

from analytics.decisions.haul_out.problem import (
    BoatAsk,
    Job,
    LiftLimits,
    Problem,
    Week,
    Yard,
    weeks_touched,
)
from analytics.decisions.prices import PriceList
from analytics.lives import Lives
from analytics.outlook.season import SeasonRisk
from analytics.records.reading import Records
from analytics.records.seasons import Season
from analytics.records.tables import BOATS, BOOKINGS
from analytics.records.wishes import Wish


def job_key(position: str, kind: str) -> str:
    """The key of the job that renews a part, in words: "port cutless bearing"."""
    words = kind.replace("_", " ")
    return words if position == "single" else f"{position} {words}"


def asking_parts(
    lives: Lives, records: Records, risk: SeasonRisk, values: pd.DataFrame
) -> pd.DataFrame:
    """Parts that may be renewed this lay-up, each with its risk, its worth and the key of its job.

    Parameters
    ----------
    risk : SeasonRisk
        Of the season after the lay-up, with consequences.
    values : DataFrame
        From `value_to_go`, for the lift of that lay-up.

    Returns
    -------
    DataFrame
        Rows of `risk.parts` with `cost_of_waiting`, `planned_cost`, `fails_before_next`,
        `best_lift` and `job`; without boats that leave before the season.
    """
    keys = ["boat", "position", "kind", "source"]
    worth = ["cost_of_waiting", "planned_cost", "fails_before_next", "best_lift"]
    parts = risk.parts.merge(values[[*keys, *worth]], on=keys, how="left")
    boats = records.tables[BOATS.file].drop_duplicates("boat").set_index("boat")
    leaves = boats["left_on_hi"].reindex(parts["boat"]).to_numpy()
    stays = ~(leaves <= np.datetime64(risk.season.start))
    parts = parts[stays].sort_values(keys, kind="stable", ignore_index=True)
    named = [job_key(*pair) for pair in zip(parts["position"], parts["kind"], strict=True)]
    parts["job"] = named
    # Should two parts be written down in one place, each is a job of its own.
    again = parts.groupby(["boat", "job"], sort=False).cumcount().tolist()
    parts["job"] = [
        f"{job} {number + 1}" if number else job for job, number in zip(named, again, strict=True)
    ]
    return parts


def yard_problem(
    lives: Lives,
    records: Records,
    parts: pd.DataFrame,
    prices: PriceList,
    season: Season,
    weeks: tuple[Week, ...],
    wishes: Iterable[Wish],
) -> Problem:
    """The problem that a haul-out plan solves.

    Parameters
    ----------
    parts : DataFrame
        From `asking_parts`.
    prices : PriceList
    season : Season
        The one after the lay-up.
    weeks : tuple of Week
        From `yard_weeks.yard_weeks`.
    wishes : iterable of Wish
        Those that can be applied, see `yard_wishes.applicable`.

    Returns
    -------
    Problem
        Boats with parts in service that stay until the season. A job saves what waiting
        costs less the price of its part; what has no price is offered only where a rule asks
        for it. Until the season, a boat that is afloat may lose what fails before it, evenly
        day by day.
    """
    settings = lives.settings
    yard = Yard(
        weeks=weeks,
        labour=settings.rates.labour_per_hour,
        hours_a_day=settings.yard.hours_a_day,
        days_a_week=settings.yard.days_a_week,
        least_days=settings.yard.least_days,
        limits=LiftLimits(
            settings.yard.longest_m,
            settings.yard.widest_m,
            settings.yard.heaviest_t,
            settings.yard.deepest_m,
        ),
    )
    boats = records.tables[BOATS.file].drop_duplicates("boat").set_index("boat")
    booked = _booked(records, weeks)
    of_boat = _by_boat(wishes)
    wait = _Wait.until(season, lives.as_of, weeks)
    asks = [
        _ask(lives, str(boat), rows, boats, yard, prices, booked, wait, of_boat.get(str(boat), []))
        for boat, rows in parts.groupby("boat", sort=True)
    ]
    return Problem(yard, tuple(asks), settings.yard.moving_cost, settings.currency)


@dataclass(frozen=True)
class _Wait:
    """Which share of the days until the season passes while a boat waits.

    Attributes
    ----------
    shares : tuple of float
        From the start of each week to that of the next, or to the season.
    after_lift : float
        From the day on which planned work is booked, or the first week if that is later.
    """

    shares: tuple[float, ...]
    after_lift: float

    @classmethod
    def until(cls, season: Season, as_of: date, weeks: tuple[Week, ...]) -> _Wait:
        starts = [*(week.start for week in weeks), season.start]
        whole = max((season.start - as_of).days, 1)
        shares = tuple((later - start).days / whole for start, later in pairwise(starts))
        after = max((season.start - max(season.lift_on, starts[0])).days, 0)
        return cls(shares, after / whole)


def _ask(
    lives: Lives,
    boat: str,
    rows: pd.DataFrame,
    boats: pd.DataFrame,
    yard: Yard,
    prices: PriceList,
    booked: dict[str, frozenset[date]],
    wait: _Wait,
    wishes: list[Wish],
) -> BoatAsk:
    settings, about = lives.settings, boats.loc[boat]
    rates, rules = settings.rates, settings.yard
    jobs = [_job(lives, row, prices, wait, wishes) for _, row in rows.iterrows()]
    fixed = {one.what: one.week for one in wishes if one.week is not None}
    return BoatAsk(
        boat=boat,
        base=str(about["base"]),
        jobs=tuple(job for job in jobs if job is not None),
        haul_cost=0.0
        if rules.every_boat
        else rates.lift_and_launch + rules.storage_per_day * rules.least_days,
        # A boat that gets no slot must be lifted out of turn before long.
        left_cost=rates.lift_and_launch * rates.emergency_multiplier if rules.every_boat else 0.0,
        booked=booked.get(boat, frozenset()),
        forbidden=frozenset(
            one.week for one in wishes if one.what == "ruled_out" and one.week is not None
        ),
        pinned=fixed.get("pinned"),
        promised=fixed.get("promised"),
        length=_number(about["length_m"]),
        beam=_number(about["beam_m"]),
        weight=_number(about["weight_t"]),
        draught=_number(about["draught_m"]),
    )


def _job(
    lives: Lives, row: pd.Series, prices: PriceList, wait: _Wait, wishes: list[Wish]
) -> Job | None:
    settings = lives.settings
    kind = settings.kind(row["kind"])
    price = prices.of(row["kind"], row["part_no"])
    same = [
        one
        for one in wishes
        if one.job == (row["boat"], row["position"], row["kind"]) and one.week is None
    ]
    if any(one.what == "done" for one in same):
        return None
    why = why_must(row, settings.yard.risk_ceiling)
    saving = float(row["cost_of_waiting"]) - price.part
    if np.isnan(saving):
        if not why:
            return None
        saving = 0.0
    alone = 0.0 if np.isnan(price.labour_hours) else price.labour_hours
    shared = alone if np.isnan(price.shared_hours) else price.shared_hours
    afloat = float(row["risk_before"]) - float(row["risk_hidden"])
    lost = float(row["consequence"]) if kind.stops_the_boat else 0.0
    before = max(afloat, 0.0) * (0.0 if np.isnan(lost) else lost)
    return Job(
        key=str(row["job"]),
        line=row["position"] if shared < alone else "",
        kind=kind.label,
        # What waiting costs is counted from the lay-up lift on; the weeks after it are below.
        saving=saving - before * wait.after_lift,
        alone_hours=alone,
        shared_hours=shared,
        waiting=tuple(before * share for share in wait.shares),
        must=bool(why),
        why_must=why,
        accepted_by=next((one.by for one in same if one.what == "accepted"), ""),
    )


def why_must(row: pd.Series, ceiling: float | None) -> str:
    """The rule that asks for a job, in words that fit behind "because"; "" for none."""
    if row["past_limit_at_lift"]:
        return f"it is past its written limit of {row['limit']:g} {row['limit_unit']} at the lift"
    chance = float(row["risk_by_end"])
    if ceiling is not None and chance > ceiling:
        return (
            f"its chance of failing before the season ends, {chance:.0%}, is above the ceiling of "
            f"{ceiling:.0%}"
        ).replace("%", " %")
    return ""


def _booked(records: Records, weeks: Iterable[Week]) -> dict[str, frozenset[date]]:
    table = records.tables[BOOKINGS.file]
    found: dict[str, frozenset[date]] = {}
    chosen = list(weeks)
    for row in table.to_dict("records"):
        first, last = row["from_lo"], row["to_hi"]
        if pd.isna(first) or pd.isna(last):
            continue
        boat = str(row["boat"])
        touched = weeks_touched(chosen, _as_day(first), _as_day(last))
        found[boat] = found.get(boat, frozenset()) | touched
    return found


def _by_boat(wishes: Iterable[Wish]) -> dict[str, list[Wish]]:
    found: dict[str, list[Wish]] = {}
    for one in wishes:
        found.setdefault(one.boat, []).append(one)
    return found


def _as_day(value: object) -> date:
    return pd.Timestamp(value).date()  # type: ignore[arg-type]


def _number(value: object) -> float | None:
    number = float(value)  # type: ignore[arg-type]
    return None if np.isnan(number) else number
