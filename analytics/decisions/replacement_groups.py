"""At what age to replace, for each kind and each base: what it costs, beside the written limit.

A base has its own cost per year where its parts last longer or shorter, or run more hours
a year, than those of the fleet. Its curve is that of the next parts in its places: of the
typical place there (the mean effect on the log of life over the parts in service), and of
a lot that nobody has seen. What a renewal costs is the mean over the same parts; a failure may
fall on any day of the year, in the charter season or out of it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from math import ceil
from typing import Any, Literal

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.ageing.curves import BAND
from analytics.ageing.fit import Ageing, FleetAgeing
from analytics.decisions.consequence import failure_costs_all_year
from analytics.decisions.prices import PriceList
from analytics.decisions.replacement_age import NEAR_BEST, Costs, ReplacementAge, replacement_age
from analytics.lives import IN_SERVICE, Lives
from analytics.records.kinds import Kind
from analytics.records.seasons import SeasonRule
from analytics.usage import DAYS_PER_YEAR, LIMIT_TOLERANCE

Floats = npt.NDArray[np.float64]

ALL = "all"
"""Stands for every base."""

Stands = Literal["limit", "none"]

CURVE_COLUMNS = [
    *("kind", "base", "years", "age", "clock", "lift_on", "cost", "cost_low", "cost_high"),
    *("cost_per_1000_hours", "cost_per_1000_hours_low", "cost_per_1000_hours_high"),
    *("best_in", "about_as_good", "is_best", "is_limit", "currency"),
]

AGES_COLUMNS = [
    *("kind", "base", "parts", "clock", "units_per_year", "factor", "factor_low", "factor_high"),
    *("planned_cost", "failed_cost", "found_at_lift", "best", "best_low", "best_high"),
    *("good_from", "good_to", "cost_best", "cost_to_failure"),
    *("saving", "saving_low", "saving_high", "gains_nothing"),
    *("limit", "limit_from", "limit_dearer", "limit_dearer_low", "limit_dearer_high"),
    *("stands", "stands_at", "cheaper_age", "differs", "rests_on_prior", "currency"),
]


@dataclass(frozen=True)
class GroupAge:
    """The age of replacement of one kind, at one base or everywhere.

    Attributes
    ----------
    kind : Kind
    base : str
        Its name, or `ALL`.
    parts : int
        In service there.
    unpriced : int
        Of these, without a price; they are left out of the mean cost.
    found : ReplacementAge or None
        None where none of them has a price, so that nothing can be weighed.
    factor : tuple of float
        How many times as long parts last as those of the whole fleet: median, and 90 % range.
    limit : float or None
        Years after fitting of the lift at which the written limit is reached; None where
        there is none.
    rests_on_prior : bool
        Whether the records say too little to be called a fit.
    differs : bool
        Whether the fleet's best age is not about as good at this base.
    """

    kind: Kind
    base: str
    parts: int
    unpriced: int
    found: ReplacementAge | None
    factor: tuple[float, float, float]
    limit: float | None
    rests_on_prior: bool
    differs: bool = False

    @property
    def best(self) -> float | None:
        """Years after fitting at which it costs least; None where no age gains anything."""
        return None if self.found is None or self.found.gains_nothing else self.found.best

    @property
    def stands(self) -> Stands:
        """Whether a written limit stands; an age of least cost is never a limit."""
        return "none" if self.limit is None else "limit"

    @property
    def stands_at(self) -> float | None:
        """The lift of the written limit, in years after fitting; None where there is none."""
        return self.limit

    @property
    def cheaper(self) -> float | None:
        """The age of least cost, where it is clearly cheaper than what is done otherwise.

        That is the written limit, or without one running to failure; clearly means that the
        90 % range of the difference leaves out 0.
        """
        if self.best is None or self.found is None or self.best == self.limit:
            return None
        gain = self.found.saving if self.limit is None else self.found.dearer(self.limit)
        return self.best if np.quantile(gain, BAND[0]) > 0 else None


def replacement_ages(
    lives: Lives, ageing: FleetAgeing, prices: PriceList, seed: int = 0
) -> tuple[GroupAge, ...]:
    """The age of replacement of every kind in service, for the fleet and for each base.

    A lot that is fitted on its own is not looked at: what follows its parts is of another
    lot. A base is looked at on its own where the records tell factors on life, or where the
    kind ages by hours, for a kind that is in service at more than one.

    Parameters
    ----------
    seed : int
        Source of chance for the effects of groups that the records do not hold.
    """
    found: list[GroupAge] = []
    for name in sorted({name for name, _ in ageing}):
        of_kind = {group: one for (kind, group), one in ageing.items() if kind == name}
        fitted = of_kind.get("all", next(iter(of_kind.values())))
        rows = pd.concat(
            [one.table[one.table["outcome"] == IN_SERVICE] for one in of_kind.values()]
        )
        if rows.empty:
            continue
        shifts = _shifts(fitted, rows, seed)
        every = np.ones(len(rows), dtype=bool)
        everywhere = _of_group(lives, fitted, prices, rows, ALL, every, shifts)
        found.append(everywhere)
        bases = rows["base"].fillna("").astype(str)
        names = [base for base in sorted(bases.unique()) if base]
        if len(names) < 2 or (shifts is None and fitted.kind.clock != "hours"):
            continue
        for base in names:
            here = (bases == base).to_numpy()
            own = _of_group(lives, fitted, prices, rows, base, here, shifts)
            found.append(_compared(own, everywhere))
    return tuple(found)


def lift_of(kind: Kind, units_per_year: float) -> float | None:
    """Years after fitting of the lift at which a kind's written limit is reached, to a day.

    Parameters
    ----------
    units_per_year : float
        To place a limit in hours.
    """
    years = [] if kind.limit is None else [kind.limit / units_per_year]
    years += [] if kind.limit_years is None else [kind.limit_years]
    return float(max(ceil(min(years) - LIMIT_TOLERANCE / DAYS_PER_YEAR), 1)) if years else None


def curve_table(ages: tuple[GroupAge, ...], rule: SeasonRule, lives: Lives) -> pd.DataFrame:
    """`CURVE_COLUMNS`: cost by age for each kind and base.

    `lift_on` is the day of that lift for a part that is fitted at the next one.
    """
    tables = []
    for one in ages:
        if one.found is None:
            continue
        table = one.found.table()
        table["kind"], table["base"], table["clock"] = one.kind.name, one.base, one.kind.unit
        table["lift_on"] = _lifts_after(rule, lives.as_of, table["years"].to_numpy())
        for column in ("cost", "cost_low", "cost_high"):
            per_hours = one.found.per_thousand(table[column].to_numpy())
            table[column.replace("cost", "cost_per_1000_hours")] = (
                per_hours if one.kind.clock == "hours" else np.nan
            )
        table["is_best"] = table["years"] == (-1.0 if one.best is None else one.best)
        table["is_limit"] = table["years"] == (-1.0 if one.limit is None else one.limit)
        table["currency"] = lives.settings.currency
        tables.append(table[CURVE_COLUMNS])
    return pd.concat(tables, ignore_index=True) if tables else pd.DataFrame(columns=CURVE_COLUMNS)


def next_lift(rule: SeasonRule, as_of: date) -> date:
    """The first lay-up lift that can still take place after a day."""
    return rule.next_lift(as_of)


def _lifts_after(rule: SeasonRule, as_of: date, years: Floats) -> list[str]:
    """Days of the lay-up lifts so many years after the next one."""
    first = rule.season_of_next_lift(as_of).year
    return [str(rule.season(first + round(float(after))).lift_on) for after in years]


def ages_table(ages: tuple[GroupAge, ...], currency: str) -> pd.DataFrame:
    """`AGES_COLUMNS`: a row for each kind and base; ages are years after fitting.

    Where no age gains anything there is no best age, and `cost_best` is the least of any age.
    """
    return pd.DataFrame([_row(one, currency) for one in ages], columns=AGES_COLUMNS)


def _row(one: GroupAge, currency: str) -> dict[str, Any]:
    row: dict[str, Any] = {
        "kind": one.kind.name,
        "base": one.base,
        "parts": one.parts,
        "clock": one.kind.unit,
        "factor": one.factor[0],
        "factor_low": one.factor[1],
        "factor_high": one.factor[2],
        "found_at_lift": one.kind.found_ashore_only,
        "limit": np.nan if one.limit is None else one.limit,
        "limit_from": "" if one.limit is None else one.kind.limit_from,
        "stands": one.stands,
        "stands_at": np.nan if one.stands_at is None else one.stands_at,
        "cheaper_age": np.nan if one.cheaper is None else one.cheaper,
        "differs": one.differs,
        "rests_on_prior": one.rests_on_prior,
        "currency": currency,
    }
    found = one.found
    if found is None:
        return row
    row |= {
        "units_per_year": found.units_per_year,
        "planned_cost": found.costs.planned,
        "failed_cost": found.costs.failed,
        "best": np.nan if one.best is None else one.best,
        "cost_to_failure": found.to_failure.mean(),
        "cost_best": found.at(found.best).mean(),
        "gains_nothing": found.gains_nothing,
    }
    if one.best is not None:
        row["best_low"], row["best_high"] = found.best_range
        row["good_from"], row["good_to"] = found.about_as_good
    row |= _interval("saving", found.saving)
    return row if one.limit is None else row | _interval("limit_dearer", found.dearer(one.limit))


def _interval(name: str, draws: Floats) -> dict[str, float]:
    low, high = np.quantile(draws, BAND)
    return {name: float(draws.mean()), f"{name}_low": float(low), f"{name}_high": float(high)}


def _of_group(
    lives: Lives,
    fitted: Ageing,
    prices: PriceList,
    every: pd.DataFrame,
    base: str,
    here: npt.NDArray[np.bool_],
    shifts: Floats | None,
) -> GroupAge:
    """Of those parts in service that are `here`; `shifts` as from `_shifts`."""
    kind, rates, rows = fitted.kind, lives.settings.rates, every[here]
    priced = [prices.of(kind.name, part_no) for part_no in rows["part_no"]]
    planned = np.array([price.planned(rates) for price in priced])
    failed = failure_costs_all_year(lives, kind, rows, priced)
    known = np.isfinite(planned) & np.isfinite(failed)
    units = _units_per_year(lives, kind, rows)
    # The typical place: the mean effect on the log of life.
    shift = None if shifts is None else shifts[:, here].mean(axis=1)
    longer = np.zeros(1)
    if shifts is not None and shift is not None and base != ALL:
        longer = shift - shifts.mean(axis=1)
    low, middle, high = np.exp(np.quantile(longer, [BAND[0], 0.5, BAND[1]]))
    found = None
    if known.any() and planned[known].mean() > 0 and failed[known].mean() > 0:
        found = replacement_age(
            fitted,
            Costs(float(planned[known].mean()), float(failed[known].mean())),
            shift=shift,
            units_per_year=units,
            found_at_lift=kind.found_ashore_only,
        )
    return GroupAge(
        kind=kind,
        base=base,
        parts=len(rows),
        unpriced=int((~known).sum()),
        found=found,
        factor=(float(middle), float(low), float(high)),
        limit=lift_of(kind, units),
        rests_on_prior=fitted.rests_on_prior,
    )


def _compared(own: GroupAge, everywhere: GroupAge) -> GroupAge:
    """Whether what is best for the fleet is not about as good at a base."""
    if own.found is None or everywhere.found is None:
        return own
    here = own.found
    fleets = here.to_failure if everywhere.best is None else here.at(everywhere.best)
    differs = fleets.mean() > (1 + NEAR_BEST) * here.least.mean()
    return replace(own, differs=bool(differs))


def _shifts(fitted: Ageing, rows: pd.DataFrame, seed: int) -> Floats | None:
    """Effect on the log of life of the parts that follow these, shape (n_draws, n_parts)."""
    factors = fitted.posterior.factors
    return None if factors is None else factors.of(rows, seed, renewed=True)


def _units_per_year(lives: Lives, kind: Kind, rows: pd.DataFrame) -> float:
    if kind.clock == "years":
        return 1.0
    line = lives.usage.line_of(rows["boat"], rows["position"])
    return float(max(lives.usage.rate[line].mean(), 1.0))
