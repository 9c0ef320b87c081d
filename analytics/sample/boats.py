"""The boats of an invented fleet: what each is, where it lies, how it is run."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import islice
from typing import TypeVar

import numpy as np

from analytics.sample.chance import Chance
from analytics.sample.meters import Meter
from analytics.sample.names import boat_names
from analytics.sample.scenario import Base, BoatClass, Scenario, Seal

T = TypeVar("T")

_LEAST_STAY_DAYS = 730
_FIRST_LIFT_AFTER_DAYS = 30


@dataclass(frozen=True, slots=True)
class Lift:
    """A haul-out; `survey` marks the check ashore when the boat comes under the records."""

    lifted: int
    launched: int
    survey: bool = False


@dataclass(frozen=True, slots=True)
class Line:
    """A shaft line. `hours` runs with the shaft, `service` by one in each season year."""

    position: str
    kinds: tuple[str, ...]
    conditions: tuple[str, ...]
    hours: Meter
    service: Meter


@dataclass(frozen=True, slots=True)
class Boat:
    """A boat, with days as proleptic ordinals.

    `seen_from` is the day from which its lives could be recorded and `seen_to` the last such
    day.
    """

    name: str
    base: Base
    boat_class: BoatClass
    seal: str
    built: int
    joined: int
    left: int | None
    seen_from: int
    seen_to: int
    limits_years: Mapping[str, int]
    lifts: tuple[Lift, ...]
    lines: tuple[Line, ...]


@dataclass(frozen=True, slots=True)
class BoatSeeds:
    """Separate streams, so that a change in what is written down moves no life."""

    traits: np.random.SeedSequence
    lives: np.random.SeedSequence
    records: np.random.SeedSequence


@dataclass(frozen=True, slots=True)
class Berth:
    """What is dealt out over the fleet before any boat draws for itself."""

    name: str
    base: Base
    boat_class: BoatClass
    seal: Seal
    history: str
    leaves: bool
    seeds: BoatSeeds


def largest_remainder(total: int, weights: Sequence[float]) -> list[int]:
    """Whole shares of `total` in proportion to the weights; ties go to the earlier one."""
    exact = [total * weight / sum(weights) for weight in weights]
    shares = [int(value) for value in exact]
    by_remainder = sorted(range(len(weights)), key=lambda i: shares[i] - exact[i])
    for i in by_remainder[: total - sum(shares)]:
        shares[i] += 1
    return shares


def deal_berths(
    scenario: Scenario,
    boats: int,
    fleet_seeds: np.random.SeedSequence,
    boat_seeds: np.random.SeedSequence,
) -> list[Berth]:
    """Deal names, bases, classes, seals and histories, in the exact shares of the scenario."""
    chance = Chance(fleet_seeds)
    names = islice(boat_names(chance), boats)
    bases = _dealt(chance, boats, scenario.bases, [base.weight for base in scenario.bases])
    classes = _dealt_classes(chance, boats, scenario)
    seals = {
        twin: iter(
            _dealt(
                chance,
                sum(boat_class.twin is twin for boat_class in classes),
                scenario.seals,
                [seal.weight_twin if twin else seal.weight_single for seal in scenario.seals],
            )
        )
        for twin in (False, True)
    }
    at_start = scenario.history.share_at_start
    second_hand = scenario.history.share_second_hand
    histories = _dealt(
        chance,
        boats,
        ("at_start", "second_hand", "new"),
        (at_start, second_hand, 1 - at_start - second_hand),
    )
    left = scenario.history.share_left
    leaving = _dealt(chance, boats, (True, False), (left, 1 - left))
    berths = []
    for name, base, boat_class, history, leaves, seeds in zip(
        names, bases, classes, histories, leaving, boat_seeds.spawn(boats), strict=True
    ):
        own_seeds = BoatSeeds(*seeds.spawn(3))
        seal = next(seals[boat_class.twin])
        berths.append(Berth(name, base, boat_class, seal, history, leaves, own_seeds))
    return berths


def draw_boat(scenario: Scenario, berth: Berth) -> Boat:
    """Draw a boat's dates, limits, lifts, conditions and hours from its own stream."""
    chance = Chance(berth.seeds.traits)
    built, joined = _built_and_joined(scenario, berth.history, chance)
    as_of = scenario.as_of.toordinal()
    left = _left(scenario, joined, chance) if berth.leaves else None
    seen_from = max(joined, scenario.records_from.toordinal())
    seen_to = as_of if left is None else left
    limits = {
        kind.name: chance.pick(kind.limits_years) for kind in scenario.kinds if kind.limits_years
    }
    lifts = _lifts(scenario, berth.base, built, seen_to, chance)
    if seen_from > built:
        lifts.append(Lift(seen_from, seen_from + 1, survey=True))
        lifts.sort(key=lambda lift: (lift.lifted, not lift.survey))
    seasons = _service_spans(scenario, berth.base, built)
    return Boat(
        name=berth.name,
        base=berth.base,
        boat_class=berth.boat_class,
        seal=berth.seal.name,
        built=built,
        joined=joined,
        left=left,
        seen_from=seen_from,
        seen_to=seen_to,
        limits_years=limits,
        lifts=tuple(lifts),
        lines=_lines(scenario, berth, built, seasons, chance),
    )


def day_of(year: int, month_day: tuple[int, int]) -> int:
    """The ordinal of a month and day in a year."""
    return date(year, *month_day).toordinal()


def _dealt(chance: Chance, total: int, items: Sequence[T], weights: Sequence[float]) -> list[T]:
    counts = largest_remainder(total, weights)
    return chance.shuffled(
        [item for item, count in zip(items, counts, strict=True) for _ in range(count)]
    )


def _dealt_classes(chance: Chance, boats: int, scenario: Scenario) -> list[BoatClass]:
    by_twin = {
        twin: [one for one in scenario.boat_classes if one.twin is twin] for twin in (False, True)
    }
    weights = [sum(one.weight for one in by_twin[twin]) for twin in (False, True)]
    dealt: list[BoatClass] = []
    for twin, count in zip((False, True), largest_remainder(boats, weights), strict=True):
        if count:
            dealt += _dealt(chance, count, by_twin[twin], [one.weight for one in by_twin[twin]])
    return chance.shuffled(dealt)


def _built_and_joined(scenario: Scenario, history: str, chance: Chance) -> tuple[int, int]:
    records_from = scenario.records_from.toordinal()
    year_joined = chance.whole(scenario.history.first_join, scenario.history.last_join)
    if history == "new":
        built = date(year_joined, 2, 1).toordinal() + chance.whole(0, 149)
        return built, built
    if history == "second_hand":
        joined = date(year_joined, 1, 1).toordinal() + chance.whole(0, 364)
        earliest = date(scenario.history.first_build, 1, 1).toordinal()
        return max(joined - chance.whole(3 * 365, 12 * 365), earliest), joined
    year_built = chance.whole(scenario.history.first_build, scenario.records_from.year)
    built = min(date(year_built, 2, 1).toordinal() + chance.whole(0, 239), records_from - 30)
    bought_later = chance.happens(0.5)
    joined = chance.whole(min(built + 180, records_from - 1), records_from - 1)
    return built, joined if bought_later else built


def _left(scenario: Scenario, joined: int, chance: Chance) -> int:
    earliest = max(joined, date(scenario.first_season + 2, 1, 1).toordinal()) + _LEAST_STAY_DAYS
    latest = date(scenario.last_season - 1, 12, 31).toordinal()
    return chance.whole(earliest, max(earliest, latest))


def _lifts(scenario: Scenario, base: Base, built: int, seen_to: int, chance: Chance) -> list[Lift]:
    lifts = []
    for year in range(date.fromordinal(built).year, scenario.last_season + 1):
        lay_up_from = day_of(year - 1, scenario.season_end) + 1
        days_ashore = chance.whole(*base.days_ashore)
        last_lift = day_of(year, scenario.season_start) - 1 - days_ashore
        lifted = chance.whole(lay_up_from, max(lay_up_from, last_lift))
        if built + _FIRST_LIFT_AFTER_DAYS <= lifted <= seen_to:
            lifts.append(Lift(lifted, lifted + days_ashore))
    return lifts


def _service_spans(scenario: Scenario, base: Base, built: int) -> list[tuple[int, int]]:
    spans = []
    for year in range(date.fromordinal(built).year, scenario.last_season + 1):
        after = day_of(year, scenario.season_end) + 1
        if base.lay_up == "afloat":
            first = day_of(year - 1, scenario.season_end) + 1
        else:
            first = day_of(year, scenario.season_start)
        spans.append((first, after))
    if spans[0][1] <= built:
        # Built after its first season: the meter has to start no later than the boat.
        spans = spans[1:] or spans
    return spans


def _lines(
    scenario: Scenario,
    berth: Berth,
    built: int,
    seasons: Sequence[tuple[int, int]],
    chance: Chance,
) -> tuple[Line, ...]:
    usage = scenario.usage
    twin = berth.boat_class.twin
    factor = usage.twin_factor if twin else 1.0
    boat_mean = chance.normal(usage.mean, usage.boat_sd)
    year_sd = (usage.total_sd**2 - usage.boat_sd**2) ** 0.5
    by_season = [max(usage.least, factor * chance.normal(boat_mean, year_sd)) for _ in seasons]
    service = Meter([(first, after, 1.0) for first, after in seasons], built)
    lines = []
    for position in ("port", "starboard") if twin else ("single",):
        conditions = tuple(
            name for name, share in scenario.line_conditions.items() if chance.happens(share)
        )
        # The two shafts of a twin run nearly, but not quite, the same hours.
        spread = 0.03 if twin else 0.0
        spans = [
            (first, after, hours * (1 + spread * (2 * chance.uniform() - 1)))
            for (first, after), hours in zip(seasons, by_season, strict=True)
        ]
        kinds = berth.seal.kinds + scenario.every_line
        lines.append(Line(position, kinds, conditions, Meter(spans, built), service))
    return tuple(lines)
