"""The same groups by regression, as a check of the life factors: Cox, and accelerated life.

Two plain regressions on the same lives, without shrinkage and without a prior, by the
library lifelines: Cox's on the failure rate, and one in which each group multiplies the
age (Weibull or lognormal, as the kind). Both take one age for each life, so that what the
likelihood integrates over is here set to its middle, and an early failure counts as sound
until then, because it is another cause.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.ageing.clocks import EXACT, INTERVAL, Nodes
from analytics.ageing.groups.fields import ENOUGH_FAILURES, Field
from analytics.ageing.groups.proportional import Steadiness, risk_sets, steadiness
from analytics.ageing.groups.regression_fits import Cases, Fitted, accelerated, cox_of_most
from analytics.ageing.groups.standing_out import factors_table
from analytics.ageing.prior import Z90
from analytics.usage import DAYS_PER_YEAR

if TYPE_CHECKING:
    from analytics.ageing.fit import Ageing

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]

MOST_LIVES = 2000
"""Lives that a regression takes at most; of more, so many are drawn (planning default)."""

FAILURES_EACH = 5
"""Failures for each coefficient (Vittinghoff & McCulloch, Relaxing the rule of ten events per
variable, 2007; from memory)."""

YEAR_WIDE = 365.0
"""A fitting window of more days than this is told of."""

REGRESSION_COLUMNS = [
    *("field", "level", "lives", "failures", "factor", "factor_low", "factor_high"),
    *("accelerated", "accelerated_low", "accelerated_high"),
    *("rate_ratio", "rate_ratio_low", "rate_ratio_high", "same_way", "overlap"),
    *("changes_chi2", "changes_degrees", "changes_p"),
]

_ALONE = 0.2
"""Share of a column that the columns before it must leave unsaid: with less, neither is told."""


@dataclass(frozen=True)
class Regression:
    """Both regressions beside the life factors.

    Attributes
    ----------
    table : DataFrame
        From `regression_table`.
    lives, failures : int
        That the regressions took.
    of_lives : int
        Lives of the kind, of which those are some where there are many.
    unwatched : int
        Lives left out because they were watched for no time.
    undated, windowed, early : int
        Among those taken: lives whose fitting is not known to a year, failures not
        known to the day, and failures in the early days, counted as sound.
    left_out : int
        Levels with too few failures for a coefficient.
    problems : tuple of str
        Sentences: what could not be fitted, and why.
    """

    table: pd.DataFrame
    lives: int
    failures: int
    of_lives: int
    unwatched: int
    undated: int
    windowed: int
    early: int
    left_out: int
    problems: tuple[str, ...]


class _Column(NamedTuple):
    field: Field
    level: int


def regression_of(ageing: Ageing, seed: int = 0) -> Regression:
    """Both regressions on the groups of a kind, beside its life factors.

    Parameters
    ----------
    ageing : Ageing
        With factors.
    seed : int
        Source of chance for which lives are taken where there are more than
        `MOST_LIVES`.
    """
    nodes, n = ageing.nodes, ageing.lives
    entry, age = middle_ages(nodes)
    chosen = np.flatnonzero(age > entry)
    unwatched = n - len(chosen)
    if len(chosen) > MOST_LIVES:
        rng = np.random.default_rng(seed)
        chosen = np.sort(rng.choice(chosen, MOST_LIVES, replace=False))
    failed = np.isin(nodes.outcome, (EXACT, INTERVAL))
    early = failed & _early(ageing)
    worn = failed & ~early
    windows = (ageing.table["start_hi"] - ageing.table["start_lo"]).dt.days.to_numpy()
    fields = [*ageing.groups.fields, *ageing.groups.carried]
    columns = _columns(ageing.groups.fields, chosen, worn)
    beside = factors_table(ageing)
    beside = beside[beside["field"].isin([field.name for field in fields])]
    problems: list[str] = []
    table = pd.DataFrame(columns=REGRESSION_COLUMNS)
    if not fields:
        problems.append("No regression: nothing sorts these lives into groups, but shaft lines.")
    elif not columns:
        problems.append(_too_few(int(worn[chosen].sum())))
    else:
        frame = pd.DataFrame(
            {f"x{at}": _dummy(column, chosen) for at, column in enumerate(columns)}
        )
        cases = Cases(frame, entry[chosen], age[chosen], worn[chosen])
        family = ageing.posterior.likeliest.kind.family
        by_age = accelerated(cases, "lognormal" if family == "lognormal" else "weibull")
        by_rate, without = cox_of_most(cases)
        problems += [one for one in (by_age, by_rate) if isinstance(one, str)]
        if without is not None:
            problems.append(_without(columns[without]))
        table = _table(beside, fields, columns, chosen, cases, by_age, by_rate)
    return Regression(
        table=table,
        lives=len(chosen),
        failures=int(worn[chosen].sum()),
        of_lives=n,
        unwatched=unwatched,
        undated=int((windows[chosen] > YEAR_WIDE).sum()),
        windowed=int((worn & (nodes.outcome == INTERVAL))[chosen].sum()),
        early=int(early[chosen].sum()),
        left_out=sum(len(field.levels) for field in fields) - len(table),
        problems=tuple(problems),
    )


def regression_table(regression: Regression, kind: str) -> pd.DataFrame:
    """The regressions as a table for files.

    Returns
    -------
    DataFrame
        A row per level that has coefficients: `kind`, then

        field, level, lives, failures : what was compared with all other lives;
            lives and failures of the whole kind.
        factor, factor_low, factor_high : the life factor, with its 90 % interval:
            how many times as long these parts last as the others. No unit.
        accelerated, ..._low, ..._high : the same by regression on the age.
        rate_ratio, ..._low, ..._high : how many times as fast they fail, by Cox's
            regression; above 1 where the factor is below 1.
        same_way : the regressions that gave an answer point the way of the factor; empty
            where none did.
        overlap : the intervals of the factor and of the regression on the age overlap.
        changes_chi2, changes_degrees, changes_p : test of whether the effect of the
            field on the rate changes with age; the same in all levels of a field.

        Empty cells where a regression did not settle.
    """
    table = regression.table.copy()
    table.insert(0, "kind", kind)
    return table


def middle_ages(nodes: Nodes) -> tuple[Floats, Floats]:
    """Entry and end of each life at the middle of what is known of its days, (n_lives,) each.

    The mean over the days of fitting by their weights; a failure found between two
    days is put half-way.
    """
    outcome = nodes.outcome[nodes.life]
    middle = np.where(outcome == INTERVAL, (nodes.lower + nodes.upper) / 2, nodes.lower)
    end = np.where(outcome == EXACT, nodes.upper, middle)
    if not nodes.n_lives:
        return np.empty(0), np.empty(0)
    entry = np.add.reduceat(nodes.weight * nodes.entry, nodes.first)
    return entry, np.add.reduceat(nodes.weight * end, nodes.first)


def _early(ageing: Ageing) -> Bools:
    """Lives that ended, most likely, while an early failure can come."""
    if "early" not in ageing.kind.causes or not ageing.lives:
        return np.zeros(ageing.lives, dtype=bool)
    nodes = ageing.nodes
    years = np.add.reduceat(nodes.weight * (nodes.lower_years + nodes.upper_years) / 2, nodes.first)
    return np.asarray(years <= ageing.kind.early_days / DAYS_PER_YEAR)


def _columns(fields: Sequence[Field], chosen: npt.NDArray[np.int64], worn: Bools) -> list[_Column]:
    """Levels that get a coefficient: those with most failures, as many as the failures allow."""
    failures = worn[chosen]
    offered = []
    for field in fields:
        codes = field.codes[chosen]
        for level in range(len(field.levels)):
            inside = int((failures & (codes == level)).sum())
            if ENOUGH_FAILURES <= inside <= failures.sum() - ENOUGH_FAILURES:
                offered.append((-inside, field.name, level, _Column(field, level)))
    kept: list[_Column] = []
    basis = np.ones((len(chosen), 1)) / np.sqrt(max(len(chosen), 1))
    for *_, column in sorted(offered, key=lambda one: one[:3]):
        if len(kept) >= failures.sum() // FAILURES_EACH:
            break
        # What the columns before already say has no coefficient of its own.
        dummy = _dummy(column, chosen)
        left = dummy - basis @ (basis.T @ dummy)
        size = float(np.linalg.norm(left))
        if size**2 > _ALONE * len(chosen) * dummy.var():
            kept.append(column)
            basis = np.column_stack([basis, left / size])
    return kept


def _dummy(column: _Column, chosen: npt.NDArray[np.int64]) -> Floats:
    return np.asarray(column.field.codes[chosen] == column.level, dtype=float)


def _table(
    beside: pd.DataFrame,
    fields: Sequence[Field],
    columns: Sequence[_Column],
    chosen: npt.NDArray[np.int64],
    cases: Cases,
    by_age: Fitted | str,
    by_rate: Fitted | str,
) -> pd.DataFrame:
    x = cases.covariates.to_numpy()
    changes = _changes(fields, columns, cases, by_rate)
    rows = []
    for one in beside.to_dict("records"):
        field = next(field for field in fields if field.name == one["field"])
        inside = field.codes[chosen] == field.levels.index(one["level"])
        mine = _together(field, columns)
        if not mine.any() or not _told(inside, x[:, mine]):
            continue
        # The level beside all other lives, as in the factors; other fields held still.
        lean = np.where(mine, x[inside].mean(axis=0) - x[~inside].mean(axis=0), 0.0)
        row = {name: one[name] for name in REGRESSION_COLUMNS[:7]}
        row |= _ratio("accelerated", by_age, lean) | _ratio("rate_ratio", by_rate, lean)
        longer = [row["factor"] > 1, row["accelerated"] > 1, row["rate_ratio"] < 1]
        fitted = [
            True,
            row["accelerated"] == row["accelerated"],
            row["rate_ratio"] == row["rate_ratio"],
        ]
        ways = {one for one, known in zip(longer, fitted, strict=True) if known}
        row["same_way"] = len(ways) == 1 if any(fitted[1:]) else None
        overlapping = bool(
            row["accelerated_low"] <= row["factor_high"]
            and row["factor_low"] <= row["accelerated_high"]
        )
        row["overlap"] = overlapping if fitted[1] else None
        test = changes.get(field.name)
        row |= {
            "changes_chi2": test.chi2 if test else np.nan,
            "changes_degrees": test.degrees if test else 0,
            "changes_p": test.p if test else np.nan,
        }
        rows.append(row)
    return pd.DataFrame(rows, columns=REGRESSION_COLUMNS)


def _changes(
    fields: Sequence[Field], columns: Sequence[_Column], cases: Cases, by_rate: Fitted | str
) -> dict[str, Steadiness]:
    if isinstance(by_rate, str):
        return {}
    x = cases.covariates.to_numpy()
    known = np.isfinite(by_rate.coefficients)
    lives = (x[:, ~known] == 0).all(axis=1)
    sets = risk_sets(
        x[np.ix_(lives, known)],
        cases.entry[lives],
        cases.age[lives],
        cases.failed[lives],
        by_rate.coefficients[known],
    )
    tested = {}
    for field in fields:
        mine = np.flatnonzero(_together(field, columns)[known]).tolist()
        if mine:
            tested[field.name] = mine
    return dict(zip(tested, steadiness(sets, list(tested.values())), strict=True))


def _together(field: Field, columns: Sequence[_Column]) -> Bools:
    """Columns of a field, and of those whose effect cannot be told from its own."""
    names = {field.name, *field.shares_with}
    return np.array([column.field.name in names for column in columns], dtype=bool)


def _told(inside: Bools, columns: Floats) -> bool:
    """Whether these columns tell exactly which lives are of the level."""
    if inside.all() or not inside.any():
        return False
    design = np.column_stack([np.ones(len(columns)), columns])
    wanted = inside.astype(float)
    best = np.linalg.lstsq(design, wanted, rcond=None)[0]
    return bool(np.abs(design @ best - wanted).max() < 1e-6)


def _ratio(name: str, fitted: Fitted | str, lean: Floats) -> dict[str, float]:
    names = (name, f"{name}_low", f"{name}_high")
    if isinstance(fitted, str):
        return dict.fromkeys(names, np.nan)
    used = np.flatnonzero(lean)
    lean, spread = lean[used], fitted.covariance[np.ix_(used, used)]
    middle = float(lean @ fitted.coefficients[used])
    far = Z90 * float(np.sqrt(np.fmax(lean @ spread @ lean, 0.0)))
    return {one: float(np.exp(middle + by)) for one, by in zip(names, (0, -far, far), strict=True)}


def _without(column: _Column) -> str:
    field, level = column.field.name.replace("_", " "), column.field.levels[column.level]
    return (
        f"The regression on the failure rate (Cox) leaves out {field} {level}: its failures lie so "
        "far to one side of all others that how many times as fast they come has no bound."
    )


def _too_few(failures: int) -> str:
    return (
        f"No regression: {failures} worn-out failures are too few for a single group to have a "
        f"coefficient ({ENOUGH_FAILURES} in the group, as many outside it, and {FAILURES_EACH} "
        "for each coefficient)."
    )
