"""What each simulated renewal costs: part, labour, and what a failure brings with it.

Renewals at one lay-up lift of one shaft line share the strip-down: their labour is the sum of
the hours that each takes with the shaft drawn, and the longest strip-down among them, counted
once. Every other renewal is a job alone and out of turn. What fails in the lay-up of a
boat that lies ashore is found ashore: a job alone at the planned price, and no more. Prices rise
from the day they were taken to the middle of the season year in which they are paid.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.decisions.prices import PriceList
from analytics.lives import Lives
from analytics.outlook.futures import ACCIDENT, PLANNED, WORN, Futures
from analytics.records.dates import Window, parse_window
from analytics.records.seasons import Season
from analytics.records.settings import Settings
from analytics.usage import DAYS_PER_YEAR, day_number

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]

_CELLS_AT_ONCE = 4_000_000
"""Cells of (future, shaft line, lift) looked at together: two arrays of 32 MB."""


@dataclass(frozen=True)
class RenewalCosts:
    """Cost of each renewal of some futures, in the fleet's currency of its season.

    Attributes
    ----------
    parts : ndarray, shape (n_renewals,)
        The part itself.
    labour : ndarray, shape (n_renewals,)
        Fitting it. Where a strip-down is shared, each renewal carries its share of it, in
        proportion to the strip-down it would need alone; afloat, times the multiplier.
    lift, tow : ndarray, shape (n_renewals,)
        Of failures afloat that stop the boat; else 0. A lay-up lift takes place anyway
        and is nobody's cost here.
    lost_days : ndarray, shape (n_renewals,)
        Charter days lost: of the same failures, where they fall in the charter season, and
        no more than are left of it.
    lost_income : ndarray, shape (n_renewals,)
        The income of those days.
    out_of_turn : ndarray of bool, shape (n_renewals,)
        Whether the renewal is a job alone, away from a lay-up lift.
    unpriced : tuple of str
        Part numbers (or kinds) without a price: they count 0.
    """

    parts: Floats
    labour: Floats
    lift: Floats
    tow: Floats
    lost_days: Floats
    lost_income: Floats
    out_of_turn: Bools
    unpriced: tuple[str, ...]

    @property
    def total(self) -> Floats:
        """All the money of each renewal, shape (n_renewals,)."""
        return np.asarray(self.parts + self.labour + self.lift + self.tow + self.lost_income)


def renewal_costs(lives: Lives, futures: Futures, prices: PriceList) -> RenewalCosts:
    """Say what every renewal costs.

    Parameters
    ----------
    futures : Futures
        From `outlook.futures.simulated_futures`. For many millions of renewals go through
        `by_season`: each renewal takes 49 bytes.
    prices : PriceList
        Without a price a part counts 0; without hours its labour does.

    Returns
    -------
    RenewalCosts
    """
    rates, part = lives.settings.rates, futures.part
    places = _Places.of(lives, futures, prices)
    alone = out_of_turn(lives, futures)
    goods, work = (rise[futures.season] for rise in rises(lives.settings, futures.seasons))
    days_left = charter_days_left(lives.settings, futures.day)
    afloat = alone & ~places.ashore[part] & (places.afloat[part] | (days_left > 0))
    hours = _hours_at_lifts(places, futures, ~alone)
    times = np.where(afloat[alone], rates.emergency_multiplier, 1.0)
    hours[alone] = (places.shared + places.strip)[part[alone]] * times
    stops = afloat & places.stops[part]
    stopped = np.where(stops, work, 0.0)
    lost_days = np.where(stops, np.minimum(places.lost_days[part], days_left), 0.0)
    return RenewalCosts(
        parts=places.price[part] * goods,
        labour=hours * rates.labour_per_hour * work,
        lift=stopped * (rates.lift_and_launch * rates.emergency_multiplier),
        tow=stopped * places.tow[part],
        lost_days=lost_days,
        lost_income=lost_days * rates.lost_day * work,
        out_of_turn=alone,
        unpriced=places.unpriced,
    )


def by_season(futures: Futures) -> Iterator[tuple[int, Futures]]:
    """Part futures into their seasons, so that not every renewal is priced at once.

    A lift lies within one season, so what the parts cost adds up to what the whole does.

    Yields
    ------
    int
        Which season.
    Futures
        The renewals of that season alone, in their order.
    """
    for at, season in enumerate(futures.seasons):
        mine = np.flatnonzero(futures.season == at)
        yield (
            at,
            replace(
                futures,
                seasons=(season,),
                future=futures.future[mine],
                part=futures.part[mine],
                day=futures.day[mine],
                how=futures.how[mine],
            ),
        )


def out_of_turn(lives: Lives, futures: Futures) -> Bools:
    """Which renewals are jobs alone: neither planned nor found at a lay-up lift."""
    kinds = futures.parts["kind"]
    ashore = np.array([lives.settings.kind(kind).found_ashore_only for kind in kinds], dtype=bool)
    at_lift = (futures.how == PLANNED) | (futures.how == WORN)
    at_lift |= (futures.how == ACCIDENT) & ashore[futures.part]
    return np.asarray(~at_lift)


def charter_days_left(settings: Settings, day: npt.NDArray[np.int32]) -> Floats:
    """Days of the charter season from some days on, themselves counted in; 0 out of season.

    Parameters
    ----------
    day : ndarray of int, shape (n,)
        Days since 1970-01-01.

    Returns
    -------
    ndarray, shape (n,)
        Without end where one season follows the other all year round.
    """
    rule = settings.seasons
    if rule.whole_year() or not len(day):
        return np.full(len(day), np.inf)
    first, last = int(day.min()), int(day.max())
    days = np.arange(first, last + 1)
    left = np.zeros(len(days))
    years = (date(1970, 1, 1) + timedelta(days=one) for one in (first, last))
    begin, end = (one.year for one in years)
    for season in map(rule.season, range(begin, end + 2)):
        until = day_number(season.end)
        chosen = (days >= day_number(season.start)) & (days <= until)
        left[chosen] = until + 1 - days[chosen]
    return np.asarray(left[day - first])


def without_price(futures: Futures, prices: PriceList) -> tuple[Bools, tuple[str, ...]]:
    """Which of `Futures.items` have no price, shape (n_items,), and what they are called."""
    items = list(futures.items.itertuples(index=False, name=None))
    missing = np.array([np.isnan(prices.of(*item).part) for item in items], dtype=bool)
    names = [part_no or kind for kind, part_no in items]
    return missing, tuple(names[i] for i in np.flatnonzero(missing).tolist())


def price_day(settings: Settings) -> date:
    """The day that prices are of: `price_date`, else the last day watched."""
    assert settings.as_of is not None  # the reader fills it in
    written = _price_window(settings.rates.price_date)
    return settings.as_of if written is None else written.lo + (written.hi - written.lo) / 2


def price_day_known(settings: Settings) -> bool:
    """Whether `price_date` says a day, a month or a year."""
    return _price_window(settings.rates.price_date) is not None


def _price_window(text: str) -> Window | None:
    try:
        return parse_window(text)
    except ValueError:
        return None


def paid_on(season: Season) -> date:
    """The day that a season's prices are of: the middle of its season year."""
    first = season.previous_end + timedelta(days=1)
    return first + (season.end - first) / 2


def rises(settings: Settings, seasons: tuple[Season, ...]) -> tuple[Floats, Floats]:
    """By how much parts, and all other rates, have risen in each season.

    Returns
    -------
    parts, other : ndarray, shape (n_seasons,)
        (1 + the increase of a year) to the power of the years from `price_day` to `paid_on`;
        1 where the prices are of a later day.
    """
    rates, taken = settings.rates, day_number(price_day(settings))
    days = np.array([day_number(paid_on(season)) - taken for season in seasons])
    years = np.maximum(days, 0.0) / DAYS_PER_YEAR
    return (1.0 + rates.price_increase) ** years, (1.0 + rates.labour_increase) ** years


@dataclass(frozen=True)
class _Places:
    """What one renewal in each place costs before any increase, each of shape (n_parts,).

    `shared` hours are worked in any case, `strip` hours once for all jobs at a lift; `ashore`
    are those whose failure shows only there, `afloat` those of boats that lie afloat all year;
    `line` is the number of the shaft line.
    """

    price: Floats
    shared: Floats
    strip: Floats
    stops: Bools
    ashore: Bools
    afloat: Bools
    tow: Floats
    lost_days: Floats
    line: npt.NDArray[np.int64]
    unpriced: tuple[str, ...]

    @classmethod
    def of(cls, lives: Lives, futures: Futures, prices: PriceList) -> _Places:
        settings, rates, parts = lives.settings, lives.settings.rates, futures.parts
        items = futures.items
        priced = [prices.of(kind, no) for kind, no in items.itertuples(index=False)]
        kinds = [settings.kind(kind) for kind in items["kind"]]
        item, usage = futures.item, lives.usage
        missing, unpriced = without_price(futures, prices)
        price = np.array([one.part for one in priced], dtype=np.float64)
        # Labour is left out with the part, as it is from the consequence of a failure.
        hours = np.array([one.labour_hours for one in priced], dtype=np.float64)
        alone = np.where(missing, 0.0, np.nan_to_num(hours))
        shared = np.array([one.shared_hours for one in priced], dtype=np.float64)
        shared = np.minimum(np.where(np.isnan(shared), alone, shared), alone)
        tow = [rates.tow if kind.tow is None else kind.tow for kind in kinds]
        lost = [rates.lost_days if kind.lost_days is None else kind.lost_days for kind in kinds]
        return cls(
            price=np.nan_to_num(price)[item],
            shared=shared[item],
            strip=(alone - shared)[item],
            stops=np.array([kind.stops_the_boat for kind in kinds], dtype=bool)[item],
            ashore=np.array([kind.found_ashore_only for kind in kinds], dtype=bool)[item],
            afloat=usage.afloat[usage.line_of(parts["boat"], parts["position"])],
            tow=np.array(tow, dtype=np.float64)[item],
            lost_days=np.array(lost, dtype=np.float64)[item],
            line=_numbered(parts),
            unpriced=unpriced,
        )


def _numbered(parts: pd.DataFrame) -> npt.NDArray[np.int64]:
    lines = parts.groupby(["boat", "position"], sort=True).ngroup()
    return np.asarray(lines, dtype=np.int64)


def _hours_at_lifts(places: _Places, futures: Futures, at_lift: Bools) -> Floats:
    """Hours of each renewal at a lift, its share of the strip-down in them; 0 elsewhere."""
    hours = np.where(at_lift, places.shared[futures.part], 0.0)
    if not (places.strip > 0).any():
        return hours
    chosen = np.flatnonzero(at_lift & (places.strip > 0)[futures.part])
    if not len(chosen):
        return hours
    future, part = futures.future[chosen], futures.part[chosen]
    first_day = futures.day[chosen].min()
    since = futures.day[chosen] - first_day
    lift_of_day = np.cumsum(np.bincount(since) > 0) - 1
    n_lines, n_lifts = int(places.line.max()) + 1, int(lift_of_day[-1]) + 1
    cell = places.line[part] * n_lifts + lift_of_day[since]
    step = max(1, _CELLS_AT_ONCE // (n_lines * n_lifts))
    for begin in range(0, futures.n_futures, step):
        mine = (
            slice(None)
            if step >= futures.n_futures
            else np.flatnonzero((future >= begin) & (future < begin + step))
        )
        strip = places.strip[part[mine]]
        at = (future[mine].astype(np.int64) - begin) * (n_lines * n_lifts) + cell[mine]
        size = min(step, futures.n_futures - begin) * n_lines * n_lifts
        together = np.bincount(at, weights=strip, minlength=size)
        longest = np.zeros(size)
        np.maximum.at(longest, at, strip)
        hours[chosen[mine]] += longest[at] * (strip / together[at])
    return hours
