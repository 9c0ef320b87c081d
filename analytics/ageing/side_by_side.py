"""Pieces of work that do not touch each other, done two at a time.

Arrays are worked on outside the interpreter's lock, so that two threads keep two cores busy where
the pieces are large; where they are few or small, taking turns costs more than it saves.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextvars import copy_context
from typing import TypeVar

Piece = TypeVar("Piece")
Found = TypeVar("Found")

_WORKERS = 2

ENOUGH = 12
"""Pieces from which they are shared out."""


def side_by_side(work: Callable[[Piece], Found], pieces: Sequence[Piece]) -> list[Found]:
    """What a function gives for each piece, in their order; the same however many work on it.

    Parameters
    ----------
    work : callable
        Draws no random numbers, and writes nothing that another piece reads or writes.
    pieces : sequence
    """
    if len(pieces) < ENOUGH:
        return [work(piece) for piece in pieces]
    with ThreadPoolExecutor(_WORKERS) as pool:
        # In a copy of the context, which says what becomes of numbers that overflow.
        waiting = [pool.submit(copy_context().run, work, piece) for piece in pieces]
        try:
            return [one.result() for one in waiting]
        finally:
            for one in waiting:
                one.cancel()
