"""The sidebar: which records, which season, how many seasons ahead."""

from __future__ import annotations

import os
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path

import pandas as pd
import streamlit as st
from streamlit.runtime.uploaded_file_manager import UploadedFile

from analytics import intake
from analytics.records.files.names import LOOKED_INTO, base_name, is_lock, is_read
from analytics.records.findings import FleetError
from analytics.records.reading import fingerprint
from dashboard import results, words
from dashboard.exports import state as exports_state
from dashboard.exports.draft import Given
from dashboard.results import Asked

FOLDER = "TIDEWORN_FOLDER"
"""Environment variable that hands the fleet folder on to the pages."""

KEPT = frozenset(["folder", "uploaded", "horizon", "asked", "records"])
"""What a visitor chose that means the same in any records."""

KEPT_IN_FOLDER = frozenset(["what if current", "what if kept"])
"""What is checked again where the files of a folder have changed."""

PLAN = "plan"
"""Name, in a page's address, of changes to the plan of these records."""

EXPORTS = "exports "
"""So begins what the page of exports keeps: it is there before there are records."""

SEASONS_AHEAD = 6
LONGEST_HORIZON = 15


def show() -> None:
    """Draw the sidebar and leave what it asks for, or why it cannot, in the session."""
    with st.sidebar:
        try:
            given = _given()
        except FleetError as error:
            given = Given(error=error)
        st.session_state[exports_state.GIVEN] = given
        try:
            st.session_state["asked"] = _asked(given)
        except FleetError as error:
            st.session_state["asked"] = error


def _given() -> Given:
    """The files that are named, and where they lie."""
    st.subheader("Records")
    typed = st.text_input(
        "Fleet folder", value=os.environ.get(FOLDER, ""), help=words.FOLDER_HELP, key="folder"
    )
    with st.expander("Or upload the files"):
        uploaded = st.file_uploader(
            "Files of a fleet folder",
            type=["toml", *(suffix.removeprefix(".") for suffix in LOOKED_INTO)],
            accept_multiple_files=True,
            help=words.UPLOAD_HELP,
            key="uploaded",
        )
    if uploaded:
        st.caption(words.UPLOAD_IN_USE)
        return Given(_named(uploaded))
    if not typed.strip():
        raise FleetError.because(
            "Fleet folder",
            found="",
            expected="the folder with the fleet's exports, or with boats.csv and parts.csv",
            remedy="Type its path in the sidebar, or upload the files there.",
        )
    folder = Path(typed.strip()).expanduser()
    try:
        return Given(results.of_folder(folder).files, folder)
    except FleetError as error:
        if not folder.is_dir():
            return Given(error=error)
        return Given(intake.said_in(folder), folder, error)


def _asked(given: Given) -> Asked:
    if given.error:
        raise given.error
    asked = Asked(given.files, fingerprint(given.files))
    uploaded = given.folder is None
    fleet = results.fleet(asked)
    _forget_other_records(asked.key, given.folder)
    if uploaded and (unused := _unused(asked.files, fleet.records.files)):
        st.warning(words.upload_unknown(unused))
    st.caption(words.watched_until(fleet.records.settings))
    coming, rule = fleet.coming_season(), fleet.records.settings.seasons
    st.subheader("Looking ahead")
    year = st.selectbox(
        "Season (risk pages)",
        [coming.year + ahead for ahead in range(SEASONS_AHEAD)],
        format_func=lambda year: words.season_option(rule.season(year)),
        key="season",
    )
    horizon = st.slider(
        "Seasons in the parts budget", 1, LONGEST_HORIZON, value=asked.horizon, key="horizon"
    )
    return replace(asked, season=year, horizon=horizon)


def _named(uploaded: Iterable[UploadedFile]) -> dict[str, bytes]:
    """Uploaded files by name; where a name comes twice, neither must hide the other.

    Raises
    ------
    FleetError
        If two files bear one name.
    """
    files: dict[str, bytes] = {}
    for file in uploaded:
        name = base_name(file.name)
        if name in files:
            raise FleetError.because(
                name,
                found="two uploaded files of this name",
                expected="each file once",
                remedy="Remove one of the two.",
            )
        files[name] = file.getvalue()
    return files


def _unused(names: Iterable[str], read: pd.DataFrame) -> list[str]:
    """Uploaded files that nobody looked into, or that hold no table."""
    taken = set(read.loc[read["taken_for"] != "", "file"])
    alone = set(read["file"]) - taken
    return sorted(alone | {name for name in names if not (is_read(name) or is_lock(name))})


def _forget_other_records(key: str, folder: Path | None) -> None:
    """Drop what was chosen in other records: their kinds, boats and seasons may not exist here."""
    if st.session_state.get("records") == key:
        return
    same = folder is not None and st.session_state.get("records folder") == folder
    kept = KEPT | KEPT_IN_FOLDER if same else KEPT
    if "records" in st.session_state and not same:
        st.query_params.pop(PLAN, None)
    for name in [str(name) for name in st.session_state.keys() - kept]:
        if not name.startswith(EXPORTS):
            del st.session_state[name]
    st.session_state["records"], st.session_state["records folder"] = key, folder
