"""Lots of another kind of life: each tried apart from the others, and set apart where it is sure.

A lot whose parts do not merely last shorter but wear out differently fits no factor, and
hides how sharply all the others wear out. Each lot with enough failures is tried apart,
with a scale and a shape of its own, against the same lot as one of all, by how well each
explains the records (Bayes factor: Kass & Raftery, Bayes factors, 1995; from memory). What
is found goes together with the lot in these records. It does not say why.
"""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt
import pandas as pd
from scipy.special import expit, logit

from analytics.ageing.groups.fields import ENOUGH_FAILURES, ENOUGH_OF_LEVEL, level_names
from analytics.ageing.groups.lot_trial import LOT_LIFE, LOT_SHAPE, Trial, trial_of
from analytics.ageing.prior import Z90
from analytics.records.kinds import Kind

if TYPE_CHECKING:
    from analytics.ageing.fit import Ageing

Floats = npt.NDArray[np.float64]

BAD_LOTS = 0.5
"""Lots with a life of their own expected among all those of a kind (planning default)."""

SURE = 0.9
"""Chance from which a lot is named as having a life of its own (planning default)."""

LOTS_COLUMNS = [
    *("lot", "lives", "failures", "chance", "chance_shape", "factor", "factor_low", "factor_high"),
    *("shape", "shape_low", "shape_high", "shape_of_others", "shape_with_it", "set_apart"),
    *("tried", "looked_at"),
]

_LOT = "lot "
"""Before the lot's name in a group."""

_ROUNDS = 6
"""A lot can hide another; after so many rounds no more are looked for."""


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
        Scale of its life over that of the others, with its 90 % interval.
    shape, shape_low, shape_high : float
        Its own shape: that of the Weibull curve that spreads log life as much.
    shape_of_others, shape_with_it : float
        The others' shape without the lot, and what the shape of all seems with it.
    tried, looked_at : int
        Lots of the kind that were tried, and all that the records name: the others
        have too few failures.
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
class SetApart:
    """A kind fitted again without the lots that have a life of their own.

    Attributes
    ----------
    ageing : dict of str to Ageing
        By group: "all" without them, and each of them as "lot NAME". Empty where
        no lot was set apart.
    lots : tuple of LotApart
        Those that were, in the order of finding.
    """

    ageing: dict[str, Ageing]
    lots: tuple[LotApart, ...]


def lots_apart(ageing: Ageing) -> tuple[LotApart, ...]:
    """Every lot with enough failures, tried apart from the others, the surest first.

    Parameters
    ----------
    ageing : Ageing
        From `fit.kind_ageing`. Effects of its other groups are taken at their means,
        and of several wear-out families the likeliest.
    """
    if ageing.rests_on_prior:
        return ()
    names = level_names(ageing.table, "lot").to_numpy(dtype=str)
    failed = (ageing.table["outcome"] == "failed").to_numpy()
    lots, codes = np.unique(names, return_inverse=True)
    lives = np.bincount(codes, minlength=len(lots))
    failures = np.bincount(codes[failed], minlength=len(lots))
    enough = (lots != "") & (failures >= ENOUGH_FAILURES)
    enough &= ageing.lives - lives >= ENOUGH_OF_LEVEL
    wanted, looked_at = np.flatnonzero(enough), int((lots != "").sum())
    if not len(wanted):
        return ()
    posterior = ageing.posterior.likeliest
    theta = posterior.parameters
    trial = Trial(
        posterior.family,
        ageing.kind.prior,
        ageing.nodes,
        _other_effects(ageing),
        posterior.early_years,
        early="early" in ageing.kind.causes,
        start=np.array([np.median(theta.log_shape), np.median(theta.log_scale)]),
    )
    expected, unit = min(0.5, BAD_LOTS / looked_at), posterior.family.shape_unit
    found = []
    for at in wanted:
        one = trial_of(trial, codes == at)
        # Before the records, a lot with a life of its own has an own shape as often as not.
        for_own = np.logaddexp(one.shorter, one.apart) - np.log(2.0)
        odds = for_own - one.alike + np.log(expected / (1 - expected))
        found.append(LotApart(
            lot=str(lots[at]),
            lives=int(lives[at]),
            failures=int(failures[at]),
            chance=_chance(odds),
            chance_shape=_chance(one.apart - one.shorter),
            factor=one.factor[1],
            factor_low=one.factor[0],
            factor_high=one.factor[2],
            shape=one.shape[1] / unit,
            shape_low=one.shape[0] / unit,
            shape_high=one.shape[2] / unit,
            shape_of_others=one.shape_of_others / unit,
            shape_with_it=float(np.exp(trial.alike.mode[0])) / unit,
            tried=len(wanted),
            looked_at=looked_at,
        ))  # fmt: skip
    return tuple(sorted(found, key=lambda lot: (-lot.chance, lot.lot)))


def lots_to_set_apart(ageing: Ageing) -> tuple[LotApart, ...]:
    """Lots that are sure to have a life of their own: chance of `SURE` or more."""
    return tuple(lot for lot in lots_apart(ageing) if lot.sure)


def set_apart(ageing: Ageing, refit: Callable[[pd.DataFrame], Ageing]) -> SetApart:
    """Fit a kind again without the lots that have a life of their own, and those lots alone.

    Parameters
    ----------
    ageing : Ageing
        All lives of the kind as one; what is found in it decides.
    refit : callable
        Fits some rows of a table of lives, as `fit.kind_ageing` does with the
        fleet's lives. Called only where a lot is set apart: for the others, and for
        each such lot. The rows carry their new `group`.

    Returns
    -------
    SetApart
        Empty where no lot is sure.
    """
    rest, lots = ageing, list[LotApart]()
    for _ in range(_ROUNDS):
        # One at a time: a bad lot among the others makes a good one look as if it differed.
        found = lots_to_set_apart(rest)[:1]
        others = ~level_names(rest.table, "lot").isin([lot.lot for lot in found])
        if not found or not others.any():
            break
        lots += found
        rest = refit(rest.table[others])
    if not lots:
        return SetApart({}, ())
    fitted = {rest.group: rest}
    for lot in lots:
        group = f"{_LOT}{lot.lot}"
        of_lot = level_names(ageing.table, "lot") == lot.lot
        fitted[group] = refit(ageing.table[of_lot].assign(group=group))
    return SetApart(fitted, tuple(lots))


def kind_of_group(kind: Kind, group: str) -> Kind:
    """A kind with the belief that holds for a group of it.

    Wider for a lot that was found to have a life of its own; a lot that the settings
    name has the belief that the settings state.
    """
    if not group.startswith(_LOT) or group.removeprefix(_LOT) in kind.apart:
        return kind
    return of_a_lot_apart(kind)


def of_a_lot_apart(kind: Kind) -> Kind:
    """A kind with the belief that fits a lot of another kind of life: the same middle, wider.

    What is believed of sound parts must not hold a bad lot up: its log shape and log
    scale may lie as far away as `LOT_SHAPE` and `LOT_LIFE` say.
    """
    prior = kind.prior
    shape = np.hypot(np.log(prior.shape_factor) / Z90, LOT_SHAPE)
    low, high = logit(prior.worn_out)
    # Moving the log scale moves the log-odds of being worn out about `shape` times as much.
    wide = np.hypot((high - low) / (2 * Z90), prior.shape * LOT_LIFE) * Z90
    middle = (low + high) / 2
    return replace(
        kind,
        prior=replace(
            prior,
            shape_factor=float(np.exp(Z90 * shape)),
            worn_out=(float(expit(middle - wide)), float(expit(middle + wide))),
        ),
    )


def lots_table(
    ageing: Ageing, lots: tuple[LotApart, ...], apart: Collection[str] = ()
) -> pd.DataFrame:
    """Lots tried apart as a table for files.

    Parameters
    ----------
    ageing : Ageing
        Whose lots they are.
    lots : tuple of LotApart
        From `lots_apart`.
    apart : collection of str
        Names of those that were set apart.

    Returns
    -------
    DataFrame
        A row per lot, the surest first: `kind`, then `LOTS_COLUMNS` as in
        `LotApart`. `chance` and `chance_shape` are chances from 0 to 1, factors and
        shapes have no unit (a shape is that of a Weibull curve),
        `set_apart` is True where the lot has a curve of its own.
    """
    rows = [vars(lot) | {"set_apart": lot.lot in apart} for lot in lots]
    table = pd.DataFrame(rows, columns=LOTS_COLUMNS)
    table.insert(0, "kind", ageing.kind.name)
    return table


def apart_sentence(lot: LotApart, kind: Kind) -> str:
    """Why a lot was set apart, to stand with the assumptions of every page."""
    life = "shorter life" if lot.factor < 1 else "longer life"
    return (
        f"{kind.label}: lot {lot.lot} was set apart and has a curve of its own. Its {lot.lives} "
        f"parts ({lot.failures} failed) last {lot.factor:.2f} times as long as the others (likely "
        f"{lot.factor_low:.2f} to {lot.factor_high:.2f}); that such a {life} is its own and not "
        f"luck has a chance of {_in_words(lot.chance)}. {lot.looked_at} lots were looked at, "
        f"{lot.tried} had failures enough to be tried. This goes together with the lot; whether "
        "the lot is the cause is not known. To count it with the others, write "
        f"set_lots_apart = false under [kinds.{kind.name}] in fleet.toml."
    )


def _in_words(chance: float) -> str:
    return "more than 99 %" if chance > 0.99 else f"{chance:.0%}".replace("%", " %")


def _chance(log_odds: float) -> float:
    return float(1.0 / (1.0 + np.exp(np.clip(-log_odds, -700.0, 700.0))))


def _other_effects(ageing: Ageing) -> Floats:
    """Mean effect of every field but the lot on each life."""
    total = np.zeros(ageing.lives)
    factors = ageing.posterior.factors
    if factors is None:
        return total
    for at, (field, effects) in enumerate(zip(factors.fields, factors.effects, strict=True)):
        if field.name == "lot":
            continue
        known = field.codes >= 0
        total -= factors.centres[:, at].mean()
        total[known] += effects.mean(axis=0)[field.codes[known]]
    return total
