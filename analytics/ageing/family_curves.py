"""The curve of each wear-out family on the same lives, and of a constant rate, side by side."""

from __future__ import annotations

from dataclasses import replace
from zlib import crc32

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.ageing.clocks import collapsed
from analytics.ageing.constant_rate import constant_rate
from analytics.ageing.curves import survival_and_hazard
from analytics.ageing.families import CODES
from analytics.ageing.fit import Ageing
from analytics.ageing.groups.group_posterior import GroupedPosterior
from analytics.ageing.posterior import AlikeLives, Belief, Posterior, of_family
from analytics.ageing.summary import CONSTANT

Floats = npt.NDArray[np.float64]

CURVES_COLUMNS = ["family", "age", "survival", "survival_low", "survival_high"]

_LEAST_DRAWS = 100
"""Draws from which those of an averaged posterior show a family's own curve."""

_DRAWS = 400


def curves_by_family(ageing: Ageing, ages: Floats, seed: int = 0) -> pd.DataFrame:
    """Share still sound by age for each family, those that are not used among them.

    Parameters
    ----------
    ageing : Ageing
    ages : ndarray, shape (m,)
        On the kind's clock.
    seed : int
        Source of chance for fits that nothing else needed.

    Returns
    -------
    DataFrame
        `CURVES_COLUMNS`: the family (or `summary.CONSTANT`), the age on the kind's
        clock, the share still sound with its 90 % range, early failures counted in.
        Empty where nothing was fitted.
    """
    if ageing.grade == "only failures, not fitted":
        return pd.DataFrame(columns=CURVES_COLUMNS)
    tables = []
    for name in [*CODES, CONSTANT]:
        drawn = survival_and_hazard(ageing, _of(ageing, name, seed), ages)
        tables.append(drawn.assign(family=name)[CURVES_COLUMNS])
    return pd.concat(tables, ignore_index=True)


def _of(ageing: Ageing, name: str, seed: int) -> Posterior:
    """Draws of one family: those at hand, or a fit of its own."""
    posterior = ageing.posterior
    codes = posterior.parameters.codes
    if posterior.kind.family == name:
        return posterior
    if codes is not None and name in CODES:
        chosen = np.flatnonzero(codes == CODES.index(name))
        if len(chosen) >= _LEAST_DRAWS:
            return posterior.of_draws(chosen).in_own_terms(name)
    belief: Belief | None = constant_rate(ageing.kind.prior) if name == CONSTANT else None
    kind = of_family(ageing.kind, "weibull" if name == CONSTANT else name)
    stream = [seed, crc32(f"curve|{name}|{ageing.kind.name}|{ageing.group}".encode())]
    rng = np.random.default_rng(stream)
    if ageing.groups:
        return GroupedPosterior(kind, ageing.nodes, ageing.groups, rng, belief).drawn(_DRAWS)
    theta = AlikeLives(kind, collapsed(ageing.nodes), rng, belief).drawn(_DRAWS)[0]
    return replace(
        posterior, kind=kind, parameters=theta, accidents=posterior.accidents[:_DRAWS], factors=None
    )
