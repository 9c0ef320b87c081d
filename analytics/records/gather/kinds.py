"""Rows that tell of several parts at once, as one row for each."""

from __future__ import annotations

import pandas as pd

from analytics.records.gather.event_rows import say
from analytics.records.gather.ledger import Ledger

SEVERAL = "; "
"""Stands between the kinds of a row that a person said is about several parts."""


def with_each_kind(frame: pd.DataFrame, ledger: Ledger) -> pd.DataFrame:
    """Rows of one part each.

    Parameters
    ----------
    frame : DataFrame
        `line`, and `kind` with `SEVERAL` between the kinds of a row.
    ledger : Ledger
    """
    if "kind" not in frame:
        return frame
    several = frame["kind"].str.contains(SEVERAL, regex=False)
    if not several.any():
        return frame
    say(
        ledger,
        frame.loc[several, "line"].tolist(),
        "kind",
        ", ".join(frame.loc[several, "kind"].drop_duplicates().head(3)),
        "one row for one part",
        "noted",
        "Read as one row for each part that it names; side, day, work and reason stand for each.",
        "two_parts_one_row",
    )
    each = frame.assign(kind=frame["kind"].str.split(SEVERAL)).explode("kind")
    return each.reset_index(drop=True)
