"""Lives that a row which cannot be read may have ended: left out, it makes them look longer."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence
from typing import Any

import pandas as pd

from analytics.records.cells import Row
from analytics.records.findings import Finding
from analytics.records.gather.ledger import Ledger

MAY_END_A_LIFE = frozenset(
    {"words_unknown", "side_missing", "side_by_number", "cell_unreadable", "two_parts_one_row"}
)
"""Sorts of what is wrong with a row that may tell of an end all the same."""

_COLUMNS = ["line", "boat", "position", "kind", "first", "last"]


def unread_rows(
    frames: Iterable[pd.DataFrame],
    ledger: Ledger,
    with_boats: Callable[[pd.DataFrame], pd.DataFrame],
) -> pd.DataFrame:
    """Rows about parts that were left out because something in them cannot be read.

    Parameters
    ----------
    frames : iterable of DataFrame
        Exports about lives and jobs, whole.
    ledger : Ledger
    with_boats : callable
        Gives rows with the boats as their list names them.

    Returns
    -------
    DataFrame
        `line`, `boat`, `position` and `kind` (blank where not known), `first` and
        `last` day. Rows without a boat or a day are not among them.
    """
    lines = {
        line
        for line, why in ledger.out.items()
        if why.done == "rejected" and why.sort in MAY_END_A_LIFE
    }
    found: list[pd.DataFrame] = []
    for frame in frames:
        rows = frame[frame["line"].isin(lines)]
        days = [name for name in ("removed_on", "on", "until", "fitted_on") if f"{name}_lo" in rows]
        if rows.empty or not days:
            continue
        rows = with_boats(rows)
        unread = pd.DataFrame({"line": rows["line"], "boat": rows["boat"]})
        for name in ("position", "kind"):
            unread[name] = rows.get(name, "")
        unread["first"] = rows[[f"{name}_lo" for name in days]].min(axis=1)
        unread["last"] = rows[[f"{name}_hi" for name in days]].max(axis=1)
        found.append(unread[unread["boat"].ne("") & unread["first"].notna()])
    filled = [rows for rows in found if len(rows)]
    return pd.concat(filled, ignore_index=True) if filled else pd.DataFrame(columns=_COLUMNS)


def lives_in_doubt(unread: pd.DataFrame, rows: Sequence[Row], ledger: Ledger) -> list[Finding]:
    """How many lives span the days of rows that cannot be read, a finding for each export.

    Parameters
    ----------
    unread : DataFrame
        From `unread_rows`.
    rows : sequence of dict
        The rows of parts that are lives.
    """
    if unread.empty:
        return []
    by_boat: dict[str, list[Row]] = {}
    for row in rows:
        by_boat.setdefault(row["boat"], []).append(row)
    rows_of: dict[str, list[int]] = {}
    lives_of: dict[str, set[int]] = {}
    boats_of: dict[str, set[str]] = {}
    for one in unread.to_dict("records"):
        spanned = [row for row in by_boat.get(one["boat"], []) if _spans(row, one)]
        if spanned:
            place, at = ledger.where(one["line"])
            rows_of.setdefault(place, []).append(at)
            lives_of.setdefault(place, set()).update(row["row"] for row in spanned)
            boats_of.setdefault(place, set()).add(one["boat"])
    findings = []
    for place, (first, *also) in sorted((name, sorted(each)) for name, each in rows_of.items()):
        lives, boats = len(lives_of[place]), len(boats_of[place])
        findings.append(
            Finding(
                place,
                first,
                "",
                f"{len(also) + 1} rows that cannot be read",
                "rows that say what became of a part",
                "noted",
                f"{lives} lives on {boats} boats span their days, and may have ended then: parts "
                "may look longer-lived than they were. Say what the rows mean, or that they are "
                "about no part of a shaft (none).",
                "life_in_doubt",
                tuple(also),
            )
        )
    return findings


def _spans(row: Row, one: Mapping[Hashable, Any]) -> bool:
    """True for a life that was surely going on before the day of a row, and goes on after it."""
    if one["kind"] not in ("", row["kind"]) or one["position"] not in ("", row["position"]):
        return False
    began, ended = row["fitted_on_hi"], row["removed_on_lo"]
    before = began is None or pd.Timestamp(began) < one["first"]
    after = ended is None or pd.Timestamp(ended) > one["last"]
    return bool(before and after)
