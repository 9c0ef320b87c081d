"""Tables of the page of exports, and how they are shown; no computation."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Any

import pandas as pd
import streamlit as st

from analytics.job import Fleet
from analytics.papers.masking import MASK, masked, people_in
from analytics.papers.people import Mask
from analytics.papers.words import REASON_LABELS
from analytics.records.decided.decision import Decision
from analytics.records.files.names import is_ours, table_named
from analytics.records.findings import Finding
from analytics.records.gather.exports import Export
from analytics.records.history.changes import Changes
from analytics.records.mapping.contents import Contents
from dashboard.exports import words as says
from dashboard.exports.sources import Source, WordRow
from dashboard.tables import Config

MOST_SHOWN = 500
"""Rows of a table on the page; its file holds all of them."""

SAMPLE_LETTERS = 48

_SAMPLES = 4


_FILES = ["File", "Sheet", "Taken for", "Why", "To look at", "Where"]

FILES_COLUMNS: Config = {
    "Taken for": st.column_config.TextColumn(width=400),
    "Why": st.column_config.TextColumn(width=200),
}
ATTENTION_COLUMNS: Config = {
    "What was found": st.column_config.TextColumn(width=320),
    "It does": st.column_config.TextColumn(width=130),
    "Rows": st.column_config.Column(width=60),
    "Boats": st.column_config.Column(width=60),
    "What to do": st.column_config.TextColumn(width="large"),
}
CHANGES_COLUMNS: Config = {
    "Row": st.column_config.Column(width=60),
    "Changed": st.column_config.TextColumn(width="large"),
    "The row": st.column_config.TextColumn(width="large"),
}


def files(
    names: Iterable[str],
    brought: Iterable[str],
    sources: Sequence[Source],
    unopened: Sequence[Finding],
    fleet: Fleet | None,
) -> pd.DataFrame:
    """Every file or sheet, what it is taken for, and what is amiss."""
    waiting = {name.casefold() for name in brought}
    rows: list[dict[str, str]] = []
    known: set[str] = set()

    def add(file: str, sheet: str, taken: str, told: str, look: int = 0) -> None:
        known.add(file)
        outer = file.split(", ")[0]
        is_new = file.casefold() in waiting or outer.casefold() in waiting
        where = "brought in" if is_new else "as it was"
        rows.append(
            {
                "File": file,
                "Sheet": sheet,
                "Taken for": taken,
                "Why": told,
                "To look at": str(look or ""),
                "Where": where,
            }
        )

    for source in sources:
        for one in source.exports:
            told, file, sheet = says.standing(source), one.grid.file, one.grid.sheet
            if source.shape is not None:
                add(file, sheet, says.row_is(source.mapping.shape), told, source.to_look_at)
            else:
                why = one.proposal.reasons.get("shape", "") if source.proposed else ""
                add(file, sheet, "left alone", why or told)
    for finding in unopened:
        if finding.done == "stopped" or finding.file not in known:
            taken = "cannot be opened" if finding.done == "stopped" else "left alone"
            add(finding.file, "", taken, f"{finding.found}. {finding.remedy}".removeprefix(". "))
    if fleet is not None:
        for row in fleet.records.files.to_dict("records"):
            taken = str(row["taken_for"])
            if taken and not taken.endswith("(mapped)"):
                add(str(row["file"]), str(row["sheet"]), f"plain table {taken}", "needs no mapping")
    outer = {place.split(", ")[0] for place in known}
    for name in names:
        if name not in known and name not in outer:
            if is_ours(name):
                add(name, "", "settings of the fleet", "")
            elif of_name := table_named(name):
                add(name, "", f"plain table {of_name.file}", "")
            elif fleet is None:
                add(name, "", "plain layout", "")
    listed = pd.DataFrame(rows, columns=_FILES)
    return listed.loc[:, (listed != "").any()]


def people_in_source(source: Source) -> frozenset[str]:
    """Names in the column of persons of one source."""
    column = source.columns.get(source.mapping.columns.get("person", ""))
    return people_in(text for text, _ in column.counts) if column else frozenset()


def mask_of_sources(sources: Iterable[Source]) -> Mask:
    """Masks the people of sources that cannot be read as a fleet."""
    return Mask(frozenset[str]().union(*map(people_in_source, sources)))


def samples(column: Contents, people: frozenset[str], *, of_persons: bool) -> str:
    """Some texts of a column, with people masked."""
    if not column.held:
        return "(nothing in it)"
    if of_persons:
        return MASK
    texts = (masked(text, people)[:SAMPLE_LETTERS] for text in column.examples[:_SAMPLES])
    return " · ".join(texts)


def word_table(rows: Sequence[WordRow], by_list: str, people: frozenset[str]) -> pd.DataFrame:
    """Every text of a field, how often it stands there, and what it means."""
    return pd.DataFrame(
        {
            "Text": [masked(row.use.text, people) for row in rows],
            "Times": [row.use.times for row in rows],
            "The word list says": [
                says.word(row.use.read_as) + ("" if row.use.certain else ", not surely")
                if row.use.read_as
                else "not known"
                for row in rows
            ],
            "Read as": [by_list if row.said is None else says.word(row.said) for row in rows],
        }
    )


def lives(fleet: Fleet) -> pd.DataFrame:
    """The first lives, as people read them."""
    table = fleet.lives.table.head(MOST_SHOWN)

    def days(name: str) -> list[str]:
        ends = zip(table[f"{name}_lo"], table[f"{name}_hi"], strict=True)
        return [
            f"{low:%Y-%m-%d}" if low == high else f"{low:%Y-%m-%d} to {high:%Y-%m-%d}"
            for low, high in ends
        ]

    return pd.DataFrame(
        {
            "Boat": table["boat"],
            "Position": table["position"].replace("single", ""),
            "Part": table["kind"].str.replace("_", " "),
            "Fitted": days("start"),
            "Ended": [
                "" if outcome == "in_service" else ended
                for outcome, ended in zip(table["outcome"], days("end"), strict=True)
            ],
            "How": [REASON_LABELS.get(outcome, outcome) for outcome in table["outcome"]],
            "From": table["source"],
        }
    )


def attention(groups: pd.DataFrame, kept: Mapping[str, str]) -> pd.DataFrame:
    """What to look at, a line for each sort of finding, what matters most first."""
    return pd.DataFrame(
        {
            "What was found": groups["says"],
            "It does": groups["effect"].map(says.EFFECTS),
            "Rows": groups["rows_touched"],
            # Rows that are left out are of no part in service: nothing is counted for them.
            "Boats": groups["boats"].where(groups["boats"] > 0),
            "What to do": groups["remedy"],
            "Kept": [kept.get(group, "") for group in groups["group"]],
        }
    ).pipe(lambda table: table if kept else table.drop(columns="Kept"))


def rows_of(findings: Sequence[Finding]) -> pd.DataFrame:
    """A line for each row that a group of findings is about."""
    lines = [
        (one.file, row, one.field, one.found, one.expected, one.done, one.remedy)
        for one in findings
        for row in (one.rows or (None,))
    ]
    columns = ["file", "row", "field", "found", "expected", "done", "remedy"]
    table = pd.DataFrame(lines, columns=columns).drop_duplicates(ignore_index=True)
    return table.astype({"row": "Int64"})


def cells_shown(export: Export, cells: Sequence[str], mask: Mask) -> list[str]:
    """The cells of a row as they are shown: a column of persons is masked whole."""
    header = export.columns.get("person")
    at = export.header.index(header) if header in export.header else None
    return [
        MASK if place == at and cell.strip() else mask.text(cell)
        for place, cell in enumerate(cells)
    ]


def as_they_stand(rows: pd.DataFrame, fleet: Fleet) -> pd.DataFrame:
    """The first of those lines, each with its row of the file."""
    shown = rows.head(MOST_SHOWN)
    places = set(shown["file"])
    texts = {
        (one.place, row): (one, cells)
        for one in fleet.records.exports
        if one.place in places
        for row, cells in one.rows
    }

    def row_of(file: str, row: Any) -> str:
        found = None if pd.isna(row) else texts.get((file, int(row)))
        return " | ".join(cells_shown(*found, fleet.mask)) if found else ""

    # Where all are told the same, the line above the table has said it.
    told = shown["remedy"] if shown["remedy"].nunique() > 1 else ""
    return pd.DataFrame(
        {
            "File": shown["file"],
            "Row": shown["row"],
            "Column": shown["field"],
            "Found": [fleet.mask.text(text) for text in shown["found"]],
            "What to do": told,
            "The row as it stands": [
                row_of(file, row) for file, row in zip(shown["file"], shown["row"], strict=True)
            ],
        }
    ).pipe(lambda table: table.loc[:, (table.notna() & (table != "")).any()])


def decision_shown(one: Decision, mask: Mask) -> Decision:
    """A decision as it is shown; the one that is kept has every text as it stands."""
    return replace(
        one,
        found=mask.text(one.found),
        read_as=mask.text(one.read_as),
        cells=tuple((header, mask.text(cell)) for header, cell in one.cells),
    )


def decisions(decided: Iterable[Decision], mask: Mask) -> pd.DataFrame:
    """Every decision in force."""
    return pd.DataFrame(
        [
            {
                "Decided": says.decided(decision_shown(one, mask)),
                "By": one.by,
                "On": str(one.on or ""),
                "Why": one.why,
                "File": one.file,
            }
            for one in decided
        ]
    )


def row_lines(table: pd.DataFrame, fleet: Fleet) -> pd.DataFrame:
    """Rows that are new or gone, with their cells."""
    return pd.DataFrame(
        {
            "File": table["place"],
            "Row": table["row"],
            "The row": [
                " | ".join(map(fleet.mask.text, json.loads(one))) for one in table["cells"]
            ],
        }
    )


def changed_lines(found: Changes, fleet: Fleet) -> pd.DataFrame:
    """Rows that have changed, with each cell before and now."""
    return pd.DataFrame(
        {
            "File": found.changed["place"],
            "Row": found.changed["row"],
            "What it is": [fleet.mask.text(key) for key in found.changed["key"]],
            "Changed": [
                "; ".join(
                    f"{head}: '{fleet.mask.text(before)}' is now '{fleet.mask.text(now)}'"
                    for head, before, now in cells
                )
                for cells in found.changed["differences"]
            ],
        }
    )
