"""One kind before its records and with them, and what another belief would change; no Streamlit."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from analytics.ageing.belief import Learned, learned
from analytics.ageing.curves import ages_to_draw, survival_and_hazard
from analytics.ageing.fit import Ageing
from analytics.ageing.own_belief import with_prior
from analytics.ageing.summary import key_figures
from analytics.ageing.wear.fleet_wear import FleetWear, fleet_own_lives
from analytics.lives import Lives
from analytics.outlook.doubt import expected_learned
from analytics.outlook.season import season_risk
from analytics.records.kinds import Kind, Prior
from analytics.records.seasons import Season

N_AGES = 81

PAST_WRITTEN = 3.0
"""The age axis ends at this many times the oldest age written of a kind, at most."""


@dataclass(frozen=True)
class Believed:
    """A kind before its records and with them.

    Attributes
    ----------
    kind : Kind
        With the belief that this is under.
    figures : tuple of Learned
        The key figures, then the expected failures of the season where a part is in service.
    prior, records : DataFrame
        Share still sound by age, from `survival_and_hazard`.
    oldest : float
        Oldest age watched.
    furthest : float
        Where the age axis ends.
    expected : float
        Mean expected failures of the season, as every other page says it.
    in_service : bool
        True where a part of the kind can fail in the season.
    """

    kind: Kind
    figures: tuple[Learned, ...]
    prior: pd.DataFrame
    records: pd.DataFrame
    oldest: float
    furthest: float
    expected: float
    in_service: bool


@dataclass(frozen=True)
class Tried:
    """A kind with the belief in force and with one that is tried."""

    now: Believed
    tried: Believed


def believed(
    lives: Lives,
    fitted: Ageing,
    season: Season,
    seed: int,
    wear: FleetWear,
    up_to: float = 0.0,
) -> Believed:
    """A kind before its records and with them, drawn at least up to an age."""
    key = (fitted.kind.name, fitted.group)
    only = {key: fitted}
    risk = season_risk(lives, only, season, seed, fleet_own_lives(only, wear, seed))
    furthest = max(axis_end(fitted), up_to)
    ages = np.linspace(0.0, furthest, N_AGES)
    return Believed(
        kind=fitted.kind,
        figures=(*learned(fitted), *expected_learned(lives, only, season, seed, wear)),
        prior=survival_and_hazard(fitted, fitted.prior, ages),
        records=survival_and_hazard(fitted, fitted.posterior, ages),
        oldest=fitted.oldest,
        furthest=furthest,
        expected=risk.expected,
        in_service=not risk.parts.empty,
    )


def tried(
    lives: Lives, fitted: Ageing, prior: Prior, season: Season, seed: int, wear: FleetWear
) -> Tried:
    """The same lives with the belief in force and with another one; no file is changed."""
    other = with_prior(fitted, lives, prior, seed)
    up_to = max(axis_end(fitted), axis_end(other))
    now, then = (believed(lives, one, season, seed, wear, up_to) for one in (fitted, other))
    return Tried(now, then)


def axis_end(fitted: Ageing) -> float:
    """Where the age axis ends: past what is written of the kind, and where most have worn out."""
    written = max(fitted.kind.limit or 0.0, fitted.kind.prior.at)
    scale = key_figures(fitted).scale.median
    wanted = max(1.5 * written, 1.2 * scale)
    # An undated part may be very old; nothing is gained by drawing all of that.
    return min(wanted, PAST_WRITTEN * written, max(float(ages_to_draw(fitted)[-1]), 1.5 * written))
