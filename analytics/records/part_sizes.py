"""Sizes of parts against the shafts of their boats, in millimetres and in inches."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from functools import lru_cache

from analytics.records.cells import CheckedRows, Row
from analytics.records.vocabulary.sizes import Size, size_of

AS_GOOD_AS_EQUAL = 1.5
"""Millimetres by which the size of a part may differ from that of its shaft: 25 mm is sold for
1 in (25.4 mm), and the step to the next size is larger (common practice, no source)."""


class SizeCheck:
    """Compares sizes row by row and keeps in mind those in inches.

    Parameters
    ----------
    boats : mapping of str to dict
        Rows of `boats.csv` by name.
    """

    def __init__(self, boats: Mapping[str, Row]) -> None:
        self._read = lru_cache(maxsize=None)(size_of)
        self._shafts = {
            name: shaft
            for name, row in boats.items()
            if row["shaft_size"] and (shaft := self._read(row["shaft_size"]))
        }
        self._inches: dict[str, list[int]] = defaultdict(list)

    def fits(self, row: Row) -> bool:
        """True unless the size of the part is known not to be that of the boat's shaft."""
        size = self._read(row["size"]) if row["size"] else None
        if size is None:
            return True
        if size.inches:
            self._inches[row["size"]].append(row["row"])
        shaft = self._shafts.get(row["boat"])
        return shaft is None or abs(size.mm - shaft.mm) <= AS_GOOD_AS_EQUAL

    def shaft_of(self, boat: str) -> Size:
        """The size of a boat's shaft, where it is known."""
        return self._shafts[boat]

    def say_inches(self, checked: CheckedRows) -> None:
        """One finding for each text that gives a size in inches."""
        for text, lines in sorted(self._inches.items()):
            size = self._read(text)
            assert size is not None  # or it would not be among them
            checked.say_of(
                lines,
                "size",
                text,
                "a size in millimetres",
                "noted",
                f"Read as {size.mm:.1f} mm, and kept apart from sizes in millimetres: a part made "
                "for one may not fit the other.",
                sort="inch_size",
            )
