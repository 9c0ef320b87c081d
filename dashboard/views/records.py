"""What was read, what was not, and the settings in force."""

import pandas as pd
import streamlit as st

from analytics import job
from dashboard import frame, results, tables, words
from dashboard.exports import findings as exports_findings
from dashboard.results import Asked


def show(asked: Asked) -> None:
    fleet = results.fleet(asked)
    records, settings = fleet.records, fleet.records.settings
    st.subheader(words.plain(fleet.reconciliation()))
    st.dataframe(
        tables.counts(records.counts), hide_index=True, height=frame.rows(len(records.counts))
    )
    st.markdown(words.FILES_LEAD)
    st.dataframe(
        tables.files(records.files), hide_index=True, height=frame.rows(len(records.files))
    )
    findings = fleet.findings()
    st.subheader("What was found")
    if findings.empty:
        st.markdown(words.NOTHING_FOUND)
    else:
        st.markdown(words.ATTENTION_LEAD)
        groups = results.attention(asked, fleet)
        exports_findings.chosen(asked, fleet, groups, "finding group", bool(len(records.decisions)))
        with st.expander("Every finding, one by one"):
            _each(findings)
    rejected = fleet.rejected()
    if not rejected.empty:
        st.subheader("Rows that could not be used")
        st.dataframe(
            tables.rejected(rejected),
            column_config=tables.FINDINGS_COLUMNS,
            hide_index=True,
        )
    with st.container(horizontal=True):
        frame.download("Findings as CSV", findings, settings, "findings.csv")
        frame.download("Rejected rows as CSV", rejected, settings, "rejected.csv")
        frame.download("Lives as CSV", fleet.lives.table, settings, "lives.csv")
    st.subheader("Settings in force")
    st.table(tables.settings(settings, job.season_of(fleet, asked.season)).set_index("Setting"))
    st.markdown("**Kinds of parts**")
    names = sorted(fleet.lives.table["kind"].unique())
    st.dataframe(
        tables.kinds(settings, names),
        column_config=tables.KINDS_COLUMNS,
        hide_index=True,
        row_height=tables.FINDINGS_ROW,
        height=frame.rows(len(names), each=tables.FINDINGS_ROW),
    )
    st.caption(words.fingerprint(records.fingerprint))
    frame.assumptions(settings, money_too=True)


def _each(findings: pd.DataFrame) -> None:
    """Every finding, narrowed to what is chosen."""
    st.markdown(words.found(findings))
    done_box, file_box = st.columns(2)
    done = done_box.multiselect(
        "What was done", sorted(findings["done"].unique()), placeholder="all", key="done"
    )
    file = file_box.multiselect(
        "File", sorted(findings["file"].unique()), placeholder="all", key="file"
    )
    chosen = findings[
        findings["done"].isin(done or findings["done"])
        & findings["file"].isin(file or findings["file"])
    ]
    shown = tables.findings(chosen)
    ticked = st.dataframe(
        shown,
        column_config=tables.FINDINGS_COLUMNS,
        hide_index=True,
        row_height=tables.FINDINGS_ROW,
        on_select="rerun",
        selection_mode="single-row",
        key="findings table",
    )
    for row in ticked["selection"]["rows"]:
        if row < len(shown):
            st.info(words.finding(words.finding_of(findings.loc[shown.index[row]])))


frame.page(frame.PAGES["views/records.py"], words.RECORDS_LEAD, show)
