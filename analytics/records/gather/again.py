"""The same rows in several exports of one kind: the newest export's stand."""

from __future__ import annotations

import pandas as pd

from analytics.records.gather.event_rows import leave, say
from analytics.records.gather.ledger import Ledger
from analytics.records.mapping.translate import Translated

KEYS = {
    "lives": ("boat", "position", "kind", "fitted_on", "serial", "part_no", "size"),
    "events": ("boat", "position", "kind", "on", "action", "serial"),
    "issued": ("kind", "part_no", "size", "lot"),
    "hours": ("boat", "position", "read_on"),
    "readings": ("boat", "position", "kind", "read_on", "measure"),
    "lifts": ("boat", "lifted_on"),
    "prices": ("kind", "part_no", "size"),
    "boats": ("boat", "hull_no"),
}
"""What makes a row the same in the next export, where it has no number of a job."""

_WITH_JOB = {
    "lives": ("job", "boat", "position", "kind"),
    "events": ("job", "boat", "position", "kind"),
    "issued": ("job", "kind", "part_no"),
}

Pair = tuple[Translated, pd.DataFrame]


def newest_only(pairs: list[Pair], ledger: Ledger) -> list[Pair]:
    """Leave out the rows of older exports that stand in a newer one of the same mapping.

    Which export is newer is told by the latest date in it, and by its name
    where they are the same. A row that is in no newer export stays.

    Parameters
    ----------
    pairs : list of (Translated, DataFrame)
        Exports of one shape.
    """
    by_source: dict[tuple[str, str], list[Pair]] = {}
    for pair in pairs:
        by_source.setdefault((pair[0].source.file, pair[0].source.sheet), []).append(pair)
    kept: list[Pair] = []
    for same in by_source.values():
        if len(same) == 1:
            kept += same
            continue
        same.sort(key=lambda pair: (_latest(pair[1]), pair[0].place), reverse=True)
        seen: pd.DataFrame | None = None
        first = pd.Timestamp.max
        for one, frame in same:
            keys = _keys(frame, one.source.shape)
            if seen is not None:
                again = pd.MultiIndex.from_frame(keys).isin(pd.MultiIndex.from_frame(seen))
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
                    frame, keys = frame[~again].reset_index(drop=True), keys[~again]
                    if len(frame) and again.mean() >= _A_WHOLE_EXPORT and first <= _earliest(frame):
                        _tell_gone(frame["line"].tolist(), ledger)
            first = _earliest(frame) if seen is None else min(first, _earliest(frame))
            seen = keys if seen is None else pd.concat([seen, keys], ignore_index=True)
            kept.append((one, frame))
    return kept


_A_WHOLE_EXPORT = 0.8
"""Share of an older export's rows from which a newer one that holds them reaches as far back."""


def _tell_gone(lines: list[int], ledger: Ledger) -> None:
    say(
        ledger,
        lines,
        "",
        f"{len(lines)} rows",
        "a row of the newer export",
        "noted",
        "The newer export reaches as far back and has them no more, or with other dates: "
        "corrected, deleted, or lost. They are still used; take the older file away if they "
        "should go.",
        "row_gone",
    )


def _earliest(frame: pd.DataFrame) -> pd.Timestamp:
    days = [frame[name].min() for name in frame if str(name).endswith("_lo")]
    return min((day for day in days if day is not pd.NaT), default=pd.Timestamp.max)


def _latest(frame: pd.DataFrame) -> pd.Timestamp:
    days = [frame[name].max() for name in frame if str(name).endswith("_hi")]
    return max((day for day in days if day is not pd.NaT), default=pd.Timestamp.min)


def _keys(frame: pd.DataFrame, shape: str) -> pd.DataFrame:
    """What the rows are recognised by, and which of several alike each is."""
    jobs = _WITH_JOB.get(shape)
    with_job = jobs is not None and "job" in frame and frame["job"].ne("").all()
    wanted = jobs if with_job and jobs else KEYS[shape]
    keys = pd.DataFrame(index=frame.index)
    for name in wanted:
        keys[name] = frame[name].astype(str) if name in frame else ""
    keys["nth"] = keys.groupby(list(wanted), sort=False).cumcount()
    return keys
