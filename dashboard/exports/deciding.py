"""What was found, what matters most first, and decisions right beside it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

import pandas as pd
import streamlit as st

from analytics.job import Fleet
from analytics.papers.masking import MASK
from analytics.papers.people import Mask
from analytics.papers.words import count
from analytics.records.decided.decision import Decision, What
from analytics.records.findings import Finding
from dashboard import frame, results, words
from dashboard.exports import findings as exports_findings
from dashboard.exports import questions as asking
from dashboard.exports import sources as reading
from dashboard.exports import state as state
from dashboard.exports import tables as tables
from dashboard.exports import words as says
from dashboard.exports.draft import Desk
from dashboard.exports.questions import Question
from dashboard.results import Asked

MOST_ASKED = 30
"""Texts of a group that have a box of their own at a time."""


def show(desk: Desk, asked: Asked, fleet: Fleet) -> None:
    """Draw the groups, the one chosen, and the decisions in force."""
    groups = results.attention(asked, fleet)
    if groups.empty:
        st.markdown(words.NOTHING_FOUND)
    else:
        group = exports_findings.chosen(
            asked, fleet, groups, "exports group", bool(len(desk.decisions))
        )
        findings = results.findings_as_written(asked, fleet, group["group"])
        if desk.saved_decisions.complete:
            _decide(group, findings, fleet)
    _in_force(desk, fleet.mask)


def _decide(group: Mapping[str, str], findings: Sequence[Finding], fleet: Fleet) -> None:
    boats = asking.boats_of(fleet)
    ways = asking.possible(group["sort"], findings, fleet, boats)
    if not ways:
        return
    key = f"exports way {group['group']}"
    way: What = st.radio(
        "What do you decide?",
        ways,
        format_func=lambda way: says.DECIDE[way],
        horizontal=True,
        help=says.DECIDE_HELP,
        key=key,
    )
    match way:
        case "name":
            decisions = _names(asking.names(findings, boats), boats, fleet.mask)
        case "word":
            st.caption(says.WORDS_EVERYWHERE)
            decisions = _words(asking.word_questions(findings, fleet), fleet)
        case "cell" | "leave_out":
            decisions = _row(way, findings, fleet)
        case "keep":
            st.caption("It goes on being told, with your name beside it, and counts as looked at.")
            decisions = asking.keeping(group["sort"], findings, fleet)
    who, why = st.columns([1, 2])
    with who:
        by = st.text_input("Who decides", key=state.WHO)
    with why:
        reason = st.text_input("Why (may be blank)", key="exports why")
    signed = asking.signed(decisions, by, reason, date.today())
    if decisions and not by.strip():
        st.caption(says.WHO_FIRST)

    def keep() -> None:
        draft = state.draft()
        for one in signed:
            draft = draft.with_decision(one)
        state.keep(draft)
        st.session_state["exports why"] = ""

    st.button(
        f"Decide: {count(len(signed), 'decision')}" if len(signed) > 1 else "Decide",
        disabled=not signed or not by.strip(),
        on_click=keep,
        type="primary",
        key="exports decide",
    )


def _names(questions: Sequence[Question], boats: Sequence[str], mask: Mask) -> list[Decision]:
    decided = []
    for one in questions[:MOST_ASKED]:
        options = ["", *boats]
        chosen = st.selectbox(
            f"{says.quoted(mask.text(one.found))}, in {count(one.rows, 'row')}, is",
            options,
            index=options.index(one.suggested) if one.suggested in options else 0,
            format_func=lambda boat: boat or says.LEAVE_NAME,
            key=f"exports name {one.found}",
        )
        if chosen:
            decided.append(Decision("name", found=one.found, read_as=chosen))
    return decided


def _words(questions: Sequence[Question], fleet: Fleet) -> list[Decision]:
    decided = []
    for one in questions[:MOST_ASKED]:
        field = asking.FIELDS[one.field]
        options = reading.word_options(field, fleet.records.settings.kinds)
        chosen = st.selectbox(
            f"{says.quoted(fleet.mask.text(one.found))}, in {count(one.rows, 'row')}, means",
            options,
            index=options.index(one.suggested) if one.suggested in options else 0,
            format_func=lambda word: says.word(word) if word else says.LEAVE_NAME,
            key=f"exports means {one.field} {one.found}",
        )
        if chosen:
            decided.append(Decision("word", found=one.found, read_as=chosen, field=one.field))
    return decided


def _row(way: What, findings: Sequence[Finding], fleet: Fleet) -> list[Decision]:
    rows = asking.rows_to_choose(findings, fleet)
    place, row, column = st.selectbox(
        "Which row",
        rows,
        format_func=lambda one: f"{one[0]}, row {one[1]}",
        key="exports row",
    )
    decision = asking.of_row(way, fleet, place, row)
    if decision is None:
        st.caption("That row is left out already.")
        return []
    headers = [name for name, _ in decision.cells]
    export = asking.export_of(fleet, place)
    assert export is not None
    cells = tables.cells_shown(export, [cell for _, cell in decision.cells], fleet.mask)
    st.dataframe(
        pd.DataFrame({"Column": headers, "Stands there": cells}),
        hide_index=True,
        height=frame.rows(len(decision.cells), 8),
    )
    if (alike := asking.rows_alike(fleet, decision, place, row)) > 1:
        st.warning(says.of_all_alike(way, alike))
    if way == "leave_out":
        return [decision]
    header = st.selectbox(
        "Which cell",
        headers,
        index=headers.index(column) if column in headers else 0,
        key=f"exports cell {place} {row}",
    )
    before = dict(zip(headers, cells, strict=True))[header]
    text = st.text_input(
        f"{words.plain(header)} should read", before, key=f"exports text of {place} {row} {header}"
    )
    if text == before:
        return []
    if MASK in text and MASK in before:
        st.caption(says.WHOLE_CELL)
        return []
    return [asking.with_cell(decision, header, text)]


def _in_force(desk: Desk, mask: Mask) -> None:
    decided = list(desk.decisions)
    if not decided:
        return
    with st.expander(f"Decisions in force: {len(decided)}"):
        st.dataframe(
            tables.decisions(decided, mask),
            hide_index=True,
            height=frame.rows(len(decided), 8),
        )
        chosen = st.selectbox(
            "Take one back",
            range(len(decided)),
            index=None,
            format_func=lambda at: says.decided(tables.decision_shown(decided[at], mask)),
            placeholder="which",
            key="exports undo",
        )

        def undo() -> None:
            if chosen is not None:
                state.keep(state.draft().without_decision(decided[chosen]))
                st.session_state["exports undo"] = None

        st.button("Take it back", disabled=chosen is None, on_click=undo, key="exports undoing")
