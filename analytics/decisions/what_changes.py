"""What would change a boat's season: dates found, inspections passed, parts renewed, in one table.

The risk of each case is that of `outlook.with_this`; this adds what it means in money and
charter days, and which parts "all parts past their limit" are.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

import pandas as pd

from analytics.decisions.consequence import with_consequence
from analytics.decisions.prices import PriceList
from analytics.outlook.season import SeasonRisk
from analytics.outlook.with_this import (
    BoatAhead,
    Change,
    Dated,
    Passed,
    Renewed,
    renewal_day,
    why_not,
    with_this,
)

STANDS, TODAY, AT_LIFT = "as things stand", "sound today", "sound at the lift"
RENEWED, RENEWED_ALL = "renewed", "renewed, and all past their limit"
FITTED = "fitted"

NO_NEWS = (
    "A failure of this kind is seen at once, so that it has lasted until now is already in the "
    "figure: to find it sound today says nothing more."
)

MOST_YEARS = 25
"""Years of a window that are shown one by one."""

CASE_COLUMNS = [
    *("boat", "position", "kind", "case", "on", "until", "renewed"),
    *(
        f"{whose}_{name}"
        for whose in ("part", "boat")
        for name in ("risk", "risk_low", "risk_high", "risk_before", "risk_by_end")
    ),
    *("expected_cost", "expected_lost_days", "planned_cost"),
]


@dataclass(frozen=True)
class Case:
    """Something that may turn out, or be done.

    Attributes
    ----------
    name : str
        `STANDS`, `TODAY`, `AT_LIFT`, `RENEWED`, `RENEWED_ALL`, or `FITTED`.
    changes : mapping of int to Change
        By life.
    """

    name: str
    changes: Mapping[int, Change]


def cases_of(ahead: BoatAhead, life: int, parts: pd.DataFrame) -> list[Case]:
    """The cases worth looking at for a part: what may be found, and what may be done.

    Parameters
    ----------
    ahead : BoatAhead
    life : int
        The part, as in the column `life` of `parts`.
    parts : DataFrame
        The boat's rows of `SeasonRisk.parts`, with limits (`with_consequence`).

    Returns
    -------
    list of Case
        As things stand first. An inspection today only where it would say something; each
        year of the window of a part whose fitting is not known to a year, the latest first.
    """
    as_of, row = ahead.lives.as_of, parts[parts["life"] == life].iloc[0]
    lift = renewal_day(ahead.season, as_of)
    cases = [Case(STANDS, {})]
    if row["sound_on"].date() < as_of:
        cases.append(Case(TODAY, {life: Passed(as_of)}))
    if ahead.season.lift_after(as_of):
        cases.append(Case(AT_LIFT, {life: Passed(lift)}))
    cases.append(Case(RENEWED, {life: Renewed(lift)}))
    past = parts[parts["past_limit_at_lift"].astype(bool) & (parts["life"] != life)]
    if len(past):
        others = {int(other): Renewed(lift) for other in past["life"]}
        cases.append(Case(RENEWED_ALL, {life: Renewed(lift), **others}))
    first, last = row["start_lo"].date(), row["start_hi"].date()
    if last.year > first.year:
        for year in range(last.year, max(first.year, last.year - MOST_YEARS) - 1, -1):
            window = max(first, date(year, 1, 1)), min(last, date(year, 12, 31))
            cases.append(Case(FITTED, {life: Dated(*window)}))
    return [
        case
        for case in cases
        if not any(why_not(ahead, one, change) for one, change in case.changes.items())
    ]


def cases_table(
    ahead: BoatAhead, life: int, cases: Sequence[Case], prices: PriceList
) -> pd.DataFrame:
    """The season of a part, and of its boat, in each case.

    Returns
    -------
    DataFrame
        `CASE_COLUMNS`: `on` and `until` are the days of the change; `part_*` and `boat_*`
        the risks as in `SeasonRisk`, of a part renewed at a lift to come with what the old one
        may do until then; `expected_cost` and `expected_lost_days` those of
        the boat's failures in the season; `planned_cost` part and labour of what is
        renewed at the lift (0 where nothing is), each job counted as if done alone.
    """
    return pd.DataFrame([_row(ahead, life, case, prices) for case in cases], columns=CASE_COLUMNS)


def season_with(ahead: BoatAhead, changes: Mapping[int, Change], prices: PriceList) -> SeasonRisk:
    """The boat's season in one case, with consequence and limits."""
    return with_consequence(with_this(ahead, changes), ahead.lives, ahead.whole, prices)


def _row(ahead: BoatAhead, life: int, case: Case, prices: PriceList) -> dict[str, object]:
    risk = season_with(ahead, case.changes, prices)
    part = risk.parts[risk.parts["life"] == life].iloc[0]
    boat = risk.boats.iloc[0]
    change = case.changes.get(life)
    first = None if change is None else change.first if isinstance(change, Dated) else change.on
    renewed = [one for one, change in case.changes.items() if isinstance(change, Renewed)]
    rates = ahead.lives.settings.rates
    new = risk.parts[risk.parts["life"].isin(renewed)]
    planned = [
        prices.of(kind, part_no).planned(rates)
        for kind, part_no in zip(new["kind"], new["part_no"], strict=True)
    ]
    row: dict[str, object] = {
        "boat": part["boat"],
        "position": part["position"],
        "kind": part["kind"],
        "case": case.name,
        "on": pd.NaT if first is None else pd.Timestamp(first),
        "until": pd.Timestamp(change.last) if isinstance(change, Dated) else pd.NaT,
        "renewed": len(renewed),
        "expected_cost": boat["expected_cost"],
        "expected_lost_days": boat["expected_lost_days"],
        "planned_cost": float(sum(planned)),
    }
    for whose, of in (("part", part), ("boat", boat)):
        for name in ("risk", "risk_low", "risk_high", "risk_before", "risk_by_end"):
            row[f"{whose}_{name}"] = float(of[name])
    return row
