"""Which shaft a row is about: one side, both, or the only one."""

from __future__ import annotations

import pandas as pd

from analytics.records.findings import Finding
from analytics.records.gather.ledger import Ledger

SIDES = ("port", "starboard")


def twins_of(frames: list[pd.DataFrame], listed: frozenset[str]) -> frozenset[str]:
    """Boats with two shafts: those that the list says, and those of which a row names a side."""
    twins = set(listed)
    for frame in frames:
        if "position" in frame:
            sided = frame["position"].isin([*SIDES, "both"])
            twins |= set(frame.loc[sided, "boat"])
    return frozenset(twins)


def with_sides(frame: pd.DataFrame, twins: frozenset[str], ledger: Ledger) -> pd.DataFrame:
    """Rows with a position each; one that tells of both sides becomes two.

    A blank position is the only shaft of a boat that has one; on a boat with
    two it stays blank, unless the row says that it is about two parts.
    """
    frame = frame.copy()
    if "position" not in frame:
        frame["position"] = ""
    if "kind_position" in frame:
        by_kind = frame["position"].eq("") & frame["kind_position"].ne("")
        frame.loc[by_kind, "position"] = frame.loc[by_kind, "kind_position"]
    twin = frame["boat"].isin(twins)
    if "quantity" in frame:
        pair = twin & frame["position"].eq("") & frame["quantity"].eq(2)
        frame.loc[pair, "position"] = "both"
    both = frame["position"].eq("both")
    if both.any():
        first, *also = (int(line) for line in frame.loc[both, "line"])
        ledger.tell(
            first,
            Finding(
                "",
                None,
                "position",
                "two parts",
                "one row for one part",
                "noted",
                "Read as two parts, one on each side; prices and hours stand for each.",
                "two_parts_one_row",
                tuple(also),
            ),
        )
        frame = frame.loc[frame.index.repeat(both.astype(int) + 1)].reset_index(drop=True)
        second = frame["position"].eq("both") & frame.duplicated(["line"])
        frame.loc[frame["position"].eq("both") & ~second, "position"] = SIDES[0]
        frame.loc[second, "position"] = SIDES[1]
        twin = frame["boat"].isin(twins)
    alone = frame["position"].eq("") & ~twin
    frame.loc[alone, "position"] = "single"
    return frame
