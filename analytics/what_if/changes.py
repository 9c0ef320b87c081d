"""What is changed against today's plan.

Nothing here touches what has happened: limits, seasons, hours, prices and boats are those
of the days to come.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Final, Literal

AS_SET: Final = "as set"
"""A limit that stays as the settings have it."""

NewLimit = float | None | Literal["as set"]
"""An age, no limit, or `AS_SET`."""

RATES = {
    "labour_per_hour": "Yard labour, per hour",
    "emergency_multiplier": "Labour and lift out of turn cost this many times as much",
    "lift_and_launch": "Lift and launch",
    "lost_day": "A lost charter day",
    "price_increase": "Parts become dearer each year by",
    "labour_increase": "Labour and all else become dearer each year by",
}
"""Rates of the settings that can be changed, and what they are."""

MONTH_DAYS = ("start", "end", "lift_on")


@dataclass(frozen=True)
class Limits:
    """When sound parts of a kind are renewed at a lay-up lift.

    Attributes
    ----------
    age : float, None or "as set"
        On the kind's clock.
    years : float, None or "as set"
        Calendar years, beside a clock of hours.
    """

    age: NewLimit = AS_SET
    years: NewLimit = AS_SET


@dataclass(frozen=True)
class NewSeason:
    """Window and lay-up lift of the seasons that have not begun; None stays as it is.

    Attributes
    ----------
    start, end, lift_on : tuple of int, or None
        Month and day.
    same_hours_a_year : bool
        True where boats laid up ashore run the same hours over other days; False where they
        run the same on each day of the season, so that a longer season brings more hours.
    """

    start: tuple[int, int] | None = None
    end: tuple[int, int] | None = None
    lift_on: tuple[int, int] | None = None
    same_hours_a_year: bool = False


@dataclass(frozen=True)
class Factors:
    """Factors on something; what is nearest to one thing goes before what is said of all.

    Attributes
    ----------
    every : float
        On all that nothing else is said of.
    wide, near : mapping of str to float
        On hours: by base and by boat. On prices: by kind and by part number.
    """

    every: float = 1.0
    wide: Mapping[str, float] = field(default_factory=dict)
    near: Mapping[str, float] = field(default_factory=dict)

    def of(self, wide: str, near: str) -> float:
        """The factor on one thing."""
        return self.near.get(near, self.wide.get(wide, self.every))

    def __bool__(self) -> bool:
        return any(one != 1.0 for one in (self.every, *self.wide.values(), *self.near.values()))


@dataclass(frozen=True)
class Sold:
    """A boat that leaves the fleet on a day to come."""

    boat: str
    on: date


@dataclass(frozen=True)
class Added:
    """Boats that join the fleet on a day to come, with new parts of the kinds that another has.

    Attributes
    ----------
    like : str
        The boat whose shaft lines, kinds of parts, lay-up and hours they have.
    joined_on : date
    boats : int
    base : str
        Where they lie; blank for the same base.
    """

    like: str
    joined_on: date
    boats: int = 1
    base: str = ""


@dataclass(frozen=True)
class Changes:
    """Everything that is changed, under a name of its own.

    Attributes
    ----------
    name : str
    seasons_ahead : int or None
        Seasons over which the plans are compared; None leaves it to whoever compares.
    limits : mapping of str to Limits
        By kind.
    season : NewSeason or None
    hours, prices : Factors
    rates : mapping of str to float
        Keys of `RATES`.
    sold : tuple of Sold
    added : tuple of Added
    """

    name: str = "What if"
    seasons_ahead: int | None = None
    limits: Mapping[str, Limits] = field(default_factory=dict)
    season: NewSeason | None = None
    hours: Factors = field(default_factory=Factors)
    prices: Factors = field(default_factory=Factors)
    rates: Mapping[str, float] = field(default_factory=dict)
    sold: tuple[Sold, ...] = ()
    added: tuple[Added, ...] = ()

    def __bool__(self) -> bool:
        """Whether anything differs from today's plan."""
        return bool(
            any(one != Limits() for one in self.limits.values())
            or (self.season is not None and any(getattr(self.season, at) for at in MONTH_DAYS))
            or self.hours
            or self.prices
            or self.rates
            or self.sold
            or self.added
        )
