"""Ways of deciding when to renew, compared on the same simulated futures.

What each renewal costs is said by `decisions.costing.renewal_costs`, as in the budget.
Every rule meets the same draws of the same chance, so that a difference between two rules
is known better than either of them.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.ageing.curves import BAND
from analytics.ageing.fit import FleetAgeing
from analytics.ageing.wear.fleet_wear import FleetOwnLives
from analytics.decisions.costing import RenewalCosts, by_season, charter_days_left, renewal_costs
from analytics.decisions.policy_limits import Rule
from analytics.decisions.prices import PriceList
from analytics.lives import Lives
from analytics.outlook.futures import (
    N_FUTURES,
    PLANNED,
    Futures,
    Progress,
    simulated_futures,
)
from analytics.records.seasons import Season

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]

ALL = "all"

MEASURES = (
    *("failures", "failures_out_of_season", "found_worn", "renewed_sound", "parts_renewed"),
    *("parts_cost", "labour_cost", "consequence_cost", "cost"),
    *("lifts_with_work", "lifts_out_of_turn"),
)
"""What is compared. Failures: not found at a lay-up lift, accidents among them, in the charter
season and out of it, where some are found ashore. Found worn: at a lay-up lift. Consequence: lift
out of turn, tow, lost charter days. Lifts with work: lay-up lifts of a boat at which anything is
renewed."""

COLUMNS = [
    *("policy", "kind", "seasons", "measure", "mean", "low", "high"),
    *("difference", "difference_low", "difference_high", "lower_in", "currency"),
]


@dataclass(frozen=True)
class Outcome:
    """What one rule brings in every future.

    Attributes
    ----------
    rule : Rule
    kinds : tuple of str
        `ALL`, and each kind.
    amounts : mapping of str to ndarray, shape (n_futures, n_seasons, n_kinds)
        By measure, see `MEASURES`.
    unpriced : tuple of str
        Part numbers (or kinds) without a price: they cost nothing here.
    """

    rule: Rule
    kinds: tuple[str, ...]
    amounts: Mapping[str, Floats]
    unpriced: tuple[str, ...]

    def total(self, measure: str, kind: str = ALL, seasons: int | None = None) -> Floats:
        """Sum over the first seasons, shape (n_futures,)."""
        amounts = self.amounts[measure][:, :seasons, self.kinds.index(kind)]
        return np.asarray(amounts.sum(axis=1))

    def of_kinds(self, names: tuple[str, ...]) -> Outcome:
        """The same, of some kinds alone."""
        at = [self.kinds.index(name) for name in names]
        amounts = {name: amount[:, :, at] for name, amount in self.amounts.items()}
        return replace(self, kinds=names, amounts=amounts)


@dataclass(frozen=True)
class Compared:
    """Rules compared on the same futures, that of today's limits first.

    Attributes
    ----------
    seasons : tuple of Season
    outcomes : tuple of Outcome
    n_futures : int
    threshold : float
        Of the rule by risk.
    """

    seasons: tuple[Season, ...]
    outcomes: tuple[Outcome, ...]
    n_futures: int
    threshold: float

    @property
    def kinds(self) -> tuple[str, ...]:
        """`ALL`, and each kind in service."""
        return self.outcomes[0].kinds


def compared(
    lives: Lives,
    ageing: FleetAgeing,
    prices: PriceList,
    seasons: Sequence[Season],
    rules: Sequence[Rule],
    *,
    threshold: float,
    n_futures: int = N_FUTURES,
    seed: int = 0,
    own: FleetOwnLives | None = None,
    progress: Progress | None = None,
) -> Compared:
    """Simulate each rule over the coming seasons with the same source of chance.

    Parameters
    ----------
    rules : sequence of Rule
        From `policy_limits.rules`, the first the one that the others are compared with.
    own : mapping, optional
        From `fleet_own_lives`: parts that their own readings move.
    progress : callable, optional
        Called before each rule.
    """
    outcomes = []
    for done, rule in enumerate(rules):
        if progress:
            progress(f"rule '{rule.name.replace('_', ' ')}'", done, len(rules))
        futures = simulated_futures(
            lives,
            ageing,
            seasons,
            n_futures=n_futures,
            seed=seed,
            own=own,
            policy=rule.limits,
        )
        outcomes.append(outcome_of(lives, futures, prices, rule))
    return Compared(tuple(seasons), tuple(outcomes), n_futures, threshold)


def outcome_of(lives: Lives, futures: Futures, prices: PriceList, rule: Rule) -> Outcome:
    """Count and cost the renewals of one rule, by future, season and kind."""
    kinds = sorted(futures.parts["kind"].unique())
    pieces: list[dict[str, Floats]] = []
    unpriced: tuple[str, ...] = ()
    for _, renewals in by_season(futures):
        costs = renewal_costs(lives, renewals, prices)
        unpriced = costs.unpriced
        in_season = charter_days_left(lives.settings, renewals.day) > 0
        pieces.append(_amounts(renewals, costs, kinds, in_season))
    amounts = {name: np.concatenate([piece[name] for piece in pieces], axis=1) for name in MEASURES}
    return Outcome(rule, (ALL, *kinds), amounts, unpriced)


def _amounts(
    futures: Futures, costs: RenewalCosts, kinds: Sequence[str], in_season: Bools
) -> dict[str, Floats]:
    sums = _Sums(futures, kinds)
    afloat, planned = costs.out_of_turn, futures.how == PLANNED
    counts = {
        "failures": afloat & in_season,
        "failures_out_of_season": afloat & ~in_season,
        "found_worn": ~afloat & ~planned,
        "renewed_sound": planned,
        "parts_renewed": np.ones(len(planned), dtype=bool),
        "lifts_out_of_turn": costs.lift > 0,
    }
    money = {
        "parts_cost": costs.parts,
        "labour_cost": costs.labour,
        "consequence_cost": costs.lift + costs.tow + costs.lost_income,
        "cost": costs.total,
    }
    amounts = {name: sums.of(which.astype(float)) for name, which in counts.items()}
    amounts |= {name: sums.of(amount) for name, amount in money.items()}
    return amounts | {"lifts_with_work": sums.boats(~afloat)}


def comparison(
    found: Compared, currency: str, *, kind: str = ALL, seasons: int | None = None
) -> pd.DataFrame:
    """`COLUMNS`: a row for each rule and measure, with the difference to the first rule.

    `low` and `high` hold 90 % of the futures, luck and parameters together; those of the
    difference are of the differences future by future. `lower_in` is the share of futures in
    which the measure is lower than under the first rule.
    """
    horizon = len(found.seasons) if seasons is None else seasons
    first = found.outcomes[0]
    rows: list[dict[str, Any]] = []
    for outcome in found.outcomes:
        for measure in MEASURES:
            total = outcome.total(measure, kind, horizon)
            difference = total - first.total(measure, kind, horizon)
            rows.append(
                {
                    "policy": outcome.rule.name,
                    "kind": kind,
                    "seasons": horizon,
                    "measure": measure,
                    **_range("", total),
                    **_range("difference", difference),
                    "lower_in": float((difference < 0).mean()),
                    "currency": currency if measure.endswith("cost") else "",
                }
            )
    return pd.DataFrame(rows, columns=COLUMNS)


def policies_table(found: Compared, currency: str) -> pd.DataFrame:
    """`comparison` of every kind over one season, two, and so on to the last.

    `risk_threshold` says on every row which chance the rule by risk was asked with.
    """
    tables = [
        comparison(found, currency, kind=kind, seasons=seasons)
        for kind in found.kinds
        for seasons in range(1, len(found.seasons) + 1)
    ]
    whole = pd.concat(tables, ignore_index=True)
    return whole.assign(risk_threshold=found.threshold)


def _range(name: str, values: Floats) -> dict[str, float]:
    low, high = np.quantile(values, BAND)
    before = f"{name}_" if name else ""
    return {
        name or "mean": float(values.mean()),
        f"{before}low": float(low),
        f"{before}high": float(high),
    }


class _Sums:
    """Sums of what belongs to renewals, by future, season and kind; the first kind is all."""

    def __init__(self, futures: Futures, kinds: Sequence[str]) -> None:
        self.futures = futures
        self.shape = futures.n_futures, len(futures.seasons), len(kinds)
        number = {name: at for at, name in enumerate(kinds)}
        of_part = np.array([number[name] for name in futures.parts["kind"]], dtype=np.int64)
        self.kind = of_part[futures.part]
        cell = (futures.future, futures.season, self.kind)
        self.at = np.ravel_multi_index(cell, self.shape)
        self.boat = pd.factorize(futures.parts["boat"])[0][futures.part].astype(np.int64)

    def of(self, amounts: Floats) -> Floats:
        """Sums of an amount of each renewal, shape (n_futures, n_seasons, 1 + n_kinds)."""
        size = int(np.prod(self.shape))
        sums = np.bincount(self.at, weights=amounts, minlength=size).astype(np.float64)
        by_kind = sums.reshape(self.shape)
        return self._with_all(by_kind, by_kind.sum(axis=2))

    def boats(self, chosen: Bools) -> Floats:
        """Boats with any of the renewals chosen; a season has one lay-up lift of each."""
        n_boats = int(self.boat.max(initial=0)) + 1
        of_boat = np.unique(self.at[chosen] * n_boats + self.boat[chosen])
        by_kind = self._counted(of_boat // n_boats, self.shape)
        # Once for a boat, however many kinds are renewed.
        season_of = of_boat // n_boats // self.shape[2]
        whole = np.unique(season_of * n_boats + of_boat % n_boats)
        return self._with_all(by_kind, self._counted(whole // n_boats, self.shape[:2]))

    @staticmethod
    def _counted(at: npt.NDArray[np.int64], shape: tuple[int, ...]) -> Floats:
        counts = np.bincount(at, minlength=int(np.prod(shape)))
        return counts.reshape(shape).astype(np.float64)

    @staticmethod
    def _with_all(by_kind: Floats, every: Floats) -> Floats:
        return np.concatenate([every[:, :, None], by_kind], axis=2)
