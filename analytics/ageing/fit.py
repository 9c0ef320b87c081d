"""From the table of lives to how each kind ages: one fit per kind and group."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Literal
from zlib import crc32

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.ageing.clocks import Nodes, collapsed, nodes_of
from analytics.ageing.families import CODES, FAMILIES
from analytics.ageing.groups.fields import Groups, groups_of
from analytics.ageing.groups.group_posterior import posterior_with_groups
from analytics.ageing.groups.lots import LotApart, kind_of_group, set_apart
from analytics.ageing.maximum_likelihood.maximum import MaximumLikelihood, maximum_likelihood
from analytics.ageing.posterior import (
    Posterior,
    posterior_of,
    prior_of,
    worn_failures,
)
from analytics.lives import Lives, only_failures, require_survivors
from analytics.records.kinds import Kind
from analytics.usage import DAYS_PER_YEAR, day_numbers

Floats = npt.NDArray[np.float64]
Progress = Callable[[str, int, int], None]
"""Called with what is being done, how much is done, and how much there is."""

Grade = Literal["only failures, not fitted", "too few failures to say", "indicative", "usable"]

FEW, ENOUGH = 3, 10
"""Worn-out failures from which a curve is called indicative, and usable (planning default)."""

_ROUNDING = 1e-9

NO_GROUPS = Groups((), None)


@dataclass(frozen=True)
class Ageing:
    """How one kind (or one group of it) ages, and how well that is known.

    Attributes
    ----------
    kind : Kind
    group : str
        "all", or "lot NAME" for a lot that is fitted on its own.
    table : DataFrame
        The lives behind it, rows of `lives.table`.
    nodes : Nodes
        Their ages, one life each, in the order of `table`.
    posterior, prior : Posterior
        With the records, and before them.
    likelihood : MaximumLikelihood or None
        None where it does not exist.
    grade : str
        How much the records say. A kind with failures and no survivors is not
        fitted: its `posterior` is the prior.
    units_per_year : float
        Clock units in a calendar year: 1, or the mean shaft hours a year.
    worn_out : int
        Failures that surely came later than an early one can.
    groups : Groups
        In which the lives were looked at for factors on life; the effects found
        are `posterior.factors`.
    set_apart : tuple of LotApart
        Lots of the kind that were found to have a life of their own, and fitted
        apart from all others.
    seed : int
        Source of chance of the fit: whatever else is drawn for these lives draws from it too.
    """

    kind: Kind
    group: str
    table: pd.DataFrame
    nodes: Nodes
    posterior: Posterior
    prior: Posterior
    likelihood: MaximumLikelihood | None
    grade: Grade
    units_per_year: float
    worn_out: int
    groups: Groups = NO_GROUPS
    set_apart: tuple[LotApart, ...] = ()
    seed: int = 0

    @property
    def lives(self) -> int:
        """Number of lives."""
        return len(self.table)

    @property
    def rests_on_prior(self) -> bool:
        """True where the records say too little to be called a fit."""
        return self.grade in ("only failures, not fitted", "too few failures to say")

    @property
    def failures(self) -> int:
        """Lives that ended by failing."""
        return int((self.table["outcome"] == "failed").sum())

    @property
    def accidents(self) -> int:
        """Lives that an accident ended."""
        return int((self.table["outcome"] == "accident").sum())

    @property
    def censored(self) -> int:
        """Lives known only to have lasted longer: still fitted, replaced sound, boat left."""
        return self.lives - self.failures - self.accidents

    @property
    def oldest(self) -> float:
        """Oldest age that a life was watched to, as likely as not, on the kind's clock.

        A life that may have been fitted at any time within years counts by the middle of
        its possible ages: an age that it has next to no chance of was not watched.
        """
        return oldest_watched(self.nodes)


FleetAgeing = Mapping[tuple[str, str], Ageing]
"""How the fleet ages, by kind and group."""


def fleet_ageing(
    lives: Lives, seed: int = 0, progress: Progress | None = None
) -> dict[tuple[str, str], Ageing]:
    """Fit every kind of the fleet, lots that are set apart on their own.

    Beside the lots that the settings set apart, those that are found to have a life
    of their own, unless the settings say no.

    Parameters
    ----------
    lives : Lives
    seed : int
        Source of chance; each kind draws from a stream of its own, so that
        adding a kind changes no other's numbers.
    progress : callable, optional
        Called before each kind.

    Raises
    ------
    FleetError
        If the records cannot be fitted at all, see `lives.require_survivors`.
    """
    require_survivors(lives)
    keys = sorted(set(zip(lives.table["kind"], lives.table["group"], strict=True)))

    fitted: dict[tuple[str, str], Ageing] = {}
    # One after the other: the arrays are small, and threads that take turns lose a quarter.
    for number, (name, group) in enumerate(keys):
        if progress:
            progress(f"fitting {name.replace('_', ' ')}", number, len(keys))
        chosen = (lives.table["kind"] == name) & (lives.table["group"] == group)
        fitted[name, group] = kind_ageing(lives, lives.table[chosen], seed)
        if group == "all" and lives.settings.kind(name).set_lots_apart:
            apart = set_apart(fitted[name, group], lambda table: kind_ageing(lives, table, seed))
            for of, again in apart.ageing.items():
                fitted[name, of] = replace(again, set_apart=apart.lots)
    return dict(sorted(fitted.items()))


def kind_ageing(
    lives: Lives,
    table: pd.DataFrame,
    seed: int = 0,
    *,
    ignore_entry: bool = False,
    factors: bool = True,
    kind: Kind | None = None,
) -> Ageing:
    """Fit some lives of one kind.

    Parameters
    ----------
    lives : Lives
        The whole fleet: its settings, its shaft hours, and whether the kind has survivors.
    table : DataFrame
        Rows of `lives.table` of one kind, at least one.
    ignore_entry : bool
        Leave left truncation out; only to show what that does.
    factors : bool
        False takes all lives as alike.
    kind : Kind, optional
        What is believed of these very lives; by default what the settings say of
        their kind, wider for a lot that was found to have a life of its own.
    """
    name, group = str(table["kind"].iloc[0]), str(table["group"].iloc[0])
    if kind is None:
        kind = kind_of_group(lives.settings.kind(name), group)
    table = table.reset_index(drop=True)
    nodes = nodes_of(lives, table, ignore_entry=ignore_entry)
    distinct = collapsed(nodes)
    stream = np.random.SeedSequence([seed, crc32(f"{name}|{group}".encode())])
    of_posterior, of_prior = (np.random.default_rng(s) for s in stream.spawn(2))
    worn = int(worn_failures(distinct, kind.early_days if "early" in kind.causes else 0))
    # A bad lot may well have failed to the last part; a whole kind has not, it was exported so.
    unfit = only_failures(lives.table[lives.table["kind"] == name])
    accidents, years = int((table["outcome"] == "accident").sum()), watched_years(table)
    groups = NO_GROUPS if unfit or not factors else groups_of(table)
    if unfit:
        posterior = prior_of(kind, of_prior)
    elif groups:
        posterior = posterior_with_groups(kind, nodes, groups, accidents, years, of_posterior)
    else:
        posterior = posterior_of(kind, distinct, accidents, years, of_posterior)
    # Where the records have settled the family, the belief before them is told of that family.
    kind = posterior.kind
    best = kind.family if kind.family in FAMILIES else CODES[0]
    if posterior.families is not None:
        best = posterior.families.likeliest
    return Ageing(
        kind=kind,
        group=group,
        table=table,
        nodes=nodes,
        posterior=posterior,
        prior=posterior if unfit else prior_of(kind, of_prior),
        likelihood=None if unfit else maximum_likelihood(FAMILIES[best], distinct),
        grade="only failures, not fitted" if unfit else _grade(worn),
        units_per_year=_units_per_year(lives, table, kind),
        worn_out=worn,
        groups=groups,
        seed=seed,
    )


def oldest_watched(nodes: Nodes) -> float:
    """Oldest age that a life was watched to, as likely as not; 0 where there is none."""
    if not nodes.n_lives:
        return 0.0
    by_age = np.lexsort((-nodes.lower, nodes.life))
    weight, first = nodes.weight[by_age], nodes.first[nodes.life]
    so_far = np.cumsum(weight)
    reached = so_far - (so_far - weight)[first]
    # A life reaches an age as likely as not where half its weight lies at it or above.
    return float(nodes.lower[by_age][reached >= 0.5 - _ROUNDING].max())


def watched_years(table: pd.DataFrame) -> float:
    """Part-years watched, from the later of first watched and the middle of the fitting window."""
    start = (day_numbers(table["start_lo"]) + day_numbers(table["start_hi"])) / 2
    began = np.fmax(start, day_numbers(table["seen_from"]))
    return float(np.maximum(day_numbers(table["end_hi"]) - began, 0.0).sum()) / DAYS_PER_YEAR


def _grade(worn: int) -> Grade:
    if worn < FEW:
        return "too few failures to say"
    return "indicative" if worn < ENOUGH else "usable"


def _units_per_year(lives: Lives, table: pd.DataFrame, kind: Kind) -> float:
    if kind.clock == "years":
        return 1.0
    line = lives.usage.line_of(table["boat"], table["position"])
    return float(max(lives.usage.past_rate[line].mean(), 1.0))
