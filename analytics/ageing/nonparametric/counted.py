"""What the records of some lives show by counting alone: four estimates of the same lives."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.ageing.clocks import CENSORED, Nodes
from analytics.ageing.nonparametric import rates, recurrence, turnbull
from analytics.ageing.nonparametric.innermost import Observed
from analytics.ageing.nonparametric.kaplan_meier import drawn_lives, kaplan_meier
from analytics.ageing.nonparametric.rates import CumulativeRate
from analytics.ageing.nonparametric.recurrence import MeanNumber
from analytics.ageing.nonparametric.turnbull import Turnbull, prepared
from analytics.ageing.nonparametric.turnbull_band import REFITS, SurvivalBand, turnbull_band
from analytics.lives import Lives

Floats = npt.NDArray[np.float64]

MANY_LIVES = 2_000
"""Lives above which windows are rounded for the band, and drawn anew less often."""

FEWER_REFITS = 60
"""How often then: their ends move less by chance, being of so many lives."""

_GRID = 150

FEW_WATCHED = 5
"""Lives watched below which the records' own curve is not read out (planning default)."""


@dataclass(frozen=True)
class Counted:
    """Survival, failure rate and replacements, without a family of curves.

    Attributes
    ----------
    kaplan_meier : DataFrame
        Failures at the middle of what is known of their age; see `kaplan_meier`.
    windows : Turnbull or None
        Survival with failures known to windows; None where no life can be used.
    band : SurvivalBand or None
        Its 90 % limits; None where nothing failed.
    rate : CumulativeRate
        Nelson-Aalen.
    replacements : MeanNumber
        Mean number of renewals per position by years watched.
    windowed : int
        Failures whose age is known to a window only.
    furthest : float
        Greatest age at which `FEW_WATCHED` lives were still watched; 0 where there is none.
    unit : str
        "years" or "hours".
    """

    kaplan_meier: pd.DataFrame
    windows: Turnbull | None
    band: SurvivalBand | None
    rate: CumulativeRate
    replacements: MeanNumber
    windowed: int
    furthest: float
    unit: str


def counted(lives: Lives, table: pd.DataFrame, nodes: Nodes, seed: int = 0) -> Counted:
    """The four estimates of some lives of one kind.

    Parameters
    ----------
    lives : Lives
        The whole fleet, for the shaft hours.
    table : DataFrame
        Rows of `lives.table` of one kind, at least one.
    nodes : Nodes
        Their ages, in the order of `table`.
    seed : int
        Of the band.
    """
    entry, exit, failed, _ = drawn_lives(nodes)
    seen, _, unit = turnbull.seen_in(lives, table)
    windows, band = None, None
    if len(seen.weight):
        windows = turnbull.from_table(lives, table)
        if seen.failures:
            band = _band(seen, windows, unit, seed)
    failures = nodes.outcome[nodes.life] != CENSORED
    open_ones = np.bincount(nodes.life[failures & (nodes.lower < nodes.upper)])
    return Counted(
        kaplan_meier=kaplan_meier(entry, exit, failed),
        windows=windows,
        band=band,
        rate=rates.from_table(lives, table),
        replacements=recurrence.from_table(table),
        windowed=int((open_ones > 0).sum()),
        furthest=last_watched(entry, exit),
        unit=unit,
    )


def last_watched(entry: Floats, exit: Floats, few: int = FEW_WATCHED) -> float:
    """Greatest age at the end of a life at which so many were still watched; 0 where none."""
    ages = np.sort(exit)
    began = np.searchsorted(np.sort(entry), ages, side="left")
    number = began - np.searchsorted(ages, ages, side="left")
    enough = ages[number >= few]
    return float(enough[-1]) if len(enough) else 0.0


def _band(seen: Observed, found: Turnbull, unit: str, seed: int) -> SurvivalBand:
    furthest = max(found.oldest, float(found.age_to[-1]) if len(found.age_to) else 0.0)
    ages = np.linspace(0.0, furthest, 61)
    if seen.lives <= MANY_LIVES:
        return turnbull_band(seen, ages, unit=unit, refits=REFITS, seed=seed)
    coarse, _ = prepared(seen, 0.0, furthest / _GRID)
    return turnbull_band(coarse, ages, unit=unit, refits=FEWER_REFITS, seed=seed)
