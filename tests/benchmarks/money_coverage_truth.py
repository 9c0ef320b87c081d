"""What really happens in a season, part by part, and what it costs.

Written apart from the program's own simulation, of the same rules: a part that fails is renewed
that day, or at the lay-up lift where only a lift shows it; a sound part is renewed at the lift once
it has reached its limit. One part after the other, one event after the other, no
arrays over futures.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from scipy.special import ndtr, ndtri

from analytics.ageing.families import CODES, own_terms
from analytics.ageing.posterior import Posterior
from analytics.decisions.prices import PriceList
from analytics.records.kinds import Kind
from analytics.records.seasons import Season
from analytics.records.settings import Rates
from analytics.usage import DAYS_PER_YEAR, day_number


class Strike(NamedTuple):
    """The day a part fails, and whether by accident."""

    day: float
    by_accident: bool


@dataclass(frozen=True)
class Place:
    """A part in its place on the last day watched, and the parts that may follow it.

    Attributes
    ----------
    first : Strike
        When the part that is in place fails.
    renewed : callable
        When a part fitted on a day fails.
    age : callable
        Age on the kind's clock of a part fitted on one day, on a later one.
    seen_afloat : bool
        Whether an accident shows at once although wear shows ashore only.
    """

    boat: str
    position: str
    kind: Kind
    part_no: str
    fitted_on: float
    first: Strike
    renewed: Callable[[float], Strike]
    age: Callable[[float, float], float]
    seen_afloat: bool = False


class Event(NamedTuple):
    """A renewal: in which place, on which day, why, and whether at the lay-up lift."""

    place: Place
    day: float
    planned: bool
    at_lift: bool


def happens(places: Iterable[Place], season: Season, as_of: float) -> list[Event]:
    """Every renewal from the last day watched to the end of the season."""
    lift, end = day_number(season.lift_on), day_number(season.end) + 1
    events: list[Event] = []
    for place in places:
        fitted, strike = place.fitted_on, place.first

        def renew(day: float, planned: bool, at_lift: bool, place: Place = place) -> None:
            nonlocal fitted, strike
            events.append(Event(place, day, planned, at_lift))
            fitted, strike = day, place.renewed(day)

        ashore = place.kind.found_ashore_only
        if lift > as_of:
            while strike.day <= lift and _seen_at_once(place, strike):
                renew(strike.day, planned=False, at_lift=False)
            if ashore and strike.day <= lift:
                renew(lift, planned=False, at_lift=True)
            if _past_limit(place, fitted, lift):
                renew(lift, planned=True, at_lift=True)
        while strike.day <= end and _seen_at_once(place, strike):
            renew(strike.day, planned=False, at_lift=False)
    return events


def parts_and_labour(events: Sequence[Event], prices: PriceList, rates: Rates) -> float:
    """What the season costs in parts and labour, without any rise of prices.

    Jobs on one shaft line at the lift share the drawing of the shaft: each costs its shared hours,
    and the largest difference to the hours alone comes on top once. Any other job is alone, and
    out of turn.
    """
    money, at_lift = 0.0, {}
    for event in events:
        price = prices.of(event.place.kind.name, event.place.part_no)
        money += price.part
        if event.at_lift:
            line = event.place.boat, event.place.position, event.day
            at_lift.setdefault(line, []).append((price.labour_hours, price.shared_hours))
        else:
            money += price.labour_hours * rates.labour_per_hour * rates.emergency_multiplier
    for jobs in at_lift.values():
        shared = sum(shared for _, shared in jobs)
        drawing = max(alone - shared for alone, shared in jobs)
        money += (shared + drawing) * rates.labour_per_hour
    return money


def strike_of(
    truth: Posterior, fitted_on: float, sound_on: float, as_of: float, rng: np.random.Generator
) -> Strike:
    """When a part on a clock of years fails, given that it was sound on a day.

    Parameters
    ----------
    truth : Posterior
        One draw.
    as_of : float
        Day up to which no accident happened.
    """
    age = max(sound_on - fitted_on, 0.0) / DAYS_PER_YEAR
    theta = truth.parameters
    name = CODES[int(theta.codes[0])] if theta.codes is not None else truth.kind.family
    log_shape, log_scale = theta.log_shape, theta.log_scale
    if theta.codes is not None:
        log_shape, log_scale = own_terms(name, log_shape, log_scale)
    shape, scale = float(np.exp(log_shape[0])), float(np.exp(log_scale[0]))
    chance = 1.0 - rng.random()
    if name == "weibull":
        worn = scale * ((age / scale) ** shape - math.log(chance)) ** (1.0 / shape)
    else:
        assert name == "lognormal"
        lasted = ndtr(-shape * math.log(age / scale)) if age > 0 else 1.0
        worn = scale * math.exp(-ndtri(chance * lasted) / shape)
    share, within = float(theta.early[0]), truth.early_years
    # Of all installs a share fails evenly within the early years: the chance of lasting falls on
    # a straight line to 1 - share.
    lasting = rng.random() * (1.0 - share * min(age / within, 1.0))
    early = within * (1.0 - lasting) / share if lasting > 1.0 - share else np.inf
    rate = float(truth.accidents[0])
    accident = as_of + DAYS_PER_YEAR * (rng.exponential(1.0 / rate) if rate > 0 else np.inf)
    by_age = fitted_on + DAYS_PER_YEAR * min(worn, early)
    return Strike(max(min(by_age, accident), as_of), accident <= by_age)


def years_between(fitted_on: float, day: float) -> float:
    """Age on a clock of years."""
    return (day - fitted_on) / DAYS_PER_YEAR


def _seen_at_once(place: Place, strike: Strike) -> bool:
    return not place.kind.found_ashore_only or (place.seen_afloat and strike.by_accident)


def _past_limit(place: Place, fitted_on: float, day: float) -> bool:
    kind = place.kind
    by_years = kind.limit_years is not None and years_between(fitted_on, day) >= kind.limit_years
    return by_years or (kind.limit is not None and place.age(fitted_on, day) >= kind.limit)
