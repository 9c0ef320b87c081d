"""Accepting: what is new since the last time, who accepts, and writing it into the folder."""

from __future__ import annotations

from pathlib import Path

import pandas as pd
import streamlit as st

from analytics import intake
from analytics.job import Fleet
from analytics.records.findings import FleetError
from analytics.records.mapping.model import FleetMapping
from dashboard import frame, results, words
from dashboard import tables as page_tables
from dashboard.exports import state as state
from dashboard.exports import tables as tables
from dashboard.exports import words as says
from dashboard.exports.draft import Desk, Draft, own_files, packed
from dashboard.results import Asked


def show(desk: Desk, mapping: FleetMapping, asked: Asked, fleet: Fleet) -> None:
    """Draw the counts, the changes, and the button."""
    counts = fleet.records.counts
    st.dataframe(page_tables.counts(counts), hide_index=True, height=frame.rows(len(counts)))
    folder = desk.given.folder
    if folder is None:
        st.info(says.NO_FOLDER)
        if own := own_files(desk.as_read(mapping)):
            st.download_button(
                says.WITHOUT_FOLDER,
                packed(own),
                "mapping_and_decisions.zip",
                "application/zip",
                key="exports zip",
                on_click="ignore",
            )
        return
    if told := state.told():
        st.success(told)
    if _changes(asked, fleet, folder) and desk.draft.empty:
        st.page_link("views/season.py", label="Look at this season")
        return
    own = desk.own(mapping)
    st.markdown(
        says.to_write(desk.draft, mapping != desk.saved, desk.decisions != desk.saved_decisions)
    )
    instead_of = desk.instead_of()
    sure = not instead_of or st.checkbox(says.replaces(instead_of), key="exports replace")
    by_box, note_box = st.columns([1, 2])
    with by_box:
        # The name typed beside a decision stands here at once: most often it is the same person.
        if not st.session_state.get("exports accepted by"):
            st.session_state["exports accepted by"] = st.session_state.get(state.WHO, "")
        by = st.text_input("Who accepts", key="exports accepted by")
    with note_box:
        # A note is of one acceptance: the next begins with a blank one.
        turn = st.session_state.get("exports accepted", 0)
        note = st.text_input("A note (may be blank)", key=f"exports note {turn}")
    clicked = st.button(
        "Accept these exports",
        type="primary",
        disabled=not by.strip() or not sure,
        key="exports accept",
    )
    if not by.strip():
        st.caption("Say who accepts: a name or initials.")
    elif not sure:
        st.caption("Tick above that the files named there are to be written over.")
    if clicked:
        try:
            _accept(desk, own, folder, by, note)
        except FleetError as error:
            frame.refused(error.findings)
            return
        st.rerun()


def _accept(desk: Desk, own: dict[str, bytes], folder: Path, by: str, note: str) -> None:
    written = intake.bring_in(
        folder, desk.to_write(own), {**desk.instead_of(), **desk.own_of_folder()}
    )
    asked = results.of_folder(folder)
    done = intake.accept(folder, results.fleet(asked), by, note)
    state.keep(Draft())
    st.session_state["exports accepted"] = st.session_state.get("exports accepted", 0) + 1
    state.tell(says.accepted(done, [path.name for path in written]))


def _changes(asked: Asked, fleet: Fleet, folder: Path) -> bool:
    """Draw what has changed since the last time; True where all is as it was accepted."""
    before, found = results.since_accepted(asked, fleet, folder)
    if before is None:
        st.markdown("Nothing was accepted in this folder before.")
        return False
    for finding in before.findings:
        st.warning(words.finding(finding))
    if found is None or not before.log:
        return False
    if found.none and before.log[-1].fingerprint == fleet.records.fingerprint:
        st.markdown(f"**{says.as_accepted(before.log[-1])}**")
        return True
    st.markdown(f"**{says.since(before.log[-1], found)}**")
    for finding in fleet.mask.findings(found.findings()):
        st.warning(words.finding(finding))
    listed: list[tuple[str, pd.DataFrame]] = [
        ("Changed rows", tables.changed_lines(found, fleet)),
        ("Rows that are gone: corrected, or lost in the export?",
         tables.row_lines(found.vanished, fleet)),
        ("New rows", tables.row_lines(found.new, fleet)),
    ]  # fmt: skip
    for title, table in listed:
        if len(table):
            with st.expander(f"{title} ({len(table):,})", expanded=len(table) <= 20):
                st.dataframe(
                    table.head(tables.MOST_SHOWN),
                    column_config=tables.CHANGES_COLUMNS,
                    hide_index=True,
                    height=frame.rows(len(table), 8),
                )
                frame.download(
                    f"{title.split(':')[0]} as CSV",
                    table,
                    fleet.records.settings,
                    f"{words.in_file_name(title.split(':')[0])}.csv",
                    of=asked,
                )
    return False
