"""The lives of one kind with the groups they belong to, and what is believed of both.

The log scale of a life is that of its kind plus the effects of its groups. An
effect is normal about none with the spread of its field, and the spread is
half-normal: few levels that hardly differ are pulled together, a level that
really differs is let go (Gelman, Prior distributions for variance parameters in
hierarchical models, 2006; from memory).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np
import numpy.typing as npt
from scipy.special import expit

from analytics.ageing.clocks import Nodes
from analytics.ageing.families import Family
from analytics.ageing.groups.fields import NO_LEVEL, Field, Groups
from analytics.ageing.groups.line_likelihood import MANY_NODES_AT_ONCE, Block, blocks_of
from analytics.ageing.groups.node_hazards import Draws
from analytics.ageing.groups.slopes import Slopes, slopes_of
from analytics.ageing.likelihood import Parameters, lives_of, per_life
from analytics.ageing.side_by_side import side_by_side

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
LogPrior = Callable[[Floats], Floats]
"""Log density of the prior at rows of (log shape, log scale[, log-odds of early])."""

SPREAD = 0.3
"""Scale of the half-normal belief about how far the levels of a field differ, in log life.

Factors that the trade quotes for warmth, silt or venting lie between 0.6 and 0.9 (common
practice, no source). With 0.3, half of all fields change life by less than about a fifth, and
one in twenty by more than 1.8 times.
"""

_LIVES_AT_ONCE, _NODES_AT_ONCE = 250, 2_500

_LEAST_SPREAD = 1e-3
"""Spread of lines from which on they count as alike: a thousandth of a life."""


@dataclass(frozen=True)
class GroupedLives:
    """The lives of one kind with their groups, and what is believed of the kind.

    A row of parameters holds the log shape, the log scale, the log-odds of an
    early failure (where that is modelled), the spread of the shaft lines (where they
    are looked at), then the effect of each level of each field. The spread of the
    lines stands there itself, not its logarithm, in which it would have a long tail
    towards none.

    Attributes
    ----------
    nodes : Nodes
        In the order of the codes of `groups`.
    early_years : float
        How long after fitting an early failure can come.
    early : bool
        Whether early failures are modelled.
    """

    family: Family
    nodes: Nodes
    early_years: float
    early: bool
    groups: Groups
    log_prior: LogPrior

    @property
    def n_curve(self) -> int:
        """Columns that say how the kind ages."""
        return 3 if self.early else 2

    @property
    def n_own(self) -> int:
        """Columns before the effects of the fields."""
        return self.n_curve + (self.groups.places is not None)

    @cached_property
    def firsts(self) -> Ints:
        """First column of each field, and after them the number of columns."""
        sizes = [len(field.levels) for field in self.groups.fields]
        return np.cumsum([self.n_own, *sizes])

    @property
    def n_columns(self) -> int:
        """Length of a row of parameters."""
        return int(self.firsts[-1])

    @cached_property
    def by_field(self) -> list[tuple[Field, slice]]:
        """Each field with its columns."""
        ends = self.firsts
        columns = (slice(int(a), int(b)) for a, b in pairwise(ends))
        return list(zip(self.groups.fields, columns, strict=True))

    def spread_of_places(self, rows: Floats) -> Floats:
        """Spread of the effects of lines, shape (n, 1)."""
        return np.maximum(rows[:, self.n_curve, None], _LEAST_SPREAD)

    def belief(self, rows: Floats, spreads: Floats) -> Floats:
        """Log density of the prior of rows, given the spreads of the fields."""
        total = self.log_prior(rows[:, : self.n_curve])
        if self.groups.places is not None:
            spread = rows[:, self.n_curve]
            total = np.where(spread > 0, total - 0.5 * (spread / SPREAD) ** 2, -np.inf)
        for at, (_, columns) in enumerate(self.by_field):
            effects = rows[:, columns]
            total = total - 0.5 * (effects**2).sum(axis=1) / spreads[:, at] ** 2
            total = total - effects.shape[1] * np.log(spreads[:, at])
        return np.asarray(total)

    def shift(self, rows: Floats, by_place: Floats | None = None) -> Floats:
        """Effect on the log scale of each life, shape (n, n_lives)."""
        total = np.zeros((len(rows), self.nodes.n_lives))
        none = np.zeros((len(rows), 1))
        for field, columns in self.by_field:
            # Without a level a life takes the last, empty column.
            total += np.hstack([rows[:, columns], none]).take(field.codes, axis=1, mode="wrap")
        if self.groups.places is not None and by_place is not None:
            total += by_place.take(self.groups.places.codes, axis=1)
        return total

    def values(self, rows: Floats, by_place: Floats | None = None) -> Floats:
        """Log-likelihood of each row and life."""
        theta = Parameters.from_rows(rows[:, : self.n_curve])
        shift = self.shift(rows, by_place)
        return per_life(self.family, theta, self.nodes, self.early_years, shift)

    def slopes(self, rows: Floats, by_place: Floats | None = None, *, every: bool = True) -> Slopes:
        """The same with its slopes."""
        theta = Parameters.from_rows(rows[:, : self.n_curve])
        shift = self.shift(rows, by_place)

        def of(some: tuple[slice, Nodes]) -> Slopes:
            theirs, nodes = some
            moved = shift[:, theirs]
            return slopes_of(self.family, theta, nodes, self.early_years, moved, every=every)

        found = side_by_side(of, self._some_lives)
        return Slopes(
            *(np.concatenate(of, axis=1) for of in zip(*map(_arrays, found), strict=True))
        )

    @cached_property
    def _some_lives(self) -> list[tuple[slice, Nodes]]:
        """The lives, some at a time: few enough for what is worked out of them to stay at hand."""
        nodes = self.nodes
        ends = np.append(nodes.first, len(nodes.life))[1:]
        starts = np.unique(ends // _NODES_AT_ONCE, return_index=True)[1].tolist()
        slices = [slice(*ends_of) for ends_of in pairwise([*starts, nodes.n_lives])]
        number = np.arange(nodes.n_lives)
        return [
            (some, lives_of(nodes, (some.start <= number) & (number < some.stop)))
            for some in slices or [slice(0, 0)]
        ]

    @cached_property
    def blocks(self) -> list[Block]:
        """The lives by their lines; some lives at a time where places are not looked at."""
        return self._blocks()

    @cached_property
    def blocks_for_few(self) -> list[Block]:
        """The same in fewer blocks, for a few rows of parameters."""
        return self._blocks(MANY_NODES_AT_ONCE)

    def _blocks(self, at_once: int | None = None) -> list[Block]:
        nodes, places = self.nodes, self.groups.places
        lines = np.arange(nodes.n_lives) // _LIVES_AT_ONCE if places is None else places.codes
        return blocks_of(
            self.family, nodes, self.early_years, lines, early=self.early, at_once=at_once
        )

    def draws(self, rows: Floats) -> Draws:
        """What the kind ages by in each row."""
        early = expit(rows[:, 2]) if self.early else None
        return Draws(rows[:, 0], rows[:, 1], early)

    def shift_of(self, lives: Ints, rows: Floats) -> Floats:
        """Effect of the fields on the log scale of some lives, shape (n_lives, n)."""
        total = np.zeros((len(lives), len(rows)))
        none = np.zeros((1, len(rows)))
        for field, columns in self.by_field:
            # Without a level a life takes the last, empty row.
            effects = np.vstack([rows[:, columns].T, none])
            total += effects.take(field.codes[lives], axis=0, mode="wrap")
        return total

    def by_lines(self, of_lives: Floats) -> Floats:
        """Sums over the lives of each line, shape (..., n_places)."""
        order, first = self._line_order
        if order is not None:
            of_lives = of_lives.take(order, axis=-1)
        return np.asarray(np.add.reduceat(of_lives, first, axis=-1))

    @cached_property
    def _line_order(self) -> tuple[Ints | None, Ints]:
        """Order that puts the lives of a line together, None where they are; first of each."""
        assert self.groups.places is not None  # asked only where places are looked at
        codes = self.groups.places.codes
        order = np.argsort(codes, kind="stable")
        first = np.searchsorted(codes[order], np.arange(len(self.groups.places.levels)))
        return None if (np.diff(codes) >= 0).all() else order, first

    @cached_property
    def members(self) -> Floats:
        """1 where a life is of a level, shape (n_lives, n_levels of all fields)."""
        member = np.zeros((self.nodes.n_lives, self.n_columns - self.n_own))
        for field, columns in self.by_field:
            known = np.flatnonzero(field.codes != NO_LEVEL)
            member[known, columns.start - self.n_own + field.codes[known]] = 1.0
        return member


def _arrays(of: Slopes) -> tuple[Floats, ...]:
    return of.value, of.by_scale, of.curvature, of.by_shape, of.by_early
