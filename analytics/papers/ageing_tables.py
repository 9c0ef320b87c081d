"""Every table about ageing that the command writes, by the name of its file."""

from __future__ import annotations

from collections.abc import Callable, Iterable

import pandas as pd

from analytics.ageing.belief import fleet_learned
from analytics.ageing.causes import fleet_causes
from analytics.ageing.clock_choice import clock_choice
from analytics.ageing.clock_tables import clocks_table
from analytics.ageing.curves import ages_to_draw, curves_table
from analytics.ageing.family_curves import curves_by_family
from analytics.ageing.fit import Ageing, FleetAgeing, Progress
from analytics.ageing.groups.lots import lots_apart, lots_table
from analytics.ageing.groups.regression import regression_of, regression_table
from analytics.ageing.groups.standing_out import factors_table
from analytics.ageing.hours_known import hours_known_table
from analytics.ageing.nonparametric.observed import observed
from analytics.ageing.summary import families_table
from analytics.ageing.wear.fleet_wear import FleetWear, fleet_own_lives
from analytics.ageing.wear.wear_table import wear_table
from analytics.lives import Lives
from analytics.outlook.hours_to_come import usual_hours_table
from analytics.outlook.season import failing_by_end, season_risk
from analytics.records.seasons import Season

Work = Callable[[], pd.DataFrame]


def ageing_tables(
    lives: Lives,
    ageing: FleetAgeing,
    wear: FleetWear,
    season: Season,
    seed: int = 0,
    progress: Progress | None = None,
) -> dict[str, pd.DataFrame]:
    """Tables of how each kind ages, by file name; what each holds stands with its function.

    Parameters
    ----------
    lives : Lives
    ageing : mapping
        From `fit.fleet_ageing`.
    wear : mapping
        From `fleet_wear`: readings of wear laid on paths.
    season : Season
        The coming one, by whose end a bearing may reach its limit.
    seed : int
    progress : callable, optional
        Called before each table.
    """

    def by_kind(table: Callable[[str, str], pd.DataFrame]) -> pd.DataFrame:
        return _together((key, table(*key)) for key in ageing)

    own = fleet_own_lives(ageing, wear, seed)
    risk = season_risk(lives, ageing, season, seed, own)

    def by_end(key: tuple[str, str]) -> dict[int, float]:
        return failing_by_end(risk, wear[key], own[key]) if len(own.get(key, ())) else {}

    seen = observed(lives, ageing)
    makes: dict[str, Work] = {
        "curves.csv": lambda: curves_table(ageing),
        "causes.csv": lambda: fleet_causes(ageing),
        "families.csv": lambda: by_kind(lambda *key: families_table(ageing[key])),
        "family_curves.csv": lambda: by_kind(
            lambda *key: curves_by_family(ageing[key], ages_to_draw(ageing[key]), seed)
        ),
        "groups.csv": lambda: by_kind(lambda *key: factors_table(ageing[key])),
        "lots.csv": lambda: by_kind(lambda *key: _lots(ageing[key])),
        "regression.csv": lambda: by_kind(
            lambda *key: regression_table(regression_of(ageing[key], seed), key[0])
        ),
        "belief.csv": lambda: fleet_learned(ageing),
        "clocks.csv": lambda: by_kind(
            lambda *key: clocks_table(clock_choice(lives, ageing[key].table, seed))
        ),
        "hours_known.csv": lambda: by_kind(
            lambda *key: hours_known_table(lives, ageing[key].table)
        ),
        "usual_hours.csv": lambda: usual_hours_table(lives.usage),
        "wear.csv": lambda: by_kind(
            lambda *key: wear_table(wear.get(key), season.end, by_end(key))
        ),
        "survival_seen.csv": lambda: seen.survival,
        "causes_seen.csv": lambda: seen.causes,
        "replacements_seen.csv": lambda: seen.replacements,
    }
    tables = {}
    for number, (file, make) in enumerate(makes.items()):
        if progress:
            progress(f"making {file}", number, len(makes))
        tables[file] = make()
    return tables


def _lots(of: Ageing) -> pd.DataFrame:
    """Every lot tried, those that were set apart first."""
    if of.group != "all":
        return lots_table(of, ())
    apart = {lot.lot for lot in of.set_apart}
    return lots_table(of, (*of.set_apart, *lots_apart(of)), apart)


def _together(tables: Iterable[tuple[tuple[str, str], pd.DataFrame]]) -> pd.DataFrame:
    """Tables of kinds and groups under each other, each row with its kind and group."""
    marked = []
    for (kind, group), table in tables:
        rest = table.drop(columns=["kind", "group"], errors="ignore")
        rest.insert(0, "group", group)
        rest.insert(0, "kind", kind)
        marked.append(rest)
    filled = [table for table in marked if len(table)] or marked[:1]
    return pd.concat(filled, ignore_index=True) if filled else pd.DataFrame()
