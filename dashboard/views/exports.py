"""From files as they come to accepted records: bring in, map, look, decide, accept."""

from __future__ import annotations

import streamlit as st

from analytics.papers.cautions import NOT_AN_INSPECTION
from analytics.records.files.names import LOOKED_INTO, is_ours
from analytics.records.findings import FleetError
from analytics.records.kinds import KINDS
from analytics.records.mapping.model import FleetMapping
from dashboard import frame, results, words
from dashboard.exports import accepting as exports_accepting
from dashboard.exports import deciding as exports_deciding
from dashboard.exports import draft as exports_draft
from dashboard.exports import mapping as exports_mapping
from dashboard.exports import sources as exports_sources
from dashboard.exports import state as exports_state
from dashboard.exports import tables as exports_tables
from dashboard.exports import words as says
from dashboard.exports.draft import Desk

TURN = "exports upload turn"


def show() -> None:
    desk = exports_draft.desk(exports_state.given(), exports_state.draft())
    st.subheader("1. Files")
    _bring_in(desk)
    if not any(not is_ours(name) for name in desk.files):
        st.info(says.NO_FILES)
        return
    looked, unopened = results.looked(desk.files)
    said = FleetMapping(desk.draft.sources)
    mapping = desk.mapping(exports_sources.unsaid(looked, desk.saved, said))
    sources = exports_sources.sources(looked, mapping, desk.saved, said)
    asked, fleet = results.preview(desk.as_read(mapping))
    opened = None if isinstance(fleet, FleetError) else fleet
    listed = exports_tables.files(desk.files, desk.draft.brought, sources, unopened, opened)
    st.dataframe(
        listed,
        column_config=exports_tables.FILES_COLUMNS,
        hide_index=True,
        height=frame.rows(len(listed), 14),
    )
    mask = opened.mask if opened else exports_tables.mask_of_sources(sources)
    for finding in mask.findings((*unopened, *desk.told)):
        st.warning(words.finding(finding))
    if sources:
        st.subheader("2. How they are read")
        kinds = opened.records.settings.kinds if opened else KINDS
        exports_mapping.show(sources, kinds)
    st.subheader("What that gives" if sources else "2. What that gives")
    if isinstance(fleet, FleetError):
        others = [one for one in fleet.findings if one.sort != "header_changed"]
        st.error(words.REFUSED if others else says.HEADERS_CHANGED)
        for finding in mask.findings(others):
            st.markdown(f"- {words.finding(finding)}")
        return
    if fleet.records.settings.demo:
        st.markdown(f":orange-badge[{words.demo(fleet.records.settings)}]")
    st.markdown(f"**{words.plain(fleet.reconciliation())}**")
    st.markdown(
        f"{words.plain(says.outcomes(fleet))}. {words.watched_until(fleet.records.settings)}"
    )
    lives = exports_tables.lives(fleet)
    with st.expander(f"The lives, the first {len(lives):,} of {len(fleet.lives.table):,}"):
        st.dataframe(lives, hide_index=True, height=frame.rows(len(lives), 8))
    st.subheader("3. What to look at")
    exports_deciding.show(desk, asked, fleet)
    st.subheader("4. Accept")
    exports_accepting.show(desk, mapping, asked, fleet)
    st.caption(NOT_AN_INSPECTION)


def _bring_in(desk: Desk) -> None:
    """The place to drop files, and what was dropped so far."""
    turn = st.session_state.get(TURN, 0)
    key = f"exports upload {turn}"

    def take() -> None:
        files, refused = exports_draft.named(
            (file.name, file.getvalue()) for file in st.session_state[key]
        )
        exports_state.keep(exports_state.draft().with_files(files))
        st.session_state["exports refused"] = refused
        # A fresh box: what was brought in stands below it, also when the page is left.
        st.session_state[TURN] = turn + 1

    st.file_uploader(
        says.UPLOAD,
        type=["toml", *(suffix.removeprefix(".") for suffix in LOOKED_INTO)],
        accept_multiple_files=True,
        help=says.UPLOAD_HELP,
        key=key,
        on_change=take,
    )
    if refused := st.session_state.get("exports refused"):
        st.warning(says.refused(refused))
    if desk.draft.brought:
        st.markdown(says.brought(len(desk.draft.brought)))
        with st.container(horizontal=True):
            for name in desk.draft.brought:
                st.button(
                    f"Take out {words.plain(name)}",
                    on_click=lambda name=name: exports_state.keep(
                        exports_state.draft().without_file(name)
                    ),
                    key=f"exports take out {name}",
                )
    error = desk.given.error
    if error and desk.given.folder is None and not desk.draft.brought:
        for finding in error.findings:
            st.caption(words.finding(finding))


frame.page_of_files(frame.PAGES[frame.EXPORTS], says.LEAD, show)
