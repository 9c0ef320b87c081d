"""The verb `yard`: which boat is lifted in which week of the lay-up, and what is done then."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pandas as pd

from analytics import job
from analytics.decisions.haul_outs import HaulOuts
from analytics.decisions.yard_compared import Compared
from analytics.papers import words
from analytics.papers import yard_sentences as says
from analytics.papers.job_packs import job_packs
from analytics.papers.terminal import Terminal
from analytics.papers.yard_calendar import yard_calendar
from analytics.papers.yard_tables import (
    boats_table,
    compared_table,
    jobs_table,
    to_tell,
    weeks_table,
)
from analytics.papers.yard_workbook import yard_workbook
from analytics.records.reading import folder_files
from analytics.verbs.telling import assumed, document, headline, rows, write


def yard(folder: Path, out: Path | None, as_json: bool, seed: int, seconds: float) -> int:
    """Which boat is lifted in which week of the lay-up, and what is done then."""
    with Terminal(as_json) as terminal:
        fleet = job.open_fleet(folder_files(folder), terminal.progress)
        fitted = job.how_it_ages(fleet, seed, terminal.progress)
        found = job.haul_outs_of(fleet, fitted, seed, progress=terminal.progress, seconds=seconds)
        compared = job.yard_compared_of(fleet, found, seed, seconds=seconds)
        settings = fleet.records.settings
        jobs = jobs_table(found)
        boats = boats_table(found, jobs)
        headline(terminal, fleet)
        _tell(terminal, found, boats, compared)
        terminal.say("Taken for granted of the haul-outs:", style="bold")
        for sentence in says.assumed(found, settings):
            terminal.say("  - " + sentence)
        assumed(terminal, fleet, fitted, money_too=True)
        tables = {
            "yard.csv": boats,
            "yard_jobs.csv": jobs,
            "yard_weeks.csv": weeks_table(found),
            "yard_compared.csv": compared_table(compared),
            "yard_to_settle.csv": to_tell(found),
        }
        write(terminal, fleet, out, tables)
        if out is not None:
            _write_papers(terminal, fleet, found, compared, jobs, seed, out)
        document(fleet, as_json, _document(found, compared, tables, seed, settings))
    return 0


def _write_papers(
    terminal: Terminal,
    fleet: job.Fleet,
    found: HaulOuts,
    compared: Compared,
    jobs: pd.DataFrame,
    seed: int,
    out: Path,
) -> None:
    settings, fingerprint = fleet.records.settings, fleet.records.fingerprint
    packs = job_packs(found, jobs, settings, fingerprint)
    papers = {
        "yard.ics": yard_calendar(found.plan, settings.name, fleet.records.as_of, {}),
        "yard.xlsx": yard_workbook(found, compared, settings, seed=seed, fingerprint=fingerprint),
        "job_packs.html": packs.encode(),
    }
    for name, content in papers.items():
        (out / name).write_bytes(content)
        terminal.say(f"wrote {out / name}")


def _tell(terminal: Terminal, found: HaulOuts, boats: pd.DataFrame, compared: Compared) -> None:
    terminal.say(says.heading(found, boats) + ".", style="bold")
    for sentence in says.sentences(found, boats, compared):
        terminal.say(sentence)
    if found.weeks_assumed:
        terminal.say(says.no_slots(found))
    _listed(terminal, "Not as written:", [one.sentence() for one in found.findings])
    _listed(terminal, "In each other's way:", [one.text for one in found.plan.conflicts])
    _listed(terminal, "Decided:", [says.wish_words(one) for one in found.applied])
    currency = found.problem.currency
    if len(boats):
        terminal.table("Haul-outs", _boats_shown(boats, currency), right=_RIGHT)
    accept = [
        f"{one.boat}, {one.job}: it must be done, because {one.why_must}. {one.because}"
        for one in found.plan.to_accept
    ]
    _listed(terminal, "A named person has to accept each of these:", accept)
    _listed(
        terminal,
        "Left undone, and accepted:",
        [f"{one.boat}, {one.job}: by {one.accepted_by}" for one in found.plan.waivers
         if one.accepted_by],
    )  # fmt: skip
    _listed(
        terminal,
        "Not lifted:",
        [f"{one.boat}: {one.because}" for one in found.plan.left],
    )
    _listed(terminal, "Moved by what was decided:", [one.text for one in found.plan.moves])
    _listed(terminal, "Look up:", list(found.plan.questions))
    if len(compared.table):
        terminal.table(
            "Beside the rules people use", _rules_shown(compared, currency), right=_RULES_RIGHT
        )
        terminal.say(f"{says.ACCOUNT} {says.FAILURES}")
    _listed(terminal, "What a slot more would be worth:", [one.text for one in compared.slots])
    _listed(terminal, "Hauled twice:", [one.text for one in compared.second])


def _listed(terminal: Terminal, title: str, lines: list[str]) -> None:
    if lines:
        terminal.say(title, style="bold")
        for line in lines:
            terminal.say("  - " + line)


_RIGHT = ["jobs", "hours", "cost", "saves"]


def _boats_shown(boats: pd.DataFrame, currency: str) -> pd.DataFrame:
    return pd.DataFrame(
        {
            "week of": ["not lifted" if week is None else str(week) for week in boats["week"]],
            "boat": boats["boat"],
            "base": boats["base"],
            "launch": ["" if day is None else str(day) for day in boats["launch"]],
            "jobs": boats["jobs"],
            "which": [
                names + (f" ({must} must)" if must else "")
                for names, must in zip(boats["job_names"], boats["must"], strict=True)
            ],
            "hours": [f"{hours:g}" for hours in boats["hours"]],
            "cost": [words.money(cost, currency) for cost in boats["cost"]],
            "saves": [words.money(saves, currency) for saves in boats["saves"]],
        }
    )


_RULES_RIGHT = ["boats", "jobs", "musts undone", "failures", "cost", "more than the plan"]


def _rules_shown(compared: Compared, currency: str) -> pd.DataFrame:
    table = compared.table
    return pd.DataFrame(
        {
            "rule": [says.RULES[rule] for rule in table["rule"]],
            "boats": table["boats_lifted"],
            "jobs": table["jobs"],
            "musts undone": table["must_undone"],
            "failures": [f"{number:.1f}" for number in table["failures"]],
            "cost": [words.money(cost, currency) for cost in table["cost"]],
            "more than the plan": [f"{more:+,.0f}" for more in table["cost_more"]],
        }
    )


def _document(
    found: HaulOuts,
    compared: Compared,
    tables: dict[str, pd.DataFrame],
    seed: int,
    settings: Any,
) -> dict[str, Any]:
    plan = found.plan
    return {
        "season": found.season.year,
        "status": plan.status,
        "gap": plan.gap,
        "boats": rows(tables["yard.csv"]),
        "jobs": rows(tables["yard_jobs.csv"]),
        "weeks": rows(tables["yard_weeks.csv"]),
        "compared": rows(tables["yard_compared.csv"]),
        "to_settle": rows(tables["yard_to_settle.csv"]),
        "slots_worth": [
            {"week": one.week, "worth": one.worth, "low": one.low, "high": one.high,
             "text": one.text}
            for one in compared.slots
        ],
        "second_hauls": [one.text for one in compared.second],
        "decided": [says.wish_words(one) for one in found.applied],
        "taken_for_granted": says.assumed(found, settings),
        "seed": seed,
    }  # fmt: skip
