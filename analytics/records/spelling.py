"""Names that nobody knows, and the known name that each may be a slip for."""

from __future__ import annotations

from collections.abc import Iterable
from difflib import get_close_matches

MOST_LOOKED_UP = 100
"""Different unknown names looked up in one file: past that it is another list, not slips."""


class Spelling:
    """Finds the known name nearest to a written one, whatever its capitals.

    Parameters
    ----------
    known : iterable of str
        The names that are right.
    cutoff : float
        How alike two names must be, from 0 to 1 (`difflib`'s ratio).
    """

    def __init__(self, known: Iterable[str], cutoff: float) -> None:
        self._known = {name.casefold(): name for name in sorted(known)}
        self._cutoff = cutoff
        self._found: dict[str, str | None] = {}

    def nearest(self, name: str) -> str | None:
        """The known name most like this one, None where none is like it."""
        if name not in self._found:
            if len(self._found) >= MOST_LOOKED_UP:
                return None
            close = get_close_matches(name.casefold(), self._known, n=1, cutoff=self._cutoff)
            self._found[name] = self._known[close[0]] if close else None
        return self._found[name]

    def hint(self, name: str) -> str:
        """A question for the user with a space behind it, or nothing."""
        nearest = self.nearest(name)
        return f"Did you mean '{nearest}'? " if nearest else ""
