"""Groups whose parts last shorter or longer than the others, and lots of another kind of life.

For every level that was looked at: how many times as long its parts last as the others of
the kind, with an interval, and the chance that they last shorter or longer by more than a
tenth. Effects are shrunk towards none by the spread of their field, so that the most
striking of many levels is not striking by being the most striking of many; how many were
looked at is told all the same. A factor says what goes together in these records. It does
not say why.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.ageing.curves import BAND
from analytics.ageing.groups.fields import NO_LEVEL, PLACE, Field
from analytics.ageing.groups.life_factors import LifeFactors
from analytics.ageing.groups.lots import SURE, LotApart, lots_apart

if TYPE_CHECKING:
    from analytics.ageing.fit import Ageing

Floats = npt.NDArray[np.float64]

SHORTER = 0.9
"""A level is said to shorten life where its factor is below this, to lengthen it above 1 / 0.9."""

COLUMNS = [
    *("field", "level", "lives", "failures", "factor", "factor_low", "factor_high"),
    *("chance_shorter", "chance_longer", "tried", "shares_with", "also", "same_lives_as"),
    "own_factor",
]


@dataclass(frozen=True)
class StandingOut:
    """What was looked at in one kind, and what stands out.

    Attributes
    ----------
    table : DataFrame
        From `factors_table`.
    lots : tuple of LotApart
        Every lot tried apart, the surest first.
    too_small : int
        Levels that the records name and that have too few lives for a factor.
    """

    table: pd.DataFrame
    lots: tuple[LotApart, ...]
    too_small: int = 0

    @property
    def tried(self) -> int:
        """Sets of lives looked at, places among them; one set under two names counts once."""
        return int(self.table["tried"].iloc[0]) if len(self.table) else 0

    @property
    def shorter(self) -> pd.DataFrame:
        """Levels that are named: `SURE` or more that they last shorter by a tenth or more.

        What cannot be told from a level named before is told with it: the same lives
        under another name, or another level of a field that its effect is shared with.
        """
        sure = (self.table["chance_shorter"] >= SURE).to_numpy(dtype=bool)
        return self.table[_told_apart(self.table, sure) & sure]

    @property
    def less_sure(self) -> pd.DataFrame:
        """Levels whose interval lies below 1, and that are not sure to last shorter by a tenth."""
        sure = (self.table["chance_shorter"] >= SURE).to_numpy(dtype=bool)
        below = (self.table["factor_high"] < 1).to_numpy(dtype=bool)
        return self.table[_told_apart(self.table, sure | below) & below & ~sure]

    @property
    def by_luck(self) -> float:
        """How many of those named do not last shorter by that much, by their own chances."""
        return float((1.0 - self.shorter["chance_shorter"]).sum())

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
    groups = ageing.groups
    small = sum(len(field.small) for field in (*groups.fields, *groups.carried))
    return StandingOut(factors_table(ageing), lots_apart(ageing), small)


def factors_table(ageing: Ageing) -> pd.DataFrame:
    """How long the parts of every level last, as a table for pages and files.

    Returns
    -------
    DataFrame
        A row per level, those that last shorter most surely first:

        field, level : what the lives were sorted by, and its value; `fields.PLACE`
            is the shaft line: boat and, on a twin, side.
        lives, failures : of the level, whole numbers.
        factor, factor_low, factor_high : how many times as long they last as all
            other lives of the kind, without unit; median and 90 % interval.
        chance_shorter, chance_longer : that the factor is below `SHORTER`, or above
            one over it; 0 to 1.
        tried : how many sets of lives were looked at in all.
        shares_with : fields whose effect the records cannot tell from this one's,
            so that the factor is of them all.
        also : columns that sort all lives in just the same way.
        same_lives_as : levels of other fields that are the very same lives.
        own_factor : False where finer fields carry the effect of this one: there are too
            few bases to a lay-up for it to have a factor beside theirs.

        Empty where no factors were looked for.
    """
    factors = ageing.posterior.factors
    if factors is None:
        return pd.DataFrame(columns=COLUMNS)
    failed = (ageing.table["outcome"] == "failed").to_numpy()
    tables = []
    for field in (*factors.fields, *factors.carried):
        draws = np.exp(_beside_the_rest(factors, field))
        low, middle, high = np.quantile(draws, (BAND[0], 0.5, BAND[1]), axis=0)
        tables.append(pd.DataFrame({
            "field": field.name,
            "level": [_shown(field, level) for level in field.levels],
            "lives": _counts(field, None),
            "failures": _counts(field, failed),
            "factor": middle,
            "factor_low": low,
            "factor_high": high,
            "chance_shorter": (draws < SHORTER).mean(axis=0),
            "chance_longer": (draws > 1 / SHORTER).mean(axis=0),
            "shares_with": ", ".join(field.shares_with),
            "also": ", ".join(field.also),
            "own_factor": field in factors.fields,
            "set": [np.flatnonzero(field.codes == at).tobytes() for at in range(len(field.levels))],
        }))  # fmt: skip
    table = pd.concat(tables, ignore_index=True)
    names = _names(table)
    under = names.groupby(table["set"], sort=False).agg(list)
    table["same_lives_as"] = [
        ", ".join(other for other in under[lives] if other != name)
        for name, lives in zip(names, table["set"], strict=True)
    ]
    table["tried"] = len(under)
    order = ["chance_shorter", "factor", "field", "level"]
    table = table.sort_values(order, ascending=[False, True, True, True], ignore_index=True)
    return table[COLUMNS]


def _beside_the_rest(factors: LifeFactors, field: Field) -> Floats:
    """Mean log life of each level less that of all other lives, shape (n_draws, n_levels).

    Fields that go together are told of together: a base with its lay-up and its water.
    """
    known = field.codes != NO_LEVEL
    lives, n = _counts(field, None), len(field.codes)
    total = np.zeros((len(factors), len(field.levels)))
    for one, effects in zip(factors.fields, factors.effects, strict=True):
        if one.name not in (field.name, *field.shares_with):
            continue
        of_all = effects @ _counts(one, None)
        if one is field:
            inside = effects * lives
        else:
            both = known & (one.codes != NO_LEVEL)
            shared = np.zeros((len(one.levels), len(field.levels)))
            np.add.at(shared, (one.codes[both], field.codes[both]), 1.0)
            inside = effects @ shared
        # A level that holds every life has none to stand beside.
        rest = np.maximum(n - lives, 1)
        total += inside / lives - (of_all[:, None] - inside) / rest
    return total


def _told_apart(table: pd.DataFrame, wanted: npt.NDArray[np.bool_]) -> npt.NDArray[np.bool_]:
    """Which of the wanted rows are not told with another: finer fields first, then the surest."""
    kept, fields, same = np.zeros(len(table), dtype=bool), set[str](), ""
    names, carried = _names(table).tolist(), ~table["own_factor"].to_numpy(dtype=bool)
    shares = [set(text.split(", ")) for text in table["shares_with"]]
    for at in [*np.flatnonzero(wanted & ~carried), *np.flatnonzero(wanted & carried)]:
        if f", {names[at]}, " in same or not fields.isdisjoint(shares[at]):
            continue
        kept[at] = True
        fields.add(str(table["field"].iloc[at]))
        same += f", {table['same_lives_as'].iloc[at]}, "
    return kept


def _names(table: pd.DataFrame) -> pd.Series[str]:
    return table["field"].str.replace("_", "-") + " " + table["level"]


def _counts(field: Field, which: npt.NDArray[np.bool_] | None) -> npt.NDArray[np.int64]:
    codes = field.codes if which is None else field.codes[which]
    return np.bincount(codes[codes != NO_LEVEL], minlength=len(field.levels))


def _shown(field: Field, level: str) -> str:
    if field.name != PLACE:
        return level
    boat, position = level.split("\t")
    return boat if position == "single" else f"{boat}, {position}"
