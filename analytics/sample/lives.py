"""The true lives of the parts on one shaft line, from the building of the boat on.

Three causes work on every part at once (early, wear-out, accident) and the first one ends it,
unless it is replaced before. A part that fails is seen to fail, except where the kind shows it
only ashore: then it stays in place, failed, until the next lift.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from analytics.sample.boats import Boat, Lift, Line
from analytics.sample.chance import Chance
from analytics.sample.scenario import Scenario, TrueKind

DAYS_PER_YEAR = 365.25
NEVER = 2**31
"""A day after every other, for what does not happen while the line is watched."""


@dataclass(slots=True)
class Life:
    """One part in one place. Days are ordinals; `scale` and `wear_out` are on the kind's clock.

    `early_days` is None for a part that was fitted well. `fails_on` is the day on which the
    first cause would strike (or `NEVER`), `cause` which one that is. `ended_on` is None while
    the part is in place. `sound_on` is the last day on which somebody saw it sound, where the
    failure was found ashore or can only be found there.
    """

    kind: TrueKind
    fitted_on: int
    bad_lot: bool
    scale: float
    wear_out: float
    early_days: float | None
    accident_years: float
    fails_on: int
    cause: str
    ended_on: int | None = None
    ended: str = "still_fitted"
    found: str = ""
    sound_on: int | None = None

    @property
    def hidden(self) -> bool:
        """True if its failure cannot be seen afloat."""
        return self.kind.seen_ashore_only and self.cause != "accident"


def live_through(scenario: Scenario, boat: Boat, line: Line, chance: Chance) -> list[Life]:
    """Every life on the line from build to the end of the records, recorded or not.

    Returns
    -------
    list of Life
        In the order of the kinds on the line, then of fitting.
    """
    return _LineOfLives(scenario, boat, line, chance).run()


class _LineOfLives:
    """The parts in place on a line while its history unfolds."""

    def __init__(self, scenario: Scenario, boat: Boat, line: Line, chance: Chance) -> None:
        self.scenario = scenario
        self.boat = boat
        self.line = line
        self.chance = chance
        self.factors = {name: self._factor(scenario.kind(name)) for name in line.kinds}
        self.past: dict[str, list[Life]] = {name: [] for name in line.kinds}
        self.present = {name: self._fit(name, boat.built) for name in line.kinds}

    def run(self) -> list[Life]:
        for lift in self.boat.lifts:
            self._fail_until(lift.lifted)
            self._work_ashore(lift)
        self._fail_until(self.boat.seen_to)
        lives = []
        for name in self.line.kinds:
            life = self.present[name]
            if self.boat.left is not None:
                life.ended = "boat_left"
            if life.kind.seen_ashore_only:
                life.sound_on = self._last_seen_ashore(life, self.boat.seen_to)
            lives += [*self.past[name], life]
        return lives

    def _factor(self, kind: TrueKind) -> float:
        conditions = self.boat.base.conditions + self.line.conditions
        return math.prod(factor for name, factor in kind.life_factors.items() if name in conditions)

    def _fit(self, name: str, day: int) -> Life:
        scenario, chance = self.scenario, self.chance
        kind = scenario.kind(name)
        lot = scenario.bad_lot
        # Every fit draws the same five numbers, so that scenarios that differ in one
        # parameter keep the rest of their luck.
        wear_at = chance.uniform()
        early = chance.happens(scenario.early_share)
        early_days = scenario.early_days * chance.uniform()
        accident_years = chance.exponential(kind.accidents_per_year)
        bad = chance.happens(lot.share if lot else 0.0)
        if lot and bad and name == lot.kind:
            bad = lot.first_year <= date.fromordinal(day).year <= lot.last_year
        else:
            bad = False
        shape, scale = (lot.shape, lot.scale) if lot and bad else (kind.shape, kind.scale)
        scale *= self.factors[name]
        wear_out = scale * (-math.log1p(-wear_at)) ** (1.0 / shape)
        strikes = [
            (self._wear_day(kind, day, wear_out), 0, "wear_out"),
            (self._service_day(day, accident_years), 2, "accident"),
        ]
        if early:
            strikes.append((self._early_day(kind, day, early_days), 1, "early"))
        fails_on, _, cause = min(strikes)
        return Life(
            kind=kind,
            fitted_on=day,
            bad_lot=bad,
            scale=scale,
            wear_out=wear_out,
            early_days=early_days if early else None,
            accident_years=accident_years,
            fails_on=fails_on,
            cause=cause,
        )

    def _wear_day(self, kind: TrueKind, fitted_on: int, wear_out: float) -> int:
        if kind.clock == "years":
            return fitted_on + max(1, math.ceil(wear_out * DAYS_PER_YEAR))
        reached = self.line.hours.day_reaching(self.line.hours.at(fitted_on) + wear_out)
        return NEVER if reached is None else max(fitted_on + 1, reached)

    def _early_day(self, kind: TrueKind, fitted_on: int, days: float) -> int:
        if kind.clock == "years":
            return fitted_on + max(1, math.ceil(days))
        return self._service_day(fitted_on, days / DAYS_PER_YEAR)

    def _service_day(self, fitted_on: int, years: float) -> int:
        reached = self.line.service.day_reaching(self.line.service.at(fitted_on) + years)
        return NEVER if reached is None else max(fitted_on + 1, reached)

    def _fail_until(self, day: int) -> None:
        """Let every failure that can be seen happen, up to and including a day."""
        while True:
            due = [life for life in self.present.values() if not life.hidden]
            life = min(due, key=lambda one: one.fails_on, default=None)
            if life is None or life.fails_on > day:
                return
            failed_on, name = life.fails_on, life.kind.name
            lift = self._lift_around(failed_on)
            life.found = "ashore" if lift and life.cause != "accident" else "afloat"
            if lift and life.cause != "accident":
                life.sound_on = max(lift.lifted, life.fitted_on)
            self._replace(name, failed_on, life.cause)
            if (
                name == "bellows"
                and "face_seal" in self.present
                and life.cause != "accident"
                and not lift
                and self.present["face_seal"].fitted_on < failed_on
                and self.chance.happens(self.scenario.shared_work.chance)
            ):
                self._replace("face_seal", failed_on, "other_work")

    def _work_ashore(self, lift: Lift) -> None:
        day = lift.lifted
        shaft_drawn = False
        for name in self.line.kinds:
            life = self.present[name]
            if life.hidden and life.fails_on <= day:
                life.found = "ashore"
                life.sound_on = self._last_seen_ashore(life, day - 1)
                shaft_drawn = name == "cutless_bearing" or shaft_drawn
                self._replace(name, day, "survey" if lift.survey else life.cause)
        if lift.survey:
            return
        for name in self.line.kinds:
            life = self.present[name]
            limit = self.boat.limits_years.get(name, NEVER)
            if self._years(life, day) > limit and self.chance.happens(life.kind.compliance):
                self._replace(name, day, "renewed")
        if shaft_drawn:
            for name in ("bellows", "face_seal"):
                if name in self.present and self._may_go_along(self.present[name], day):
                    self._replace(name, day, "other_work")

    def _may_go_along(self, life: Life, day: int) -> bool:
        shared = self.scenario.shared_work
        if life.kind.clock == "years":
            old = self._years(life, day) > shared.years
        else:
            used = self.line.hours.at(day) - self.line.hours.at(life.fitted_on)
            old = used > shared.hours
        return old and self.chance.happens(shared.chance)

    def _replace(self, name: str, day: int, ended: str) -> None:
        life = self.present[name]
        life.ended_on, life.ended = day, ended
        self.past[name].append(life)
        self.present[name] = self._fit(name, day)

    def _years(self, life: Life, day: int) -> float:
        return (day - life.fitted_on) / DAYS_PER_YEAR

    def _lift_around(self, day: int) -> Lift | None:
        return next((one for one in self.boat.lifts if one.lifted < day <= one.launched), None)

    def _last_seen_ashore(self, life: Life, day: int) -> int:
        seen = [one.lifted for one in self.boat.lifts if life.fitted_on < one.lifted <= day]
        return seen[-1] if seen else life.fitted_on


def recorded(boat: Boat, lives: Sequence[Life]) -> list[Life]:
    """The lives that the office could write down: still in place after `seen_from`."""
    return [life for life in lives if life.ended_on is None or life.ended_on > boat.seen_from]
