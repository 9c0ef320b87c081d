"""What the section on groups shows beyond the fit itself; no Streamlit."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import pandas as pd

from analytics.ageing.fit import Ageing
from analytics.ageing.groups.fields import PLACE
from analytics.ageing.groups.lots import LotApart, lots_apart
from analytics.ageing.groups.standing_out import StandingOut, standing_out
from analytics.lives import Lives

MOST_DRAWN = 22
"""Levels in the picture; more do not fit a screen."""


@dataclass(frozen=True)
class GroupsFound:
    """What stands out in one kind, and its lots before any was set apart.

    Attributes
    ----------
    found : StandingOut
        Of the lives shown.
    lots : tuple of LotApart
        Lots tried among all lives of the kind that nobody had set apart, the surest first.
    looked_at : int
        Lots that the records name there.
    apart : frozenset of str
        Lots that have a curve of their own.
    """

    found: StandingOut
    lots: tuple[LotApart, ...]
    looked_at: int
    apart: frozenset[str]


def groups_found(
    lives: Lives,
    fitted: Ageing,
    groups: frozenset[str],
    refit: Callable[[pd.DataFrame], Ageing],
    *,
    narrowed: bool,
) -> GroupsFound:
    """What stands out among the lives shown.

    Parameters
    ----------
    lives : Lives
        The fleet's.
    fitted : Ageing
        Of the lives shown.
    groups : frozenset of str
        Groups of the kind that have a curve of their own.
    refit : callable
        Fits rows of a table of lives: asked only where lots were set apart by the
        program, because they are tried among all.
    narrowed : bool
        Only some lives of the group are shown: no others are looked at.
    """
    found = standing_out(fitted)
    own = lives.table["kind"] == fitted.kind.name
    whole = lives.table[own & (lives.table["group"] == "all")]
    apart = frozenset(name.removeprefix("lot ") for name in groups if name != "all")
    if narrowed or whole.empty or set(whole["life"]) == set(fitted.table["life"]):
        tried, table = found.lots, fitted.table
    else:
        tried, table = lots_apart(refit(whole)), whole
    named = table["lot"].fillna("").astype(str).str.strip()
    return GroupsFound(found, tried, named[named != ""].nunique(), apart)


def drawn(table: pd.DataFrame, most: int = MOST_DRAWN) -> pd.DataFrame:
    """The levels to draw: those known best to differ, then those furthest from no difference.

    Shaft lines are many and each has few parts, so that they come last.
    """
    away = table[["chance_shorter", "chance_longer"]].max(axis=1)
    place = table["field"] == PLACE
    order = pd.DataFrame({"place": place & (away < 0.5), "away": -away})
    chosen = order.sort_values(["place", "away"], kind="stable").index[:most]
    return table.loc[chosen].sort_values("factor", ignore_index=True)
