"""The log-likelihood of the lives of shaft lines at several effects of the lines, fast.

It is that of `likelihood.per_life`, summed by line. Lives are taken some lines at a
time, and arrays hold nodes, lives or lines first and draws second: so all that is one
life's or one line's lies together, and fits in a processor's own memory.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial
from itertools import pairwise
from typing import Protocol

import numpy as np
import numpy.typing as npt

from analytics.ageing.clocks import CENSORED, EXACT, INTERVAL, Nodes
from analytics.ageing.families import Family
from analytics.ageing.groups.node_hazards import FAR, Ages, Draws, Terms, hazards_of

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Bools = npt.NDArray[np.bool_]

CELLS_AT_ONCE = 96_000
"""Nodes times draws computed in one go."""

_NODES_AT_ONCE, MANY_NODES_AT_ONCE = 1_000, 16_000
"""Nodes of a block for many draws, and for a few."""

_LEAST_AGE = 1e-300
"""Stands for age 0, where the logarithm has no value and nothing has worn yet."""

_LEAST_SUM = 1e-280


class _TermsAt(Protocol):
    def __call__(self, move: Floats, *, careful: bool) -> Terms: ...


@dataclass(frozen=True)
class Block:
    """Some lines with all their lives.

    Attributes
    ----------
    lines : slice
        Which lines.
    lives : ndarray of int
        Positions of their lives, those of a line together.
    """

    lines: slice
    lives: Ints
    terms: tuple[_Term, ...]

    def log_likelihood(self, draws: Draws, shift: Floats, effects: Floats) -> Floats:
        """Log-likelihood of the lives of each line.

        Parameters
        ----------
        draws : Draws
            n of them.
        shift : ndarray, shape (n_lives, n)
            Added to the log scale of each of `lives`, the effect of its line left out.
        effects : ndarray, shape (n_effects, n_lines, n)
            Effects of the lines to be looked at.

        Returns
        -------
        ndarray, shape (n_effects, n_lines, n)
        """
        moved = np.clip(effects * np.exp(draws.log_shape), -FAR, FAR)
        total = np.zeros(effects.shape)
        scale = shift + draws.log_scale
        for term in self.terms:
            term.add(total, draws, scale, moved)
        return total


def blocks_of(
    family: Family,
    nodes: Nodes,
    early_years: float,
    lines: Ints,
    *,
    early: bool,
    at_once: int | None = None,
) -> list[Block]:
    """The lives of a kind, some lines at a time.

    Parameters
    ----------
    early_years : float
        How long after fitting an early failure can come.
    lines : ndarray of int, shape (n_lives,)
        Line of each life, counted from 0; every line has a life.
    early : bool
        Whether early failures are modelled.
    at_once : int, optional
        About how many nodes a block has: the more, the fewer draws it is for.
    """
    if not len(lines):
        return []
    order = np.argsort(lines, kind="stable").astype(np.int64)
    sizes = np.diff(np.append(nodes.first, len(nodes.life)))
    by_line = np.bincount(lines, sizes)
    number = np.cumsum(by_line) // (at_once or _NODES_AT_ONCE)
    starts = np.append(np.unique(number, return_index=True)[1], len(by_line))
    sorted_lines = lines[order]
    found = []
    for begin, end in pairwise(starts):
        lives = order[slice(*np.searchsorted(sorted_lines, (begin, end)))]
        block = slice(int(begin), int(end))
        terms = _terms(family, nodes, early_years, lives, lines[lives] - begin, early=early)
        found.append(Block(block, lives, tuple(terms)))
    return found


def parts_of(n: int, block: Block) -> Iterator[slice]:
    """Some of n draws at a time, as many as go well with a block."""
    cells = max(1, sum(term.cells for term in block.terms))
    step = max(16, CELLS_AT_ONCE // cells)
    return (slice(at, at + step) for at in range(0, n, step))


@dataclass(frozen=True)
class _Term:
    """What some lives add to the log-likelihood of their lines.

    Attributes
    ----------
    ages : Ages
    counts : ndarray, shape (n_lives, 1)
        How many lives each one stands for; negative for what is taken off.
    at : ndarray of int, shape (n_lines,)
        The lines, in the block.
    begins : ndarray of int, shape (n_lines,)
        First life of each line.
    """

    family: Family
    ages: Ages
    counts: Floats
    at: Ints
    begins: Ints

    @property
    def cells(self) -> int:
        """Number of nodes."""
        return len(self.ages.life)

    def add(self, total: Floats, draws: Draws, scale: Floats, moved: Floats) -> None:
        """Add to the sums of the lines, shape (n_effects, n_lines, n)."""
        raise NotImplementedError

    def by_line(self, of_lives: Floats) -> Floats:
        """Counted sums over the lives of each line."""
        counted = of_lives * self.counts
        if len(self.begins) == len(counted):
            return counted
        return np.asarray(np.add.reduceat(counted, self.begins, axis=0))


@dataclass(frozen=True)
class _Plain(_Term):
    """Weibull lives of known fitting, sound or failed on a known day past their early days.

    Attributes
    ----------
    failed : ndarray, shape (n_lives, 1)
        1 for a failure.
    entered : Ages
        The ages at entry of those that have one, nodes in the order of lives.
    late : ndarray of int
        Which lives those are.
    """

    failed: Floats
    entered: Ages
    late: Ints

    def add(self, total: Floats, draws: Draws, scale: Floats, moved: Floats) -> None:
        """The effect of a line divides what its lives have spent of their hazard."""
        k, ages = np.exp(draws.log_shape), self.ages
        z = k * (ages.log_age - scale.take(ages.life, axis=0))
        spent = np.exp(np.minimum(z, FAR))
        if len(self.late):
            entry = k * (self.entered.log_age - scale.take(self.entered.life, axis=0))
            spent[self.late] -= np.exp(np.minimum(entry, FAR))
        value = self.failed * (draws.log_shape + z - ages.log_age)
        if draws.early is not None:
            value += np.log1p(-draws.early * ages.share)
            value[self.late] -= np.log1p(-draws.early * self.entered.share)
        value, spent, failed = (self.by_line(of) for of in (value, spent, self.failed))
        for of_lines, move in zip(total, moved, strict=True):
            shifted = move[self.at]
            of_lines[self.at] += value - failed * shifted - spent * np.exp(-shifted)


@dataclass(frozen=True)
class _Mixed(_Term):
    """Lives whose terms are sums over their nodes."""

    def add(self, total: Floats, draws: Draws, scale: Floats, moved: Floats) -> None:
        """Where the terms of a life come to next to nothing they are taken with more care."""
        terms = self.ready(draws, scale)
        for of_lines, move in zip(total, moved, strict=True):
            found = terms(move, careful=False)
            value = self.ages.sums(found.of_nodes)
            if not value.min() > _LEAST_SUM:
                found = terms(move, careful=True)
                value = self.ages.sums(found.of_nodes)
            value = np.log(value, out=value)
            if found.about is not None:
                value -= found.about
            of_lines[self.at] += self.by_line(value)

    def ready(self, draws: Draws, scale: Floats) -> _TermsAt:
        """What gives the terms of the nodes for any move of the lines."""
        raise NotImplementedError


@dataclass(frozen=True)
class _Sound(_Mixed):
    """Sound at an age."""

    def ready(self, draws: Draws, scale: Floats) -> _TermsAt:
        """Being sound is neither having failed early nor being worn out."""
        hazards = hazards_of(self.family, self.ages, draws, scale)
        return partial(hazards.sound, weight=self.ages.sound_so_far(draws.early))


@dataclass(frozen=True)
class _Failed(_Mixed):
    """Failed at an age.

    Attributes
    ----------
    rate : ndarray, shape (n, 1)
        Early failures per unit of the clock, by the share that fails early; 0 for
        nodes past their early days.
    """

    rate: Floats

    def ready(self, draws: Draws, scale: Floats) -> _TermsAt:
        """The two hazards add up."""
        hazards = hazards_of(self.family, self.ages, draws, scale)
        early = None
        if draws.early is not None and self.rate.any():
            early = self.rate * draws.early * self.ages.weight
        weight = self.ages.sound_so_far(draws.early)
        return partial(hazards.failed, weight=weight, early=early)


@dataclass(frozen=True)
class _FailedWithin(_Mixed):
    """Failed after one age, those of `ages`, and by another.

    Attributes
    ----------
    upper : Ages
    """

    upper: Ages

    def ready(self, draws: Draws, scale: Floats) -> _TermsAt:
        """What is added to the hazard in the window says how likely it is to fail there."""
        ages, early = self.ages, draws.early
        lower, upper = (hazards_of(self.family, of, draws, scale) for of in (ages, self.upper))
        added = None
        if early is not None and not np.array_equal(ages.share, self.upper.share):
            added = np.log1p(-early * ages.share) - np.log1p(-early * self.upper.share)
        return partial(lower.within, upper, weight=ages.sound_so_far(early), added_early=added)


def _terms(
    family: Family, nodes: Nodes, early_years: float, lives: Ints, lines: Ints, *, early: bool
) -> Iterator[_Term]:
    """The terms of some lives, given in the order of their lines."""
    outcome, count = nodes.outcome[lives], nodes.count[lives]
    sizes = np.diff(np.append(nodes.first, len(nodes.life)))[lives]
    entered = np.logical_or.reduceat(nodes.entry > 0, nodes.first)[lives]
    youngest = np.minimum.reduceat(nodes.upper_years, nodes.first)[lives]
    young = (youngest < early_years) & (outcome == EXACT)
    plain = (
        (sizes == 1)
        & (outcome != INTERVAL)
        & ~(young & early)
        & np.full(len(lives), family.name == "weibull")
    )

    def rows_of(chosen: Bools) -> tuple[Ints, Ints, Ints]:
        which = np.flatnonzero(chosen)
        n = sizes[which]
        own = np.repeat(np.arange(len(which)), n)
        first = np.cumsum(n) - n
        return np.arange(n.sum()) - first[own] + nodes.first[lives[which]][own], own, which

    def ages_of(chosen: Bools, age: Floats, years: Floats, weight: Floats) -> Ages:
        rows, own, which = rows_of(chosen)
        first = np.flatnonzero(np.diff(own, prepend=-1))
        # By life, then by age: the first of each life is its node of least age.
        least = np.lexsort((age[rows], own))[first]
        return Ages(
            log_age=np.log(np.maximum(age[rows], _LEAST_AGE))[:, None],
            share=np.minimum(years[rows] / early_years, 1.0)[:, None],
            weight=weight[rows][:, None],
            life=which[own],
            line=lines[which[own]],
            first=first,
            least=least,
            own=own,
        )

    def shared(chosen: Bools, sign: float = 1.0) -> tuple[Floats, Ints, Ints]:
        of = lines[chosen]
        begins = np.flatnonzero(np.diff(of, prepend=-1))
        return sign * count[chosen][:, None], of[begins], begins

    if plain.any():
        failed = outcome == EXACT
        row = nodes.first[lives]
        exit, years = np.zeros(len(nodes.life)), np.zeros(len(nodes.life))
        exit[row] = np.where(failed, nodes.upper[row], nodes.lower[row])
        years[row] = np.where(failed, nodes.upper_years[row], nodes.lower_years[row])
        late = plain & entered
        yield _Plain(
            family,
            ages_of(plain, exit, years, nodes.weight),
            *shared(plain),
            failed=failed[plain][:, None].astype(float),
            entered=ages_of(late, nodes.entry, nodes.entry_years, nodes.weight),
            late=np.flatnonzero(entered[plain]),
        )
    weight = nodes.weight
    chosen = ~plain & (outcome == CENSORED)
    if chosen.any():
        ages = ages_of(chosen, nodes.lower, nodes.lower_years, weight)
        yield _Sound(family, ages, *shared(chosen))
    for chosen in (~plain & (outcome == EXACT) & ~young, ~plain & young):
        if not chosen.any():
            continue
        ages = ages_of(chosen, nodes.upper, nodes.upper_years, weight)
        rows = rows_of(chosen)[0]
        age, years = nodes.upper[rows], nodes.upper_years[rows]
        rate = np.where(years < early_years, years / np.where(age > 0, age, 1.0), 0.0)
        yield _Failed(family, ages, *shared(chosen), rate=rate[:, None] / early_years)
    chosen = ~plain & (outcome == INTERVAL)
    if chosen.any():
        ages = ages_of(chosen, nodes.lower, nodes.lower_years, weight)
        upper = ages_of(chosen, nodes.upper, nodes.upper_years, weight)
        yield _FailedWithin(family, ages, *shared(chosen), upper=upper)
    chosen = ~plain & entered
    if chosen.any():
        if nodes.entry_weight is not None:
            weight = nodes.entry_weight
        ages = ages_of(chosen, nodes.entry, nodes.entry_years, weight)
        yield _Sound(family, ages, *shared(chosen, -1.0))
