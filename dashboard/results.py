"""Every answer that the pages ask for, and the one place where answers are kept.

Kept answers are shared by every visitor, so each is keyed on the fingerprint of
the records and on whatever else it depends on; arguments with a leading
underscore take no part in the key. What is kept is read and never changed.
"""

from __future__ import annotations

import queue
import threading
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TypeVar

import numpy as np
import numpy.typing as npt
import pandas as pd
import streamlit as st

from analytics import job
from analytics.ageing.curves import ages_to_draw, survival_and_hazard
from analytics.ageing.fit import Ageing, FleetAgeing, kind_ageing
from analytics.ageing.nonparametric import at_risk, drawn_lives, early_risk_warning, kaplan_meier
from analytics.ageing.summary import KeyFigures, key_figures
from analytics.decisions.budget import Budget
from analytics.outlook.season import SeasonRisk
from analytics.records.reading import fingerprint, folder_files

T = TypeVar("T")
Floats = npt.NDArray[np.float64]

SEED = 0
"""The seed of the command line, so that page, terminal and file show the same numbers."""

PATIENCE = 0.4
"""Seconds before long work shows its progress; anything shorter would only flicker."""


@dataclass(frozen=True)
class Asked:
    """What the sidebar asks for.

    Attributes
    ----------
    files : mapping of str to bytes
        The fleet folder, or the files uploaded in its place.
    key : str
        Fingerprint of those files.
    season : int or None
        Year of the season; None is the coming one.
    horizon : int
        Seasons in the parts budget.
    """

    files: Mapping[str, bytes]
    key: str
    season: int | None = None
    horizon: int = job.HORIZON
    seed: int = SEED


@dataclass(frozen=True)
class Chosen:
    """A kind and group, and the lives of it that are looked at."""

    kind: str
    group: str
    field: str = ""
    value: str = ""


@dataclass(frozen=True)
class Curves:
    """Everything drawn of one kind, on its own clock.

    Attributes
    ----------
    fitted, prior : DataFrame
        From `survival_and_hazard`: with the records, and the prior alone.
    records : DataFrame
        The Kaplan-Meier curve; empty where no life has an age.
    ticks : ndarray
        Ages under the axis.
    watched : ndarray of int
        Lives watched at each tick.
    youngest, oldest : float
        Between these ages lives of known age were watched.
    furthest : float
        Where the age axis ends: not far past what was watched, or what is written of the kind.
    left_out : int
        Lives whose fitting is too little known to be drawn.
    warning : str or None
        Where the records' own curve misleads.
    figures, prior_figures : KeyFigures
    """

    fitted: pd.DataFrame
    prior: pd.DataFrame
    records: pd.DataFrame
    ticks: Floats
    watched: npt.NDArray[np.int64]
    youngest: float
    oldest: float
    furthest: float
    left_out: int
    warning: str | None
    figures: KeyFigures
    prior_figures: KeyFigures


def of_folder(folder: Path) -> Asked:
    """The files of a folder, to ask about; raises `FleetError` as `folder_files` does."""
    files = folder_files(folder)
    return Asked(files, fingerprint(files))


def fleet(asked: Asked) -> job.Fleet:
    """The fleet, read."""
    return _watched(lambda _: _fleet(asked.key, asked.files), "Reading the records")


def ageing(asked: Asked) -> FleetAgeing:
    """How each kind ages."""
    whole = fleet(asked)
    return _watched(
        lambda progress: _ageing(asked.key, asked.seed, whole, progress),
        "Fitting how each kind ages",
    )


def season(asked: Asked, kinds: tuple[str, ...] = ()) -> SeasonRisk:
    """The risk of the season; of some kinds only, where they are named."""
    whole, fitted = fleet(asked), ageing(asked)
    return _watched(
        lambda _: _season(asked.key, asked.seed, asked.season, kinds, whole, fitted),
        "Working out the season",
    )


def budget(asked: Asked) -> Budget:
    """The parts budget over the horizon."""
    whole, fitted = fleet(asked), ageing(asked)
    return _watched(
        lambda progress: _budget(asked.key, asked.seed, asked.horizon, whole, fitted, progress),
        "Simulating the coming seasons",
    )


def kind(asked: Asked, chosen: Chosen) -> Ageing:
    """How one kind ages, fitted again where only some of its lives are looked at."""
    whole, all_lives = fleet(asked), ageing(asked)[chosen.kind, chosen.group]
    if not chosen.field:
        return all_lives
    return _watched(
        lambda _: _narrowed(asked.key, asked.seed, chosen, whole, all_lives),
        "Fitting the lives chosen",
    )


def curves(asked: Asked, chosen: Chosen) -> Curves:
    """The curves of one kind."""
    fitted = kind(asked, chosen)
    return _watched(lambda _: _curves(asked.key, asked.seed, chosen, fitted), "Drawing the curves")


def warm(asked: Asked) -> None:
    """Work out what the first page shows, before anybody opens it; no Streamlit session needed."""
    whole = _fleet(asked.key, asked.files)
    fitted = _ageing(asked.key, asked.seed, whole, _silent)
    _season(asked.key, asked.seed, asked.season, (), whole, fitted)


@st.cache_resource(max_entries=4, show_spinner=False)
def _fleet(key: str, _files: Mapping[str, bytes]) -> job.Fleet:
    return job.open_fleet(_files)


@st.cache_resource(max_entries=4, show_spinner=False)
def _ageing(key: str, seed: int, _fleet: job.Fleet, _progress: job.Progress) -> FleetAgeing:
    return job.how_it_ages(_fleet, seed, _progress)


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
    risk = job.boats_at_risk(_fleet, of_kinds, year)
    # The draws are a thousand times the size of the tables made of them, and no page shows them.
    return replace(risk, during=np.empty((0, 0)))


@st.cache_resource(max_entries=8, show_spinner=False)
def _budget(
    key: str,
    seed: int,
    horizon: int,
    _fleet: job.Fleet,
    _ageing: FleetAgeing,
    _progress: job.Progress,
) -> Budget:
    futures = job.futures_of(_fleet, _ageing, seasons=horizon, seed=seed, progress=_progress)
    return job.budget_of(_fleet, futures)


@st.cache_resource(max_entries=32, show_spinner=False)
def _narrowed(key: str, seed: int, chosen: Chosen, _fleet: job.Fleet, _all_lives: Ageing) -> Ageing:
    table = _all_lives.table
    return kind_ageing(_fleet.lives, table[table[chosen.field] == chosen.value], seed)


@st.cache_resource(max_entries=32, show_spinner=False)
def _curves(key: str, seed: int, chosen: Chosen, _fitted: Ageing) -> Curves:
    ages = _with_early(_fitted, ages_to_draw(_fitted))
    entry, exit, failed, left_out = drawn_lives(_fitted.nodes)
    records = kaplan_meier(entry, exit, failed)
    # A part that may be 20 years old has not been watched for 20 years.
    oldest = float(exit.max()) if len(exit) else 0.0
    written = max(_fitted.kind.limit or 0.0, _fitted.kind.prior.at)
    furthest = min(1.3 * max(oldest, written), float(ages[-1]))
    ticks = round_ages(furthest, float(ages[-1]))
    return Curves(
        fitted=survival_and_hazard(_fitted, _fitted.posterior, ages),
        prior=survival_and_hazard(_fitted, _fitted.prior, ages),
        records=records,
        ticks=ticks,
        # Nobody is watched before age 0: the first count is of those watched from new.
        watched=at_risk(entry, exit, np.maximum(ticks, 1e-9)),
        youngest=float(entry.min()) if len(entry) else 0.0,
        oldest=oldest,
        furthest=furthest,
        left_out=left_out,
        warning=early_risk_warning(records),
        figures=key_figures(_fitted),
        prior_figures=key_figures(_fitted, _fitted.prior),
    )


def _with_early(fitted: Ageing, ages: Floats) -> Floats:
    """The ages to draw, and those where early failures begin and end, so that the step shows."""
    if "early" not in fitted.kind.causes:
        return ages
    over = fitted.posterior.early_years * fitted.units_per_year
    return np.unique(np.concatenate([ages, over * np.array([0.5, 0.999, 1.001])]))


def round_ages(furthest: float, end: float, most: int = 8) -> Floats:
    """Round ages from 0 to the end, so spaced that at most `most` lie short of `furthest`."""
    rough = furthest / (most - 1)
    unit = 10.0 ** np.floor(np.log10(rough)) if rough > 0 else 1.0
    step = next((unit * k for k in (1, 2, 5, 10) if unit * k >= rough), unit * 10)
    return np.asarray(np.arange(0.0, end + 1e-9, step))


def _watched(work: Callable[[job.Progress], T], doing: str) -> T:
    """Do long work, showing how far it is.

    The work runs beside the page, because a kept function that draws would draw
    again whenever its answer is taken from the store.
    """
    told: queue.SimpleQueue[tuple[str, int, int]] = queue.SimpleQueue()
    answer: list[T] = []
    wrong: list[BaseException] = []

    def run() -> None:
        try:
            answer.append(work(lambda what, done, of: told.put((what, done, of))))
        except BaseException as error:
            wrong.append(error)

    worker = threading.Thread(target=run, daemon=True)
    worker.start()
    worker.join(PATIENCE)
    if worker.is_alive():
        shown = st.empty()
        bar = shown.progress(0.0, f"{doing} …")
        while worker.is_alive():
            worker.join(0.1)
            while not told.empty():
                what, done, of = told.get()
                bar.progress(done / max(of, 1), f"{doing}: {what}, {done + 1} of {of}")
        shown.empty()
    if wrong:
        raise wrong[0]
    return answer[0]


def _silent(what: str, done: int, of: int) -> None:
    """Progress that nobody watches."""
