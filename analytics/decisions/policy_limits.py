"""Rules of renewing while sound, as limits of every part: what the policies compared do.

A rule is a limit for each part in service, and one for the parts that follow it where those
are not of its lot. "The lift nearest an age" is the first at which a part is no more than half
a year short of it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.ageing.fit import Ageing, FleetAgeing
from analytics.ageing.likelihood import cumulative_hazard
from analytics.ageing.posterior import Posterior
from analytics.decisions.replacement_groups import ALL, GroupAge
from analytics.lives import IN_SERVICE, Lives
from analytics.outlook.policy import PartLimits, Policy, limits_as_set, no_limits
from analytics.records.seasons import Season
from analytics.usage import DAYS_PER_YEAR, day_number

Floats = npt.NDArray[np.float64]

RuleName = Literal["as_set", "to_failure", "least_cost", "least_cost_by_base", "risk", "readings"]

THRESHOLD = 0.10
"""Chance of failing before the end of the coming season above which a part is renewed
(planning default)."""

OLDEST = 40.0
"""Years past which no age limit is looked for."""

_AGES = np.arange(0.25, OLDEST, 0.125)
_DRAWS, _DRAWS_AT_LEAST, _DRAWS_IN_ALL = 250, 60, 100_000
"""Draws that a mean chance is taken over: fewer of each part where there are many parts."""


@dataclass(frozen=True)
class Rule:
    """One way of deciding when sound parts are renewed.

    Attributes
    ----------
    name : str
    limits : mapping
        As `simulated_futures` takes it; what it leaves out keeps the limits as set.
    """

    name: RuleName
    limits: Policy


def rules(
    lives: Lives,
    ageing: FleetAgeing,
    ages: tuple[GroupAge, ...],
    season: Season,
    *,
    threshold: float = THRESHOLD,
    seed: int = 0,
) -> tuple[Rule, ...]:
    """The rules compared: today's limits first; those that would do the same are left out.

    Parameters
    ----------
    ages : tuple of GroupAge
        From `replacement_groups.replacement_ages`.
    season : Season
        The coming one: how long a part has to last after a lay-up lift.
    threshold : float
        Chance of failing before the end of the season, see `risk_limits`.
    """
    serving = {
        key: (one, rows)
        for key, one in ageing.items()
        if len(rows := one.table[one.table["outcome"] == IN_SERVICE])
    }

    def made(limits: Callable[[Ageing, pd.DataFrame], PartLimits]) -> Policy:
        return {
            key: _followed(limits(one, rows), limits(whole, rows))
            if (whole := ageing.get((key[0], "all"), one)) is not one
            else limits(one, rows)
            for key, (one, rows) in serving.items()
        }

    def as_set(one: Ageing, rows: pd.DataFrame) -> PartLimits:
        return limits_as_set(one.kind, len(rows))

    def by_risk(one: Ageing, rows: pd.DataFrame) -> PartLimits:
        if not one.kind.stops_the_boat:
            return as_set(one, rows)
        return risk_limits(lives, one, rows, season, threshold, seed)

    candidates = [
        Rule("as_set", made(as_set)),
        Rule("to_failure", made(lambda _, rows: no_limits(len(rows)))),
        Rule("least_cost", made(lambda one, rows: least_cost_limits(one, rows, ages))),
        Rule(
            "least_cost_by_base",
            made(lambda one, rows: least_cost_limits(one, rows, ages, by_base=True)),
        ),
        Rule("risk", made(by_risk)),
        Rule(
            "readings",
            made(lambda one, rows: reading_limits(lives, one, rows, season, as_set(one, rows))),
        ),
    ]
    kept: list[Rule] = []
    for rule in candidates:
        if not any(_same(rule.limits, one.limits) for one in kept):
            kept.append(rule)
    return tuple(kept)


def _followed(limits: PartLimits, renewed: PartLimits) -> PartLimits:
    """With the limits of the parts that follow, where they are others."""
    return limits if _alike(limits, renewed) else replace(limits, renewed=renewed)


def least_cost_limits(
    fitted: Ageing, rows: pd.DataFrame, ages: tuple[GroupAge, ...], *, by_base: bool = False
) -> PartLimits:
    """The lift nearest the age of least cost, no limit exceeded.

    Parameters
    ----------
    by_base : bool
        A base's own age, where the fleet's is not about as good there.
    """
    of_kind = {one.base: one for one in ages if one.kind.name == fitted.kind.name}
    limits = limits_as_set(fitted.kind, len(rows))
    age = limits.age.copy()
    for at, base in enumerate(rows["base"].fillna("").astype(str)):
        one = of_kind.get(ALL)
        if by_base and base in of_kind and of_kind[base].differs:
            one = of_kind[base]
        if one is None or one.found is None or one.best is None:
            continue
        # On the clock that ages it, so that a boat that runs more is renewed sooner.
        age[at] = min(age[at], (one.best - 0.5) * one.found.units_per_year)
    return replace(limits, age=age)


def risk_limits(
    lives: Lives, fitted: Ageing, rows: pd.DataFrame, season: Season, threshold: float, seed: int
) -> PartLimits:
    """Age from which a part is likelier than `threshold` to wear out before the season ends.

    The chance is that of what is believed on average, for the places of the parts; of
    wear-out, which is what age tells of. For a rate that rises with age it is an age limit.
    """
    never = np.full(len(rows), np.inf)
    age = never.copy()
    for at, (ages, _, fails) in enumerate(_chances(lives, fitted, rows, season, seed)):
        above = np.flatnonzero(fails > threshold)
        if len(above):
            age[at] = ages[above[0]]
    return PartLimits(age=age, years=never, worn=never)


def reading_limits(
    lives: Lives, fitted: Ageing, rows: pd.DataFrame, season: Season, otherwise: PartLimits
) -> PartLimits:
    """Past the watch limit at a lift, or so worn that it would not last the season.

    Only where the size of a part has limits of wear; the others keep `otherwise`. What a
    season wears is told by the hours of the boat and the middle life of such a part.
    """
    settings = lives.settings.wear
    limits = [settings.limit_of(fitted.kind.name, str(size)) for size in rows["size"]]
    if fitted.kind.clock != "hours" or not any(limits):
        return otherwise
    worn = np.full(len(rows), np.inf)
    errors = []
    chances = _chances(lives, fitted, rows, season, fitted.seed)
    for at, (limit, (ages, lasting, _)) in enumerate(zip(limits, chances, strict=True)):
        if limit is None:
            continue
        new = sum(limit.new_mm) / 2
        room = limit.renew_mm - new
        middle = ages[min(int((lasting > 0.5).sum()), len(ages) - 1)]
        a_season = _hours_of(lives, rows.iloc[[at]], season)[0] / middle
        worn[at] = max(min((limit.watch_mm - new) / room, 1.0 - a_season), 0.05)
        errors.append(settings.belief.error_mm / room)
    return replace(otherwise, worn=worn, reading_error=float(np.mean(errors)))


def _chances(
    lives: Lives, fitted: Ageing, rows: pd.DataFrame, season: Season, seed: int
) -> list[tuple[Floats, Floats, Floats]]:
    """Of each part: ages at a lift, the share that lasts to them, and the chance of failing on."""
    n_draws = min(max(_DRAWS_IN_ALL // max(len(rows), 1), _DRAWS_AT_LEAST), _DRAWS)
    some = np.arange(0, len(fitted.posterior), max(1, len(fitted.posterior) // n_draws))
    posterior = fitted.posterior.of_draws(some)
    factors = posterior.factors
    shift = np.zeros((len(some), len(rows)))
    if factors is not None:
        shift = factors.of(rows, seed, renewed=True)
    if fitted.kind.clock == "hours":
        line = lives.usage.line_of(rows["boat"], rows["position"])
        rate = np.maximum(lives.usage.rate[line], 1.0)
        ahead = _hours_of(lives, rows, season)
    else:
        rate = np.ones(len(rows))
        days = day_number(season.end) + 1 - day_number(season.lift_on)
        ahead = np.full(len(rows), days / DAYS_PER_YEAR)
    past_early = _AGES[posterior.early_years < _AGES]
    found = []
    for at in range(len(rows)):
        ages = past_early * rate[at]
        lasting = _lasting(posterior, ages, shift[:, at])
        later = _lasting(posterior, ages + ahead[at], shift[:, at])
        found.append((ages, lasting, 1.0 - later / np.maximum(lasting, 1e-300)))
    return found


def _lasting(posterior: Posterior, ages: Floats, shift: Floats) -> Floats:
    """Share that has not worn out by an age past that of early failures, on average."""
    past = np.full(len(ages), posterior.early_years)
    by_age = np.repeat(shift[:, None], len(ages), axis=1)
    hazard = cumulative_hazard(
        posterior.family, posterior.parameters, ages, past, posterior.early_years, by_age
    )
    return np.asarray(np.exp(-hazard).mean(axis=0))


def _hours_of(lives: Lives, rows: pd.DataFrame, season: Season) -> Floats:
    """Shaft hours from the lay-up lift to the end of the season."""
    line = lives.usage.line_of(rows["boat"], rows["position"])
    ends = (np.full(len(rows), day_number(day)) for day in (season.lift_on, season.end))
    begin, end = (lives.usage.hours_at(line, day) for day in ends)
    return np.asarray(np.maximum(end - begin, 0.0))


def _same(one: Policy, other: Policy) -> bool:
    return all(
        _alike(limits, other[key])
        and _alike(limits.renewed or limits, other[key].renewed or other[key])
        for key, limits in one.items()
    )


def _alike(one: PartLimits, other: PartLimits) -> bool:
    return all(
        np.array_equal(getattr(one, name), getattr(other, name))
        for name in ("age", "years", "worn")
    )
