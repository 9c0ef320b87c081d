"""The parts budget: quantities and money by season, kind, part number, size, base and month.

Every line and every total is a distribution over the simulated futures. A total's percentiles
are those of the simulated totals: percentiles of lines do not add up. Means do, so the money of
parts, of sizes, of bases and of months each add up to that of the season.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.decisions.budget_lines import (
    COST_COLUMNS,
    HOW_COLUMNS,
    MONEY_COLUMNS,
    QUANTITY_COLUMNS,
    Renewed,
    headed,
    joined_sums,
    lines_of,
    mean_lines_of,
    with_totals,
)
from analytics.decisions.budget_spread import Spread, spread_of
from analytics.decisions.costing import by_season, without_price
from analytics.decisions.prices import PriceList
from analytics.lives import Lives
from analytics.outlook.futures import Futures
from analytics.records.seasons import Season
from analytics.usage import day_number

__all__ = ["ALL", "BUDGET_COLUMNS", "HOW_COLUMNS", "MONEY_COLUMNS", "Budget", "parts_budget"]

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Bools = npt.NDArray[np.bool_]

BUDGET_COLUMNS = ["season", "kind", "part_no", *QUANTITY_COLUMNS, *COST_COLUMNS, "currency"]
"""Columns that other programs may rely on."""

ALL = "all"

_TRIPS_AT_ONCE = 50_000_000


@dataclass(frozen=True)
class Budget:
    """What the coming seasons need: parts and the labour of fitting them.

    Money is NaN where nothing in a line has a price. Every table but `boats` has
    `budget_lines.LINE_COLUMNS` after the columns named here.

    Attributes
    ----------
    seasons : tuple of Season
        In order.
    lines : DataFrame
        `season, kind, part_no`; kind "all" is the fleet, part number "all" the whole kind.
    sizes, bases : DataFrame
        `season, size` and `season, base`; blank where it is not known.
    months : DataFrame
        `season, month` ("2027-01"), every month from the first day of `period`; planned work
        falls in the month of the lay-up lift.
    boats : DataFrame
        `season, boat, base`, and the columns that are means.
    horizon : DataFrame
        `seasons`: one row, all of them together.
    spreads : tuple of Spread
        Of each season's total, then of all seasons together: luck and knowledge apart.
    certain_parts : int
        Parts that are renewed in the first season in every simulated future.
    certain_cost : float
        Their planned part of `committed`, which is a mean: what is already certain of it, as far
        as these records know.
    totals : ndarray, shape (n_futures, n_seasons)
        Money of each future and season, for drawing the distribution.
    n_draws : int
        Future f has draw f % n_draws of the posterior.
    period : tuple of date
        First and last day on which the renewals of the first season fall: from the day after
        the last one watched, even where another season is still running, to its end.
    unpriced : tuple of str
        Part numbers (or kinds) without a price; their money is not in the sums.
    """

    seasons: tuple[Season, ...]
    lines: pd.DataFrame
    sizes: pd.DataFrame
    bases: pd.DataFrame
    months: pd.DataFrame
    boats: pd.DataFrame
    horizon: pd.DataFrame
    spreads: tuple[Spread, ...]
    certain_parts: int
    certain_cost: float
    totals: Floats
    n_draws: int
    period: tuple[date, date]
    unpriced: tuple[str, ...]

    def fleet(self) -> pd.DataFrame:
        """The fleet's total of each season."""
        return self.lines[self.lines["kind"] == ALL].reset_index(drop=True)

    def kinds(self) -> pd.DataFrame:
        """The total of each kind and season."""
        chosen = (self.lines["part_no"] == ALL) & (self.lines["kind"] != ALL)
        return self.lines[chosen].reset_index(drop=True)

    def part_numbers(self) -> pd.DataFrame:
        """The lines of single part numbers."""
        return self.lines[self.lines["part_no"] != ALL].reset_index(drop=True)


def parts_budget(lives: Lives, futures: Futures, prices: PriceList) -> Budget:
    """Turn simulated renewals into quantities and money.

    Parameters
    ----------
    futures : Futures
        From `outlook.futures.simulated_futures`.
    prices : PriceList
        Parts and labour; haul-outs, tows and lost days are not in a parts budget.
    """
    maker = _Maker(lives, futures, prices)
    seasons = [maker.season(at, one) for at, one in by_season(futures)]
    tables = {
        name: pd.concat([season[name] for season in seasons], ignore_index=True)
        for name in seasons[0]
    }
    every = maker.totals.sum(axis=1)
    spreads = [spread_of(total, futures.n_draws) for total in (*maker.totals.T, every)]
    return Budget(
        seasons=futures.seasons,
        **tables,
        horizon=maker.horizon(every),
        spreads=tuple(spreads),
        certain_parts=maker.certain_parts,
        certain_cost=maker.certain_cost,
        totals=maker.totals,
        n_draws=futures.n_draws,
        period=(maker.first_day(0), futures.seasons[0].end),
        unpriced=maker.unpriced,
    )


class _Maker:
    """Makes the tables of one season after the other, and keeps what goes across them."""

    def __init__(self, lives: Lives, futures: Futures, prices: PriceList) -> None:
        self.lives, self.futures, self.prices = lives, futures, prices
        self.currency = lives.settings.currency
        self.item = futures.item
        missing, self.unpriced = without_price(futures, prices)
        self.priced = ~missing[self.item]
        self.items_priced = ~missing
        n_seasons = len(futures.seasons)
        self.totals = np.zeros((futures.n_futures, n_seasons))
        self.numbers = np.zeros(futures.n_futures, dtype=np.int64)
        self.sums = np.zeros((1, 7))
        self.certain_parts, self.certain_cost = 0, 0.0

    def season(self, at: int, futures: Futures) -> dict[str, pd.DataFrame]:
        """The tables of one season, by name."""
        season, parts = futures.seasons[0], futures.parts
        renewed = Renewed.of(self.lives, futures, self.prices)
        of_places = renewed.sums(renewed.part.astype(np.int64), len(parts))
        if at == 0:
            self._certain(renewed, of_places)
        lines, whole = self._lines(season, renewed, of_places)
        self.totals[:, at] = whole[1]
        self.numbers += whole[0]
        self.sums += of_places.sum(axis=0)
        return {
            "lines": lines,
            "sizes": self._by(season, "size", renewed, of_places),
            "bases": self._by(season, "base", renewed, of_places),
            "months": self._months(at, renewed),
            "boats": self._boats(season, of_places),
        }

    def horizon(self, every: Floats) -> pd.DataFrame:
        """All the seasons together."""
        years = [season.year for season in self.futures.seasons]
        line = lines_of(
            self.sums, self.numbers[None], every[None], self._any_priced(), self.currency
        )
        return headed(line, seasons=f"{years[0]} to {years[-1]}" if years[1:] else str(years[0]))

    def first_day(self, at: int) -> date:
        """The first day of what is to come of a season: of the first, the first day to come."""
        before = self.futures.seasons[at].previous_end if at else self.lives.as_of
        return before + timedelta(days=1)

    def _any_priced(self, n_groups: int = 1) -> Bools:
        return np.full(n_groups, bool(self.priced.any()))

    def _lines(
        self, season: Season, renewed: Renewed, of_places: Floats
    ) -> tuple[pd.DataFrame, tuple[Ints, Floats]]:
        """The fleet, each kind and each part number; and the fleet's own number and money."""
        items = self.futures.items
        number, cost = renewed.drawn(self.item[renewed.part], len(items))
        sums = joined_sums(of_places, self.item, len(items))
        names = list(dict.fromkeys(items["kind"]))
        of_kind = np.array([names.index(kind) for kind in items["kind"]], dtype=np.int64)
        firsts = np.searchsorted(of_kind, np.arange(len(names)))  # items are in the order of kinds
        numbers, costs = with_totals(number, firsts), with_totals(cost, firsts)
        known = with_totals(self.items_priced.astype(np.int64), firsts) > 0
        made = lines_of(with_totals(sums, firsts), numbers, costs, known, self.currency)
        kinds = [ALL, *names, *items["kind"]]
        part_nos = [ALL, *[ALL] * len(names), *items["part_no"]]
        made = headed(made, season=season.year, kind=kinds, part_no=part_nos)
        place = np.concatenate([[-1.0], np.arange(len(names)), of_kind])
        order = np.argsort(place, kind="stable")
        return made.iloc[order], (numbers[0], costs[0])

    def _by(self, season: Season, name: str, renewed: Renewed, of_places: Floats) -> pd.DataFrame:
        """Lines by a column of the places."""
        group, values = pd.factorize(self.futures.parts[name].fillna("").astype(str), sort=True)
        group, n = group.astype(np.int64), len(values)
        number, cost = renewed.drawn(group[renewed.part], n)
        priced = np.bincount(group, weights=self.priced, minlength=n) > 0
        made = lines_of(joined_sums(of_places, group, n), number, cost, priced, self.currency)
        return headed(made, season=season.year, **{name: list(values)})

    def _months(self, at: int, renewed: Renewed) -> pd.DataFrame:
        """Lines by calendar month."""
        season, first = self.futures.seasons[at], self.first_day(at)
        # What fails on the last day watched is renewed from the next on.
        days = np.maximum(renewed.day, int(day_number(first))).astype("datetime64[D]")
        begin = np.datetime64(first, "M")
        group = (days.astype("datetime64[M]") - begin).astype(np.int64)
        n = int((np.datetime64(season.end, "M") - begin).astype(np.int64)) + 1
        number, cost = renewed.drawn(group, n)
        sums = renewed.sums(group, n)
        made = lines_of(sums, number, cost, self._any_priced(n), self.currency)
        return headed(made, season=season.year, month=[str(begin + i) for i in range(n)])

    def _boats(self, season: Season, of_places: Floats) -> pd.DataFrame:
        """Means by boat."""
        parts = self.futures.parts
        group, boats = pd.factorize(parts["boat"], sort=True)
        n = len(boats)
        priced = np.bincount(group, weights=self.priced, minlength=n) > 0
        made = mean_lines_of(
            joined_sums(of_places, group.astype(np.int64), n),
            self.futures.n_futures,
            priced,
            self.currency,
        )
        bases = parts.drop_duplicates("boat").set_index("boat")["base"].reindex(boats)
        return headed(made, season=season.year, boat=list(boats), base=list(bases))

    def _certain(self, renewed: Renewed, of_places: Floats) -> None:
        """Places renewed in every future, and the planned money of them."""
        n_futures, counts = self.futures.n_futures, of_places[:, :4].sum(axis=1)
        likely = np.flatnonzero(counts >= n_futures)
        step = max(1, _TRIPS_AT_ONCE // n_futures)
        for begin in range(0, len(likely), step):
            some = likely[begin : begin + step]
            number = np.full(len(counts), -1)
            number[some] = np.arange(len(some))
            mine = number[renewed.part]
            chosen = mine >= 0
            seen = np.zeros((len(some), n_futures), dtype=bool)
            seen[mine[chosen], renewed.future[chosen]] = True
            sure = some[seen.all(axis=1)]
            self.certain_parts += len(sure)
            self.certain_cost += float(of_places[sure, 4].sum()) / n_futures
