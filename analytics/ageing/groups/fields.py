"""The groups that a life belongs to: base, lay-up, water, size, part number, lot, and its place.

Every field sorts the lives of a kind into levels. A field is looked at where it
has at least two levels with enough lives each; a level with fewer has no factor
of its own. Fields that sort the lives in the same way are one field under two
names. A field that another one settles (a base has one lay-up and one water)
shares its effect with it. Where there are many bases to a lay-up it still has a
factor of its own beside theirs; with one or two, the records cannot tell them
apart, and the finer field carries the effect of both.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.lives import COLUMNS, COVARIATES, FOR_FITTING

Ints = npt.NDArray[np.int64]

NO_LEVEL = -1
"""Code of a life whose level is not written down, or holds too few lives for a factor."""

PLACE = "place"
"""The field that stands for the shaft line itself: boat and position."""

ENOUGH_LIVES = 30
"""Lives of a kind from which factors are looked for (planning default)."""

ENOUGH_FAILURES = 3
"""Failures of a kind from which factors are looked for (planning default)."""

ENOUGH_OF_LEVEL = 5
"""Lives from which a level has a factor of its own (planning default)."""


MANY_TO_ONE = 3
"""Levels of a finer field from which each level of a coarser one has a factor beside theirs."""


@dataclass(frozen=True, eq=False)
class Field:
    """One way of sorting the lives of a kind.

    Attributes
    ----------
    name : str
        The column, or `PLACE`.
    levels : tuple of str
        Levels with enough lives, in the order of their names.
    codes : ndarray of int, shape (n_lives,)
        Position of each life's level in `levels`, or `NO_LEVEL`.
    looked_at : int
        Levels that the records name, those with too few lives among them.
    also : tuple of str
        Other columns that sort the lives in just this way.
    shares_with : tuple of str
        Fields that settle this one or are settled by it: an effect of one may be
        that of the other.
    small : frozenset of str
        Levels with too few lives.
    """

    name: str
    levels: tuple[str, ...]
    codes: Ints
    looked_at: int
    also: tuple[str, ...] = ()
    shares_with: tuple[str, ...] = ()
    small: frozenset[str] = frozenset()

    def codes_of(self, table: pd.DataFrame) -> Ints:
        """Positions of the levels of other lives."""
        return self.coded(level_names(table, self.name))

    def coded(self, names: pd.Series[str]) -> Ints:
        """The same from what `level_names` says of them."""
        number = self._number
        return np.array([number.get(name, NO_LEVEL) for name in names], dtype=np.int64)

    @cached_property
    def _number(self) -> dict[str, int]:
        return _numbered(self.levels)


@dataclass(frozen=True)
class Groups:
    """The fields of one kind.

    Attributes
    ----------
    fields : tuple of Field
        With a factor for each level.
    places : Field or None
        The shaft lines, where enough of them have had more than one part.
    carried : tuple of Field
        Fields whose effect the finer ones carry.
    """

    fields: tuple[Field, ...]
    places: Field | None
    carried: tuple[Field, ...] = ()

    def __bool__(self) -> bool:
        return bool(self.fields) or self.places is not None


def groups_of(table: pd.DataFrame) -> Groups:
    """The fields of some lives of one kind that factors can be looked for in.

    Parameters
    ----------
    table : DataFrame
        Rows of `lives.table`. Columns that it does not know are the user's own
        and are looked at like the others.
    """
    failed = (table["outcome"] == "failed").to_numpy()
    if len(table) < ENOUGH_LIVES or failed.sum() < ENOUGH_FAILURES:
        return Groups((), None)
    known = {*COLUMNS, *COVARIATES, *FOR_FITTING}
    own = sorted(str(name) for name in table.columns if name not in known)
    found: list[Field] = []
    for name in [*COVARIATES, *own]:
        field = _field(table, name)
        if len(field.levels) < 2 and not _one_against_the_rest(field):
            continue
        twin = next((one for one in found if _same(one.codes, field.codes)), None)
        if twin is None:
            found.append(field)
        else:
            found[found.index(twin)] = replace(twin, also=(*twin.also, name))
    shared = {
        one.name: tuple(other.name for other in found
                        if other is not one and (_settles(one, other) or _settles(other, one)))
        for one in found
    }  # fmt: skip
    found = [replace(one, shares_with=shared[one.name]) for one in found]
    carried = [one for one in found if any(_carries(other, one) for other in found)]
    kept = tuple(one for one in found if one not in carried)
    return Groups(kept, _places(table, failed), tuple(carried))


def level_names(table: pd.DataFrame, field: str) -> pd.Series[str]:
    """The level of each life, empty where it is not written down."""
    if field == PLACE:
        places = zip(table["boat"], table["position"], strict=True)
        return pd.Series([f"{boat}\t{position}" for boat, position in places], index=table.index)
    column = table[field]
    if pd.api.types.infer_dtype(column, skipna=True) not in ("string", "empty"):
        return column.astype(object).where(column.notna(), "").astype(str).str.strip()
    # Names repeat: each is looked at once, whatever the number of lives.
    codes, distinct = pd.factorize(column)
    names = np.array([*(str(name).strip() for name in distinct), ""], dtype=object)
    return pd.Series(names[codes], index=table.index, name=field)


def _field(table: pd.DataFrame, name: str) -> Field:
    names = level_names(table, name)
    counts = names[names != ""].value_counts()
    levels = tuple(sorted(str(level) for level in counts.index[counts >= ENOUGH_OF_LEVEL]))
    small = frozenset(str(level) for level in counts.index[counts < ENOUGH_OF_LEVEL])
    return Field(name, levels, _coded(names, levels), len(counts), small=small)


def _one_against_the_rest(field: Field) -> bool:
    """A single level with enough lives still says something against all the others."""
    return len(field.levels) == 1 and bool(
        ENOUGH_OF_LEVEL <= (field.codes == 0).sum() <= len(field.codes) - ENOUGH_OF_LEVEL
    )


def _places(table: pd.DataFrame, failed: npt.NDArray[np.bool_]) -> Field | None:
    """Shaft lines; with one part each there is nothing that tells a place from its part."""
    names = level_names(table, PLACE)
    counts = names.value_counts()
    again = counts.index[counts >= 2]
    if len(again) < ENOUGH_OF_LEVEL or failed[names.isin(again)].sum() < ENOUGH_FAILURES:
        return None
    levels = tuple(sorted(str(level) for level in counts.index))
    return Field(PLACE, levels, _coded(names, levels), len(levels))


def _coded(names: pd.Series[str], levels: Sequence[str]) -> Ints:
    number = _numbered(levels)
    return np.array([number.get(name, NO_LEVEL) for name in names], dtype=np.int64)


def _numbered(levels: Sequence[str]) -> dict[str, int]:
    return {level: at for at, level in enumerate(levels)}


def _same(one: Ints, other: Ints) -> bool:
    return _function_of(one, other) and _function_of(other, one)


def _settles(one: Field, other: Field) -> bool:
    return _function_of(other.codes, one.codes)


def _carries(finer: Field, coarser: Field) -> bool:
    if finer is coarser or not _settles(finer, coarser):
        return False
    pairs = np.unique(np.column_stack([coarser.codes, finer.codes]), axis=0)
    return bool(np.unique(pairs[:, 0], return_counts=True)[1].min() < MANY_TO_ONE)


def _function_of(codes: Ints, given: Ints) -> bool:
    """Whether lives of one `given` level all have one level of `codes`."""
    pairs = len(np.unique(np.column_stack([codes, given]), axis=0))
    return pairs == len(np.unique(given))
