"""The time in which dates are looked for: years of two figures are placed by it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from analytics.records.dates import FIRST_YEAR, LAST_YEAR

SHORT_FROM, SHORT_TO = 1970, 2069
"""Years that two figures stand for where the fleet says nothing narrower (a convention)."""


@dataclass(frozen=True, slots=True)
class Span:
    """The first and the last day on which something can have happened, where known."""

    earliest: date | None = None
    latest: date | None = None

    def holds(self, day: date) -> bool:
        """True for a day that is not outside; an end that is not known excludes nothing."""
        return (self.earliest is None or self.earliest <= day) and (
            self.latest is None or day <= self.latest
        )

    def years(self, figures: int) -> tuple[int, ...]:
        """The years that two figures can stand for, a year before and after the span included.

        None of them, one, or several where the span is longer than a century.
        """
        first = self.earliest.year - 1 if self.earliest else SHORT_FROM
        last = min(self.latest.year + 1, SHORT_TO) if self.latest else SHORT_TO
        first, last = max(first, FIRST_YEAR), min(last, LAST_YEAR)
        return tuple(range(first + (figures - first) % 100, last + 1, 100))
