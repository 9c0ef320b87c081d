"""Kept answers about spares and orders."""

from __future__ import annotations

import streamlit as st

from analytics import job
from analytics.ageing.fit import FleetAgeing
from analytics.decisions.stock import StockPlan
from analytics.outlook.futures import Futures
from dashboard.results.asking import Asked, watched
from dashboard.results.of_ageing import ageing, kept_own
from dashboard.results.of_records import fleet


def spares(asked: Asked, chance: float, *, one_where_it_pays: bool) -> StockPlan:
    """What to hold and what to order for a chance of not waiting."""
    whole, fitted = fleet(asked), ageing(asked)

    def work(progress: job.Progress) -> StockPlan:
        futures = _futures(asked.key, asked.seed, whole, fitted, progress)
        return _spares(asked.key, asked.seed, chance, one_where_it_pays, whole, futures)

    return watched(work, "Simulating the coming seasons")


# Every renewal of every future: many times the size of the answers made of them.
@st.cache_resource(max_entries=2, show_spinner=False)
def _futures(
    key: str, seed: int, _fleet: job.Fleet, _ageing: FleetAgeing, _progress: job.Progress
) -> Futures:
    own = kept_own(key, seed, _fleet, _ageing)
    return job.spares_futures_of(_fleet, _ageing, seed=seed, progress=_progress, own=own)


@st.cache_resource(max_entries=16, show_spinner=False)
def _spares(
    key: str,
    seed: int,
    chance: float,
    one_where_it_pays: bool,
    _fleet: job.Fleet,
    _futures: Futures,
) -> StockPlan:
    return job.spares_of(_fleet, _futures, chance, one_where_it_pays=one_where_it_pays)
