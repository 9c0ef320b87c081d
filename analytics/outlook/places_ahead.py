"""The parts of a kind in service, cut into places that are simulated together."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields, replace

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.ageing.fit import Ageing
from analytics.ageing.likelihood import lives_of
from analytics.ageing.posterior import Posterior
from analytics.ageing.wear.own_lives import OwnLives
from analytics.lives import IN_SERVICE, Lives
from analytics.outlook.clock_ahead import CalendarAhead, ClockAhead
from analytics.outlook.failure_ages import NEVER, FailureAges
from analytics.outlook.first_lives import FirstLives
from analytics.outlook.hours_ahead import hours_ahead
from analytics.outlook.limits_ahead import LimitsAhead
from analytics.outlook.place_chance import PlaceChance
from analytics.outlook.policy import PartLimits
from analytics.outlook.renewals import Places
from analytics.records.seasons import Season
from analytics.usage import DAYS_PER_YEAR, day_number, day_numbers

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.intp]

_NODES_AT_ONCE, _READ_AT_ONCE = 256, 48
"""Days of fitting in the tables of one lot of places; fewer where each has a curve of its own."""


@dataclass(frozen=True)
class Asked:
    """What is the same for all kinds."""

    lives: Lives
    season: Season
    calendar: CalendarAhead
    n_futures: int
    seed: int


@dataclass(frozen=True)
class SomePlaces:
    """Parts of one kind that are dealt with together, before anything is worked out for them.

    Attributes
    ----------
    chosen : ndarray of int
        Which of the parts in service of `fitted`, in the order of its table.
    first_number : int
        Number of the first of those in `Futures.parts`.
    told : bool
        Whether progress is told of them: the first of a kind, and of many alike each further lot.
    """

    fitted: Ageing
    renewed_as: Posterior
    own: OwnLives | None
    limits: PartLimits
    chosen: Ints
    first_number: int
    told: bool

    def places(self, asked: Asked) -> Places:
        """Their tables."""
        lives, calendar, fitted = asked.lives, asked.calendar, self._fitted()
        rows, n_draws = fitted.table, min(len(fitted.posterior), asked.n_futures)
        own = self._own() if self.own is not None else None
        draws = np.arange(n_draws)
        factors = fitted.posterior.factors
        shift = None if factors is None else factors.of(rows, asked.seed)
        effects = None if shift is None else np.ascontiguousarray(shift[:n_draws].T)
        old = FailureAges(fitted.posterior, draws, effects)
        later = _effects_when_renewed(self.renewed_as, rows, draws, asked.seed)
        new = FailureAges(self.renewed_as, draws, later)
        usage, by_hours = lives.usage, fitted.kind.clock == "hours"
        line = usage.line_of(rows["boat"], rows["position"])
        pace, doubt, all_year = np.full((1, 1), 1.0 / DAYS_PER_YEAR), None, True
        if by_hours:
            # With the hours in doubt that the risk of the first season is taken with.
            end = day_number(asked.season.end) + 1
            doubt = hours_ahead(lives, fitted, end, asked.seed, own, shift)
            usual = np.maximum(usage.rate[line], 1e-6)[:, None]
            pace = usual * np.ascontiguousarray(doubt.coming[:n_draws].T) / DAYS_PER_YEAR
            all_year = bool(usage.afloat[line[0]]) or usage.rule.whole_year()
        clock = ClockAhead(calendar, pace, all_year)
        leaves = day_numbers(rows["leaves_on"])
        leaves = np.where(np.isnan(leaves), NEVER, leaves)
        curves = own.part(draws) if own is not None else None
        return Places(
            number=(self.first_number + self.chosen).astype(np.int32),
            clock=clock,
            old=old,
            new=new,
            first=FirstLives(
                lives, fitted.nodes, line, clock, old, fitted.posterior, doubt, effects, curves
            ),
            limits=LimitsAhead(self.limits.some(self.chosen), clock, leaves, by_hours),
            leaves=leaves,
            chance=PlaceChance(asked.seed, rows, asked.n_futures),
            draw=np.arange(asked.n_futures) % n_draws,
            ashore=fitted.kind.found_ashore_only,
        )

    def _fitted(self) -> Ageing:
        """The ageing of the kind, with the lives of these parts alone."""
        serving = np.flatnonzero((self.fitted.table["outcome"] == IN_SERVICE).to_numpy())
        rows = serving[self.chosen]
        which = np.zeros(len(self.fitted.table), dtype=bool)
        which[rows] = True
        table = self.fitted.table.iloc[rows]
        return replace(self.fitted, table=table, nodes=lives_of(self.fitted.nodes, which))

    def _own(self) -> OwnLives:
        """The own lives of these parts, all of which have readings, in their order."""
        assert self.own is not None
        own, sizes = self.own, np.diff(np.append(self.own.first, len(self.own.node)))
        by_part = {part: i for i, part in enumerate(parts_read(self.fitted, own).tolist())}
        paths = np.array([by_part[part] for part in self.chosen.tolist()], dtype=np.int64)
        rows = np.concatenate([np.arange(own.first[i], own.first[i] + sizes[i]) for i in paths])
        first = (np.cumsum(sizes[paths]) - sizes[paths]).astype(np.int64)
        per_row = {
            one.name: getattr(own.paths, one.name)[rows]
            for one in fields(own.paths)
            if one.name != "first"
        }
        return replace(
            own,
            node=np.arange(len(rows)),
            n_nodes=len(rows),
            first=first,
            life=own.life[paths],
            paths=replace(own.paths, first=first, **per_row),
            renew=own.renew[rows],
            rate_factor=own.rate_factor[rows],
            group_shift=None if own.group_shift is None else own.group_shift[:, paths],
        )


def some_places(
    lives: Lives,
    fitted: Ageing,
    renewed_as: Posterior,
    own: OwnLives | None,
    limits: PartLimits,
    first_number: int,
) -> Iterator[SomePlaces]:
    """The parts of a kind in service, parted by what makes them work differently.

    Parameters
    ----------
    first_number : int
        Number in `Futures.parts` of the first part in service of the kind.
    """
    serving = (fitted.table["outcome"] == IN_SERVICE).to_numpy()
    rows, sizes = fitted.table[serving], _sizes(fitted)[serving]
    read = np.zeros(len(rows), dtype=bool)
    if own is not None and len(own):
        read[parts_read(fitted, own)] = True
    afloat = np.ones(len(rows), dtype=bool)
    if fitted.kind.clock == "hours":
        afloat = lives.usage.afloat[lives.usage.line_of(rows["boat"], rows["position"])]
    alike = 4 * read + 2 * ~afloat + (sizes > 1)
    for like in (sorts := np.unique(alike)):
        parts = np.flatnonzero(alike == like)
        at_once = _READ_AT_ONCE if read[parts[0]] else _NODES_AT_ONCE
        # A lot is full when its nodes are.
        lot = (np.cumsum(sizes[parts]) - sizes[parts]) // at_once
        for chosen in np.split(parts, np.flatnonzero(np.diff(lot)) + 1):
            moved = own if read[chosen[0]] else None
            told = like == sorts[0] or chosen[0] != parts[0]
            yield SomePlaces(fitted, renewed_as, moved, limits, chosen, first_number, told)


def parts_read(fitted: Ageing, own: OwnLives) -> Ints:
    """Which of the parts in service have readings of their own, in the order of those."""
    serving = (fitted.table["outcome"] == IN_SERVICE).to_numpy()
    first = np.cumsum(sizes := _sizes(fitted)[serving]) - sizes
    return np.searchsorted(first, own.node[own.first], side="right") - 1


def _sizes(fitted: Ageing) -> npt.NDArray[np.int64]:
    """Nodes of each life."""
    return np.diff(np.append(fitted.nodes.first, len(fitted.nodes.life)))


def _effects_when_renewed(
    posterior: Posterior, rows: pd.DataFrame, draws: Ints, seed: int
) -> Floats | None:
    """What the groups of the parts to follow add to their log life, shape (n_parts, n_draws)."""
    if posterior.factors is None:
        return None
    found = posterior.factors.of(rows, seed, renewed=True)[draws % len(posterior)]
    return np.ascontiguousarray(found.T)
