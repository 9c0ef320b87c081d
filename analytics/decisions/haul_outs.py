"""The haul-outs of the coming lay-up: from the records and what people decided to the plan.

Two plans are made: one as if nobody had decided anything, and one with the wishes, which keeps
the boats of the first in their weeks unless moving one saves more than the moving cost. So what
a wish moves is seen, and nothing else moves.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import pandas as pd

from analytics.decisions.haul_out.changes import keeping_to
from analytics.decisions.haul_out.model import SECONDS, Stop, Watch
from analytics.decisions.haul_out.plan import Plan
from analytics.decisions.haul_out.planning import haul_out_plan
from analytics.decisions.haul_out.problem import Problem
from analytics.decisions.prices import PriceList
from analytics.decisions.yard_asks import asking_parts, yard_problem
from analytics.decisions.yard_weeks import YardWeeks, yard_weeks
from analytics.decisions.yard_wishes import applicable
from analytics.lives import Lives
from analytics.outlook.season import SeasonRisk
from analytics.records.findings import Finding
from analytics.records.reading import Records
from analytics.records.seasons import Season
from analytics.records.wishes import Wish


@dataclass(frozen=True)
class HaulOuts:
    """A lay-up, planned.

    Attributes
    ----------
    problem : Problem
        With the wishes, keeping to the plan without them.
    plan : Plan
    undecided : Plan
        As if nobody had decided anything; the same plan where there are no wishes.
    parts : DataFrame
        From `asking_parts`, with `part_price` and `risk_renewed`, the chance of failing in the
        season of a new part; `done` where a wish says that its job is done already.
    values : DataFrame
        From `value_to_go`.
    risk : SeasonRisk
        Of the season after the lay-up.
    wishes : tuple of Wish
        As they were asked for.
    applied : tuple of Wish
        Those of them that the plan goes by.
    findings : tuple of Finding
        What was wrong with wishes and with weeks.
    weeks_assumed : str
        Where no slots were given: how many each week is taken to have, and why.
    """

    problem: Problem
    plan: Plan
    undecided: Plan
    parts: pd.DataFrame
    values: pd.DataFrame
    risk: SeasonRisk
    wishes: tuple[Wish, ...]
    applied: tuple[Wish, ...]
    findings: tuple[Finding, ...]
    weeks_assumed: str

    @property
    def season(self) -> Season:
        """The season after the lay-up."""
        return self.risk.season

    @property
    def made(self) -> bool:
        """Whether there is a plan."""
        return self.plan.status != "contradiction"


def haul_outs(
    lives: Lives,
    records: Records,
    risk: SeasonRisk,
    values: pd.DataFrame,
    renewed: pd.DataFrame,
    prices: PriceList,
    wishes: Iterable[Wish],
    *,
    seconds: float = SECONDS,
    seed: int = 0,
    watch: Watch | None = None,
    stop: Stop | None = None,
) -> HaulOuts:
    """Plan a lay-up.

    Parameters
    ----------
    risk : SeasonRisk
        Of the season after the lay-up, with consequences.
    values : DataFrame
        From `value_to_go`, for the lift of that lay-up.
    renewed : DataFrame
        From `renewed_risk`.
    wishes : iterable of Wish
    seconds : float
        Of search at most, for each of both plans.
    watch, stop : callable, optional
        See `haul_out.model.least_cost`.
    """
    asked = tuple(wishes)
    weeks: YardWeeks = yard_weeks(records, risk)
    parts = asking_parts(lives, records, risk, values)
    applied, wrong = applicable(asked, records, parts, weeks.weeks)

    def problem(of: Iterable[Wish]) -> Problem:
        return yard_problem(lives, records, parts, prices, risk.season, weeks.weeks, of)

    def planned(of: Problem) -> Plan:
        return haul_out_plan(of, seconds=seconds, seed=seed, watch=watch, stop=stop)

    chosen = problem(())
    plan = undecided = planned(chosen)
    if applied:
        chosen = keeping_to(problem(applied), undecided)
        plan = planned(chosen)
    priced = [
        prices.of(kind, number).part
        for kind, number in zip(parts["kind"], parts["part_no"], strict=True)
    ]
    done = {one.job for one in applied if one.what == "done"}
    places = zip(parts["boat"], parts["position"], parts["kind"], strict=True)
    parts = parts.assign(part_price=priced, done=[place in done for place in places])
    keys = ["boat", "position", "kind", "source"]
    return HaulOuts(
        problem=chosen,
        plan=plan,
        undecided=undecided,
        parts=parts.merge(renewed, on=keys, how="left"),
        values=values,
        risk=risk,
        wishes=asked,
        applied=applied,
        findings=(*weeks.findings, *wrong),
        weeks_assumed=weeks.assumed,
    )
