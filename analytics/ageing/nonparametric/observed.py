"""What the records show without any family of curves: tables to hold a fit against."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

import pandas as pd

from analytics.ageing.nonparametric import incidence, recurrence, turnbull
from analytics.lives import Lives


@dataclass(frozen=True)
class Observed:
    """Estimates of every kind of part, a row per kind and age.

    Attributes
    ----------
    survival : DataFrame
        Turnbull's estimate: between which ages which share failed, and the survival
        before and after; failures known to a window and late entry are in it.
    causes : DataFrame
        Cumulative incidence by cause (Aalen and Johansen): the share ended by
        each by an age, all others going on.
    replacements : DataFrame
        Mean cumulative number of replacements of a position by years watched
        (Nelson).
    """

    survival: pd.DataFrame
    causes: pd.DataFrame
    replacements: pd.DataFrame


def observed(lives: Lives) -> Observed:
    """The estimates of every kind that has a life.

    Parameters
    ----------
    lives : Lives
    """
    return Observed(
        survival=_of_kinds(lives, turnbull.from_lives),
        causes=_of_kinds(lives, incidence.from_lives),
        replacements=_of_kinds(lives, recurrence.from_lives),
    )


class _Estimate(Protocol):
    @property
    def unit(self) -> str: ...

    def table(self) -> pd.DataFrame: ...


def _without_unit(name: str, unit: str) -> str:
    """`age_from_hours` is `age_from`, and `years_watched` is `time_watched`."""
    return "time_watched" if name == f"{unit}_watched" else name.removesuffix(f"_{unit}")


def _of_kinds(lives: Lives, estimate: Callable[[Lives, str], _Estimate]) -> pd.DataFrame:
    tables = []
    for kind in sorted(lives.table["kind"].unique()):
        found = estimate(lives, kind)
        table = found.table()
        # One column for the ages of every kind, and beside it what they are counted in.
        names = {name: _without_unit(name, found.unit) for name in table.columns}
        table = table.rename(columns=names)
        table.insert(0, "kind", kind)
        table.insert(1, "unit", found.unit)
        tables.append(table)
    if not tables:
        return pd.DataFrame(columns=["kind", "unit"])
    return pd.concat(tables, ignore_index=True)
