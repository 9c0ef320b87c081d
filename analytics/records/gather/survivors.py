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


def without_lists_of_failures(pairs: list[Pair], *, others: bool, ledger: Ledger) -> list[Pair]:
    """Leave out lists of lives in which every part failed, where another list tells of parts.

    The parts that did not fail are missing from such a list; its failures stand
    in the other one or cannot be used, because nobody can say how many parts
    they are out of.

    Parameters
    ----------
    pairs : list of (Translated, DataFrame)
        Lists with a row per life.
    others : bool
        True where jobs or a table in the plain layout tell of parts as well.
    ledger : Ledger
    """
    alone = [_failures_alone(frame) for _, frame in pairs]
    if not any(alone) or (all(alone) and not others):
        return pairs
    for (_, frame), only_failures in zip(pairs, alone, strict=True):
        if only_failures:
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
    return [pair for pair, only in zip(pairs, alone, strict=True) if not only]


def _failures_alone(frame: pd.DataFrame) -> bool:
    return len(frame) >= FEWEST and "reason" in frame and bool(frame["reason"].eq("failed").all())
