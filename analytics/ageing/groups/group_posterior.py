"""The posterior of a kind whose lives belong to groups, as draws of equal weight.

Rows are proposed and weighed by `group_draws`. Where too few of them count, or
the largest weights have too heavy a tail, more are proposed where those that count
lie; where that does not help, walkers go on from the weighed rows (`group_walkers`).
"""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import Literal

import numpy as np
import numpy.typing as npt

from analytics.ageing.clocks import Nodes
from analytics.ageing.families import AVERAGED, FAMILIES
from analytics.ageing.family_choice import Unit, as_set, draws_of, family_choice
from analytics.ageing.groups.fields import NO_LEVEL, Field, Groups
from analytics.ageing.groups.group_draws import (
    Mode,
    Weighed,
    adapted,
    mode_of,
    recentred,
    weighed_rows,
)
from analytics.ageing.groups.group_walkers import walked_on
from analytics.ageing.groups.grouped_lives import GroupedLives
from analytics.ageing.groups.life_factors import LifeFactors
from analytics.ageing.groups.line_likelihood import Block, parts_of
from analytics.ageing.groups.shaft_lines import Lines, at_points, effects_of_lines
from analytics.ageing.importance import effective_draws, resampled
from analytics.ageing.likelihood import Parameters, lives_of
from analytics.ageing.posterior import (
    MOST_SCORED,
    Belief,
    Posterior,
    of_family,
    spawned,
    together,
    worn_failures,
)
from analytics.ageing.predictive import Score, leave_one_out
from analytics.ageing.prior import (
    N_DRAWS,
    accident_draws,
    log_prior,
)
from analytics.ageing.side_by_side import side_by_side
from analytics.ageing.tails import pareto_k
from analytics.records.kinds import Kind
from analytics.usage import DAYS_PER_YEAR

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]

_SCOUTS, _BEGUN = 150, 250
"""Proposals that show where the posterior lies, and those made there first."""

_LEAST_SCORED, _MOST_BEGUN = 60.0, 2500
"""Effective draws that a family is scored with, and proposals after which so many are not sought
any more; with fewer nothing is relied on."""

_SCORED = 500
"""Proposals that a family is scored with where fewer leave the choice open."""

_PLAIN = 0.98
"""Weight from which on a choice by few proposals stands."""

_ROWS, _MOST_ROWS = 1000, 4000
"""Proposals behind the draws: at first, and at most."""

_MANY_LIVES, _FEWER = 3000, 700
"""With so many lives the posterior is so close to the parabola that fewer proposals do at first."""

_GOOD_SAMPLE, _FAIR_SAMPLE = 250.0, 120.0
"""Effective draws that are sought, and that are taken in the end."""

_HEAVY_TAIL = 0.7
_WALKERS = 400


def posterior_with_groups(
    kind: Kind,
    nodes: Nodes,
    groups: Groups,
    accidents: int,
    exposure_years: float,
    rng: np.random.Generator,
) -> Posterior:
    """Posterior of a kind given its lives and the groups they belong to.

    Parameters
    ----------
    kind : Kind
        Clock, family, causes and prior.
    nodes : Nodes
        Ages of the lives, one each, in the order of the codes of `groups`.
    groups : Groups
        Not empty.
    accidents, exposure_years
        As in `posterior.posterior_of`.

    Returns
    -------
    Posterior
        Its parameters are those of the typical part, of mean effect; `factors`
        holds what its groups add to a part's log life.
    """
    if kind.family != AVERAGED:
        found = GroupedPosterior(kind, nodes, groups, rng).drawn(N_DRAWS)
        rate = accident_draws(kind, accidents, exposure_years, rng)
        return replace(found, accidents=rate, families=as_set(kind.family))
    # With chance in common the families differ by less chance: so their scores are compared.
    common, own = rng.integers(2**63, size=4), spawned(rng, 1)[0]
    fits: dict[str, GroupedPosterior] = {}
    some = some_of(nodes, groups)

    def fit(name: str, nodes: Nodes, groups: Groups) -> GroupedPosterior:
        if name not in fits:
            stream, near = np.random.default_rng(common), next(iter(fits.values()), None)
            fits[name] = GroupedPosterior(of_family(kind, name), nodes, groups, stream, near=near)
        return fits[name]

    def score(name: str, n: int) -> Score:
        found = fit(name, *(some or (nodes, groups))).score(n)
        return replace(found, all_units=_units_of(nodes, groups)) if some else found

    worn = worn_failures(nodes, kind.early_days if "early" in kind.causes else 0)
    for n in (_BEGUN, _SCORED):
        choice = family_choice(partial(score, n=n), worn, unit_of(groups), own)
        # Few proposals tell a plain choice, and the rest of them a close one.
        if not choice.scores or (
            choice.basis == "score" and max(choice.by_score.values()) > _PLAIN
        ):
            break
    if some:
        fits.clear()
    parts = []
    for name, n in draws_of(choice, N_DRAWS).items():
        rate = accident_draws(kind, accidents, exposure_years, own)[:n]
        drawn = fit(name, nodes, groups).drawn(n, own)
        parts.append(replace(drawn, accidents=rate, families=choice))
    return together(parts, own)


def grouped_score(
    kind: Kind,
    nodes: Nodes,
    groups: Groups,
    rng: np.random.Generator,
    belief: Belief | None = None,
) -> Score:
    """How well a kind of one family foretells its lives; of some of them where they are many."""
    some = some_of(nodes, groups)
    found = GroupedPosterior(kind, *(some or (nodes, groups)), rng, belief).score()
    return replace(found, all_units=_units_of(nodes, groups)) if some else found


def unit_of(groups: Groups) -> Unit:
    """What is left out to score a family: a line with all its lives where lines are looked at."""
    return "life" if groups.places is None else "shaft line"


def some_of(nodes: Nodes, groups: Groups) -> tuple[Nodes, Groups] | None:
    """Every second, third ... line (or life) of a fleet too large to score with all its lives.

    Returns
    -------
    tuple or None
        None where all of it can be taken.
    """
    step = 1 + nodes.n_lives // MOST_SCORED
    if step == 1:
        return None
    if groups.places is None:
        which = np.arange(nodes.n_lives) % step == 0
    else:
        which = groups.places.codes % step == 0

    def part(field: Field) -> Field:
        return replace(field, codes=field.codes[which])

    places = groups.places
    if places is not None:
        # Lines are numbered again, as those that are left.
        places = replace(places, levels=places.levels[::step], codes=places.codes[which] // step)
    fields = tuple(part(field) for field in groups.fields)
    return lives_of(nodes, which), Groups(fields, places, tuple(map(part, groups.carried)))


def by_unit(lives: GroupedLives, rows: Floats, lines: Lines | None) -> Floats:
    """Log-likelihood of each line, its effect integrated out, or of each life, (n, n_units)."""
    if lines is None:
        with np.errstate(over="ignore", invalid="ignore", divide="ignore"):
            return lives.values(rows)
    found = np.empty((len(lines.effect), len(rows)))

    def fill(block: Block) -> None:
        for part in parts_of(len(rows), block):
            found[block.lines, part] = at_points(lives, rows[part], lines, block).log_integral

    side_by_side(fill, lives.blocks)
    return found.T


def _units_of(nodes: Nodes, groups: Groups) -> float:
    return float(nodes.n_lives if groups.places is None else len(groups.places.levels))


class GroupedPosterior:
    """The posterior of one family for lives with groups, ready to be drawn from.

    Parameters
    ----------
    kind : Kind
        Of one family.
    nodes, groups
        As in `posterior_with_groups`.
    rng : Generator
        Source of chance for where to begin, and for the draws.
    belief : callable, optional
        Log density of another prior than the kind's.
    near : GroupedPosterior, optional
        Of the same lives in another family, to begin the search of the mode at.
    """

    def __init__(
        self,
        kind: Kind,
        nodes: Nodes,
        groups: Groups,
        rng: np.random.Generator,
        belief: Belief | None = None,
        near: GroupedPosterior | None = None,
    ) -> None:
        self.kind, self.groups, self.rng = kind, groups, rng
        self.lives = grouped_lives(kind, nodes, groups, belief)
        other = None if near is None else (near.kind.family, near.mode)
        self.mode: Mode = mode_of(self.lives, other)
        self._found: Weighed | None = None

    def drawn(self, n_draws: int, rng: np.random.Generator | None = None) -> Posterior:
        """A posterior of so many draws, without accidents.

        Parameters
        ----------
        rng : Generator, optional
            Source of chance from here on, where the first is shared with others.
        """
        self.rng = rng or self.rng
        lives, groups, rng = self.lives, self.groups, self.rng
        drawn, lines, effective, tail, method = self._rows(n_draws)
        rows, spreads = drawn.rows, drawn.spreads
        fields = [field for field, _ in lives.by_field]
        effects = [rows[:, columns] for _, columns in lives.by_field]
        if groups.places is not None and lines is not None:
            fields.append(groups.places)
            effects.append(effects_of_lines(lives, rows, lines, rng))
            spreads = np.column_stack([spreads, lives.spread_of_places(rows)[:, 0]])
        shares = [
            np.bincount(field.codes[field.codes != NO_LEVEL], minlength=len(field.levels))
            / len(field.codes)
            for field in fields
        ]
        centres = np.column_stack([of @ share for of, share in zip(effects, shares, strict=True)])
        theta = Parameters.from_rows(rows[:, : lives.n_curve])
        scale = theta.log_scale + centres.sum(axis=1)
        return Posterior(
            kind=self.kind,
            parameters=Parameters(theta.log_shape, scale, theta.early),
            accidents=np.zeros(n_draws),
            effective=effective,
            method=method,
            tail=tail,
            factors=LifeFactors(tuple(fields), tuple(effects), spreads, centres, groups.carried),
        )

    def score(self, n: int = _SCORED) -> Score:
        """How well the family foretells each line, or life, from all the others.

        The effect of a line on its lives is integrated out: nothing is known of it
        but how far lines differ. Other groups keep their effects, since a life
        more or less hardly moves those.

        Parameters
        ----------
        n : int
            Proposals to do it with.
        """
        mode, found = self._begun(n)
        values = found.by_line
        if values is None:
            values = by_unit(self.lives, found.rows, mode.lines)
        score = leave_one_out(values, None, found.log_weight)
        if effective_draws(found.log_weight) < _LEAST_SCORED:
            # A few rows that decide everything also look alike: nothing is known of any unit.
            return replace(score, tail=np.full(len(score.tail), np.inf))
        return score

    def _begun(self, n: int) -> tuple[Mode, Weighed]:
        """At least so many rows, proposed about where the posterior lies."""
        mode, found = self.mode, self._found
        if found is None:
            scouts = self._weighed(mode, _SCOUTS)
            moved = recentred(self.lives, mode, scouts)
            found = self._weighed(moved, _BEGUN)
            # A posterior that is all but a point may be missed by what few scouts say.
            if effective_draws(found.log_weight) > effective_draws(scouts.log_weight):
                mode = moved
            else:
                found = scouts
        while len(found.rows) < n or (
            effective_draws(found.log_weight) < _LEAST_SCORED and len(found.rows) < _MOST_BEGUN
        ):
            more = max(n - len(found.rows), _BEGUN)
            found = _joined(found, self._weighed(adapted(mode, found), more))
        self.mode, self._found = mode, found
        return mode, found

    def _weighed(self, mode: Mode, n: int) -> Weighed:
        return weighed_rows(self.lives, mode, n, self.rng, by_line=True)

    def _rows(
        self, n_draws: int
    ) -> tuple[Weighed, Lines | None, float, float, Literal["posterior", "random walk"]]:
        """Rows of equal weight, with where the lines lie, and how well it went."""
        lives, rng, share = self.lives, self.rng, n_draws / N_DRAWS
        mode, found = self._begun(0)
        wanted = round(share * (_FEWER if lives.nodes.n_lives > _MANY_LIVES else _ROWS))
        # What has chance in common with other families does not count in full.
        wanted += _BEGUN if share < 1 else 0
        while True:
            effective, tail = effective_draws(found.log_weight), pareto_k(found.log_weight)
            good, n = effective >= share * _GOOD_SAMPLE and tail <= _HEAVY_TAIL, len(found.rows)
            if n >= wanted and (good or n >= share * _MOST_ROWS):
                break
            more = wanted - n if n < wanted else max(1, min(n, round(share * _MOST_ROWS) - n))
            found = _joined(found, weighed_rows(lives, adapted(mode, found), more, rng))
        good = effective >= share * _FAIR_SAMPLE and tail <= _HEAVY_TAIL
        chosen = resampled(found.log_weight, n_draws if good else _WALKERS, rng)
        drawn = _chosen(found, chosen)
        if good:
            return drawn, mode.lines, effective, tail, "posterior"
        # Walkers go on together, however few of them are asked for.
        walked = walked_on(lives, drawn, mode.lines, rng)
        drawn = _chosen(walked, rng.permutation(len(walked.rows))[:n_draws])
        return drawn, mode.lines, effective, tail, "random walk"


def _chosen(found: Weighed, which: Ints) -> Weighed:
    """Some rows, of equal weight."""
    even = np.zeros(len(which))
    return Weighed(found.rows[which], found.spreads[which], even, found.away[which])


def _joined(one: Weighed, other: Weighed) -> Weighed:
    """Rows proposed about the same parabola."""
    by_line = None
    if one.by_line is not None and other.by_line is not None:
        by_line = np.concatenate([one.by_line, other.by_line])
    return Weighed(
        np.concatenate([one.rows, other.rows]),
        np.concatenate([one.spreads, other.spreads]),
        np.concatenate([one.log_weight, other.log_weight]),
        np.concatenate([one.away, other.away]),
        by_line,
    )


def grouped_lives(
    kind: Kind, nodes: Nodes, groups: Groups, belief: Belief | None = None
) -> GroupedLives:
    """The lives of a kind as the sampler takes them."""
    family = FAMILIES[kind.family]
    return GroupedLives(
        family=family,
        nodes=nodes,
        early_years=kind.early_days / DAYS_PER_YEAR,
        early="early" in kind.causes,
        groups=groups,
        log_prior=belief or (lambda rows: log_prior(family, kind.prior, rows)),
    )
