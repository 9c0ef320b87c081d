"""The order of a place's events where only the month or year of some is known."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from analytics.records.events.rows import Rows

_FITTINGS = frozenset({"fitted"})
_ENDS = frozenset({"removed", "failed", "moved"})
_EITHER = _FITTINGS | _ENDS
_CHANGES = _EITHER | {"replaced", "refurbished"}

_AHEAD = 6
"""Events looked at beyond one whose day is not known."""


def in_order(rows: Rows, events: Sequence[int]) -> Iterable[int]:
    """Events by their first possible day, save where a later place makes sense of a wide one.

    A part is removed before the next is fitted. So a fitting told of by its year
    alone stands after the removal of that year which made room for it, and a
    removal after the first of two fittings of its year.
    """
    lo, hi, deed = rows.lo, rows.hi, rows.deed
    if all(lo[i] == hi[i] or deed[i] not in _EITHER for i in events):
        return events
    order = list(events)
    put_off: set[int] = set()
    occupied = False
    at = 0
    while at < len(order):
        i = order[at]
        if lo[i] != hi[i] and i not in put_off:
            to = _after(rows, order, at, occupied)
            if to is not None:
                order[at : to + 1] = [*order[at + 1 : to + 1], i]
                put_off.add(i)
                continue
        if deed[i] in _ENDS:
            occupied = False
        elif deed[i] != "bought":
            occupied = True
        at += 1
    return order


def _after(rows: Rows, order: list[int], at: int, occupied: bool) -> int | None:
    """Where in the order the event stands after which a wide one belongs, None to leave it."""
    i = order[at]
    ahead = [
        k
        for k in range(at + 1, min(at + 1 + _AHEAD, len(order)))
        if rows.deed[order[k]] in _CHANGES
    ]
    if not ahead or rows.lo[order[ahead[0]]] > rows.hi[i]:
        return None
    following = [rows.deed[order[k]] for k in ahead]
    if rows.deed[i] in _FITTINGS and following[0] in _ENDS:
        refitted = len(following) > 1 and following[1] in _FITTINGS
        return ahead[0] if occupied or not refitted else None
    if rows.deed[i] in _ENDS and not occupied and len(ahead) > 1:
        twice = following[0] in _FITTINGS and following[1] in _FITTINGS
        return ahead[0] if twice and rows.lo[order[ahead[1]]] <= rows.hi[i] else None
    return None
