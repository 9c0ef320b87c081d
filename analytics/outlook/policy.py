"""When parts that are still sound are renewed at a lay-up lift."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from analytics.records.kinds import Kind

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True)
class PartLimits:
    """Limits of the parts of one kind; infinite where there is none.

    A part is renewed at the first lift at which it has reached any of its limits.

    Attributes
    ----------
    age : ndarray, shape (n_parts,)
        On the kind's clock.
    years : ndarray, shape (n_parts,)
        Calendar years since it was fitted.
    worn : ndarray, shape (n_parts,)
        Share of its wear, from new (0) to worn out (1), that a reading at the lift
        must show.
    reading_error : float
        Standard deviation of a reading, as a share of the wear from new to worn out.
    renewed : PartLimits or None
        Of the parts that follow in the same places; None where they have the same limits.
    """

    age: Floats
    years: Floats
    worn: Floats
    reading_error: float = 0.0
    renewed: PartLimits | None = None

    @property
    def any(self) -> bool:
        """Whether anything is ever renewed while sound."""
        if self.renewed is not None and self.renewed.any:
            return True
        return bool(np.isfinite(self.age).any() or np.isfinite(self.years).any() or self.by_reading)

    @property
    def by_reading(self) -> bool:
        """Whether parts are measured at lifts."""
        later = self.renewed is not None and self.renewed.by_reading
        return later or bool(np.isfinite(self.worn).any())

    def some(self, chosen: npt.NDArray[np.intp]) -> PartLimits:
        """Limits of some of the parts."""
        return PartLimits(
            age=self.age[chosen],
            years=self.years[chosen],
            worn=self.worn[chosen],
            reading_error=self.reading_error,
            renewed=None if self.renewed is None else self.renewed.some(chosen),
        )


Policy = Mapping[tuple[str, str], PartLimits]
"""Limits by kind and group, as `ageing.fit.FleetAgeing` is keyed, a value for each of its parts in
service in the order of its table; a kind that is not in it has the limits that are set."""


def limits_as_set(kind: Kind, n_parts: int) -> PartLimits:
    """Limits of a kind as `fleet.toml` sets them."""
    return PartLimits(
        age=np.full(n_parts, np.inf if kind.limit is None else kind.limit),
        years=np.full(n_parts, np.inf if kind.limit_years is None else kind.limit_years),
        worn=np.full(n_parts, np.inf),
    )


def no_limits(n_parts: int) -> PartLimits:
    """Parts that run until they fail."""
    never = np.full(n_parts, np.inf)
    return PartLimits(never, never, never)
