"""The same rows in several exports of one kind: the newest export's stand."""

from __future__ import annotations

import re
from collections import Counter

import numpy as np
import pandas as pd

from analytics.records.gather.event_rows import leave, say
from analytics.records.gather.ledger import Ledger
from analytics.records.mapping.model import SourceMapping
from analytics.records.mapping.translate import Translated

KEYS = {
    "lives": ("boat", "position", "kind", "fitted_on", "serial", "part_no", "size"),
    "events": ("boat", "position", "kind", "on", "action", "serial"),
    "issued": ("kind", "part_no", "size", "lot"),
    "hours": ("boat", "position", "read_on"),
    "readings": ("boat", "position", "kind", "read_on", "measure"),
    "lifts": ("boat", "lifted_on"),
    "prices": ("kind", "part_no", "size"),
    "boats": ("boat",),
}
"""What makes a row the same in the next export when something else in it has changed."""

_BY_JOB = {
    "lives": ("job", "boat", "position", "kind"),
    "events": ("job", "boat", "position", "kind"),
    "issued": ("job", "kind", "part_no"),
}

_A_WHOLE_EXPORT = 0.8
"""Share of an older export's rows from which a newer one that holds them reaches as far back."""

Pair = tuple[Translated, pd.DataFrame]


def newest_only(pairs: list[Pair], ledger: Ledger) -> list[Pair]:
    """Leave out the rows of older exports that stand in a newer one of the same mapping.

    A row is recognised by everything that it says; of what is left over, by what
    a row is known by, where there are as many of a kind in both. Which export is
    newer is told by the latest day that surely came in it, and by the numbers and
    words of its name where they are the same. A row that is in no newer export
    stays.

    Parameters
    ----------
    pairs : list of (Translated, DataFrame)
        Exports of one shape.
    """
    by_source: dict[tuple[object, ...], list[Pair]] = {}
    for pair in pairs:
        by_source.setdefault(_read_alike(pair[0].source), []).append(pair)
    kept: list[Pair] = []
    for same in by_source.values():
        same.sort(key=lambda pair: (_latest(pair[1]), _in_order(pair[0].place)), reverse=True)
        loose = _known_by(same)
        newer: list[pd.DataFrame] = []
        for one, frame in same:
            if newer:
                again = _again(frame, pd.concat(newer, ignore_index=True), loose)
                frame = _without(frame, again, newer, ledger)
            newer.append(frame)
            kept.append((one, frame))
    return kept


def _read_alike(source: SourceMapping) -> tuple[object, ...]:
    """What exports of one kind have in common, whatever their files are called."""
    return (
        source.sheet,
        tuple(sorted(source.columns.items())),
        tuple(sorted(source.fixed.items())),
    )


def _without(
    frame: pd.DataFrame, again: pd.Series[bool], newer: list[pd.DataFrame], ledger: Ledger
) -> pd.DataFrame:
    if again.any():
        leave(
            ledger,
            frame.loc[again, "line"].tolist(),
            "",
            f"{int(again.sum())} rows",
            "each row in one export",
            "merged",
            "They stand in a newer export of the same kind, whose rows are used.",
            "row_again",
        )
    left = frame[~again].reset_index(drop=True)
    reaches_back = min(map(_earliest, newer)) <= _earliest(left)
    if len(left) and again.mean() >= _A_WHOLE_EXPORT and reaches_back:
        say(
            ledger,
            left["line"].tolist(),
            "",
            f"{len(left)} rows",
            "a row of the newer export",
            "noted",
            "The newer export reaches as far back and has them no more, or with other dates: "
            "corrected, deleted, or lost. They are still used; take the older file away if they "
            "should go.",
            "row_gone",
        )
    return left


def _again(older: pd.DataFrame, newer: pd.DataFrame, loose: list[str]) -> pd.Series[bool]:
    """Which rows of an older export stand in the newer ones."""
    whole = [name for name in _said(older) if name in newer]
    exact, exact_newer = _numbered(older, whole), _numbered(newer, whole)
    in_newer, in_older = set(exact_newer), set(exact)
    again = np.array([key in in_newer for key in exact], dtype=bool)
    left, left_newer = older[~again], newer[[key not in in_older for key in exact_newer]]
    # Changed rows: paired only where nothing leaves open which is which.
    known = _texts(left, loose)
    times, times_newer = Counter(known), Counter(_texts(left_newer, loose))
    again[~again] = [times[key] == times_newer.get(key, 0) for key in known]
    return pd.Series(again, index=older.index)


def _known_by(same: list[Pair]) -> list[str]:
    """The fields that a row of these exports is known by: its job's number where all have one."""
    shape = same[0][0].source.shape
    by_job = shape in _BY_JOB and all("job" in f and f["job"].ne("").all() for _, f in same)
    if shape == "boats" and all("hull_no" in f and f["hull_no"].ne("").all() for _, f in same):
        return ["hull_no"]
    return list(_BY_JOB[shape] if by_job else KEYS[shape])


def _said(frame: pd.DataFrame) -> list[str]:
    """Columns that hold what a row says, once each."""
    beside = ("_lo", "_hi", "_text", "_flags", "_position", "_as_built")
    return [
        str(name)
        for name in frame
        if name not in ("line", "row") and not str(name).endswith(beside)
    ]


def _texts(frame: pd.DataFrame, names: list[str]) -> list[tuple[str, ...]]:
    columns = [
        frame[name].astype(str) if name in frame else pd.Series("", index=frame.index)
        for name in names
    ]
    return list(zip(*columns, strict=True)) if columns else [()] * len(frame)


def _numbered(frame: pd.DataFrame, names: list[str]) -> list[tuple[tuple[str, ...], int]]:
    """Everything that a row says, with which of several alike it is."""
    times: Counter[tuple[str, ...]] = Counter()
    numbered = []
    for key in _texts(frame, names):
        times[key] += 1
        numbered.append((key, times[key]))
    return numbered


def _earliest(frame: pd.DataFrame) -> pd.Timestamp:
    days = [frame[name].min() for name in frame if str(name).endswith("_lo")]
    return min((day for day in days if day is not pd.NaT), default=pd.Timestamp.max)


def _latest(frame: pd.DataFrame) -> pd.Timestamp:
    # Not by the end of a window: a year alone would make every export of it the newest.
    days = [frame[name].max() for name in frame if str(name).endswith("_lo")]
    return max((day for day in days if day is not pd.NaT), default=pd.Timestamp.min)


def _in_order(place: str) -> list[tuple[int, str]]:
    """Numbers within a name in the order of numbers: parts 9 before parts 10."""
    pieces = re.findall(r"\d+|\D+", place)
    return [(int(one), "") if one.isdecimal() else (-1, one) for one in pieces]
