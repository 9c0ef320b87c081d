"""Kept answers about changed plans."""

from __future__ import annotations

import streamlit as st

from analytics import job
from analytics.ageing.fit import FleetAgeing
from analytics.what_if.applied import Plan
from analytics.what_if.changes import Changes
from analytics.what_if.compared import Compared, compared, years_of
from analytics.what_if.measures import Measured, measured
from analytics.what_if.text import changes_text
from dashboard.results.asking import Asked, watched
from dashboard.results.of_ageing import ageing, kept_own
from dashboard.results.of_records import fleet


def what_if(asked: Asked, changes: Changes) -> Compared:
    """Changes against today's plan; over the horizon that is asked for where they do not say."""
    whole, fitted = fleet(asked), ageing(asked)
    return watched(
        lambda progress: _compared(
            asked.key,
            asked.seed,
            asked.horizon,
            changes_text(changes),
            whole,
            fitted,
            changes,
            progress,
        ),
        "Simulating both plans",
    )


@st.cache_resource(max_entries=24, show_spinner=False)
def _compared(
    key: str,
    seed: int,
    horizon: int,
    text: str,
    _fleet: job.Fleet,
    _ageing: FleetAgeing,
    _changes: Changes,
    _progress: job.Progress,
) -> Compared:
    today = Plan(_fleet, _ageing, kept_own(key, seed, _fleet, _ageing))
    years = years_of(today, _changes, horizon)
    return compared(
        today,
        _changes,
        seasons=horizon,
        seed=seed,
        progress=_progress,
        measured_today=_of_today(key, seed, years, today, _progress),
    )


@st.cache_resource(max_entries=4, show_spinner=False)
def _of_today(
    key: str, seed: int, years: tuple[int, ...], _plan: Plan, _progress: job.Progress
) -> Measured:
    return measured(_plan, years, seed=seed, progress=_progress)
