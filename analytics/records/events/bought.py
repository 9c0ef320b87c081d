"""Parts taken from the stores: joined to the fitting that they were taken for."""

from __future__ import annotations

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Sequence

from analytics.records.events import words
from analytics.records.events.rows import Rows
from analytics.records.events.told import Telling

SAME_JOB = 60
"""Days. Common practice, no source: what is bought for a job is fitted within two months."""


def filled_by_bought(rows: Rows, events: Sequence[int], telling: Telling) -> dict[int, list[int]]:
    """Purchases of one place by the fitting with the same job or part number.

    Returns
    -------
    dict of int to list of int
        Purchases by fitting; what no fitting bears out is told of and left out.
    """
    bought = [i for i in events if rows.deed[i] == "bought"]
    jobs = {rows.job[i] for i in bought} - {""}
    part_nos = {rows.part_no[i] for i in bought} - {""}
    fittings: dict[tuple[str, str], list[tuple[int, int]]] = defaultdict(list)
    for i in events:
        if rows.deed[i] in ("fitted", "replaced"):
            if rows.job[i] in jobs:
                fittings["job", rows.job[i]].append((rows.lo[i], i))
            if rows.part_no[i] in part_nos:
                fittings["part_no", rows.part_no[i]].append((rows.lo[i], i))
    fills: dict[int, list[int]] = {}
    for i in bought:
        fitting = None
        for name, text in (("job", rows.job[i]), ("part_no", rows.part_no[i])):
            if text and fitting is None:
                fitting = _nearest(fittings[name, text], rows.lo[i])
        if fitting is None:
            words.bought_not_fitted(telling, rows, i)
        else:
            fills.setdefault(fitting, []).append(i)
            words.bought_for(telling, rows, i, fitting)
    return fills


def _nearest(fittings: list[tuple[int, int]], day: int) -> int | None:
    """Of fittings in the order of their days, the one nearest to a day, if it is near."""
    at = bisect_left(fittings, (day, -1))
    near = [
        (abs(lo - day), i)
        for lo, i in fittings[max(at - 1, 0) : at + 1]
        if abs(lo - day) <= SAME_JOB
    ]
    return min(near)[1] if near else None
