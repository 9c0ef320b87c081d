"""Wear-out families: the cumulative hazard of an age, its hazard, and its inverse.

Every family has two parameters, both positive: a `scale` on the clock and a
`shape` that says how sharply parts wear out (larger is sharper). They are
handled as logarithms so that any real number is a parameter. Everything else
in the program is derived from the cumulative hazard, which in every family is a
function of z = shape * (log age - log scale) alone; so are its slopes.

Draws of several families stand side by side in `Averaged`, where each draw keeps
its own family and all are told in the same terms.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cached_property
from typing import Protocol

import numpy as np
import numpy.typing as npt
from scipy.special import log_ndtr, ndtri_exp

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]

_HALF_LOG_2PI = 0.5 * np.log(2 * np.pi)


class Family(Protocol):
    """What the likelihood needs of a wear-out family; shapes broadcast."""

    name: str
    shape_unit: float
    """The family's shape that spreads log life as much as a Weibull shape of 1."""

    def of_draws(self, codes: Ints | None) -> Family:
        """The family of some draws, given which family each is of (see `Averaged`)."""
        ...

    def cumulative_hazard(self, age: Floats, log_shape: Floats, log_scale: Floats) -> Floats:
        """Cumulative hazard H(age); survival is exp(-H)."""
        ...

    def log_hazard(self, age: Floats, log_shape: Floats, log_scale: Floats) -> Floats:
        """Logarithm of the hazard per unit of clock; minus infinity at age 0 where it is 0."""
        ...

    def age_at(self, cumulative: Floats, log_shape: Floats, log_scale: Floats) -> Floats:
        """Age at which the cumulative hazard is reached."""
        ...

    def total(self, z: Floats) -> Floats:
        """Cumulative hazard at z = shape * (log age - log scale)."""
        ...

    def log_density(self, z: Floats) -> Floats:
        """Log density of z itself: of H'(z) exp(-H(z))."""
        ...

    def slopes(self, z: Floats) -> tuple[Floats, Floats, Floats]:
        """The same H(z), with its first and its second derivative by z."""
        ...

    def bend(self, z: Floats) -> tuple[Floats, Floats]:
        """Slope of log H'(z), and the slope of that slope."""
        ...


class Weibull:
    """H(t) = (t / scale) ** shape. The scale is the age by which 63.2 % are worn out."""

    name = "weibull"
    shape_unit = 1.0

    def of_draws(self, codes: Ints | None) -> Family:
        """Itself: all draws are of one family."""
        return self

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

    def total(self, z: Floats) -> Floats:
        """The exponential of z."""
        with np.errstate(over="ignore"):
            return np.asarray(np.exp(z))

    def log_density(self, z: Floats) -> Floats:
        """Log H' is z itself."""
        return np.asarray(z - self.total(z))

    def slopes(self, z: Floats) -> tuple[Floats, Floats, Floats]:
        """All three are exp(z)."""
        total = self.total(z)
        return total, total, total

    def bend(self, z: Floats) -> tuple[Floats, Floats]:
        """Log H' is z itself."""
        return np.ones_like(z), np.zeros_like(z)


class Lognormal:
    """Log life is normal about log(scale) with standard deviation 1 / shape."""

    name = "lognormal"
    # The log of a Weibull life has standard deviation pi / (sqrt(6) * shape).
    shape_unit = float(np.sqrt(6) / np.pi)

    def of_draws(self, codes: Ints | None) -> Family:
        """Itself: all draws are of one family."""
        return self

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

    def total(self, z: Floats) -> Floats:
        """Minus the log of what a standard normal has above z."""
        return np.asarray(-log_ndtr(-z))

    def log_density(self, z: Floats) -> Floats:
        """That of a standard normal."""
        return np.asarray(-0.5 * z**2 - _HALF_LOG_2PI)

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

AVERAGED = "averaged"
"""Name of the setting, and of draws, that more than one family stands behind."""

CODES = tuple(FAMILIES)
"""Families in the order of their codes."""

_LOG_LOG_2 = float(np.log(np.log(2.0)))


class Averaged:
    """Draws of several families side by side, each of its own family.

    In all of them the shape is that of the Weibull curve that spreads log life as
    much, and the scale is the age by which half have worn out, so that draws of
    different families can be set side by side. Draws lie along the first axis of
    whatever is given.

    Parameters
    ----------
    codes : ndarray of int, shape (n_draws,)
        Position of each draw's family in `CODES`.
    """

    name = AVERAGED
    shape_unit = 1.0

    def __init__(self, codes: Ints) -> None:
        self.codes = codes

    def of_draws(self, codes: Ints | None) -> Family:
        """The families of some of the draws.

        Raises
        ------
        ValueError
            If draws come without a family: their parameters would be misread.
        """
        if codes is None:
            raise ValueError("draws of several families must say which family each is of")
        return Averaged(codes)

    def cumulative_hazard(self, age: Floats, log_shape: Floats, log_scale: Floats) -> Floats:
        """Cumulative hazard, shape of the broadcast arguments."""
        return self._each("cumulative_hazard", age, log_shape, log_scale)

    def log_hazard(self, age: Floats, log_shape: Floats, log_scale: Floats) -> Floats:
        """Log hazard per unit of clock."""
        return self._each("log_hazard", age, log_shape, log_scale)

    def age_at(self, cumulative: Floats, log_shape: Floats, log_scale: Floats) -> Floats:
        """Age at a cumulative hazard."""
        return self._each("age_at", cumulative, log_shape, log_scale)

    def total(self, z: Floats) -> Floats:
        """H(z)."""
        self._asked_of(z.shape)
        found = np.empty(z.shape)
        for name, rows in self._rows:
            found[rows] = FAMILIES[name].total(_own_z(name, z[rows])[1])
        return found

    def log_density(self, z: Floats) -> Floats:
        """Log density of z."""
        self._asked_of(z.shape)
        found = np.empty(z.shape)
        for name, rows in self._rows:
            unit, own = _own_z(name, z[rows])
            found[rows] = FAMILIES[name].log_density(own) + np.log(unit)
        return found

    def slopes(self, z: Floats) -> tuple[Floats, Floats, Floats]:
        """H(z), H'(z) and H''(z)."""
        self._asked_of(z.shape)
        found = np.empty((3, *z.shape))
        for name, rows in self._rows:
            unit, own = _own_z(name, z[rows])
            for power, of in enumerate(FAMILIES[name].slopes(own)):
                found[power, rows] = of * unit**power
        return found[0], found[1], found[2]

    def bend(self, z: Floats) -> tuple[Floats, Floats]:
        """Slope of log H'(z), and the slope of that slope."""
        self._asked_of(z.shape)
        found = np.empty((2, *z.shape))
        for name, rows in self._rows:
            unit, own = _own_z(name, z[rows])
            for power, of in enumerate(FAMILIES[name].bend(own)):
                found[power, rows] = of * unit ** (power + 1)
        return found[0], found[1]

    @cached_property
    def _rows(self) -> list[tuple[str, Ints]]:
        named = ((name, np.flatnonzero(self.codes == code)) for code, name in enumerate(CODES))
        return [(name, rows) for name, rows in named if len(rows)]

    def _each(self, what: str, value: Floats, log_shape: Floats, log_scale: Floats) -> Floats:
        given = [np.asarray(one, dtype=float) for one in (value, log_shape, log_scale)]
        shape = np.broadcast_shapes(*(one.shape for one in given))
        self._asked_of(shape)
        found = np.empty(shape)
        for name, rows in self._rows:
            # What has no axis of draws is the same for every draw.
            age, log_shape, log_scale = (
                one[rows] if one.ndim == len(shape) and len(one) == shape[0] else one
                for one in given
            )
            call: Callable[[Floats, Floats, Floats], Floats] = getattr(FAMILIES[name], what)
            found[rows] = call(age, *own_terms(name, log_shape, log_scale))
        return found

    def _asked_of(self, shape: tuple[int, ...]) -> None:
        if not shape or shape[0] != len(self.codes):
            raise ValueError(f"{len(self.codes)} draws of several families, asked of {shape}")


def own_terms(name: str, log_shape: Floats, log_scale: Floats) -> tuple[Floats, Floats]:
    """Shape and scale in a family's own terms, from those of `Averaged`."""
    if name == "weibull":
        return log_shape, log_scale - _LOG_LOG_2 * np.exp(-log_shape)
    return log_shape + np.log(FAMILIES[name].shape_unit), log_scale


def shared_terms(name: str, log_shape: Floats, log_scale: Floats) -> tuple[Floats, Floats]:
    """Shape and scale in the terms of `Averaged`, from a family's own."""
    if name == "weibull":
        return log_shape, log_scale + _LOG_LOG_2 * np.exp(-log_shape)
    return log_shape - np.log(FAMILIES[name].shape_unit), log_scale


def _own_z(name: str, z: Floats) -> tuple[float, Floats]:
    """What z is multiplied by in a family's own terms, and the z there."""
    if name == "weibull":
        return 1.0, z + _LOG_LOG_2
    unit = FAMILIES[name].shape_unit
    return unit, unit * z
