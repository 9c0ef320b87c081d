"""Kept answers about when to replace: the age of replacement, and policies compared."""

from __future__ import annotations

import streamlit as st

from analytics import job
from analytics.ageing.fit import FleetAgeing
from analytics.decisions.policies import Compared
from analytics.decisions.replacement_groups import GroupAge
from dashboard.results.asking import Asked, watched
from dashboard.results.of_ageing import ageing, kept_own
from dashboard.results.of_records import fleet


def replacement_ages(asked: Asked) -> tuple[GroupAge, ...]:
    """Cost by age of replacement of every kind and base."""
    whole, fitted = fleet(asked), ageing(asked)
    return watched(
        lambda _: _replacement_ages(asked.key, asked.seed, whole, fitted),
        "Weighing ages of replacement",
    )


@st.cache_resource(max_entries=8, show_spinner=False)
def _replacement_ages(
    key: str, seed: int, _fleet: job.Fleet, _ageing: FleetAgeing
) -> tuple[GroupAge, ...]:
    return job.replacement_ages_of(_fleet, _ageing, seed)


def policies(asked: Asked, threshold: float) -> Compared:
    """Rules of renewing while sound, compared over the horizon."""
    whole, fitted, ages = fleet(asked), ageing(asked), replacement_ages(asked)
    return watched(
        lambda progress: _policies(
            asked.key, asked.seed, asked.horizon, threshold, whole, fitted, ages, progress
        ),
        "Simulating each rule",
    )


@st.cache_resource(max_entries=8, show_spinner=False)
def _policies(
    key: str,
    seed: int,
    horizon: int,
    threshold: float,
    _fleet: job.Fleet,
    _ageing: FleetAgeing,
    _ages: tuple[GroupAge, ...],
    _progress: job.Progress,
) -> Compared:
    return job.policies_of(
        _fleet,
        _ageing,
        _ages,
        threshold=threshold,
        seasons=horizon,
        seed=seed,
        progress=_progress,
        own=kept_own(key, seed, _fleet, _ageing),
    )
