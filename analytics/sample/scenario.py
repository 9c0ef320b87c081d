"""What is true in an invented fleet: every parameter that the sample is drawn from.

Nothing here is a fact of the trade. The default values are in `tarnwick`.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Literal

Clock = Literal["years", "hours"]

DEFECTS = (
    "duplicate_removal",
    "twin_without_side",
    "late_removal",
    "meter_reset",
    "misspelt_boat",
    "removed_before_fitted",
    "short_date",
    "inch_size",
)
"""Names of the defects that can be planted in the records, in the order of planting."""


@dataclass(frozen=True)
class TrueKind:
    """How one kind of part truly ages, and what it costs.

    Attributes
    ----------
    shape, scale
        Weibull shape and scale of wear-out; the scale is in units of `clock`.
    life_factors
        Condition -> factor on the scale. Below one shortens life.
    accidents_per_year
        Accidents per shaft-year, whatever the age of the part.
    seen_ashore_only
        Wear-out and early failures show only when the boat is next lifted.
    limits_years, compliance
        Each boat keeps one of these limits and renews the part at the first lift after it,
        with this chance at each lift. No limits: renewed on condition.
    prices
        Part prices by shaft size, in the order of `Scenario.shaft_sizes_mm`.
    lead_days
        Half and nine in ten of the orders arrive within so many days.
    """

    name: str
    clock: Clock
    shape: float
    scale: float
    life_factors: Mapping[str, float]
    accidents_per_year: float
    prices: tuple[int, ...]
    labour_hours_alone: float
    labour_hours_shared: float
    lead_days: tuple[int, int]
    part_code: str
    lot_code: str
    shelf_life_years: int | None = None
    limits_years: tuple[int, ...] = ()
    compliance: float = 1.0
    seen_ashore_only: bool = False


@dataclass(frozen=True)
class BadLot:
    """A lot of one kind, fitted from `first_year` to `last_year`, with its own life."""

    code: str
    kind: str
    first_year: int
    last_year: int
    share: float
    shape: float
    scale: float


@dataclass(frozen=True)
class Base:
    """A base: how its boats lie and what its office wrote down.

    `weight` is the share of the fleet, to any scale. `exact_dates_from` is the year from
    which the office kept whole dates; before it only years, and no lifts.
    """

    name: str
    weight: int
    lay_up: Literal["ashore", "afloat"]
    water: Literal["salt", "brackish", "fresh"]
    days_ashore: tuple[int, int]
    conditions: tuple[str, ...] = ()
    exact_dates_from: int | None = None


@dataclass(frozen=True)
class BoatClass:
    """A class of boats; `weight` is its share of the fleet, to any scale."""

    name: str
    weight: int
    twin: bool
    shaft_mm: int


@dataclass(frozen=True)
class Seal:
    """A way of sealing a shaft: the kinds that it puts on a line, and how common it is."""

    name: str
    kinds: tuple[str, ...]
    weight_single: int
    weight_twin: int


@dataclass(frozen=True)
class Usage:
    """Shaft hours a season: boats differ by `boat_sd`, all boat-seasons by `total_sd`."""

    mean: float
    boat_sd: float
    total_sd: float
    least: float
    twin_factor: float


@dataclass(frozen=True)
class SharedWork:
    """Sound parts replaced because other work laid them open.

    A part older than `years` or `hours`, by its clock, goes with this chance when the shaft
    is drawn at a lift; a face seal of any age does when its bellows fails afloat.
    """

    chance: float
    years: float
    hours: float


@dataclass(frozen=True)
class History:
    """When boats were built, joined and left; shares are of the whole fleet."""

    share_at_start: float
    share_second_hand: float
    share_left: float
    first_build: int
    first_join: int
    last_join: int


@dataclass(frozen=True)
class Habits:
    """What the office leaves out: shares of the entries concerned."""

    old_fit_blank: float
    old_fit_year_only: float
    last_sound_blank: float
    lot_blank: float
    meter_given: float
    mid_season_reading: float
    hours_per_season_blank: float
    note_given: float


@dataclass(frozen=True)
class Clearances:
    """How the yards measure the clearance of bearings, and how far a bearing may wear.

    Attributes
    ----------
    kind
        The kind that is measured.
    new_mm, renew_mm
        By shaft size: clearance of the middle new bearing, and where its life is over.
    new_sd, error_sd
        Standard deviations of a new bearing's clearance and of a reading, in mm.
    share_of_lines, share_of_lifts
        Shares of shaft lines that are ever measured, and of lifts at which those are.
    first_year
        Nobody measured before it.
    """

    kind: str
    new_mm: Mapping[int, float]
    renew_mm: Mapping[int, float]
    new_sd: float
    error_sd: float
    share_of_lines: float
    share_of_lifts: float
    first_year: int


@dataclass(frozen=True)
class Rates:
    """Money, in the currency of the scenario, as it stands in `fleet.toml`."""

    labour_per_hour: int
    emergency_multiplier: float
    lift_and_launch: int
    tow: int
    lost_day: int
    lost_days: int


@dataclass(frozen=True)
class Scenario:
    """Every true parameter of an invented fleet.

    Season year N begins on the day after the season of N - 1 and ends with the season of N.
    `early_share` of all installs fail evenly within `early_days`: calendar days for a part on
    the years clock, so many days' share of a year's running for a part on the hours clock (a bad
    fit of those shows only when the shaft turns).
    """

    name: str
    kinds: tuple[TrueKind, ...]
    bases: tuple[Base, ...]
    boat_classes: tuple[BoatClass, ...]
    seals: tuple[Seal, ...]
    every_line: tuple[str, ...]
    line_conditions: Mapping[str, float]
    early_share: float
    early_days: int
    bad_lot: BadLot | None
    usage: Usage
    shared_work: SharedWork
    history: History
    habits: Habits
    rates: Rates
    shaft_sizes_mm: tuple[int, ...]
    first_season: int
    last_season: int
    season_start: tuple[int, int]
    season_end: tuple[int, int]
    records_from: date
    as_of: date
    currency: str
    defects: tuple[str, ...] = DEFECTS
    clearances: Clearances | None = None

    def __post_init__(self) -> None:
        unknown = [name for name in self.defects if name not in DEFECTS]
        if unknown:
            raise ValueError(f"no such defects: {unknown}; choose from {list(DEFECTS)}")

    def kind(self, name: str) -> TrueKind:
        """The kind of that name; `KeyError` if the scenario has none."""
        for kind in self.kinds:
            if kind.name == name:
                return kind
        raise KeyError(name)


def without_life_factors(scenario: Scenario) -> Scenario:
    """The same scenario with every life factor set to one."""
    kinds = tuple(
        replace(kind, life_factors=dict.fromkeys(kind.life_factors, 1.0)) for kind in scenario.kinds
    )
    return replace(scenario, kinds=kinds)


def without_bad_lot(scenario: Scenario) -> Scenario:
    """The same scenario with no bad lot."""
    return replace(scenario, bad_lot=None)
