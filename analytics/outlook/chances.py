"""Chances of failing before and in a window of days, for each draw of the parameters.

For a part in service, fitted on day s and known sound at age c, over (t1, t2]::

    p = sum_s w(s) [S(t1 - s) - S(t2 - s)] / sum_s w(s) S(c - s)

The sum is over the days on which an undated part may have been fitted. S is that
of the part's own groups: their effects on life are drawn with the parameters. Where
hours are in doubt, those of each draw are those of a boat whose part has lasted. A
part with readings of its own wears by the hours that were expected of it so far, in
which they are laid on its path: at age a + (a' - a) coming / run where a' was expected.

A row of the table may also say what is not yet so: a part that will be fitted, or will
have been seen sound, after the last day watched. Its chances count from that day on.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from hashlib import blake2b

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.ageing.fit import Ageing
from analytics.ageing.hours_in_doubt import HoursInDoubt
from analytics.ageing.likelihood import cumulative_hazard, early_cumulative_hazard
from analytics.ageing.posterior import Posterior
from analytics.ageing.side_by_side import side_by_side
from analytics.ageing.wear.own_lives import OwnLives
from analytics.lives import IN_SERVICE, Lives
from analytics.outlook.hours_ahead import in_doubt, with_parts_to_come
from analytics.outlook.hours_lasted import LastSeen
from analytics.usage import DAYS_PER_YEAR, day_number, day_numbers

Floats = npt.NDArray[np.float64]

_CELLS_AT_ONCE = 100_000


@dataclass(frozen=True)
class AgesAhead:
    """Ages of parts in service, at every node of their fitting windows.

    Attributes
    ----------
    first : ndarray of int, shape (n_parts,)
        First node of each part.
    weight : ndarray, shape (n_nodes,)
    sound, now, begin, end : ndarray, shape (n_nodes,)
        Age on the clock when last known sound, on the last day watched, and at
        both ends of the window; none before the one before it.
    sound_years, now_years, begin_years, end_years : ndarray, shape (n_nodes,)
        The same in years, as in `clocks.Nodes`.
    until_begin, until_end : ndarray, shape (n_nodes,)
        Calendar years from the last day watched to both ends of the window.
    later, later_years, until_later : ndarray, shape (n_nodes,), or None
        The same at the end of a second window that follows the first; None without one.
    picks : ndarray, shape (n_draws, n_undated), or None
        Uniform numbers that pick a day of fitting for each part with several nodes, in order,
        alike whatever other parts there are; None where whoever asks brings chance along.
    shift : ndarray, shape (n_draws, n_parts), or None
        Effect of each part's groups on the log of its life, with the draws of
        the posterior; None where all parts are alike.
    doubt : HoursInDoubt or None
        Factors on the hours run and to come of each part, given that it has lasted, with
        as many draws as the posterior; None for a clock of years.
    own : OwnLives or None
        Parts that their own readings move; with the same draws.
    """

    first: npt.NDArray[np.int64]
    weight: Floats
    sound: Floats
    now: Floats
    begin: Floats
    end: Floats
    sound_years: Floats
    now_years: Floats
    begin_years: Floats
    end_years: Floats
    until_begin: Floats
    until_end: Floats
    shift: Floats | None = None
    doubt: HoursInDoubt | None = None
    own: OwnLives | None = None
    later: Floats | None = None
    later_years: Floats | None = None
    until_later: Floats | None = None
    picks: Floats | None = None

    def __len__(self) -> int:
        return len(self.first)


@dataclass(frozen=True)
class Chances:
    """Chances of failing, from any cause; a row per draw and a column per part.

    Attributes
    ----------
    before, during : ndarray, shape (n_draws, n_parts)
        Before the window and in it, averaged over the days of fitting.
    at_start : ndarray, shape (n_draws, n_parts)
        In the window, for one day of fitting drawn with each draw of the
        parameters: what the interval of an undated part must spread over.
    hidden : ndarray, shape (n_draws, n_parts)
        By the last day watched, where a failure is not seen at once.
    after : ndarray, shape (n_draws, n_parts), or None
        In the second window; None without one.
    worn_out, early, accident : ndarray, shape (n_parts,)
        Mean chance in the window by cause; they add up to the mean of `during`.
    """

    before: Floats
    during: Floats
    at_start: Floats
    hidden: Floats
    worn_out: Floats
    early: Floats
    accident: Floats
    after: Floats | None = None


def chances(
    posterior: Posterior, ages: AgesAhead, rng: np.random.Generator | None = None
) -> Chances:
    """Chance of failing before and in a window, for each draw and part.

    Parameters
    ----------
    rng : Generator, optional
        Draws the days of fitting of `Chances.at_start`, where `ages` has no `picks`: those
        of `ages_ahead` have.

    Raises
    ------
    ValueError
        If there are neither picks nor a generator.
    """
    shape = len(posterior), len(ages)
    before, during, at_start, hidden = (np.empty(shape) for _ in range(4))
    after = None if ages.later is None else np.empty(shape)
    by_cause = np.zeros((3, len(ages)))
    picks = ages.picks
    if picks is None:
        if rng is None:
            raise ValueError("neither picks nor a generator for the days of fitting")
        picks = rng.random(shape)[:, np.diff(np.append(ages.first, len(ages.weight))) > 1]
    step = max(1, _CELLS_AT_ONCE // max(1, len(ages.weight)))

    def fill(at: int) -> Floats:
        rows = slice(at, at + step)
        part = _chunk(posterior, ages, rows, picks[rows])
        before[rows], during[rows], at_start[rows], hidden[rows] = part[:4]
        if after is not None:
            after[rows] = part[5]
        return part[4]

    for causes in side_by_side(fill, range(0, len(posterior), step)):
        by_cause += causes
    worn, early, accident = by_cause / len(posterior)
    return Chances(before, during, at_start, hidden, worn, early, accident, after)


def _chunk(
    posterior: Posterior, ages: AgesAhead, rows: slice, picks: Floats
) -> tuple[Floats, Floats, Floats, Floats, Floats, Floats | None]:
    """`before`, `during`, `at_start` and `hidden` of some draws, sums by cause, and `after`."""
    theta, family = posterior.parameters.part(rows), posterior.family
    rate = posterior.accidents[rows][:, None]
    sizes = np.diff(np.append(ages.first, len(ages.weight)))
    shift = None if ages.shift is None else np.repeat(ages.shift[rows], sizes, axis=1)

    read = ages.own.node if ages.own else None
    doubt = None if ages.doubt is None else ages.doubt.by_node(rows, sizes, read)
    own = ages.own.part(rows) if ages.own else None

    def hazard(age: Floats, years: Floats) -> Floats:
        # More hours than expected do the same as a shorter life.
        older = None if doubt is None else doubt.log_age(ages.now, age)
        moved = shift
        if own is not None:
            by_reading = own.shift(age if older is None else age * np.exp(older))
            moved = by_reading if moved is None else moved + by_reading
        if older is not None:
            moved = -older if moved is None else moved - older
        return cumulative_hazard(family, theta, age, years, posterior.early_years, moved)

    def summed(per_node: Floats) -> Floats:
        return np.asarray(np.add.reduceat(per_node * ages.weight, ages.first, axis=1))

    to_sound = hazard(ages.sound, ages.sound_years)
    to_begin = hazard(ages.begin, ages.begin_years)
    to_end = hazard(ages.end, ages.end_years)
    # Relative to the likeliest start of each part: an old part's tiny survival cannot underflow.
    base = np.repeat(np.minimum.reduceat(to_sound, ages.first, axis=1), sizes, axis=1)
    sound = np.exp(base - to_sound)
    alive = summed(sound)
    at_begin = np.exp(base - to_begin - rate * ages.until_begin)
    by_accident = rate * (ages.until_end - ages.until_begin)
    cumulated = to_end - to_begin + by_accident
    in_window = at_begin * -np.expm1(-cumulated)
    during = summed(in_window) / alive
    seen_today = np.array_equal(ages.now, ages.sound) and np.array_equal(
        ages.now_years, ages.sound_years
    )
    to_now = to_sound if seen_today else hazard(ages.now, ages.now_years)
    hidden = 1.0 - summed(np.exp(base - to_now)) / alive

    by_early = early_cumulative_hazard(
        ages.end_years[None, :], theta.early[:, None], posterior.early_years
    ) - early_cumulative_hazard(
        ages.begin_years[None, :], theta.early[:, None], posterior.early_years
    )
    # Competing causes share a short window in proportion to their cumulative hazards.
    per_hazard = np.divide(in_window, cumulated, out=np.zeros_like(in_window), where=cumulated > 0)
    early = summed(per_hazard * by_early) / alive
    accident = summed(per_hazard * by_accident) / alive
    causes = np.array([during - early - accident, early, accident]).sum(axis=1)
    # A day of fitting on which the part can hardly have lasted so long has no chance of its own.
    of_node = np.divide(in_window, sound, out=np.zeros_like(in_window), where=sound > 0)
    at_start = _at_one_start(of_node, sound * ages.weight, ages.first, sizes, picks)
    after = None
    if ages.later is not None and ages.later_years is not None and ages.until_later is not None:
        beyond = hazard(ages.later, ages.later_years) - to_end
        beyond += rate * (ages.until_later - ages.until_end)
        at_end = np.exp(base - to_end - rate * ages.until_end)
        after = summed(at_end * -np.expm1(-beyond)) / alive
    return 1.0 - summed(at_begin) / alive, during, at_start, hidden, causes, after


def _at_one_start(
    chance: Floats, likely: Floats, first: npt.NDArray[np.int64], sizes: Floats, picks: Floats
) -> Floats:
    """The chance at one node of each part, picked in proportion to how likely the nodes are."""
    chosen = chance[:, first]
    for column, part in enumerate(np.flatnonzero(sizes > 1)):
        span = slice(first[part], first[part] + int(sizes[part]))
        total = np.cumsum(likely[:, span], axis=1)
        node = (picks[:, column, None] * total[:, -1:] > total).sum(axis=1)
        node = np.minimum(node, int(sizes[part]) - 1)
        chosen[:, part] = np.take_along_axis(chance[:, span], node[:, None], axis=1)[:, 0]
    return chosen


def ages_ahead(
    lives: Lives,
    ageing: Ageing,
    begin: float,
    end: float,
    seed: int = 0,
    own: OwnLives | None = None,
    *,
    later: float | None = None,
) -> AgesAhead:
    """Ages of the parts of one kind in service, at both ends of a window of days.

    Parameters
    ----------
    begin, end : float
        Days since 1970-01-01, not before the last day watched. For a boat that
        leaves earlier both come forward to that day.
    seed : int
        Source of chance for the effects of groups that the records do not hold.
    own : OwnLives, optional
        Parts that their own readings move, of the same `ageing`.
    later : float, optional
        End of a second window that follows the first.
    """
    in_service = (ageing.table["outcome"] == IN_SERVICE).to_numpy()
    nodes = ageing.nodes
    chosen = in_service[nodes.life]
    start = nodes.start[chosen]
    sizes = np.diff(np.append(nodes.first, len(nodes.life)))[in_service]
    first = np.concatenate([[0], np.cumsum(sizes)[:-1]]).astype(np.int64)[: len(sizes)]
    rows = ageing.table.iloc[nodes.life[chosen]]
    as_of = day_number(lives.as_of)
    leaves = day_numbers(rows["leaves_on"])
    days = {"now": np.full(len(start), as_of)}
    windows = {"begin": begin, "end": end} | ({} if later is None else {"later": later})
    days |= {name: np.fmin(leaves, day) for name, day in windows.items()}
    parts = ageing.table[in_service]
    factors = ageing.posterior.factors
    shift = None if factors is None else factors.of(parts, seed)
    shift = with_parts_to_come(shift, factors, parts, as_of, seed)
    sound, sound_years = nodes.lower[chosen], nodes.lower_years[chosen]
    if ageing.kind.clock == "hours":
        line = lives.usage.line_of(rows["boat"], rows["position"])
        # All days of a line in one go: each look-up goes from line to line.
        every = np.concatenate([start, *days.values()])
        ran, *ran_by = np.split(
            lives.usage.hours_at(np.tile(line, 1 + len(days)), every), 1 + len(days)
        )
        used = lives.usage.years_of_use(line, start)
        at = {name: by - ran for name, by in zip(days, ran_by, strict=True)}
        years = {name: lives.usage.years_of_use(line, day) - used for name, day in days.items()}
        seen = LastSeen(first, nodes.weight[chosen], sound, sound_years, shift)
        doubt = in_doubt(
            lives, ageing, seen, line, start, np.maximum(days["end"], as_of), seed, own
        )
    else:
        at = years = {name: (day - start) / DAYS_PER_YEAR for name, day in days.items()}
        doubt = None
    # What is said of a day to come counts from that day: no accident is waited for before it.
    known = np.fmax(np.maximum(as_of, start), day_numbers(rows["end_lo"]))
    ends, ages, spent = known, np.maximum(at["now"], sound), np.maximum(years["now"], sound_years)
    now, now_years = ages, spent
    ahead: dict[str, tuple[Floats, Floats, Floats]] = {}
    for name in windows:
        ends, ages = np.maximum(ends, days[name]), np.maximum(ages, at[name])
        spent = np.maximum(spent, years[name])
        ahead[name] = ages, spent, (ends - known) / DAYS_PER_YEAR
    beyond = ahead.get("later", (None, None, None))
    return AgesAhead(
        first=first,
        weight=nodes.weight[chosen],
        sound=sound,
        now=now,
        begin=ahead["begin"][0],
        end=ahead["end"][0],
        sound_years=sound_years,
        now_years=now_years,
        begin_years=ahead["begin"][1],
        end_years=ahead["end"][1],
        until_begin=ahead["begin"][2],
        until_end=ahead["end"][2],
        shift=shift,
        doubt=doubt,
        own=own,
        later=beyond[0],
        later_years=beyond[1],
        until_later=beyond[2],
        picks=_picks(parts[sizes > 1], len(ageing.posterior), seed),
    )


def _picks(undated: pd.DataFrame, n: int, seed: int) -> Floats:
    """Uniform numbers for each part, from a stream of its own whatever the other parts."""
    picks = np.empty((n, len(undated)))
    names = zip(undated["kind"], undated["boat"], undated["position"], strict=True)
    for column, name in enumerate(names):
        text = json.dumps(["day of fitting", *name])
        stream = int.from_bytes(blake2b(text.encode(), digest_size=8).digest(), "little")
        picks[:, column] = np.random.default_rng([seed, stream]).random(n)
    return picks
