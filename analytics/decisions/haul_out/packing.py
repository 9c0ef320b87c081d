"""What room is left in the yard, and how one boat at a time makes the best of it.

Used twice: for a first plan before the solver starts, and to leave no boat in a week, or with
jobs, when something cheaper still has room. Neither step needs to find the best plan.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from analytics.decisions.haul_out.options import STAY, Options

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Bools = npt.NDArray[np.bool_]

_ROUNDING = 1e-6


class Room:
    """What is left of slots, hours and places ashore in each week, after some boats.

    Attributes
    ----------
    slots, hours, places : array, shape (weeks,)
        Left; infinite where not limited.
    """

    def __init__(self, options: Options) -> None:
        self._options = options
        self.slots = options.slots.copy()
        self.hours = options.hours_cap.copy()
        self.places = options.places.copy()

    @classmethod
    def after(cls, options: Options, chosen: Ints) -> Room:
        """What is left after a choice."""
        room = cls(options)
        for option in chosen[chosen >= 0]:
            room.take(int(option))
        return room

    def take(self, option: int, sign: float = 1.0) -> None:
        """Take up what an option needs; give it back with -1."""
        options = self._options
        ashore = options.cover[option] >= 0
        weeks = options.cover[option][ashore]
        self.slots[options.week[option]] -= sign
        self.hours[weeks] -= sign * options.hours[option][ashore]
        self.places[weeks] -= sign

    def fits(self, which: slice) -> Bools:
        """Which of some options fit; shape (options of the slice,)."""
        options = self._options
        cover = options.cover[which]
        ashore = cover >= 0
        enough = (self.hours[cover] + _ROUNDING >= options.hours[which]) & (
            self.places[cover] >= 1 - _ROUNDING
        )
        slots = self.slots[options.week[which]] >= 1 - _ROUNDING
        fits: Bools = slots & (enough | ~ashore).all(axis=1)
        return fits


def taken_up(options: Options, chosen: Ints) -> tuple[Floats, Floats, Floats]:
    """Slots, hours and places that a choice takes; each of shape (weeks,)."""
    taken, weeks = chosen[chosen >= 0], len(options.slots)
    cover, hours = options.cover[taken], options.hours[taken]
    ashore = cover >= 0
    return (
        np.bincount(options.week[taken], minlength=weeks).astype(float),
        np.bincount(cover[ashore], hours[ashore], minlength=weeks).astype(float),
        np.bincount(cover[ashore], minlength=weeks).astype(float),
    )


def first_plan(options: Options, start: Ints | None = None) -> Ints:
    """A plan that keeps the limits: fixed boats, then those that must, then those that gain most.

    Parameters
    ----------
    start : array of int, shape (boats,), optional
        Boats placed already: of the last plan, or by an earlier step.

    Returns
    -------
    array of int, shape (boats,)
        An option for each boat, or `STAY`. A fixed boat that does not fit stays too: the plan
        is then none, which the caller must look at.
    """
    chosen = np.full(options.boats, STAY) if start is None else start.copy()
    room = Room.after(options, chosen)
    total = options.cost + options.moving
    stay = options.stay + options.stay_moving
    gain, width = np.zeros(options.boats), np.zeros(options.boats)
    for boat in range(options.boats):
        own = options.of(boat)
        if own.stop > own.start:
            gain[boat] = stay[boat] - total[own].min()
            width[boat] = len(np.unique(options.week[own]))
    must = options.musts > 0
    order = np.lexsort((-gain, np.where(must, width, 0), ~must, ~options.fixed))
    for boat in order:
        if chosen[boat] < 0:
            # What must be placed takes as little room as it can: the others have to fit as well.
            lean = bool(options.fixed[boat] or must[boat])
            _place(options, room, chosen, int(boat), total, stay, lean)
    return improved(options, chosen)


def kept_to(options: Options, wanted: Ints) -> Ints:
    """As much of a plan as still fits, fixed boats first; for the others `STAY`.

    Parameters
    ----------
    wanted : array of int, shape (boats,)
        An option for each boat, or `STAY`.
    """
    chosen = np.full(options.boats, STAY)
    room = Room(options)
    for boat in np.flatnonzero(options.fixed):
        own = options.of(int(boat))
        lean = own.start + np.flatnonzero(options.bundle[own] == 0)
        for option in lean[:1]:
            chosen[boat] = option
            room.take(int(option))
    for boat in np.flatnonzero(~options.fixed & (wanted >= 0)):
        option = int(wanted[boat])
        if room.fits(slice(option, option + 1)).all():
            chosen[boat] = option
            room.take(option)
    return chosen


def improved(options: Options, chosen: Ints, rounds: int = 20) -> Ints:
    """A plan in which no boat alone could do better in the room that the others leave her."""
    chosen = chosen.copy()
    room = Room.after(options, chosen)
    total = options.cost + options.moving
    stay = options.stay + options.stay_moving
    for _ in range(rounds):
        changed = False
        for boat in range(options.boats):
            before = int(chosen[boat])
            if before >= 0:
                room.take(before, -1.0)
                chosen[boat] = STAY
            _place(options, room, chosen, boat, total, stay, False, before)
            changed |= chosen[boat] != before
        if not changed:
            break
    return chosen


def _place(
    options: Options,
    room: Room,
    chosen: Ints,
    boat: int,
    total: Floats,
    stay: Floats,
    lean: bool,
    before: int = STAY,
) -> None:
    own = options.of(boat)
    fits = room.fits(own)
    if lean:
        fits &= options.bundle[own] == 0
    costs = np.where(fits, total[own], np.inf)
    best = STAY
    if fits.any():
        best = own.start + int(costs.argmin())
        needed = bool(options.fixed[boat] or options.musts[boat])
        if not needed and total[best] >= stay[boat] - _ROUNDING:
            best = STAY
    if before >= 0 and best >= 0 and total[before] <= total[best] + _ROUNDING:
        best = before
    chosen[boat] = best
    if best >= 0:
        room.take(best)
