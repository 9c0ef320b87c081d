"""Survival and density of the nodes of lives, for many draws at once, as the lines move.

All is a function of z = exp(log shape) (log age - log scale), from which the effect u of
a line takes exp(log shape) u. What does not depend on the effect is worked out once a
draw rather than once an effect. Arrays hold nodes or lives first and draws second.

Where a life has many nodes its terms may all be next to nothing, so they are handed
out over the survival of its node of least age, which is the likeliest to be sound.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt
from scipy.special import log_ndtr, ndtr

from analytics.ageing.families import Family

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]

FAR = 300.0
"""Past this z every survival is 0 to the last digit, and no power of it may overflow."""

_ROOT_2PI = np.sqrt(2 * np.pi)


@dataclass(frozen=True)
class Draws:
    """Some draws of what a kind ages by, each of shape (n,).

    Attributes
    ----------
    log_shape, log_scale : ndarray
    early : ndarray or None
        Share that fails early; None where that is not modelled.
    """

    log_shape: Floats
    log_scale: Floats
    early: Floats | None


@dataclass(frozen=True)
class Ages:
    """Nodes of some lives at one of their ages; all but the last three of shape (n, 1) or (n,).

    Attributes
    ----------
    log_age : ndarray
    share : ndarray
        Share of the early days that was over.
    weight : ndarray
    life, line : ndarray of int
        Positions in the block.
    first, least : ndarray of int, shape (n_lives,)
        First node of each life, and its node of least age.
    own : ndarray of int, shape (n,)
        The place of each node's life among these lives.
    """

    log_age: Floats
    share: Floats
    weight: Floats
    life: Ints
    line: Ints
    first: Ints
    least: Ints
    own: Ints

    @cached_property
    def line_of_lives(self) -> Ints:
        """The line of each life."""
        return self.line[self.first]

    @cached_property
    def single(self) -> bool:
        """Whether every life has one node."""
        return len(self.first) == len(self.life)

    def sums(self, of_nodes: Floats) -> Floats:
        """Sums over the nodes of each life."""
        return of_nodes if self.single else np.add.reduceat(of_nodes, self.first, axis=0)

    def sound_so_far(self, early: Floats | None) -> Floats:
        """Weight of each node times its chance of not having failed early."""
        return self.weight if early is None else self.weight * (1.0 - early * self.share)


@dataclass(frozen=True)
class Terms:
    """What the nodes of lives add to the likelihood.

    Attributes
    ----------
    of_nodes : ndarray, shape (n_nodes, n)
        Weighed, over exp(-about) of their life.
    about : ndarray, shape (n_lives, n), or None
        None where it is 0.
    """

    of_nodes: Floats
    about: Floats | None


class Hazards:
    """Of nodes of any family.

    In all methods `move` is what the lines take off z, shape (n_lines, n), and `weight`
    the weights of the nodes times their chance of not having failed early.
    """

    def __init__(self, family: Family, ages: Ages, draws: Draws, scale: Floats) -> None:
        self.family, self.ages, self.draws = family, ages, draws
        z = ages.log_age - scale.take(ages.life, axis=0)
        z *= np.exp(draws.log_shape)
        self.z = np.minimum(z, FAR, out=z)

    def sound(self, move: Floats, weight: Floats, *, careful: bool) -> Terms:
        """Chance of being sound.

        Parameters
        ----------
        careful : bool
            Keep terms apart that are next to nothing, which may take longer.
        """
        least, chance = self._survival(move)
        return Terms(np.multiply(chance, weight, out=chance), least)

    def failed(self, move: Floats, weight: Floats, early: Floats | None, *, careful: bool) -> Terms:
        """Density of failing, per unit of the clock.

        Parameters
        ----------
        early : ndarray or None
            Hazard of failing early, weighed as `weight` is.
        """
        rate = self._rate(move)
        rate *= weight
        if early is not None:
            rate += early
        least, chance = self._survival(move)
        return Terms(np.multiply(rate, chance, out=rate), least)

    def within(
        self,
        upper: Hazards,
        move: Floats,
        weight: Floats,
        added_early: Floats | None,
        *,
        careful: bool,
    ) -> Terms:
        """Chance of failing until the ages of `upper`.

        Parameters
        ----------
        added_early : ndarray or None
            What the early days in between add to the cumulative hazard; None where nothing.
        """
        added = self._cumulative(move)
        added -= upper._cumulative(move)
        if added_early is not None:
            added -= added_early
        failed = np.expm1(added, out=added)
        failed *= -weight
        least, chance = self._survival(move)
        return Terms(np.multiply(failed, chance, out=failed), least)

    def _cumulative(self, move: Floats) -> Floats:
        return self.family.slopes(self._moved(move))[0]

    def _rate(self, move: Floats) -> Floats:
        slope = self.family.slopes(self._moved(move))[1]
        return np.asarray(slope * np.exp(self.draws.log_shape - self.ages.log_age))

    def _survival(self, move: Floats) -> tuple[Floats, Floats]:
        """Cumulative hazard of the node of least age; survival of each node over that node's."""
        own, ages = self._cumulative(move), self.ages
        if ages.single:
            return own, np.ones_like(own)
        least = own.take(ages.least, axis=0)
        own = np.subtract(least.take(ages.own, axis=0), own, out=own)
        return least, np.exp(own, out=own)

    def _moved(self, move: Floats) -> Floats:
        z = self.z - move.take(self.ages.line, axis=0)
        return np.minimum(z, FAR, out=z)


class WeibullHazards(Hazards):
    """Those of Weibull lives, where the effect of a line is a factor."""

    def __init__(self, family: Family, ages: Ages, draws: Draws, scale: Floats) -> None:
        super().__init__(family, ages, draws, scale)
        self.unmoved = np.exp(self.z)
        self.least = self.unmoved if ages.single else self.unmoved.take(ages.least, axis=0)
        if not ages.single:
            self.beyond = self.least.take(ages.own, axis=0)
            self.beyond -= self.unmoved

    def _cumulative(self, move: Floats) -> Floats:
        factor = np.exp(-move).take(self.ages.line, axis=0)
        return np.multiply(factor, self.unmoved, out=factor)

    def _rate(self, move: Floats) -> Floats:
        log_rate = self.z - self.ages.log_age
        log_rate += self.draws.log_shape
        log_rate -= move.take(self.ages.line, axis=0)
        return np.exp(log_rate, out=log_rate)

    def _survival(self, move: Floats) -> tuple[Floats, Floats]:
        ages, factor = self.ages, np.exp(-move)
        least = factor.take(ages.line_of_lives, axis=0)
        least *= self.least
        if ages.single:
            return least, np.ones_like(least)
        chance = factor.take(ages.line, axis=0)
        chance *= self.beyond
        return least, np.exp(chance, out=chance)


class LognormalHazards(Hazards):
    """Those of lognormal lives, whose survival is cheaper to have than its logarithm."""

    def sound(self, move: Floats, weight: Floats, *, careful: bool) -> Terms:
        """Chance of being sound."""
        if careful:
            return super().sound(move, weight, careful=True)
        chance = ndtr(-self._moved(move))
        return Terms(np.multiply(chance, weight, out=chance), None)

    def failed(self, move: Floats, weight: Floats, early: Floats | None, *, careful: bool) -> Terms:
        """Density of failing, per unit of the clock."""
        z = self._moved(move)
        density = -0.5 * z
        density *= z
        density += self.draws.log_shape
        density -= self.ages.log_age
        if careful:
            return self._about_the_likeliest(density, z, weight, early)
        density = np.exp(density, out=density)
        density *= weight / _ROOT_2PI
        if early is not None:
            density += early * ndtr(-z)
        return Terms(density, None)

    def within(
        self,
        upper: Hazards,
        move: Floats,
        weight: Floats,
        added_early: Floats | None,
        *,
        careful: bool,
    ) -> Terms:
        """Chance of failing until the ages of `upper`."""
        if careful:
            return super().within(upper, move, weight, added_early, careful=True)
        low, high = self._moved(move), upper._moved(move)
        # From the side on which both are small, so that their difference is known well.
        side = np.where(low + high > 0, -1.0, 1.0)
        low *= side
        high *= side
        failed = ndtr(high)
        if added_early is None:
            failed -= ndtr(low)
            failed *= side
        else:
            left = np.where(side < 0, failed, 1.0 - failed)
            failed -= ndtr(low)
            failed *= side
            failed -= left * np.expm1(-added_early)
        return Terms(np.multiply(failed, weight, out=failed), None)

    def _about_the_likeliest(
        self, log_density: Floats, z: Floats, weight: Floats, early: Floats | None
    ) -> Terms:
        """Failures so much too young or too old that their density is nothing as a number."""
        with np.errstate(divide="ignore"):
            log_density += np.log(weight / _ROOT_2PI)
            if early is not None:
                log_density = np.logaddexp(log_density, np.log(early) + log_ndtr(-z))
        top = log_density
        if not self.ages.single:
            top = np.maximum.reduceat(log_density, self.ages.first, axis=0)
        return Terms(np.exp(log_density - top.take(self.ages.own, axis=0)), -top)


def hazards_of(family: Family, ages: Ages, draws: Draws, scale: Floats) -> Hazards:
    """Hazards of nodes.

    Parameters
    ----------
    draws : Draws
        n of them.
    scale : ndarray, shape (n_lives, n)
        Log scale of every life of the block, before its line moves it.
    """
    kinds = {"weibull": WeibullHazards, "lognormal": LognormalHazards}
    return kinds.get(family.name, Hazards)(family, ages, draws, scale)
