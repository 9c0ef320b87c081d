"""Why each boat has her week, why each job is done or left, in one sentence each.

Every sentence compares the plan with the same plan but for one boat: what another week, or one
job more, would have cost her in the room that the others leave.
"""

from __future__ import annotations

from collections import Counter
from datetime import date
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from analytics.decisions.haul_out.admission import bar, bars_counted, day_words, fixed_by, listed
from analytics.decisions.haul_out.bundles import job_values, shared_labour
from analytics.decisions.haul_out.options import STAY, Options
from analytics.decisions.haul_out.packing import Room
from analytics.decisions.haul_out.problem import WEEK, BoatAsk, Job, Problem

Ints = npt.NDArray[np.int64]

_SAME = 0.5
"""Money below which two costs are told as the same."""


class WhyJob(NamedTuple):
    """Why a job is done or left: what it saves, the hours it adds, and a sentence."""

    done: bool
    saving: float
    hours: float
    text: str


class Reasons:
    """The sentences of one plan."""

    def __init__(self, problem: Problem, options: Options, chosen: Ints) -> None:
        self._problem, self._options, self._chosen = problem, options, chosen
        self._room = Room.after(options, chosen)
        self._weeks = problem.yard.weeks

    def of_week(self, boat: int) -> str:
        """Why a boat that is lifted has her week."""
        options, option = self._options, int(self._chosen[boat])
        ask, own = self._problem.boats[boat], options.of(boat)
        if ask.fixed is not None:
            return f"She is {fixed_by(ask)} to this week."
        lead = self._why_lifted(boat)
        weeks, costs = self._best_by_week(boat)
        others = weeks != options.week[option]
        if not others.any():
            bars = options.bars[boat]
            return f"{lead}This is the only week that admits her: {bars_counted(bars)}."
        cheapest = int(np.flatnonzero(others)[costs[others].argmin()])
        cheaper = float(options.cost[option] - costs[cheapest])
        if cheaper < -_SAME:
            return f"{lead}It is the cheapest of the {len(weeks)} weeks open to her."
        if cheaper <= _SAME:
            return f"{lead}None of the {len(weeks)} weeks open to her is cheaper."
        there = own.start + int(self._of_week(boat, int(weeks[cheapest])))
        other = f"The week of {day_words(self._weeks[weeks[cheapest]].start)}"
        lacks = self._lacking(boat, there)
        if not lacks:
            return (
                f"{lead}{other} would cost {self._money(cheaper)} less, which is not worth "
                "moving her from her week of the last plan."
            )
        return (
            f"{lead}{other} would cost {self._money(cheaper)} less, but other boats leave it "
            f"{listed(lacks)}; of the weeks with room none is cheaper."
        )

    def of_staying(self, boat: int) -> str:
        """Why a boat is not lifted."""
        options, own = self._options, self._options.of(boat)
        if own.start == own.stop:
            return f"No week admits her: {bars_counted(options.bars[boat])}."
        costs = options.cost[own] - options.stay[boat]
        must = bool(options.musts[boat])
        if not must and costs.min() >= 0:
            return (
                f"Hauling her does not pay: at best it costs {self._money(float(costs.min()))} "
                "more than it saves."
            )
        total = options.cost[own] + options.moving[own]
        stay = options.stay[boat] + options.stay_moving[boat]
        paying = [
            own.start + place
            for place in range(own.stop - own.start)
            if must or total[place] < stay
        ]
        lacking: dict[int, tuple[str, ...]] = {}
        for option in paying:
            lacking.setdefault(int(options.week[option]), self._lacking(boat, option))
        if not paying or not all(lacking.values()):
            return "What lifting her would save is less than the cost of moving her."
        counts = Counter(lacks[0] for lacks in lacking.values()).most_common()
        worth = max(-float(costs.min()), 0.0)
        gain = f"Lifting her would save {self._money(worth)}, but" if worth > _SAME else "But"
        which = "open to her" if must else "in which that pays"
        if len(lacking) == 1:
            text = f"{gain} the one week {which} has {counts[0][0]} left."
        else:
            left = [
                f"{number} {'has' if number == 1 else 'have'} {lack}" for lack, number in counts
            ]
            text = f"{gain} of the {len(lacking)} weeks {which} {listed(left)} left."
        return text.removeprefix("But ")[:1].upper() + text.removeprefix("But ")[1:]

    def of_job(self, boat: int, job: Job) -> WhyJob:
        """Why a job is done or left."""
        options, ask = self._options, self._problem.boats[boat]
        option = int(self._chosen[boat])
        values = job_values(job, len(self._weeks))
        if option == STAY:
            return WhyJob(False, float(values[0]), job.alone_hours, "She is not lifted.")
        done = set(options.jobs(option).jobs)
        with_it = [one for one in ask.jobs if one.key in done or one.key == job.key]
        without = [one for one in with_it if one.key != job.key]
        hours = shared_labour(with_it) - shared_labour(without)
        labour = hours * self._problem.yard.labour
        saving = float(values[options.week[option]])
        beside = " with the line stripped down" if hours < job.alone_hours - 1e-9 else ""
        work = f"{hours:g} {'hour' if hours == 1 else 'hours'} of labour{beside}"
        if labour:
            work = f"{self._money(labour)} for {work}"
        if job.key in done:
            if job.binding:
                text = f"It must be done: {job.why_must or 'a rule asks for it'}."
            else:
                text = f"It saves {self._money(saving)} against {work}."
            return WhyJob(True, saving, hours, text)
        if saving <= labour + _SAME:
            saved = f"saves {self._money(saving)}" if saving > _SAME else "saves nothing"
            text = f"Doing it now {saved}, and would take {work}."
            return WhyJob(False, saving, hours, text)
        return WhyJob(False, saving, hours, self._why_no_time(boat, ask, option, with_it, saving))

    @staticmethod
    def of_move(
        boat: str,
        before: date | None,
        after: date | None,
        added: tuple[str, ...],
        dropped: tuple[str, ...],
    ) -> str:
        """What changed for a boat since the last plan."""
        if before is None and after is not None:
            text = f"{boat} is new in the plan, in the week of {day_words(after)}"
        elif before is not None and after is None:
            text = f"{boat} leaves the plan; she was in the week of {day_words(before)}"
        elif before is not None and after is not None and before != after:
            text = (
                f"{boat} moves from the week of {day_words(before)} to that of {day_words(after)}"
            )
        else:
            text = f"{boat} keeps her week"
        if before is not None and after is not None:
            text += f", with {listed(added)} added" if added else ""
            text += f", {'and' if added else 'with'} {listed(dropped)} dropped" if dropped else ""
        return f"{text}."

    def _why_lifted(self, boat: int) -> str:
        """A boat that does not pay is lifted by a rule: that has to be said."""
        options, option = self._options, int(self._chosen[boat])
        if options.cost[option] <= options.stay[boat] or not options.musts[boat]:
            return ""
        keys = [job.key for job in self._problem.boats[boat].binding]
        return f"She is lifted for what must be done ({listed(keys)}). "

    def _best_by_week(self, boat: int) -> tuple[Ints, npt.NDArray[np.float64]]:
        own = self._options.of(boat)
        weeks = np.unique(self._options.week[own])
        costs = [self._options.cost[own][self._options.week[own] == week].min() for week in weeks]
        return weeks, np.array(costs)

    def _of_week(self, boat: int, week: int) -> int:
        own = self._options.of(boat)
        costs = np.where(self._options.week[own] == week, self._options.cost[own], np.inf)
        return int(costs.argmin())

    def _lacking(self, boat: int, option: int) -> tuple[str, ...]:
        """What the other boats leave too little of in the weeks of an option."""
        room, options, mine = self._room, self._options, int(self._chosen[boat])
        if mine >= 0:
            room.take(mine, -1.0)
        ashore = options.cover[option] >= 0
        cover, hours = options.cover[option][ashore], options.hours[option][ashore]
        lacks = []
        if room.slots[options.week[option]] < 1 - 1e-6:
            lacks.append("no slot")
        if (room.places[cover] < 1 - 1e-6).any():
            lacks.append("no place ashore")
        if (room.hours[cover] + 1e-6 < hours).any():
            lacks.append("too few hours")
        if mine >= 0:
            room.take(mine)
        return tuple(lacks)

    def _why_no_time(
        self, boat: int, ask: BoatAsk, option: int, jobs: list[Job], saving: float
    ) -> str:
        yard, week = self._problem.yard, self._weeks[self._options.week[option]]
        worth = f"It would save {self._money(saving)}, but"
        hours = shared_labour(jobs)
        against = bar(ask, yard, week, hours)
        if against is not None:
            return f"{worth} with it {against.text}."
        room = self._room
        room.take(option, -1.0)
        text = f"{worth} not every set of so many jobs was looked at."
        for passed, worked in enumerate(yard.hours_by_week(hours)):
            start = week.start + passed * WEEK
            place = yard.by_start.get(start)
            if place is None:
                continue
            if room.hours[place] + 1e-6 < worked:
                text = (
                    f"{worth} in the week of {day_words(start)} the hours of the trades are "
                    "taken by other boats."
                )
                break
            if room.places[place] < 1 - 1e-6:
                text = (
                    f"{worth} she would be ashore in the week of {day_words(start)}, when the "
                    "places are taken by other boats."
                )
                break
        room.take(option)
        return text

    def _money(self, amount: float) -> str:
        return f"{self._problem.currency} {amount:,.0f}".strip()
