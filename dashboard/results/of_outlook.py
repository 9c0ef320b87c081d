"""Kept answers about what is to come: the season and the parts budget."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
import streamlit as st

from analytics import job
from analytics.ageing.fit import FleetAgeing
from analytics.decisions.budget import Budget
from analytics.decisions.what_changes import Case
from analytics.outlook.season import SeasonRisk
from analytics.outlook.with_this import BoatAhead
from dashboard.results.asking import Asked, silent, watched
from dashboard.results.of_ageing import ageing, kept_ageing, kept_own
from dashboard.results.of_records import fleet, kept_fleet


def season(asked: Asked, kinds: tuple[str, ...] = ()) -> SeasonRisk:
    """The risk of the season; of some kinds only, where they are named."""
    whole, fitted = fleet(asked), ageing(asked)
    return watched(
        lambda _: _season(asked.key, asked.seed, asked.season, kinds, whole, fitted),
        "Working out the season",
    )


def budget(asked: Asked) -> Budget:
    """The parts budget over the horizon."""
    whole, fitted = fleet(asked), ageing(asked)
    return watched(
        lambda progress: _budget(asked.key, asked.seed, asked.horizon, whole, fitted, progress),
        "Simulating the coming seasons",
    )


def ahead(asked: Asked, boat: str, kinds: tuple[str, ...] = ()) -> BoatAhead:
    """One boat's season, ready to be asked what would change it; `kinds` as in `season`."""
    whole, fitted, risk = fleet(asked), ageing(asked), season(asked, kinds)
    return watched(
        lambda _: _ahead(asked.key, asked.seed, asked.season, boat, kinds, whole, fitted, risk),
        f"Looking into {boat}",
    )


def what_would_change(
    asked: Asked, boat: str, life: int, kinds: tuple[str, ...] = (), besides: tuple[Case, ...] = ()
) -> pd.DataFrame:
    """The season of a part and its boat in each case that is looked at."""
    whole, hers = fleet(asked), ahead(asked, boat, kinds)
    told = repr(besides)
    return watched(
        lambda _: _what_would_change(
            asked.key, asked.seed, asked.season, life, kinds, told, whole, hers, besides
        ),
        "Working out what would change it",
    )


def warm(asked: Asked) -> None:
    """Work out what the first page shows, before anybody opens it; no Streamlit session needed."""
    whole = kept_fleet(asked.key, asked.files, silent)
    fitted = kept_ageing(asked.key, asked.seed, whole, silent)
    _season(asked.key, asked.seed, asked.season, (), whole, fitted)


@st.cache_resource(max_entries=16, show_spinner=False)
def _season(
    key: str,
    seed: int,
    year: int | None,
    kinds: tuple[str, ...],
    _fleet: job.Fleet,
    _ageing: FleetAgeing,
) -> SeasonRisk:
    of_kinds = {name: one for name, one in _ageing.items() if not kinds or name[0] in kinds}
    own = kept_own(key, seed, _fleet, _ageing)
    risk = job.boats_at_risk(_fleet, of_kinds, year, seed, own)
    # The draws are a thousand times the size of the tables made of them, and no page shows them.
    return replace(risk, during=np.empty((0, 0)), at_start=np.empty((0, 0)))


@st.cache_resource(max_entries=8, show_spinner=False)
def _ahead(
    key: str,
    seed: int,
    year: int | None,
    boat: str,
    kinds: tuple[str, ...],
    _fleet: job.Fleet,
    _ageing: FleetAgeing,
    _risk: SeasonRisk,
) -> BoatAhead:
    of_kinds = {name: one for name, one in _ageing.items() if not kinds or name[0] in kinds}
    own = kept_own(key, seed, _fleet, _ageing)
    return job.boat_ahead_of(_fleet, of_kinds, boat, year, seed, own, _risk)


@st.cache_resource(max_entries=64, show_spinner=False)
def _what_would_change(
    key: str,
    seed: int,
    year: int | None,
    life: int,
    kinds: tuple[str, ...],
    told: str,
    _fleet: job.Fleet,
    _hers: BoatAhead,
    _besides: tuple[Case, ...],
) -> pd.DataFrame:
    return job.what_would_change(_fleet, _hers, life, _besides)


@st.cache_resource(max_entries=8, show_spinner=False)
def _budget(
    key: str,
    seed: int,
    horizon: int,
    _fleet: job.Fleet,
    _ageing: FleetAgeing,
    _progress: job.Progress,
) -> Budget:
    own = kept_own(key, seed, _fleet, _ageing)
    futures = job.futures_of(
        _fleet, _ageing, seasons=horizon, seed=seed, progress=_progress, own=own
    )
    return job.budget_of(_fleet, futures)
