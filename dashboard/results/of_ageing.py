"""Kept answers about ageing: every kind, its curves, groups, clocks, belief and readings."""

from __future__ import annotations

from dataclasses import replace

import pandas as pd
import streamlit as st

from analytics import job
from analytics.ageing.clock_choice import ClockChoice, clock_choice
from analytics.ageing.fit import Ageing, FleetAgeing, kind_ageing
from analytics.ageing.groups.regression import Regression, regression_of
from analytics.ageing.summary import KeyFigures, key_figures
from analytics.ageing.wear.fleet_wear import FleetOwnLives, FleetWear, fleet_own_lives
from analytics.outlook.doubt import PriorDoubt, prior_doubt
from analytics.records.kinds import Prior
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
from dashboard.results.asking import Asked, Chosen, watched
from dashboard.results.of_records import fleet, season_asked


def ageing(asked: Asked) -> FleetAgeing:
    """How each kind ages."""
    whole = fleet(asked)
    return watched(
        lambda progress: kept_ageing(asked.key, asked.seed, whole, progress),
        "Fitting how each kind ages",
    )


def kind(asked: Asked, chosen: Chosen) -> Ageing:
    """How one kind ages, fitted again where only some of its lives are looked at."""
    whole, all_lives = fleet(asked), ageing(asked)[chosen.kind, chosen.group]
    if not chosen.field:
        return all_lives
    return watched(
        lambda _: _narrowed(asked.key, asked.seed, chosen, whole, all_lives),
        "Fitting the lives chosen",
    )


def curves(asked: Asked, chosen: Chosen, up_to: float = 0.0) -> Curves:
    """The curves of one kind, drawn at least up to an age."""
    fitted = kind(asked, chosen)
    return watched(
        lambda _: _curves(asked.key, asked.seed, chosen, up_to, fitted), "Drawing the curves"
    )


def families(asked: Asked, chosen: Chosen) -> Families:
    """The wear-out families of one kind, and whether it ages at all."""
    fitted = kind(asked, chosen)
    return watched(
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
    return watched(
        lambda _: _readings(
            asked.key, asked.seed, season.year, chosen.kind, chosen.group, whole, fitted, season
        ),
        "Laying the readings on wear paths",
    )


def wear(asked: Asked) -> FleetWear:
    """Readings of wear of every kind, laid on paths."""
    return _wear(asked.key, asked.seed, fleet(asked), ageing(asked))


def believed(asked: Asked, chosen: Chosen) -> Believed:
    """A kind before its records and with them."""
    whole, fitted = fleet(asked), kind(asked, chosen)
    return watched(
        lambda _: _believed(
            asked.key, asked.seed, asked.season, chosen, whole, fitted, wear(asked)
        ),
        "Comparing belief and data",
    )


def doubted(asked: Asked, chosen: Chosen) -> PriorDoubt:
    """The season's risk from one kind under three beliefs."""
    whole, fitted = fleet(asked), kind(asked, chosen)
    return watched(
        lambda progress: _doubted(
            asked.key, asked.seed, asked.season, chosen, whole, fitted, wear(asked), progress
        ),
        "Fitting with other beliefs",
    )


def tried(asked: Asked, chosen: Chosen, prior: Prior) -> Tried:
    """A kind with the belief in force and with another."""
    whole, fitted = fleet(asked), kind(asked, chosen)
    return watched(
        lambda _: _tried(
            asked.key, asked.seed, asked.season, chosen, prior, whole, fitted, wear(asked)
        ),
        "Fitting with the belief tried",
    )


def clocks(asked: Asked, chosen: Chosen) -> ClockChoice:
    """Years and shaft hours compared on the lives chosen."""
    whole, fitted = fleet(asked), kind(asked, chosen)
    return watched(
        lambda _: _clocks(asked.key, asked.seed, chosen, whole, fitted), "Comparing both clocks"
    )


def records_own(asked: Asked, chosen: Chosen) -> OwnCurves:
    """What the lives chosen show by counting alone."""
    whole, fitted = fleet(asked), kind(asked, chosen)
    return watched(
        lambda _: _records_own(asked.key, asked.seed, chosen, whole, fitted), "Counting the lives"
    )


def causes(asked: Asked, chosen: Chosen) -> CausesApart:
    """Causes apart, of the lives chosen."""
    whole, fitted = fleet(asked), kind(asked, chosen)
    return watched(
        lambda _: _causes(asked.key, asked.seed, chosen, whole, fitted), "Telling causes apart"
    )


def on_paper(asked: Asked, chosen: Chosen) -> OnPaper:
    """Points and lines of probability paper."""
    fitted = kind(asked, chosen)
    return watched(lambda _: _on_paper(asked.key, asked.seed, chosen, fitted), "Drawing the paper")


def groups(asked: Asked, chosen: Chosen) -> GroupsFound:
    """Groups that stand out among the lives chosen, and lots tried apart."""
    whole, fitted, all_kinds = fleet(asked), kind(asked, chosen), ageing(asked)
    of_kind = frozenset(group for name, group in all_kinds if name == chosen.kind)
    return watched(
        lambda _: _groups(asked.key, asked.seed, chosen, whole, fitted, of_kind),
        "Looking at the groups",
    )


def regression(asked: Asked, chosen: Chosen) -> Regression:
    """The groups of the lives chosen by regression."""
    fitted = kind(asked, chosen)
    return watched(
        lambda _: _regression(asked.key, asked.seed, chosen, fitted), "Working out the regressions"
    )


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
    own = kept_own(key, seed, _fleet, _ageing).get(of)
    return readings_found(_fleet, _ageing[of], _season, wear, own)


@st.cache_resource(max_entries=4, show_spinner=False)
def kept_ageing(key: str, seed: int, _fleet: job.Fleet, _progress: job.Progress) -> FleetAgeing:
    return job.how_it_ages(_fleet, seed, _progress)


@st.cache_resource(max_entries=4, show_spinner=False)
def _wear(key: str, seed: int, _fleet: job.Fleet, _ageing: FleetAgeing) -> FleetWear:
    return job.wear_of(_fleet, _ageing, seed)


@st.cache_resource(max_entries=4, show_spinner=False)
def kept_own(key: str, seed: int, _fleet: job.Fleet, _ageing: FleetAgeing) -> FleetOwnLives:
    return fleet_own_lives(_ageing, _wear(key, seed, _fleet, _ageing), seed)


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
