"""The chance that a part fails in the season if it is renewed at the lift before."""

from __future__ import annotations

from dataclasses import replace

import pandas as pd

from analytics.ageing.clocks import nodes_of
from analytics.ageing.fit import FleetAgeing
from analytics.lives import IN_SERVICE, Lives
from analytics.outlook.season import parts_of_kind
from analytics.outlook.with_this import renewal_day
from analytics.records.seasons import Season

COLUMNS = ["boat", "position", "kind", "source", "risk_renewed"]


def renewed_risk(lives: Lives, ageing: FleetAgeing, season: Season, seed: int = 0) -> pd.DataFrame:
    """The risk of a season of a new part in every place with a part in service.

    Each is fitted at the lay-up lift, of no lot that was set apart, and nothing is known of
    it: bad fits count as much as with any new part.

    Returns
    -------
    DataFrame
        `COLUMNS`, a row for each part in service.
    """
    lift = pd.Timestamp(renewal_day(season, lives.as_of))
    tables = []
    for (name, _), fitted in ageing.items():
        rows = fitted.table[fitted.table["outcome"] == IN_SERVICE].reset_index(drop=True)
        if rows.empty:
            continue
        whole = ageing.get((name, "all"), fitted)
        days = dict.fromkeys(("start_lo", "start_hi", "end_lo", "end_hi"), lift)
        table = rows.assign(**days, place_began=False, lot="", group=whole.group)
        of_new = replace(whole, table=table, nodes=nodes_of(lives, table))
        found = parts_of_kind(lives, of_new, season, seed).parts
        tables.append(found.rename(columns={"risk": "risk_renewed"})[COLUMNS])
    if not tables:
        return pd.DataFrame(columns=COLUMNS)
    return pd.concat(tables, ignore_index=True)
