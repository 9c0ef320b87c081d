"""Ages at which parts fail in simulated futures, and the days on which undated ones were fitted."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from analytics.ageing.fit import Ageing
from analytics.ageing.likelihood import cumulative_hazard, early_cumulative_hazard
from analytics.ageing.posterior import Posterior
from analytics.ageing.wear.own_lives import OwnCurves
from analytics.lives import IN_SERVICE

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]

NEVER = np.inf


class FailureAges:
    """Failure ages from the causes of a kind, a draw of the parameters for each future.

    `effects` is what the groups of each part add to its log life, shape (n_futures,
    n_parts); with `flat`, one value per renewal, as everything else is then.
    """

    def __init__(
        self,
        posterior: Posterior,
        draws: Ints,
        effects: Floats,
        flat: bool = False,
    ) -> None:
        self.posterior, self.draws, self.effects = posterior, draws % len(posterior), effects
        theta = posterior.parameters.part(self.draws)
        self.family = posterior.family.of_draws(theta.codes)
        self.log_shape, log_scale, self.early = (
            values if flat else values[:, None]
            for values in (theta.log_shape, theta.log_scale, theta.early)
        )
        self.log_scale = log_scale + effects
        rate = posterior.accidents[self.draws]
        self.rate = rate if flat else rate[:, None]

    def of_renewals(self, future: Ints, part: Ints) -> FailureAges:
        """One value per renewal instead of one row per future."""
        return FailureAges(
            self.posterior, self.draws[future], self.effects[future, part], flat=True
        )

    def wear_age(self, sound: Floats, rng: np.random.Generator) -> Floats:
        """Age at which a part wears out, given that it was sound at an age."""
        family = self.family
        reached = family.cumulative_hazard(sound, self.log_shape, self.log_scale)
        return family.age_at(
            reached + rng.standard_exponential(sound.shape), self.log_shape, self.log_scale
        )

    def early_years(self, sound_years: Floats, rng: np.random.Generator) -> Floats:
        """Years after fitting at which it fails early; never for most."""
        within = self.posterior.early_years
        reached = early_cumulative_hazard(sound_years, self.early, within)
        target = reached + rng.standard_exponential(sound_years.shape)
        early = np.broadcast_to(self.early, target.shape)
        share = -np.expm1(-target)
        years = np.full(target.shape, NEVER)
        some = share < early
        years[some] = within * share[some] / early[some]
        return years

    def accident_years(self, shape: tuple[int, ...], rng: np.random.Generator) -> Floats:
        """Years until the next accident."""
        waited = rng.standard_exponential(shape)
        rate = np.broadcast_to(self.rate, shape)
        return np.asarray(np.divide(waited, rate, out=np.full(shape, NEVER), where=rate > 0))


def starts_of(
    fitted: Ageing,
    draws: FailureAges,
    own: OwnCurves | None,
    rng: np.random.Generator,
    run: Floats | None = None,
) -> tuple[Floats, Floats, Floats, Ints]:
    """A day of fitting for each future and part, and the age last known sound, on both clocks.

    The last answer is the node of that day among those of the parts in service.

    Undated parts get a node of their window with the chance that the records
    give it: p(s | alive) is proportional to w(s) S(c - s), where `run` is the factor on
    the hours that each part has run, shape (n_futures, n_parts).
    """
    nodes, posterior = fitted.nodes, draws.posterior
    sizes = np.diff(np.append(nodes.first, len(nodes.life)))
    chosen = np.flatnonzero((fitted.table["outcome"] == IN_SERVICE).to_numpy())
    node = np.broadcast_to(nodes.first[chosen], (len(draws.draws), len(chosen))).copy()
    theta = posterior.parameters.part(draws.draws)
    serving = np.isin(nodes.life, chosen)
    among = np.cumsum(serving) - 1
    moved = np.zeros((len(draws.draws), len(nodes.life)))
    if run is not None:
        moved[:, serving] = -np.log(np.repeat(run, sizes[chosen], axis=1))
    if own is not None:
        read = np.flatnonzero(serving)[own.lives.node]
        moved[:, read] = own.shift(nodes.lower[serving])[:, own.lives.node]
    for column, life in enumerate(chosen):
        if sizes[life] == 1:
            continue
        span = slice(nodes.first[life], nodes.first[life] + sizes[life])
        hazard = cumulative_hazard(
            posterior.family,
            theta,
            nodes.lower[span],
            nodes.lower_years[span],
            posterior.early_years,
            np.repeat(draws.effects[:, column, None], sizes[life], axis=1) + moved[:, span],
        )
        weight = nodes.weight[span] * np.exp(hazard.min(axis=1, keepdims=True) - hazard)
        total = np.cumsum(weight, axis=1)
        picked = (rng.random(len(total))[:, None] * total[:, -1:] > total).sum(axis=1)
        node[:, column] += np.minimum(picked, sizes[life] - 1)
    return nodes.start[node], nodes.lower[node], nodes.lower_years[node], among[node]
