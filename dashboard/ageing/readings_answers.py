"""Clearance readings of a kind laid on its bearings, worked out once; no Streamlit."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from analytics.ageing.fit import Ageing
from analytics.ageing.wear.hours_to_limit import Wear, in_words
from analytics.ageing.wear.own_lives import OwnLives
from analytics.ageing.wear.wear_table import wear_table
from analytics.job import Fleet
from analytics.outlook.season import failing_by_end, season_risk
from analytics.records.seasons import Season


@dataclass(frozen=True)
class ReadingsFound:
    """What readings of one kind say.

    Attributes
    ----------
    wear : Wear or None
        None where no reading of the kind is on a path.
    table : DataFrame
        From `wear_table`, soonest at its limit first.
    aside : DataFrame
        Readings of the kind that are on no path: `boat`, `position`, `read_on`, `measure`,
        `value`, `why`.
    said : tuple of str
        What was read and what is supposed.
    apart : tuple of str
        Why readings and failures cannot be joined, where they cannot.
    """

    wear: Wear | None
    table: pd.DataFrame
    aside: pd.DataFrame
    said: tuple[str, ...]
    apart: tuple[str, ...]


def readings_found(
    fleet: Fleet, ageing: Ageing, season: Season, wear: Wear | None, own: OwnLives | None
) -> ReadingsFound:
    """Readings of the kind and group of `ageing`, with the paths they lie on and whom they move."""
    kind, laid = ageing.kind, fleet.readings
    of_kind = laid.table[laid.table["kind"] == kind.name]
    aside = of_kind.loc[
        ~of_kind["used"], ["boat", "position", "read_lo", "measure", "value", "why"]
    ]
    aside = aside.rename(columns={"read_lo": "read_on"}).reset_index(drop=True)
    joined = None
    if wear is not None and own is not None and len(own):
        key = kind.name, ageing.group
        risk = season_risk(fleet.lives, {key: ageing}, season, ageing.seed, {key: own})
        joined = failing_by_end(risk, wear, own)
    table = wear_table(wear, season.end, joined)
    order = ["by_season_end", "hours", "boat", "position"]
    table = table.sort_values(order, ascending=[False, True, True, True], ignore_index=True)
    if wear is None:
        return ReadingsFound(None, table, aside, (), ())
    apart = own.said[1:] if own is not None and not len(own) else ()
    return ReadingsFound(wear, table, aside, tuple(in_words(wear)), apart)
