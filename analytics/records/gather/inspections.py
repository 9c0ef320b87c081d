"""Inspections: what was measured, and how parts were found."""

from __future__ import annotations

from collections.abc import Sequence

import pandas as pd

from analytics.records.boats import Boats
from analytics.records.gather.event_rows import COLUMNS, leave
from analytics.records.gather.ledger import Ledger
from analytics.records.gather.other_rows import readings_of


def measured(frame: pd.DataFrame, boats: Boats | None, ledger: Ledger) -> pd.DataFrame:
    """The inspections that measured something; of the others, which are used and which are not.

    Parameters
    ----------
    frame : DataFrame
        Rows of one export of inspections, with boats and positions.
    boats : Boats or None
        Those of a list, None where there is none.
    ledger : Ledger
    """
    readings = readings_of(frame)
    others = frame.loc[frame.index.difference(readings.index)]
    found = others["condition"].ne("") if "condition" in others else _none(others)
    unsaid = ~found
    undated = found & others["read_on_lo"].isna() if "read_on_lo" in others else found
    found &= ~undated
    nameless = found & others["boat"].eq("")
    strange = found & ~nameless & _strange(others, boats)
    unsided = found & ~nameless & ~strange & others["position"].eq("")
    _leave(
        ledger,
        others[unsaid],
        "condition",
        "",
        "what was found or measured",
        "Fill it in.",
        "cell_unreadable",
    )
    _leave(ledger, others[undated], "read_on", "", "a date", "Fill it in.", "cell_unreadable")
    _leave(ledger, others[nameless], "boat", "", "a boat", "Fill in the boat.", "cell_unreadable")
    for name in sorted(others.loc[strange, "boat"].unique()):
        assert boats is not None
        _leave(
            ledger,
            others[strange & others["boat"].eq(name)],
            "boat",
            str(name),
            "a boat of the list of boats",
            boats.remedy(str(name)),
            "boat_name_unknown",
        )
    _leave(
        ledger,
        others[unsided],
        "position",
        "",
        "port or starboard on a boat with two shafts",
        "Fill in the side.",
        "side_missing",
    )
    ledger.used.update(frame["line"].tolist())
    return readings


def _none(frame: pd.DataFrame) -> pd.Series[bool]:
    return pd.Series(False, index=frame.index)


def _strange(frame: pd.DataFrame, boats: Boats | None) -> pd.Series[bool]:
    return _none(frame) if boats is None else ~frame["boat"].isin(list(boats.rows))


def _leave(
    ledger: Ledger,
    frame: pd.DataFrame,
    field: str,
    found: str,
    expected: str,
    remedy: str,
    sort: str,
) -> None:
    leave(ledger, frame["line"].tolist(), field, found, expected, "rejected", remedy, sort)


def seen_in(frames: Sequence[pd.DataFrame]) -> pd.DataFrame:
    """Inspections that say how a part was found, as events."""
    events = []
    for frame in frames:
        if "condition" not in frame or "read_on_lo" not in frame:
            continue
        said = frame["condition"].ne("") & frame["position"].ne("") & frame["boat"].ne("")
        seen = frame[said & frame["read_on_lo"].notna()]
        one = pd.DataFrame(
            {
                "line": seen["line"],
                "on_lo": seen["read_on_lo"],
                "on_hi": seen["read_on_hi"],
                "action": "seen",
            }
        )
        for name in ("boat", "position", "kind", "condition", "note"):
            one[name] = seen.get(name, "")
        events.append(one)
    return pd.concat(events, ignore_index=True) if events else pd.DataFrame()


def with_every_column(seen: pd.DataFrame) -> pd.DataFrame:
    """Inspections with every column of an event."""
    events = seen.copy()
    for name in COLUMNS:
        if name not in events:
            events[name] = pd.NaT if name.endswith(("_lo", "_hi")) else ""
    events["hours"] = float("nan")
    return events[COLUMNS]
