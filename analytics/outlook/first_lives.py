"""How far the parts in service are worn on the last day watched, and when they were fitted."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import numpy.typing as npt

from analytics.ageing.clocks import Nodes
from analytics.ageing.hours_in_doubt import HoursInDoubt
from analytics.ageing.likelihood import cumulative_hazard, early_cumulative_hazard
from analytics.ageing.posterior import Posterior
from analytics.ageing.wear.own_lives import OwnCurves
from analytics.lives import Lives
from analytics.outlook.clock_ahead import ClockAhead
from analytics.outlook.failure_ages import NEVER, FailureAges, at
from analytics.outlook.place_chance import EARLY, START, WEAR, PlaceChance, exponential
from analytics.usage import DAYS_PER_YEAR

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.intp]

_LEAST_AGE = 1e-6
_MOST_HAZARD = 600.0
_CELLS_AT_ONCE = 20_000


class FirstLives:
    """Tables with a row per node of the windows of fitting, and a column per draw.

    Undated parts get a node of their window with the chance that the records give it:
    p(s | alive) is proportional to w(s) S(c - s). Where hours are in doubt they are those
    of the draw; a part with readings of its own wears as those say.

    Attributes
    ----------
    first, part : ndarray of int, shapes (n_parts,) and (n_nodes,)
        First node of each part, and the part of each node.
    fitted_on : ndarray, shape (n_nodes, 1)
    expected : ndarray, shape (n_nodes, 1)
        Age on the last day watched, as limits count it: by the hours that were expected.
    """

    def __init__(
        self,
        lives: Lives,
        nodes: Nodes,
        line: npt.NDArray[np.int64],
        clock: ClockAhead,
        ages: FailureAges,
        posterior: Posterior,
        doubt: HoursInDoubt | None,
        effects: Floats | None,
        own: OwnCurves | None,
    ) -> None:
        self.clock, self.ages, self.own = clock, ages, own
        self.first = nodes.first.astype(np.intp)
        sizes = np.diff(np.append(nodes.first, len(nodes.life)))
        self.part = part = np.repeat(np.arange(len(sizes)), sizes)
        now, n_draws = clock.calendar.now, len(ages.early)
        self.fitted_on = nodes.start[:, None]
        if doubt is None:
            self.expected = (now - self.fitted_on) / DAYS_PER_YEAR
            self.run = np.ones((1, 1))
            used = nodes.start
        else:
            of_node, usage = line[part], lives.usage
            ran = usage.hours_at(of_node, np.full(len(part), now))
            self.expected = (ran - usage.hours_at(of_node, nodes.start))[:, None]
            self.run = np.ascontiguousarray(doubt.run[:n_draws].T)[part]
            used = DAYS_PER_YEAR * usage.years_of_use(of_node, nodes.start)
        self.use_fitted, self.sound_years = used, nodes.lower_years
        self.aged = self.run * self.expected
        self.sound = self.run * nodes.lower[:, None]
        self._log_sound = np.log(np.maximum(nodes.lower, _LEAST_AGE))
        self.reached = self.hazard(self.sound)
        self.young = bool((nodes.lower_years < ages.early_years).any() and ages.early.any())
        self.dated = bool((sizes == 1).all())
        self._likely = None if self.dated else self._likelihoods(nodes, posterior, effects)

    def hazard(self, age: Floats) -> Floats:
        """Cumulative hazard of wearing out by a table of ages, shape (n_nodes, n_draws)."""
        if self.own is None:
            return self.ages.hazard(age, self.part)
        expected = np.maximum(age / self.run, _LEAST_AGE).T
        return np.ascontiguousarray(self.own.steps.hazard_at(np.log(expected)).T)

    def hazard_until(self, use: Floats) -> Floats:
        """What the hazard rises by, from when a part was last sound to a table of days of use."""
        pace = self.clock.pace
        pace = pace[self.part] if len(pace) > 1 else pace
        age = self.aged + pace * (use - self.clock.use_now)
        # A part that no draw would have lasted so long is left as it is: endless less endless.
        return np.asarray(np.fmax(self.hazard(age) - self.reached, 0.0))

    def picked(self, parts: slice, draw: Ints, chance: PlaceChance) -> Ints:
        """A node of each part in each future, the same in every future of a draw.

        When a part was fitted is not known, but it is no luck: it could be found out. With
        one draw alone nothing tells luck from it, and every future has a day of its own.

        Returns
        -------
        ndarray, shape (n_parts, n_futures)
        """
        numbers = np.arange(len(self.first))[parts]
        found = np.repeat(self.first[parts][:, None], len(draw), axis=1)
        if self._likely is None:
            return found
        ends = np.append(self.first, len(self.part))[1:]
        n_draws = int(draw.max(initial=0)) + 1
        every = np.arange(n_draws if n_draws > 1 else len(draw))
        mine, again = draw[every], np.arange(len(draw)) % len(every)
        for row, part in enumerate(numbers):
            total = np.cumsum(self._likely[self.first[part] : ends[part]], axis=0)
            share = chance.some(np.full(len(every), part), every, 0, START)
            below = share * total[-1, mine] > total[:-1][:, mine]
            found[row] += below.sum(axis=0)[again]
        return found

    def worn_at(
        self, part: Ints, future: Ints, draw: Ints, node: Ints, chance: PlaceChance
    ) -> Floats:
        """Age at which some parts wear out, in true units of the clock, shape (n,)."""
        waited = exponential(chance.some(part, future, 0, WEAR))
        if self.own is None:
            return self.ages.age_at(at(self.reached, node, draw) + waited, part, draw)
        found, steps = np.empty(len(part)), self.own.steps
        for begin in range(0, len(part), _CELLS_AT_ONCE):
            some = slice(begin, begin + _CELLS_AT_ONCE)
            cell, reached = (draw[some], node[some]), at(self.reached, node[some], draw[some])
            theirs = replace(steps, **{name: getattr(steps, name)[cell] for name in vars(steps)})
            wanted = np.minimum(reached + waited[some], _MOST_HAZARD)
            log_age = np.maximum(theirs.log_age_at(wanted), self._log_sound[node[some]])
            found[some] = np.exp(log_age)
        return found * at(self.run, node, draw)

    def early_use(
        self, part: Ints, future: Ints, draw: Ints, node: Ints, chance: PlaceChance
    ) -> Floats:
        """Days of use at which they fail early; never for most."""
        found = np.full(len(part), NEVER)
        within = self.ages.early_years
        if not self.young:
            return found
        young = np.flatnonzero(self.sound_years[node] < within)
        early = self.ages.early[draw[young]]
        reached = early_cumulative_hazard(self.sound_years[node[young]], early, within)
        waited = exponential(chance.some(part[young], future[young], 0, EARLY))
        share = -np.expm1(-reached - waited)
        with np.errstate(divide="ignore", invalid="ignore"):
            years = np.where(share < early, within * share / early, NEVER)
        found[young] = self.use_fitted[node[young]] + DAYS_PER_YEAR * years
        return found

    def _likelihoods(self, nodes: Nodes, posterior: Posterior, effects: Floats | None) -> Floats:
        """How likely each node is of those of its part, shape (n_nodes, n_draws)."""
        n_draws = len(self.ages.early)
        shift = np.zeros((n_draws, len(self.part)))
        if self.own is not None:
            shift += self.own.shift(nodes.lower)
        else:
            shift -= np.log(self.run).T
        if effects is not None:
            shift += effects[self.part].T
        hazard = cumulative_hazard(
            posterior.family.of_draws(posterior.parameters.part(slice(n_draws)).codes),
            posterior.parameters.part(slice(n_draws)),
            nodes.lower,
            nodes.lower_years,
            posterior.early_years,
            shift,
        )
        least = np.minimum.reduceat(hazard, nodes.first, axis=1)
        likely = nodes.weight * np.exp(least[:, self.part] - hazard)
        return np.ascontiguousarray(likely.T)
