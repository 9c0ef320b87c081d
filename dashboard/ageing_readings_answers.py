"""Clearance readings of a kind laid on its bearings, worked out once; no Streamlit."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from analytics.ageing.fit import Ageing
from analytics.ageing.wear.hours_to_limit import Wear, in_words, kind_wear
from analytics.ageing.wear.own_lives import own_lives
from analytics.ageing.wear.wear_readings import wear_readings
from analytics.ageing.wear.wear_table import wear_table
from analytics.job import Fleet
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


def readings_found(fleet: Fleet, ageing: Ageing, season: Season, seed: int) -> ReadingsFound:
    """Readings of the kind and group of `ageing`, laid on its lives."""
    settings, kind = fleet.records.settings, ageing.kind
    laid = wear_readings(fleet.records, fleet.lives, settings.wear)
    of_kind = laid.table[laid.table["kind"] == kind.name]
    aside = of_kind.loc[
        ~of_kind["used"], ["boat", "position", "read_lo", "measure", "value", "why"]
    ]
    aside = aside.rename(columns={"read_lo": "read_on"}).reset_index(drop=True)
    wear = None
    if kind.clock == "hours":
        wear = kind_wear(fleet.lives, laid, settings.wear, kind.name, seed, group=ageing.group)
    table = wear_table(wear, season.end)
    order = ["by_season_end", "hours", "boat", "position"]
    table = table.sort_values(order, ascending=[False, True, True, True], ignore_index=True)
    if wear is None:
        return ReadingsFound(None, table, aside, (), ())
    joined = own_lives(ageing, wear, seed)
    apart = () if len(joined) else joined.said[1:]
    return ReadingsFound(wear, table, aside, tuple(in_words(wear)), apart)
