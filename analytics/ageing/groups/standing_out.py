"""Groups whose parts last shorter or longer than the others, and lots of another kind of life.

For every level that was looked at: the factor on life that goes with it, with its
interval, and the chance that it shortens life by more than a tenth. Effects are
shrunk towards none by the spread of their field, so that the most striking of many
levels is not striking by being the most striking of many; how many were looked at
is told all the same. A factor says what goes together in these records. It does
not say why.

A lot whose parts do not merely last shorter but wear out differently fits no
factor. Each lot with enough failures is tried apart, with a scale and a shape of its
own, against the same lot as one of all, by how well each explains the records
(Bayes factor, integrals by Laplace's method: Kass & Raftery, Bayes factors, 1995;
from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd
from scipy.optimize import minimize

from analytics.ageing.clocks import Nodes
from analytics.ageing.curves import BAND
from analytics.ageing.fit import Ageing
from analytics.ageing.groups.fields import (
    ENOUGH_FAILURES,
    ENOUGH_OF_LEVEL,
    PLACE,
    Field,
    level_names,
)
from analytics.ageing.groups.slopes import slopes_of
from analytics.ageing.likelihood import Parameters, lives_of
from analytics.ageing.prior import (
    Z90,
    log_prior,
)

Floats = npt.NDArray[np.float64]

SHORTER = 0.9
"""A level is said to shorten life where its factor is below this."""

LOT_LIFE, LOT_SHAPE = 0.7, 0.7
"""How far a bad lot's log life and log shape may lie from the others' (planning defaults).

A lot worth the name lasts half as long or less; spoilt rubber does not keep the sharp wear-out
of sound rubber (common practice, no source).
"""

BAD_LOTS = 0.5
"""Lots with a life of their own expected among all those of a kind (planning default)."""

SURE = 0.9
"""Chance from which a lot is named as having a life of its own."""

COLUMNS = [
    *("field", "level", "lives", "failures", "factor", "factor_low", "factor_high"),
    *("chance_shorter", "tried", "shares_with", "also"),
]


@dataclass(frozen=True)
class LotApart:
    """One lot tried apart from the others of its kind.

    Attributes
    ----------
    lot : str
    lives, failures : int
        Of the lot.
    chance : float
        That it has a life of its own, when `BAD_LOTS` are expected among all that
        the records name.
    chance_shape : float
        That its shape too is another, given that its life is: even before the records.
    factor, factor_low, factor_high : float
        Scale of its life over that of the others.
    shape, shape_low, shape_high : float
        Its own shape, in the family's terms.
    shape_of_others, shape_with_it : float
        The others' shape without the lot, and what the shape of all seems with it.
    tried, looked_at : int
        Lots of the kind that were tried, and all that the records name: the others
        have too few lives or failures.
    """

    lot: str
    lives: int
    failures: int
    chance: float
    chance_shape: float
    factor: float
    factor_low: float
    factor_high: float
    shape: float
    shape_low: float
    shape_high: float
    shape_of_others: float
    shape_with_it: float
    tried: int
    looked_at: int

    @property
    def sure(self) -> bool:
        """Whether it is named."""
        return self.chance >= SURE


@dataclass(frozen=True)
class StandingOut:
    """What was looked at in one kind, and what stands out.

    Attributes
    ----------
    table : DataFrame
        `COLUMNS`; a row per level, those that shorten life most surely first.
        `lives` and `failures` are those of the level; `tried` is how many levels
        of the kind were looked at in all; `shares_with` names the fields whose
        effect cannot be told from this one's, so that the factor is of them all;
        `also` the columns that sort the lives in just the same way.
    lots : tuple of LotApart
        Every lot tried apart, the surest first.
    """

    table: pd.DataFrame
    lots: tuple[LotApart, ...]

    @property
    def tried(self) -> int:
        """Levels looked at, places among them."""
        return int(self.table["tried"].iloc[0]) if len(self.table) else 0

    @property
    def bad_lots(self) -> tuple[LotApart, ...]:
        """Lots that are named as having a life of their own."""
        return tuple(lot for lot in self.lots if lot.sure)


def standing_out(ageing: Ageing) -> StandingOut:
    """Groups and lots of one kind that stand out.

    Parameters
    ----------
    ageing : Ageing
        From `fit.kind_ageing`, with factors.
    """
    return StandingOut(factors_table(ageing), lots_apart(ageing))


def factors_table(ageing: Ageing) -> pd.DataFrame:
    """The factor on life of every level, see `StandingOut.table`."""
    factors = ageing.posterior.factors
    if factors is None:
        return pd.DataFrame(columns=COLUMNS)
    failed = (ageing.table["outcome"] == "failed").to_numpy()
    by_life = {field.name: factors.by_life(field) for field in factors.fields}
    rows = []
    for field in (*factors.fields, *factors.carried):
        # Fields that go together are told of together: a base with its lay-up and its water.
        together = [by_life[name] for name in (field.name, *field.shares_with) if name in by_life]
        total = np.sum(together, axis=0)
        for number, level in enumerate(field.levels):
            of_level = field.codes == number
            # In a field of its own all lives of a level have one effect; else it is their mean.
            draws = np.exp(total[:, of_level].mean(axis=1))
            low, middle, high = np.quantile(draws, (BAND[0], 0.5, BAND[1]))
            rows.append({
                "field": field.name,
                "level": level.replace("\t", " ") if field.name == PLACE else level,
                "lives": int(of_level.sum()),
                "failures": int((of_level & failed).sum()),
                "factor": middle,
                "factor_low": low,
                "factor_high": high,
                "chance_shorter": float((draws < SHORTER).mean()),
                "shares_with": ", ".join(field.shares_with),
                "also": ", ".join(field.also),
            })  # fmt: skip
    table = pd.DataFrame(rows).assign(tried=len(rows))
    order = ["chance_shorter", "factor", "field", "level"]
    table = table.sort_values(order, ascending=[False, True, True, True], ignore_index=True)
    return table[COLUMNS]


def lots_apart(ageing: Ageing) -> tuple[LotApart, ...]:
    """Every lot with enough lives and failures, tried apart from the others."""
    if ageing.rests_on_prior:
        return ()
    names = level_names(ageing.table, "lot")
    failed = (ageing.table["outcome"] == "failed").to_numpy()
    wanted = []
    lots = sorted(set(names) - {""})
    for lot in lots:
        of_lot = (names == lot).to_numpy()
        enough = of_lot.sum() >= ENOUGH_OF_LEVEL and (of_lot & failed).sum() >= ENOUGH_FAILURES
        if enough and (~of_lot).sum() >= ENOUGH_OF_LEVEL:
            wanted.append((lot, of_lot))
    if not wanted:
        return ()
    other_effects = _other_effects(ageing)
    alike = _Trial.of(ageing, np.zeros(ageing.lives, dtype=bool), other_effects).fitted(0)
    found = []
    for lot, of_lot in wanted:
        trial = _Trial.of(ageing, of_lot, other_effects)
        shorter, apart = trial.fitted(1), trial.fitted(2)
        expected = min(0.5, BAD_LOTS / len(lots))
        # Before the records, a lot with a life of its own has an own shape as often as not.
        for_own = np.logaddexp(shorter.evidence, apart.evidence) - np.log(2.0)
        odds = for_own - alike.evidence + np.log(expected / (1 - expected))
        own, shape = trial.n_curve, apart.row[0] + apart.row[-1]
        lean = np.zeros(len(apart.row))
        lean[[0, -1]] = 1.0
        wide = Z90 * float(np.sqrt(lean @ apart.covariance @ lean))
        far = Z90 * float(np.sqrt(apart.covariance[own, own]))
        found.append(LotApart(
            lot=lot,
            lives=int(of_lot.sum()),
            failures=int((of_lot & failed).sum()),
            chance=_chance(odds),
            chance_shape=_chance(apart.evidence - shorter.evidence),
            factor=float(np.exp(apart.row[own])),
            factor_low=float(np.exp(apart.row[own] - far)),
            factor_high=float(np.exp(apart.row[own] + far)),
            shape=float(np.exp(shape)),
            shape_low=float(np.exp(shape - wide)),
            shape_high=float(np.exp(shape + wide)),
            shape_of_others=float(np.exp(apart.row[0])),
            shape_with_it=float(np.exp(alike.row[0])),
            tried=len(wanted),
            looked_at=len(lots),
        ))  # fmt: skip
    return tuple(sorted(found, key=lambda lot: (-lot.chance, lot.lot)))


def _chance(log_odds: float) -> float:
    return float(1.0 / (1.0 + np.exp(np.clip(-log_odds, -700.0, 700.0))))


def _other_effects(ageing: Ageing) -> Floats:
    """Mean effect of every field but the lot on each life."""
    factors = ageing.posterior.factors
    if factors is None:
        return np.zeros(ageing.lives)
    others: list[Field] = [field for field in factors.fields if field.name != "lot"]
    total = np.zeros(ageing.lives)
    for field in others:
        total += factors.by_life(field).mean(axis=0)
    return total


@dataclass(frozen=True)
class _Fitted:
    row: Floats
    covariance: Floats
    evidence: float


@dataclass(frozen=True)
class _Trial:
    """One lot beside the others: rows of the kind's parameters, then its own log factor and shape.

    Attributes
    ----------
    parts : list of (Nodes, ndarray)
        The others and the lot, each with the effects of other groups on its lives.
    """

    ageing: Ageing
    parts: tuple[tuple[Nodes, Floats], ...]

    @classmethod
    def of(cls, ageing: Ageing, of_lot: npt.NDArray[np.bool_], effects: Floats) -> _Trial:
        return cls(
            ageing,
            tuple((lives_of(ageing.nodes, which), effects[which]) for which in (~of_lot, of_lot)),
        )

    @property
    def n_curve(self) -> int:
        return 3 if "early" in self.ageing.kind.causes else 2

    def fitted(self, own: int) -> _Fitted:
        """Mode and evidence with 0, 1 (factor) or 2 (and shape) numbers of the lot's own."""
        theta = self.ageing.posterior.parameters
        middle = [np.median(theta.log_shape), np.median(theta.log_scale), -4.0][: self.n_curve]
        starts = [np.array([*middle, *start[:own]]) for start in ((0.0, 0.0), (-1.0, -0.4))]
        found = [
            minimize(self._loss, start, jac=True, method="BFGS", options={"gtol": 1e-4})
            for start in starts[: 1 + (own > 0)]
        ]
        row = min(found, key=lambda one: float(one.fun)).x
        small = 1e-4
        moves = np.eye(len(row)) * small
        bent = np.array([
            (self._loss(row + move)[1] - self._loss(row - move)[1]) / (2 * small) for move in moves
        ])  # fmt: skip
        values, vectors = np.linalg.eigh((bent + bent.T) / 2)
        values = np.maximum(values, 0.3)
        evidence = -self._loss(row)[0] + 0.5 * len(row) * np.log(2 * np.pi)
        evidence -= 0.5 * float(np.log(values).sum())
        return _Fitted(row, (vectors / values) @ vectors.T, float(evidence))

    def _loss(self, row: Floats) -> tuple[float, Floats]:
        """Minus the log of likelihood and prior, and its slope."""
        curve = self.n_curve
        family = self.ageing.posterior.family
        own = np.zeros(2)
        own[: len(row) - curve] = row[curve:]
        value, slope = 0.0, np.zeros(len(row))
        for number, (nodes, effects) in enumerate(self.parts):
            if not nodes.n_lives:
                continue
            moved = row[None, :curve].copy()
            if number:
                moved[0, :2] += own[1], own[0]
            found = slopes_of(
                family,
                Parameters.from_rows(moved),
                nodes,
                self.ageing.posterior.early_years,
                effects[None, :],
            )
            by = [float((of[0] * nodes.count).sum())
                  for of in (found.by_shape, found.by_scale, found.by_early)]  # fmt: skip
            value += float((found.value[0] * nodes.count).sum())
            slope[:curve] += by[:curve]
            if number:
                slope[curve:] += np.array([by[1], by[0]])[: len(row) - curve]
        believed, by_belief = self._belief(row)
        value, slope = value + believed, slope + by_belief
        if not value > -1e12:
            return 1e12, np.zeros(len(row))
        return -value, -slope

    def _belief(self, row: Floats) -> tuple[float, Floats]:
        curve, small = self.n_curve, 1e-4
        family, prior = self.ageing.posterior.family, self.ageing.kind.prior
        moves = np.vstack([np.zeros(curve), np.eye(curve) * small, -np.eye(curve) * small])
        density = log_prior(family, prior, row[:curve] + moves)
        slope = np.zeros(len(row))
        # Far out the prior has no density any more; the loss is out of reach there all the same.
        density = np.maximum(density, -1e12)
        slope[:curve] = (density[1 : curve + 1] - density[curve + 1 :]) / (2 * small)
        widths = np.array([LOT_LIFE, LOT_SHAPE])[: len(row) - curve]
        away = row[curve:] / widths
        slope[curve:] = -away / widths
        constant = float(np.log(widths).sum() + 0.5 * len(widths) * np.log(2 * np.pi))
        return float(density[0] - 0.5 * (away**2).sum() - constant), slope
