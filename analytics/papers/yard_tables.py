"""The haul-out plan as tables: a row a boat, a row a job, a row a week, and what is to be said."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from analytics.decisions.haul_out.plan import table_of
from analytics.decisions.haul_outs import HaulOuts
from analytics.decisions.yard_compared import COLUMNS as COMPARED_COLUMNS
from analytics.decisions.yard_compared import Compared

BOAT_COLUMNS = [
    *("boat", "base", "week", "launch", "days", "jobs", "job_names", "must", "fixed", "hours"),
    *("parts_cost", "labour_cost", "haul_cost", "cost", "saves", "currency", "why"),
]
JOB_COLUMNS = [
    *("boat", "base", "job", "kind", "position", "part_no", "size", "week", "done", "must"),
    *("why_must", "accepted_by", "hours", "part_price", "saving", "currency", "risk"),
    *("risk_renewed", "risk_hidden", "why"),
]
WEEK_COLUMNS = [
    *("week", "slots", "slots_used", "hours", "hours_used", "places", "places_used", "note"),
    "boats",
]
QUESTION_COLUMNS = ["sort", "boat", "text"]


def jobs_table(found: HaulOuts) -> pd.DataFrame:
    """A row for every job that was weighed, done or left, with its sentence.

    Returns
    -------
    DataFrame
        `JOB_COLUMNS`; `saving` is what doing it saves before labour, `hours` what it adds to
        the other work of that haul-out, `risk` and `risk_renewed` the chance of failing in the
        season if it is left and if it is renewed, `risk_hidden` that it is worn already.
    """
    asked = {(ask.boat, job.key): job for ask in found.problem.boats for job in ask.jobs}
    keys = zip(found.parts["boat"], found.parts["job"], strict=True)
    about = dict(zip(keys, found.parts.to_dict("records"), strict=True))
    rows: list[dict[str, Any]] = []
    for choice in found.plan.jobs:
        job, part = asked[choice.boat, choice.job], about[choice.boat, choice.job]
        rows.append(
            {
                **{name: part[name] for name in ("base", "position", "part_no", "size")},
                **{name: part[name] for name in ("risk", "risk_renewed", "risk_hidden")},
                "boat": choice.boat,
                "job": choice.job,
                "kind": part["kind"],
                "week": choice.week,
                "done": choice.done,
                "must": choice.must,
                "why_must": job.why_must,
                "accepted_by": job.accepted_by,
                "hours": round(choice.hours, 2),
                "part_price": float(part["part_price"]),
                "saving": choice.saving,
                "currency": found.problem.currency,
                "why": choice.because,
            }
        )
    return pd.DataFrame(rows, columns=JOB_COLUMNS)


def boats_table(found: HaulOuts, jobs: pd.DataFrame) -> pd.DataFrame:
    """A row for every boat, those lifted first and by week.

    Parameters
    ----------
    jobs : DataFrame
        From `jobs_table`.

    Returns
    -------
    DataFrame
        `BOAT_COLUMNS`; `must` is the number of her jobs that a rule asks for, `cost` that of
        parts (those with a price), labour and haul-out, `saves` what her jobs are expected to
        save less their labour. Blank week and launch: not lifted.
    """
    labour = found.problem.yard.labour
    asks = {ask.boat: ask for ask in found.problem.boats}
    done = jobs[jobs["done"].astype(bool)]
    parts = done.groupby("boat")["part_price"].sum()
    saving = done.groupby("boat")["saving"].sum()
    must = jobs[jobs["must"].astype(bool)].groupby("boat").size()
    rows: list[dict[str, Any]] = []
    for haul in sorted(found.plan.hauls, key=lambda one: (one.week, one.boat)):
        ask, price = asks[haul.boat], float(parts.get(haul.boat, 0.0))
        work = labour * haul.hours
        fixed = "" if ask.fixed is None else "promised" if ask.promised is not None else "pinned"
        rows.append(
            {
                "boat": haul.boat,
                "base": haul.base,
                "week": haul.week,
                "launch": haul.launch,
                "days": haul.days,
                "jobs": len(haul.jobs),
                "job_names": "; ".join(haul.jobs),
                "must": int(must.get(haul.boat, 0)),
                "fixed": fixed,
                "hours": round(haul.hours, 2),
                "parts_cost": price,
                "labour_cost": work,
                "haul_cost": ask.haul_cost,
                "cost": price + work + ask.haul_cost,
                "saves": float(saving.get(haul.boat, 0.0)) - work,
                "why": haul.because,
            }
        )
    for left in found.plan.left:
        nothing = dict.fromkeys(("days", "jobs", "hours"), 0)
        money = dict.fromkeys(("parts_cost", "labour_cost", "haul_cost", "cost", "saves"), 0.0)
        rows.append(
            {
                "boat": left.boat,
                "base": left.base,
                "week": None,
                "launch": None,
                "job_names": "",
                "must": int(must.get(left.boat, 0)),
                "fixed": "",
                "why": left.because,
                **nothing,
                **money,
            }
        )
    table = pd.DataFrame(rows, columns=BOAT_COLUMNS)
    table["currency"] = found.problem.currency
    return table


def weeks_table(found: HaulOuts) -> pd.DataFrame:
    """A row for every week: what it has, what the plan takes, and who is lifted.

    Returns
    -------
    DataFrame
        `WEEK_COLUMNS`; blank where hours or places do not limit.
    """
    table = table_of(found.plan.weeks, type(found.plan.weeks[0])) if found.plan.weeks else None
    if table is None:
        return pd.DataFrame(columns=WEEK_COLUMNS)
    for name in ("hours", "places"):
        table[name] = table[name].astype(float)
    table["hours_used"] = table["hours_used"].round(2)
    for name in ("slots", "slots_used", "places_used"):
        table[name] = table[name].astype(int)
    by_week: dict[Any, list[str]] = {}
    for haul in sorted(found.plan.hauls, key=lambda one: one.boat):
        by_week.setdefault(haul.week, []).append(haul.boat)
    table["boats"] = ["; ".join(by_week.get(week, [])) for week in table["week"]]
    return table[WEEK_COLUMNS]


def compared_table(compared: Compared) -> pd.DataFrame:
    """The plan beside the rules, as `yard_compared.COLUMNS`, money in whole cents."""
    table = compared.table[COMPARED_COLUMNS].copy()
    for name in table.columns:
        if name.endswith("cost") or name == "cost_more":
            table[name] = np.round(table[name].astype(float), 2)
    return table


def to_tell(found: HaulOuts) -> pd.DataFrame:
    """What a person has to accept, settle or look up; `QUESTION_COLUMNS`."""
    rows: list[tuple[str, str, str]] = [
        *(
            (
                "accepted" if one.accepted_by else "to accept",
                one.boat,
                f"{one.job}, because {one.why_must}. {one.because}"
                + (f" Accepted by {one.accepted_by}." if one.accepted_by else ""),
            )
            for one in found.plan.waivers
        ),
        *(("conflict", one.boat, one.text) for one in found.plan.conflicts),
        *(("question", "", one) for one in found.plan.questions),
        *(("not as written", "", one.sentence()) for one in found.findings),
        *(("moved", one.boat, one.text) for one in found.plan.moves),
    ]
    return pd.DataFrame(rows, columns=QUESTION_COLUMNS)
