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
import pandas as pd
import streamlit as st

from analytics import intake, job
from analytics.ageing.clock_choice import ClockChoice, clock_choice
from analytics.ageing.fit import Ageing, FleetAgeing, kind_ageing
from analytics.ageing.groups.regression import Regression, regression_of
from analytics.ageing.summary import KeyFigures, key_figures
from analytics.ageing.wear.fleet_wear import FleetOwnLives, FleetWear, fleet_own_lives
from analytics.decisions.budget import Budget
from analytics.outlook.doubt import PriorDoubt, prior_doubt
from analytics.outlook.season import SeasonRisk
from analytics.records.findings import Finding, FleetError
from analytics.records.history.accepted import FILE as LOG
from analytics.records.history.changes import Changes
from analytics.records.history.store import AcceptedState
from analytics.records.kinds import Prior
from analytics.records.reading import fingerprint, folder_files
from analytics.records.seasons import Season
from dashboard.ageing import belief_answers, causes_answers, paper_answers
from dashboard.ageing.belief_answers import Believed, Tried
from dashboard.ageing.causes_answers import CausesApart
from dashboard.ageing.families_answers import Families, families_of
from dashboard.ageing.groups_answers import GroupsFound, groups_found
from dashboard.ageing.paper_answers import OnPaper
from dashboard.ageing.readings_answers import ReadingsFound, readings_found
from dashboard.ageing.records_answers import OwnCurves, own_curves
from dashboard.curves import AtAge, Curves, at_age, curves_of
from dashboard.exports.sources import Looked, looked_into

T = TypeVar("T")

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


def of_folder(folder: Path) -> Asked:
    """The files of a folder, to ask about; raises `FleetError` as `folder_files` does."""
    files = folder_files(folder)
    return Asked(files, fingerprint(files))


def fleet(asked: Asked) -> job.Fleet:
    """The fleet, read."""
    return _watched(
        lambda progress: _fleet(asked.key, asked.files, progress), "Reading the records"
    )


def preview(files: Mapping[str, bytes]) -> tuple[Asked, job.Fleet | FleetError]:
    """The fleet as these files would give it, or why they cannot."""
    asked = Asked(files, fingerprint(files))
    found = _watched(
        lambda progress: _preview(asked.key, asked.files, progress), "Reading the exports"
    )
    return asked, found


def looked(files: Mapping[str, bytes]) -> tuple[tuple[Looked, ...], tuple[Finding, ...]]:
    """Files and sheets that are not in the plain layout, and what cannot be opened."""
    return _watched(lambda _: _looked(fingerprint(files), files), "Looking at the files")


def attention(asked: Asked, whole: job.Fleet) -> pd.DataFrame:
    """What to look at first."""
    return _watched(lambda _: _attention(asked.key, whole), "Sorting what was found")


def findings_in(asked: Asked, whole: job.Fleet, group: str) -> list[Finding]:
    """The findings of one group, as they are shown."""
    return _watched(lambda _: _findings_in(asked.key, group, whole), "Sorting what was found")


def findings_as_written(asked: Asked, whole: job.Fleet, group: str) -> list[Finding]:
    """The same findings with every text as it stands, to decide about it: never shown."""
    return _watched(
        lambda _: _findings_as_written(asked.key, group, whole), "Sorting what was found"
    )


def since_accepted(
    asked: Asked, whole: job.Fleet, folder: Path
) -> tuple[AcceptedState | None, Changes | None]:
    """What has changed since the exports of a folder were last accepted."""
    log = folder / LOG
    stamp = str(log.stat().st_mtime_ns) if log.exists() else ""
    return _watched(
        lambda _: _since_accepted(asked.key, str(folder), stamp, whole), "Comparing the exports"
    )


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


def curves(asked: Asked, chosen: Chosen, up_to: float = 0.0) -> Curves:
    """The curves of one kind, drawn at least up to an age."""
    fitted = kind(asked, chosen)
    return _watched(
        lambda _: _curves(asked.key, asked.seed, chosen, up_to, fitted), "Drawing the curves"
    )


def families(asked: Asked, chosen: Chosen) -> Families:
    """The wear-out families of one kind, and whether it ages at all."""
    fitted = kind(asked, chosen)
    return _watched(
        lambda _: _families(asked.key, asked.seed, chosen, fitted), "Comparing the curves"
    )


def of_that_age(asked: Asked, chosen: Chosen, age: float) -> AtAge:
    """What is known of parts of one age."""
    return _at_age(asked.key, asked.seed, chosen, age, kind(asked, chosen))


def one_base(asked: Asked, chosen: Chosen, base: str) -> tuple[Ageing, KeyFigures] | None:
    """How a kind ages at one base alone; None where that base says too little, or is the only one.

    Whether the base says enough is judged by the fit's own grade.
    """
    whole = ageing(asked)[chosen.kind, chosen.group]
    bases = whole.table["base"].replace("", None)
    if not base or bases.nunique() < 2:
        return None
    only = replace(chosen, field="base", value=base)
    fitted = kind(asked, only)
    if fitted.rests_on_prior:
        return None
    return fitted, _figures(asked.key, asked.seed, only, fitted)


def readings(asked: Asked, chosen: Chosen) -> ReadingsFound:
    """Clearance readings of a kind, laid on its bearings; of all of them, whatever is chosen."""
    whole, fitted = fleet(asked), ageing(asked)
    season = season_asked(asked)
    return _watched(
        lambda _: _readings(
            asked.key, asked.seed, season.year, chosen.kind, chosen.group, whole, fitted, season
        ),
        "Laying the readings on wear paths",
    )


def wear(asked: Asked) -> FleetWear:
    """Readings of wear of every kind, laid on paths."""
    return _wear(asked.key, asked.seed, fleet(asked), ageing(asked))


def season_asked(asked: Asked) -> Season:
    """The season that the sidebar asks for."""
    return job.season_of(fleet(asked), asked.season)


def believed(asked: Asked, chosen: Chosen) -> Believed:
    """A kind before its records and with them."""
    whole, fitted = fleet(asked), kind(asked, chosen)
    return _watched(
        lambda _: _believed(
            asked.key, asked.seed, asked.season, chosen, whole, fitted, wear(asked)
        ),
        "Comparing belief and data",
    )


def doubted(asked: Asked, chosen: Chosen) -> PriorDoubt:
    """The season's risk from one kind under three beliefs."""
    whole, fitted = fleet(asked), kind(asked, chosen)
    return _watched(
        lambda progress: _doubted(
            asked.key, asked.seed, asked.season, chosen, whole, fitted, wear(asked), progress
        ),
        "Fitting with other beliefs",
    )


def tried(asked: Asked, chosen: Chosen, prior: Prior) -> Tried:
    """A kind with the belief in force and with another."""
    whole, fitted = fleet(asked), kind(asked, chosen)
    return _watched(
        lambda _: _tried(
            asked.key, asked.seed, asked.season, chosen, prior, whole, fitted, wear(asked)
        ),
        "Fitting with the belief tried",
    )


def clocks(asked: Asked, chosen: Chosen) -> ClockChoice:
    """Years and shaft hours compared on the lives chosen."""
    whole, fitted = fleet(asked), kind(asked, chosen)
    return _watched(
        lambda _: _clocks(asked.key, asked.seed, chosen, whole, fitted), "Comparing both clocks"
    )


def records_own(asked: Asked, chosen: Chosen) -> OwnCurves:
    """What the lives chosen show by counting alone."""
    whole, fitted = fleet(asked), kind(asked, chosen)
    return _watched(
        lambda _: _records_own(asked.key, asked.seed, chosen, whole, fitted), "Counting the lives"
    )


def causes(asked: Asked, chosen: Chosen) -> CausesApart:
    """Causes apart, of the lives chosen."""
    whole, fitted = fleet(asked), kind(asked, chosen)
    return _watched(
        lambda _: _causes(asked.key, asked.seed, chosen, whole, fitted), "Telling causes apart"
    )


def on_paper(asked: Asked, chosen: Chosen) -> OnPaper:
    """Points and lines of probability paper."""
    fitted = kind(asked, chosen)
    return _watched(lambda _: _on_paper(asked.key, asked.seed, chosen, fitted), "Drawing the paper")


def groups(asked: Asked, chosen: Chosen) -> GroupsFound:
    """Groups that stand out among the lives chosen, and lots tried apart."""
    whole, fitted, all_kinds = fleet(asked), kind(asked, chosen), ageing(asked)
    of_kind = frozenset(group for name, group in all_kinds if name == chosen.kind)
    return _watched(
        lambda _: _groups(asked.key, asked.seed, chosen, whole, fitted, of_kind),
        "Looking at the groups",
    )


def regression(asked: Asked, chosen: Chosen) -> Regression:
    """The groups of the lives chosen by regression."""
    fitted = kind(asked, chosen)
    return _watched(
        lambda _: _regression(asked.key, asked.seed, chosen, fitted), "Working out the regressions"
    )


def as_of_assumed(fleet: job.Fleet) -> bool:
    """True where the last day watched was taken from the files because nobody gave it."""
    found = fleet.findings()
    return bool(((found["field"] == "as_of") & (found["done"] == "assumed")).any())


def warm(asked: Asked) -> None:
    """Work out what the first page shows, before anybody opens it; no Streamlit session needed."""
    whole = _fleet(asked.key, asked.files, _silent)
    fitted = _ageing(asked.key, asked.seed, whole, _silent)
    _season(asked.key, asked.seed, asked.season, (), whole, fitted)


@st.cache_resource(max_entries=6, show_spinner=False)
def _fleet(key: str, _files: Mapping[str, bytes], _progress: job.Progress) -> job.Fleet:
    return job.open_fleet(_files, _progress)


@st.cache_resource(max_entries=6, show_spinner=False)
def _preview(
    key: str, _files: Mapping[str, bytes], _progress: job.Progress
) -> job.Fleet | FleetError:
    try:
        return _fleet(key, _files, _progress)
    except FleetError as error:
        return error


@st.cache_resource(max_entries=4, show_spinner=False)
def _looked(
    key: str, _files: Mapping[str, bytes]
) -> tuple[tuple[Looked, ...], tuple[Finding, ...]]:
    found = intake.look_at(_files)
    return tuple(looked_into(found.grids, found.proposals)), found.findings


@st.cache_resource(max_entries=6, show_spinner=False)
def _attention(key: str, _fleet: job.Fleet) -> pd.DataFrame:
    return intake.attention_of(_fleet)


@st.cache_resource(max_entries=16, show_spinner=False)
def _findings_in(key: str, group: str, _fleet: job.Fleet) -> list[Finding]:
    return intake.findings_in(_fleet, group)


@st.cache_resource(max_entries=16, show_spinner=False)
def _findings_as_written(key: str, group: str, _fleet: job.Fleet) -> list[Finding]:
    return intake.findings_as_written(_fleet, group)


@st.cache_resource(max_entries=4, show_spinner=False)
def _since_accepted(
    key: str, folder: str, stamp: str, _fleet: job.Fleet
) -> tuple[AcceptedState | None, Changes | None]:
    return intake.since_accepted(_fleet, Path(folder))


@st.cache_resource(max_entries=16, show_spinner=False)
def _readings(
    key: str,
    seed: int,
    year: int,
    kind: str,
    group: str,
    _fleet: job.Fleet,
    _ageing: FleetAgeing,
    _season: Season,
) -> ReadingsFound:
    of = kind, group
    wear = _wear(key, seed, _fleet, _ageing).get(of)
    own = _own(key, seed, _fleet, _ageing).get(of)
    return readings_found(_fleet, _ageing[of], _season, wear, own)


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
    own = _own(key, seed, _fleet, _ageing)
    risk = job.boats_at_risk(_fleet, of_kinds, year, seed, own)
    # The draws are a thousand times the size of the tables made of them, and no page shows them.
    return replace(risk, during=np.empty((0, 0)), at_start=np.empty((0, 0)))


@st.cache_resource(max_entries=4, show_spinner=False)
def _wear(key: str, seed: int, _fleet: job.Fleet, _ageing: FleetAgeing) -> FleetWear:
    return job.wear_of(_fleet, _ageing, seed)


@st.cache_resource(max_entries=4, show_spinner=False)
def _own(key: str, seed: int, _fleet: job.Fleet, _ageing: FleetAgeing) -> FleetOwnLives:
    return fleet_own_lives(_ageing, _wear(key, seed, _fleet, _ageing), seed)


@st.cache_resource(max_entries=8, show_spinner=False)
def _budget(
    key: str,
    seed: int,
    horizon: int,
    _fleet: job.Fleet,
    _ageing: FleetAgeing,
    _progress: job.Progress,
) -> Budget:
    own = _own(key, seed, _fleet, _ageing)
    futures = job.futures_of(
        _fleet, _ageing, seasons=horizon, seed=seed, progress=_progress, own=own
    )
    return job.budget_of(_fleet, futures)


@st.cache_resource(max_entries=64, show_spinner=False)
def _narrowed(key: str, seed: int, chosen: Chosen, _fleet: job.Fleet, _all_lives: Ageing) -> Ageing:
    table = _all_lives.table
    return kind_ageing(_fleet.lives, table[table[chosen.field] == chosen.value], seed)


@st.cache_resource(max_entries=32, show_spinner=False)
def _believed(
    key: str,
    seed: int,
    year: int | None,
    chosen: Chosen,
    _fleet: job.Fleet,
    _fitted: Ageing,
    _wear: FleetWear,
) -> Believed:
    season = job.season_of(_fleet, year)
    return belief_answers.believed(_fleet.lives, _fitted, season, seed, _wear)


@st.cache_resource(max_entries=16, show_spinner=False)
def _doubted(
    key: str,
    seed: int,
    year: int | None,
    chosen: Chosen,
    _fleet: job.Fleet,
    _fitted: Ageing,
    _wear: FleetWear,
    _progress: job.Progress,
) -> PriorDoubt:
    only = {(_fitted.kind.name, _fitted.group): _fitted}
    season = job.season_of(_fleet, year)
    return prior_doubt(_fleet.lives, only, season, seed, _progress, _wear)


@st.cache_resource(max_entries=32, show_spinner=False)
def _tried(
    key: str,
    seed: int,
    year: int | None,
    chosen: Chosen,
    prior: Prior,
    _fleet: job.Fleet,
    _fitted: Ageing,
    _wear: FleetWear,
) -> Tried:
    season = job.season_of(_fleet, year)
    return belief_answers.tried(_fleet.lives, _fitted, prior, season, seed, _wear)


@st.cache_resource(max_entries=32, show_spinner=False)
def _clocks(key: str, seed: int, chosen: Chosen, _fleet: job.Fleet, _fitted: Ageing) -> ClockChoice:
    return clock_choice(_fleet.lives, _fitted.table, seed)


@st.cache_resource(max_entries=32, show_spinner=False)
def _records_own(
    key: str, seed: int, chosen: Chosen, _fleet: job.Fleet, _fitted: Ageing
) -> OwnCurves:
    return own_curves(_fleet.lives, _fitted, seed)


@st.cache_resource(max_entries=32, show_spinner=False)
def _causes(key: str, seed: int, chosen: Chosen, _fleet: job.Fleet, _fitted: Ageing) -> CausesApart:
    return causes_answers.causes_apart(_fleet.lives, _fitted)


@st.cache_resource(max_entries=32, show_spinner=False)
def _on_paper(key: str, seed: int, chosen: Chosen, _fitted: Ageing) -> OnPaper:
    return paper_answers.on_paper_of(_fitted)


@st.cache_resource(max_entries=32, show_spinner=False)
def _groups(
    key: str,
    seed: int,
    chosen: Chosen,
    _fleet: job.Fleet,
    _fitted: Ageing,
    _of_kind: frozenset[str],
) -> GroupsFound:
    def refit(table: pd.DataFrame) -> Ageing:
        return kind_ageing(_fleet.lives, table, seed)

    return groups_found(_fleet.lives, _fitted, _of_kind, refit, narrowed=bool(chosen.field))


@st.cache_resource(max_entries=32, show_spinner=False)
def _regression(key: str, seed: int, chosen: Chosen, _fitted: Ageing) -> Regression:
    return regression_of(_fitted, seed)


@st.cache_resource(max_entries=64, show_spinner=False)
def _curves(key: str, seed: int, chosen: Chosen, up_to: float, _fitted: Ageing) -> Curves:
    return curves_of(_fitted, up_to)


@st.cache_resource(max_entries=256, show_spinner=False)
def _at_age(key: str, seed: int, chosen: Chosen, age: float, _fitted: Ageing) -> AtAge:
    return at_age(_fitted, age)


@st.cache_resource(max_entries=64, show_spinner=False)
def _figures(key: str, seed: int, chosen: Chosen, _fitted: Ageing) -> KeyFigures:
    return key_figures(_fitted)


@st.cache_resource(max_entries=64, show_spinner=False)
def _families(key: str, seed: int, chosen: Chosen, _fitted: Ageing) -> Families:
    return families_of(_fitted, seed)


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
