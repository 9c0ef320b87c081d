"""Kept answers about the records: the fleet, its exports and what was found in them."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import pandas as pd
import streamlit as st

from analytics import intake, job
from analytics.records.findings import Finding, FleetError
from analytics.records.history.accepted import FILE as LOG
from analytics.records.history.changes import Changes
from analytics.records.history.store import AcceptedState
from analytics.records.reading import fingerprint
from analytics.records.seasons import Season
from dashboard.exports.sources import Looked, looked_into
from dashboard.results.asking import Asked, watched


def fleet(asked: Asked) -> job.Fleet:
    """The fleet, read."""
    return watched(
        lambda progress: kept_fleet(asked.key, asked.files, progress), "Reading the records"
    )


def preview(files: Mapping[str, bytes]) -> tuple[Asked, job.Fleet | FleetError]:
    """The fleet as these files would give it, or why they cannot."""
    asked = Asked(files, fingerprint(files))
    found = watched(
        lambda progress: _preview(asked.key, asked.files, progress), "Reading the exports"
    )
    return asked, found


def looked(files: Mapping[str, bytes]) -> tuple[tuple[Looked, ...], tuple[Finding, ...]]:
    """Files and sheets that are not in the plain layout, and what cannot be opened."""
    return watched(lambda _: _looked(fingerprint(files), files), "Looking at the files")


def attention(asked: Asked, whole: job.Fleet) -> pd.DataFrame:
    """What to look at first."""
    return watched(lambda _: _attention(asked.key, whole), "Sorting what was found")


def findings_in(asked: Asked, whole: job.Fleet, group: str) -> list[Finding]:
    """The findings of one group, as they are shown."""
    return watched(lambda _: _findings_in(asked.key, group, whole), "Sorting what was found")


def findings_as_written(asked: Asked, whole: job.Fleet, group: str) -> list[Finding]:
    """The same findings with every text as it stands, to decide about it: never shown."""
    return watched(
        lambda _: _findings_as_written(asked.key, group, whole), "Sorting what was found"
    )


def since_accepted(
    asked: Asked, whole: job.Fleet, folder: Path
) -> tuple[AcceptedState | None, Changes | None]:
    """What has changed since the exports of a folder were last accepted."""
    log = folder / LOG
    stamp = str(log.stat().st_mtime_ns) if log.exists() else ""
    return watched(
        lambda _: _since_accepted(asked.key, str(folder), stamp, whole), "Comparing the exports"
    )


def as_of_assumed(fleet: job.Fleet) -> bool:
    """True where the last day watched was taken from the files because nobody gave it."""
    found = fleet.findings()
    return bool(((found["field"] == "as_of") & (found["done"] == "assumed")).any())


@st.cache_resource(max_entries=6, show_spinner=False)
def kept_fleet(key: str, _files: Mapping[str, bytes], _progress: job.Progress) -> job.Fleet:
    return job.open_fleet(_files, _progress)


@st.cache_resource(max_entries=6, show_spinner=False)
def _preview(
    key: str, _files: Mapping[str, bytes], _progress: job.Progress
) -> job.Fleet | FleetError:
    try:
        return kept_fleet(key, _files, _progress)
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


def season_asked(asked: Asked) -> Season:
    """The season that the sidebar asks for."""
    return job.season_of(fleet(asked), asked.season)
