"""Kept answers about the haul-out plan."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import pandas as pd
import streamlit as st

from analytics import job
from analytics.ageing.fit import FleetAgeing
from analytics.decisions.haul_outs import HaulOuts
from analytics.decisions.yard_compared import Compared
from analytics.outlook.season import SeasonRisk
from analytics.papers.job_packs import job_packs
from analytics.papers.yard_calendar import yard_calendar
from analytics.papers.yard_tables import boats_table, jobs_table, weeks_table
from analytics.papers.yard_workbook import yard_workbook
from analytics.records.wishes import Wish, wishes_text
from dashboard.results.asking import Asked, watched
from dashboard.results.of_ageing import ageing, kept_own
from dashboard.results.of_outlook import season
from dashboard.results.of_records import fleet

SECONDS = 20.0
"""Of search for each plan; nobody waits longer before a page."""


@dataclass(frozen=True)
class YardAnswer:
    """The plan under some wishes, and its tables.

    Attributes
    ----------
    found : HaulOuts
    boats, jobs, weeks : DataFrame
        From `papers.yard_tables`.
    """

    found: HaulOuts
    boats: pd.DataFrame
    jobs: pd.DataFrame
    weeks: pd.DataFrame


def haul_outs(asked: Asked, wishes: tuple[Wish, ...]) -> YardAnswer:
    """The plan of the coming lay-up, whatever season the sidebar asks for."""
    whole, fitted = fleet(asked), ageing(asked)
    risk = season(replace(asked, season=job.lay_up_season(whole).year))
    return watched(
        lambda progress: _haul_outs(
            asked.key, asked.seed, wishes_text(wishes), whole, fitted, risk, wishes, progress
        ),
        "Planning the haul-outs",
    )


def yard_compared(asked: Asked, answer: YardAnswer) -> Compared:
    """The plan beside the rules people use."""
    whole, text = fleet(asked), wishes_text(answer.found.wishes)
    return watched(
        lambda _: _compared(asked.key, asked.seed, text, whole, answer.found),
        "Working out other rules",
    )


def yard_papers(asked: Asked, answer: YardAnswer, compared: Compared) -> Mapping[str, bytes]:
    """The files that are handed out, by name."""
    whole, text = fleet(asked), wishes_text(answer.found.wishes)
    return watched(
        lambda _: _papers(asked.key, asked.seed, text, whole, answer, compared),
        "Writing the files",
    )


@st.cache_resource(max_entries=4, show_spinner=False)
def _ground(
    key: str, seed: int, _fleet: job.Fleet, _ageing: FleetAgeing, _risk: SeasonRisk
) -> job.YardGround:
    own = kept_own(key, seed, _fleet, _ageing)
    return job.yard_ground_of(_fleet, _ageing, seed, own, _risk)


@st.cache_resource(max_entries=16, show_spinner=False)
def _haul_outs(
    key: str,
    seed: int,
    text: str,
    _fleet: job.Fleet,
    _ageing: FleetAgeing,
    _risk: SeasonRisk,
    _wishes: tuple[Wish, ...],
    _progress: job.Progress,
) -> YardAnswer:
    found = job.haul_outs_of(
        _fleet,
        _ageing,
        seed,
        wishes=_wishes,
        progress=_progress,
        seconds=SECONDS,
        ground=_ground(key, seed, _fleet, _ageing, _risk),
    )
    jobs = jobs_table(found)
    return YardAnswer(found, boats_table(found, jobs), jobs, weeks_table(found))


@st.cache_resource(max_entries=16, show_spinner=False)
def _compared(key: str, seed: int, text: str, _fleet: job.Fleet, _found: HaulOuts) -> Compared:
    return job.yard_compared_of(_fleet, _found, seed, seconds=SECONDS)


@st.cache_resource(max_entries=4, show_spinner=False)
def _papers(
    key: str,
    seed: int,
    text: str,
    _fleet: job.Fleet,
    _answer: YardAnswer,
    _compared: Compared,
) -> dict[str, bytes]:
    settings, fingerprint = _fleet.records.settings, _fleet.records.fingerprint
    found = _answer.found
    packs = job_packs(found, _answer.jobs, settings, fingerprint)
    return {
        "yard.ics": yard_calendar(found.plan, settings.name, _fleet.records.as_of, {}),
        "yard.xlsx": yard_workbook(found, _compared, settings, seed=seed, fingerprint=fingerprint),
        "job_packs.html": packs.encode(),
    }
