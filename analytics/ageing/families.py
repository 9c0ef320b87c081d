"""Wear-out families: the cumulative hazard of an age, its hazard, and its inverse.

Every family has two parameters, both positive: a `scale` on the clock and a
`shape` that says how sharply parts wear out (larger is sharper). They are
handled as logarithms so that any real number is a parameter. Everything else
in the program is derived from the cumulative hazard, which in every family is a
function of z = shape * (log age - log scale) alone; so are its slopes.
"""

from __future__ import annotations

from typing import Protocol

import numpy as np
import numpy.typing as npt
from scipy.special import log_ndtr, ndtri_exp

Floats = npt.NDArray[np.float64]

_HALF_LOG_2PI = 0.5 * np.log(2 * np.pi)


class Family(Protocol):
    """What the likelihood needs of a wear-out family; shapes broadcast."""

    name: str
    shape_unit: float
    """The family's shape that spreads log life as much as a Weibull shape of 1."""

    def cumulative_hazard(self, age: Floats, log_shape: Floats, log_scale: Floats) -> Floats:
        """Cumulative hazard H(age); survival is exp(-H)."""
        ...

    def log_hazard(self, age: Floats, log_shape: Floats, log_scale: Floats) -> Floats:
        """Logarithm of the hazard per unit of clock; minus infinity at age 0 where it is 0."""
        ...

    def age_at(self, cumulative: Floats, log_shape: Floats, log_scale: Floats) -> Floats:
        """Age at which the cumulative hazard is reached."""
        ...

    def slopes(self, z: Floats) -> tuple[Floats, Floats, Floats]:
        """H(z), its first and its second derivative by z = shape * (log age - log scale)."""
        ...

    def bend(self, z: Floats) -> tuple[Floats, Floats]:
        """Slope of log H'(z), and the slope of that slope."""
        ...


class Weibull:
    """H(t) = (t / scale) ** shape. The scale is the age by which 63.2 % are worn out."""

    name = "weibull"
    shape_unit = 1.0

    def cumulative_hazard(self, age: Floats, log_shape: Floats, log_scale: Floats) -> Floats:
        """Cumulative hazard, shape of the broadcast arguments."""
        with np.errstate(divide="ignore", over="ignore"):
            return np.asarray(np.exp(np.exp(log_shape) * (np.log(age) - log_scale)))

    def log_hazard(self, age: Floats, log_shape: Floats, log_scale: Floats) -> Floats:
        """Log hazard per unit of clock."""
        with np.errstate(divide="ignore"):
            log_age = np.log(age)
        power = np.expm1(log_shape)
        # At shape 1 the hazard is constant, also at age 0, where 0 * inf must not appear.
        rising = np.where(power == 0, 0.0, power * np.where(power == 0, 0.0, log_age - log_scale))
        return np.asarray(log_shape - log_scale + rising)

    def age_at(self, cumulative: Floats, log_shape: Floats, log_scale: Floats) -> Floats:
        """Age at a cumulative hazard."""
        with np.errstate(divide="ignore"):
            return np.asarray(np.exp(log_scale + np.log(cumulative) * np.exp(-log_shape)))

    def slopes(self, z: Floats) -> tuple[Floats, Floats, Floats]:
        """All three are exp(z)."""
        with np.errstate(over="ignore"):
            total = np.exp(z)
        return total, total, total

    def bend(self, z: Floats) -> tuple[Floats, Floats]:
        """Log H' is z itself."""
        return np.ones_like(z), np.zeros_like(z)


class Lognormal:
    """Log life is normal about log(scale) with standard deviation 1 / shape."""

    name = "lognormal"
    # The log of a Weibull life has standard deviation pi / (sqrt(6) * shape).
    shape_unit = float(np.sqrt(6) / np.pi)

    def cumulative_hazard(self, age: Floats, log_shape: Floats, log_scale: Floats) -> Floats:
        """Cumulative hazard, shape of the broadcast arguments."""
        return np.asarray(-log_ndtr(-self._z(age, log_shape, log_scale)))

    def log_hazard(self, age: Floats, log_shape: Floats, log_scale: Floats) -> Floats:
        """Log hazard per unit of clock."""
        z = self._z(age, log_shape, log_scale)
        with np.errstate(divide="ignore", invalid="ignore"):
            log_density = log_shape - np.log(age) - _HALF_LOG_2PI - 0.5 * z**2
            hazard = log_density - log_ndtr(-z)
        return np.asarray(np.where(np.isneginf(z), -np.inf, hazard))

    def age_at(self, cumulative: Floats, log_shape: Floats, log_scale: Floats) -> Floats:
        """Age at a cumulative hazard."""
        with np.errstate(divide="ignore"):
            z = -ndtri_exp(-np.asarray(cumulative, dtype=float))
        return np.asarray(np.exp(log_scale + z * np.exp(-log_shape)))

    def slopes(self, z: Floats) -> tuple[Floats, Floats, Floats]:
        """H' is the hazard m of a standard normal, H'' = m (m - z)."""
        log_above = log_ndtr(-z)
        mills = np.exp(-_HALF_LOG_2PI - 0.5 * z**2 - log_above)
        return -log_above, mills, mills * (mills - z)

    def bend(self, z: Floats) -> tuple[Floats, Floats]:
        """(m - z), and m (m - z) - 1."""
        mills = np.exp(-_HALF_LOG_2PI - 0.5 * z**2 - log_ndtr(-z))
        return mills - z, mills * (mills - z) - 1.0

    @staticmethod
    def _z(age: Floats, log_shape: Floats, log_scale: Floats) -> Floats:
        with np.errstate(divide="ignore"):
            return np.asarray(np.exp(log_shape) * (np.log(age) - log_scale))


FAMILIES: dict[str, Family] = {"weibull": Weibull(), "lognormal": Lognormal()}
