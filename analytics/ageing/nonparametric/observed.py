"""What the records show without any family of curves: tables to hold a fit against.

Ages are those of the lives that each curve was fitted to: a lot that was set apart is
not in the rows of its kind. Replacements are of a position, whatever stood in it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Protocol

import pandas as pd

from analytics.ageing.fit import FleetAgeing
from analytics.ageing.nonparametric import incidence, recurrence, turnbull
from analytics.lives import Lives


@dataclass(frozen=True)
class Observed:
    """Estimates of every kind of part, a row per kind, group and age.

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


def observed(lives: Lives, ageing: FleetAgeing) -> Observed:
    """The estimates of every kind and group that has a life.

    Parameters
    ----------
    lives : Lives
    ageing : mapping
        From `fit.fleet_ageing`, of the same lives.
    """
    kinds = sorted(lives.table["kind"].unique())
    return Observed(
        survival=_together((*key, turnbull.from_table(lives, ageing[key].table)) for key in ageing),
        causes=_together((*key, incidence.from_table(lives, ageing[key].table)) for key in ageing),
        replacements=_together((kind, "all", recurrence.from_lives(lives, kind)) for kind in kinds),
    )


class _Estimate(Protocol):
    @property
    def unit(self) -> str: ...

    def table(self) -> pd.DataFrame: ...


def _without_unit(name: str, unit: str) -> str:
    """`age_from_hours` is `age_from`, and `years_watched` is `time_watched`."""
    return "time_watched" if name == f"{unit}_watched" else name.removesuffix(f"_{unit}")


def _together(estimates: Iterable[tuple[str, str, _Estimate]]) -> pd.DataFrame:
    tables = []
    for kind, group, found in estimates:
        table = found.table()
        # One column for the ages of every kind, and beside it what they are counted in.
        names = {name: _without_unit(name, found.unit) for name in table.columns}
        table = table.rename(columns=names)
        for at, (name, value) in enumerate(
            (("kind", kind), ("group", group), ("unit", found.unit))
        ):
            table.insert(at, name, value)
        tables.append(table)
    if not tables:
        return pd.DataFrame(columns=["kind", "group", "unit"])
    return pd.concat(tables, ignore_index=True)
