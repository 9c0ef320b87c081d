"""Lists of failures alone: beside other lists they tell nothing new, and would bias the fit."""

from __future__ import annotations

import pandas as pd

from analytics.records.gather.event_rows import leave
from analytics.records.gather.ledger import Ledger
from analytics.records.mapping.translate import Translated

FEWEST = 5
"""Rows from which a list that holds nothing but failures is taken for one that leaves out the
rest (common practice, no source)."""

Pair = tuple[Translated, pd.DataFrame]


def lists_of_failures(pairs: list[Pair]) -> frozenset[str]:
    """Exports, by file and sheet, in which every part failed, as they stand."""
    return frozenset(one.place for one, frame in pairs if _failures_alone(frame))


def without_lists_of_failures(
    pairs: list[Pair], alone: frozenset[str], others: frozenset[str], ledger: Ledger
) -> list[Pair]:
    """Leave out lists of lives in which every part failed, where another list tells of such parts.

    The parts that did not fail are missing from such a list; its failures stand
    in the other one or cannot be used, because nobody can say how many parts
    they are out of.

    Parameters
    ----------
    pairs : list of (Translated, DataFrame)
        Lists with a row per life.
    alone : frozenset of str
        From `lists_of_failures`, before any row was left out.
    others : frozenset of str
        Kinds of parts that jobs or a table in the plain layout tell of.
    ledger : Ledger
    """
    elsewhere = set(others)
    for one, frame in pairs:
        if one.place not in alone:
            elsewhere |= set(frame.get("kind", ()))
    kept = []
    for one, frame in pairs:
        if one.place not in alone or not set(frame.get("kind", ())) <= elsewhere:
            kept.append((one, frame))
        elif len(frame):
            leave(
                ledger,
                frame["line"].tolist(),
                "reason",
                f"{len(frame)} failures and nothing else",
                "the parts that did not fail as well",
                "ignored",
                "A list of failures without survivors is not used: from failures alone the life "
                "of a part cannot be told. Export every part, also those still fitted.",
                "only_failures",
            )
    return kept


def _failures_alone(frame: pd.DataFrame) -> bool:
    return len(frame) >= FEWEST and "reason" in frame and bool(frame["reason"].eq("failed").all())
