"""Life factors: what the groups of a part do to its life, as draws."""

from __future__ import annotations

from dataclasses import dataclass
from zlib import crc32

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.ageing.groups.fields import NO_LEVEL, Field, level_names

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True)
class LifeFactors:
    """Draws of the effects of groups on the log of life, about the typical part.

    Attributes
    ----------
    fields : tuple of Field
        The place of a part last, where it is looked at.
    effects : tuple of ndarray, each of shape (n_draws, n_levels)
        Of each field.
    spreads : ndarray, shape (n_draws, n_fields)
        How far the levels of each field differ.
    centres : ndarray, shape (n_draws, n_fields)
        Mean effect over the lives, which is part of the typical scale.
    carried : tuple of Field
        Coarser fields whose effect is in that of the finer ones.
    """

    fields: tuple[Field, ...]
    effects: tuple[Floats, ...]
    spreads: Floats
    centres: Floats
    carried: tuple[Field, ...] = ()

    def __len__(self) -> int:
        return len(self.spreads)

    def of(self, table: pd.DataFrame, seed: int = 0, *, renewed: bool = False) -> Floats:
        """Effect of all groups of some parts on the log of their life.

        Parameters
        ----------
        table : DataFrame
            Parts, with the columns of `lives.table`.
        seed : int
            Source of chance for levels that the records do not hold.
        renewed : bool
            For the parts that will follow these: of a lot that nobody has seen.

        Returns
        -------
        ndarray, shape (n_draws, n_parts)
            Added to the log scale. A level that the records do not hold draws its
            effect from the spread of its field; one with too few lives, or not
            written down, has none.
        """
        total = np.zeros((len(self), len(table)))
        for at, (field, effects) in enumerate(zip(self.fields, self.effects, strict=True)):
            total -= self.centres[:, at, None]
            if renewed and field.name == "lot":
                total += self._unseen(at, "the next lot", seed)[:, None]
                continue
            names = level_names(table, field.name)
            codes = field.coded(names)
            known = codes != NO_LEVEL
            if known.all():
                total += effects.take(codes, axis=1)
                continue
            total[:, known] += effects[:, codes[known]]
            for name in sorted({*names[~known]} - field.small - {""}):
                total[:, (names == name).to_numpy()] += self._unseen(at, name, seed)[:, None]
        return total

    def by_life(self, field: Field) -> Floats:
        """Effect of one field on each life that was fitted, shape (n_draws, n_lives)."""
        at = self.fields.index(field)
        known = field.codes != NO_LEVEL
        total = np.repeat(-self.centres[:, at, None], len(field.codes), axis=1)
        total[:, known] += self.effects[at][:, field.codes[known]]
        return total

    def _unseen(self, field: int, level: str, seed: int) -> Floats:
        name = f"{self.fields[field].name}|{level}"
        rng = np.random.default_rng([seed, crc32(name.encode())])
        return np.asarray(self.spreads[:, field] * rng.standard_normal(len(self)))
