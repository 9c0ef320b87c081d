"""The sidebar: which records, which season, how many seasons ahead."""

from __future__ import annotations

import os
from dataclasses import replace
from pathlib import Path

import streamlit as st

from analytics.records.findings import FleetError
from analytics.records.reading import fingerprint
from analytics.records.settings import FILE as SETTINGS
from analytics.records.tables import TABLES
from dashboard import results, words
from dashboard.results import Asked

FOLDER = "TIDEWORN_FOLDER"
"""Environment variable that hands the fleet folder on to the pages."""

KNOWN = frozenset([*(table.file for table in TABLES), SETTINGS])
"""Names of the files of a fleet folder."""

KEPT = frozenset(["folder", "uploaded", "horizon", "asked", "records"])
"""What a visitor chose that means the same in any records."""

SEASONS_AHEAD = 6
LONGEST_HORIZON = 15


def show() -> None:
    """Draw the sidebar and leave what it asks for, or why it cannot, in the session."""
    with st.sidebar:
        try:
            st.session_state["asked"] = _asked()
        except FleetError as error:
            st.session_state["asked"] = error


def _asked() -> Asked:
    st.subheader("Records")
    folder = st.text_input(
        "Fleet folder", value=os.environ.get(FOLDER, ""), help=words.FOLDER_HELP, key="folder"
    )
    with st.expander("Or upload the files"):
        uploaded = st.file_uploader(
            "Files of a fleet folder",
            type=["csv", "toml"],
            accept_multiple_files=True,
            help=words.UPLOAD_HELP,
            key="uploaded",
        )
    if uploaded:
        st.caption(words.UPLOAD_IN_USE)
        files = {file.name: file.getvalue() for file in uploaded if file.name in KNOWN}
        if strange := sorted({file.name for file in uploaded} - KNOWN):
            st.warning(words.upload_unknown(strange))
        asked = Asked(files, fingerprint(files))
    elif folder.strip():
        asked = results.of_folder(Path(folder.strip()).expanduser())
    else:
        raise FleetError.because(
            "Fleet folder",
            found="",
            expected="the folder with boats.csv and parts.csv",
            remedy="Type its path in the sidebar, or upload the files there.",
        )
    fleet = results.fleet(asked)
    _forget_other_records(asked.key)
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


def _forget_other_records(key: str) -> None:
    """Drop what was chosen in other records: their kinds, boats and seasons may not exist here."""
    if st.session_state.get("records") == key:
        return
    for name in st.session_state.keys() - KEPT:
        del st.session_state[name]
    st.session_state["records"] = key
