"""What to look at in records as they are read, down to the row."""

from __future__ import annotations

import pandas as pd

from analytics.job import Fleet
from analytics.papers.attention import attention, findings_of
from analytics.records.decided.decision import Decision
from analytics.records.decided.marks import row_mark, same_text
from analytics.records.findings import Finding
from analytics.records.gather.exports import Export


def attention_of(fleet: Fleet) -> pd.DataFrame:
    """What to look at first, see `papers.attention.attention`."""
    return attention(fleet.told, fleet.lives.table)


def findings_in(fleet: Fleet, group: str) -> list[Finding]:
    """The findings of one group of `attention_of`, as they are shown: people are masked."""
    return findings_of(group, fleet.told, fleet.lives.table)


def findings_as_written(fleet: Fleet, group: str) -> list[Finding]:
    """The same findings with every text as it stands in the files, to decide about it."""
    written = [*fleet.records.findings, *fleet.lives.findings]
    # What is told besides, of remarks that name people, holds no text of a file.
    return findings_of(group, [*written, *fleet.told[len(written) :]], fleet.lives.table)


def row_as_it_stands(fleet: Fleet, place: str, row: int) -> tuple[Export, list[str]] | None:
    """A row of a user's file, with what was decided about its cells taken back.

    Returns
    -------
    (Export, list of str) or None
        Its file and its cells; None where no such row was read.
    """
    export = next((one for one in fleet.records.exports if one.place == place), None)
    cells = next((cells for at, cells in export.rows if at == row), None) if export else None
    if export is None or cells is None:
        return None
    file, _, sheet = place.partition(", sheet ")
    column = {same_text(name): at for at, name in enumerate(export.header)}
    by_mark: dict[str, list[Decision]] = {}
    for one in fleet.records.decisions:
        if one.what == "cell" and one.is_of(file, sheet) and same_text(one.field) in column:
            by_mark.setdefault(one.row_mark, []).append(one)
    for mark, decided in by_mark.items():
        before = list(cells)
        for one in decided:
            before[column[same_text(one.field)]] = one.found
        if row_mark(export.header, before) == mark:
            return export, before
    return export, list(cells)
