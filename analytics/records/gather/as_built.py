"""First parts of a place that are as old as their boat, where somebody says so."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from datetime import date

from analytics.records.dates import Window, parse_window
from analytics.records.findings import Finding
from analytics.records.gather.ledger import Ledger

Row = dict[str, str]


def with_first_as_built(
    rows: list[Row],
    lines: Sequence[tuple[int, ...]],
    others: Sequence[Row],
    built_on: Mapping[str, str],
    is_as_built: Callable[[int], bool],
    ledger: Ledger,
) -> list[Row]:
    """Rows about parts with the day of building where the first of a place has no fitting date.

    Parameters
    ----------
    rows : list of dict
        Of `parts.csv`, in the plain layout.
    lines : sequence of tuple of int
        Of which each was made.
    others : sequence of dict
        Further rows of parts, which may come before these.
    built_on : mapping of str to str
        By boat, in the plain writing.
    is_as_built : callable
        True of a line where its export, or the row itself, says that the first
        part is as old as the boat.
    ledger : Ledger
        Is told of them.
    """
    asked = [
        at
        for at, (row, own) in enumerate(zip(rows, lines, strict=True))
        if not (row.get("fitted_on") or row.get("here_since"))
        and built_on.get(row.get("boat", ""))
        and is_as_built(own[0])
    ]
    if not asked:
        return rows
    first_day: dict[tuple[str, str, str], list[date]] = defaultdict(list)
    for row in (*rows, *others):
        first_day[_place(row)] += _days(row)
    rows, filled = list(rows), []
    for at in asked:
        row = rows[at]
        removed = parse_window_or_none(row.get("removed_on", ""))
        earlier = [day for day in first_day[_place(row)] if removed is None or day < removed.lo]
        if not earlier:
            rows[at] = {**row, "fitted_on": built_on[row["boat"]]}
            filled.append(lines[at][0])
    if filled:
        first, *also = sorted(set(filled))
        finding = Finding(
            "",
            None,
            "fitted_on",
            "",
            "when it was fitted",
            "assumed",
            "First in its place: read as fitted when the boat was built. A date code or an invoice "
            "would say it.",
            "fit_assumed_as_built",
            tuple(also),
        )
        ledger.tell(first, finding)
    return rows


def _place(row: Row) -> tuple[str, str, str]:
    return row.get("boat", ""), row.get("position") or "single", row.get("kind", "")


def _days(row: Row) -> list[date]:
    """The first days of fitting and of removal that a row gives."""
    windows = (parse_window_or_none(row.get(name, "")) for name in ("fitted_on", "removed_on"))
    return [window.lo for window in windows if window]


def parse_window_or_none(text: str) -> Window | None:
    """A window in the plain writing, None where it is blank or cannot be read."""
    try:
        return parse_window(text)
    except ValueError:
        return None
