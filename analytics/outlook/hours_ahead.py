"""The hours in doubt of parts in service, ahead of their boats and given that they have lasted."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.ageing.fit import Ageing
from analytics.ageing.groups.life_factors import LifeFactors
from analytics.ageing.hours_in_doubt import HoursInDoubt, hours_in_doubt
from analytics.ageing.wear.own_lives import OwnLives
from analytics.lives import Lives
from analytics.outlook.hours_lasted import LastSeen, of_lasting
from analytics.usage import day_number, day_numbers

Floats = npt.NDArray[np.float64]


def hours_ahead(
    lives: Lives,
    ageing: Ageing,
    end: float,
    seed: int = 0,
    own: OwnLives | None = None,
    shift: Floats | None = None,
) -> HoursInDoubt:
    """The hours in doubt that `chances.ages_ahead` gives, of parts that are all in service.

    Parameters
    ----------
    ageing : Ageing
        Of a kind on a clock of hours.
    end : float
        End of the window, days since 1970-01-01.
    seed, own
        As there.
    shift : ndarray, shape (n_draws, n_parts), optional
        Effects of the groups of the parts, where they are known: with this seed, and not those
        of parts to come.
    """
    nodes, parts, factors = ageing.nodes, ageing.table, ageing.posterior.factors
    as_of = day_number(lives.as_of)
    line = lives.usage.line_of(parts["boat"], parts["position"])[nodes.life]
    until = np.maximum(np.fmin(day_numbers(parts["leaves_on"]), end)[nodes.life], as_of)
    if shift is None and factors is not None:
        shift = factors.of(parts, seed)
    shift = with_parts_to_come(shift, factors, parts, as_of, seed)
    seen = LastSeen(nodes.first, nodes.weight, nodes.lower, nodes.lower_years, shift)
    return in_doubt(lives, ageing, seen, line, nodes.start, until, seed, own)


def in_doubt(
    lives: Lives,
    ageing: Ageing,
    seen: LastSeen,
    line: npt.NDArray[np.int64],
    start: Floats,
    until: Floats,
    seed: int,
    own: OwnLives | None,
) -> HoursInDoubt:
    """Hours in doubt given that parts have lasted; line, start and until are of their nodes."""
    first, as_of, n = seen.first, day_number(lives.as_of), len(ageing.posterior)
    fitted_on = np.add.reduceat(seen.weight * start, first) if len(first) else start
    doubt = hours_in_doubt(lives.usage, line[first], fitted_on, as_of, until[first], n, seed)
    return of_lasting(doubt, ageing.posterior, seen, own.node if own else None)


def with_parts_to_come(
    found: Floats | None, factors: LifeFactors | None, parts: pd.DataFrame, as_of: float, seed: int
) -> Floats | None:
    """What the groups of each part add to its log life; a part to come is of a lot not yet seen."""
    to_come = day_numbers(parts["start_lo"]) > as_of
    if found is None or factors is None or not to_come.any():
        return found
    found = found.copy()
    found[:, to_come] = factors.of(parts[to_come], seed, renewed=True)
    return found
