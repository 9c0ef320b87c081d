"""With this, the risk becomes: one boat's season if something more were known, or done.

What is found, passed or renewed is written into the table of lives as a row that says so, and
the row goes through the same chances with the same draws as the season itself. The curves
stay as they are: one more date or inspection among all lives would hardly move them. A boat
about which nothing is changed has, to the last digit, the risk that the season gives her.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.ageing.clocks import nodes_of
from analytics.ageing.fit import Ageing, FleetAgeing
from analytics.ageing.likelihood import lives_of
from analytics.ageing.removals import known_start
from analytics.ageing.wear.fleet_wear import FleetOwnLives
from analytics.ageing.wear.own_lives import OwnLives
from analytics.lives import IN_SERVICE, Lives
from analytics.outlook.chances import Chances, ages_ahead, chances
from analytics.outlook.season import (
    PartsOfKind,
    SeasonRisk,
    joined_risk,
    parts_of_kind,
    with_chances,
)
from analytics.records.seasons import Season
from analytics.usage import day_number

Bools = npt.NDArray[np.bool_]
Key = tuple[str, str]


@dataclass(frozen=True)
class Dated:
    """The part is found to have been fitted between two days, both counted in."""

    first: date
    last: date


@dataclass(frozen=True)
class Passed:
    """The part is looked at on a day, past or to come, and is sound."""

    on: date


@dataclass(frozen=True)
class Renewed:
    """A new part is fitted on a day to come."""

    on: date


Change = Dated | Passed | Renewed


@dataclass(frozen=True)
class BoatAhead:
    """One boat's season as things stand, ready to be asked what would change it.

    Attributes
    ----------
    lives : Lives
    ageing : mapping
        The boat's lives in service, by kind and group.
    whole : mapping
        All lives, as `fit.fleet_ageing` gives them.
    own : mapping
        Parts that their own readings move, where the boat has any.
    season : Season
    seed : int
    stands : mapping of PartsOfKind
        As things stand, by kind and group.
    """

    lives: Lives
    ageing: FleetAgeing
    whole: FleetAgeing
    own: FleetOwnLives
    season: Season
    seed: int
    stands: Mapping[Key, PartsOfKind]

    @property
    def risk(self) -> SeasonRisk:
        """The boat's season as things stand."""
        return joined_risk(self.season, self.stands.values())


def boat_ahead(
    lives: Lives,
    ageing: FleetAgeing,
    season: Season,
    boat: str,
    seed: int = 0,
    own: FleetOwnLives | None = None,
    read: Mapping[Key, PartsOfKind] | None = None,
) -> BoatAhead:
    """One boat's season as things stand.

    Parameters
    ----------
    ageing, seed, own
        As in `season.season_risk`; of some kinds only, where only those count.
    boat : str
    read : mapping, optional
        `SeasonRisk.read` of the same season, where it has been asked for before.

    Raises
    ------
    ValueError
        If no part of hers is in service.
    """
    of_boat: dict[Key, Ageing] = {}
    stands: dict[Key, PartsOfKind] = {}
    moved: dict[Key, OwnLives] = {}
    for key, fitted in ageing.items():
        rows = fitted.table
        hers = ((rows["boat"] == boat) & (rows["outcome"] == IN_SERVICE)).to_numpy()
        if not hers.any():
            continue
        of_boat[key] = _of_lives(fitted, hers)
        stands[key] = parts_of_kind(lives, of_boat[key], season, seed)
        theirs = (own or {}).get(key)
        if theirs is None:
            continue
        for life in np.intersect1d(rows["life"].to_numpy()[hers], theirs.life).tolist():
            if key not in moved:
                moved[key] = theirs
                known = (read or {}).get(key)
                every = known or parts_of_kind(lives, fitted, season, seed, theirs)
            stands[key] = stands[key].with_part(every, life)
    if not stands:
        raise ValueError(f"no part of {boat} is in service")
    return BoatAhead(lives, of_boat, ageing, moved, season, seed, stands)


def with_this(ahead: BoatAhead, changes: Mapping[int, Change]) -> SeasonRisk:
    """The boat's season if parts of hers are dated, pass an inspection, or are renewed.

    Parameters
    ----------
    changes : mapping of int to Change
        By life, as in the column `life` of `SeasonRisk.parts`.

    Returns
    -------
    SeasonRisk
        Of this boat alone. The chances of a part that will be looked at, or fitted, on a
        day to come count from that day on; of a part renewed there, what is before the season is
        also that of the old one until then, and the new one counts if the old one has lasted.

    Raises
    ------
    ValueError
        Where a change is none of the part: see `why_not`, and days that cannot be.
    KeyError
        If a life is not in service on this boat.
    """
    pieces = dict(ahead.stands)
    for life, change in changes.items():
        key = _key_of(ahead, life)
        if said := why_not(ahead, life, change):
            raise ValueError(said)
        altered = _altered(ahead, key, life, change)
        if isinstance(change, Renewed):
            altered = _after_the_old(altered, _until(ahead, key, life, change.on))
        pieces[key] = pieces[key].with_part(altered, life)
    return joined_risk(ahead.season, pieces.values())


def renewal_day(season: Season, as_of: date) -> date:
    """The lay-up lift before the season; the day after the last one watched if it has begun."""
    return season.lift_after(as_of) or as_of + timedelta(days=1)


def why_not(ahead: BoatAhead, life: int, change: Change) -> str:
    """Why a change cannot be worked out for a part; empty where it can."""
    key = _key_of(ahead, life)
    row = _row_of(ahead.ageing[key], life)
    as_of = ahead.lives.as_of
    if isinstance(change, Dated):
        if _is_read(ahead, key, life):
            return (
                "Its readings are laid on hours since fitting, so another date would move the "
                "readings as well: write the date into the records and read them again."
            )
        if not change.first <= change.last <= as_of:
            return f"A part in service was fitted on or before {as_of}."
    elif isinstance(change, Passed):
        if change.on > ahead.season.end:
            return f"The season is over on {ahead.season.end}."
        if pd.Timestamp(change.on) < row["start_hi"]:
            return f"It may have been fitted as late as {row['start_hi'].date()}."
    elif not as_of < change.on <= max(ahead.season.start, as_of + timedelta(days=1)):
        return f"A renewal to come lies after {as_of} and before the season."
    return ""


def _key_of(ahead: BoatAhead, life: int) -> Key:
    for key, fitted in ahead.ageing.items():
        if (fitted.table["life"] == life).any():
            return key
    raise KeyError(life)


def _row_of(fitted: Ageing, life: int) -> pd.Series:
    return fitted.table[fitted.table["life"] == life].iloc[0]


def _is_read(ahead: BoatAhead, key: Key, life: int) -> bool:
    return key in ahead.own and bool((ahead.own[key].life == life).any())


def _altered(ahead: BoatAhead, key: Key, life: int, change: Change) -> PartsOfKind:
    """The part on its own, as the change would have it."""
    lives, season, seed = ahead.lives, ahead.season, ahead.seed
    whole = ahead.whole[key]
    table = _rewritten(whole.table, life, change)
    chosen = (table["life"] == life).to_numpy()
    if isinstance(change, Renewed):
        # A part bought later is of none of the lots that were set apart.
        whole = ahead.whole.get((key[0], "all"), whole)
        table.loc[chosen, "group"] = whole.group
    if known_start(table)[chosen].all():
        table = table[chosen].reset_index(drop=True)
        nodes = nodes_of(lives, table)
    else:
        # How likely each day of a wide window is depends on how often parts were renewed.
        nodes = lives_of(nodes_of(lives, table), chosen)
        table = table[chosen].reset_index(drop=True)
    moved = None
    if isinstance(change, Passed) and _is_read(ahead, key, life):
        moved = _own_of(ahead.own[key], life)
        # Readings are laid on the nodes of the part as it was fitted.
        before = lives_of(whole.nodes, chosen)
        nodes = replace(before, lower=nodes.lower, lower_years=nodes.lower_years)
    return parts_of_kind(lives, replace(whole, table=table, nodes=nodes), season, seed, moved)


def _until(ahead: BoatAhead, key: Key, life: int, day: date) -> Chances:
    """Chances of a part as it stands, of failing before a day to come and after it."""
    whole = ahead.whole[key]
    part = _of_lives(whole, (whole.table["life"] == life).to_numpy())
    own = _own_of(ahead.own[key], life) if _is_read(ahead, key, life) else None
    end = day_number(ahead.season.end) + 1
    ages = ages_ahead(ahead.lives, part, day_number(day), end, ahead.seed, own)
    return chances(part.posterior, ages)


def _after_the_old(new: PartsOfKind, old: Chances) -> PartsOfKind:
    """A new part of which it is not said that the old one lasts until it is fitted."""
    lasts, of_new = 1.0 - old.before, new.chances
    during, at_start = lasts * of_new.during, lasts * of_new.at_start
    share = during.mean(axis=0) / np.maximum(of_new.during.mean(axis=0), 1e-300)
    found = replace(
        of_new,
        before=old.before + lasts * of_new.before,
        during=during,
        at_start=at_start,
        hidden=old.hidden,
        worn_out=share * of_new.worn_out,
        early=share * of_new.early,
        accident=share * of_new.accident,
        after=None if of_new.after is None else lasts * of_new.after,
    )
    return PartsOfKind(with_chances(new.parts, found), found)


def _rewritten(table: pd.DataFrame, life: int, change: Change) -> pd.DataFrame:
    """The table of lives with the row of one life as the change would have it."""
    table = table.copy()
    at = int(np.flatnonzero(table["life"] == life)[0])
    said: dict[str, object]
    if isinstance(change, Dated):
        said = {"start_lo": pd.Timestamp(change.first), "start_hi": pd.Timestamp(change.last)}
    elif isinstance(change, Passed):
        on = pd.Timestamp(change.on)
        said = {name: max(table[name].iloc[at], on) for name in ("end_lo", "end_hi")}
    else:
        # What was known of the old part only does not hold for the new one.
        said = {"place_began": False, "lot": ""}
        days = ("start_lo", "start_hi", "end_lo", "end_hi")
        said |= dict.fromkeys(days, pd.Timestamp(change.on))
    for name, value in said.items():
        column = table[name].copy()
        column.iloc[at] = value
        table[name] = column
    return table


def _own_of(own: OwnLives, life: int) -> OwnLives:
    """The readings of one part, when it is the only one looked at."""
    part = int(np.flatnonzero(own.life == life)[0])
    rows = own.paths.path == part
    first = np.zeros(1, dtype=np.int64)
    per_row = {name: values[rows] for name, values in vars(own.paths).items() if name != "first"}
    return replace(
        own,
        node=np.arange(rows.sum(), dtype=np.int64),
        n_nodes=int(rows.sum()),
        first=first,
        life=own.life[[part]],
        paths=replace(own.paths, first=first, **per_row),
        renew=own.renew[rows],
        rate_factor=own.rate_factor[rows],
        group_shift=None if own.group_shift is None else own.group_shift[:, [part]],
    )


def _of_lives(fitted: Ageing, chosen: Bools) -> Ageing:
    """Some of the lives behind a curve, and the curve of all."""
    table = fitted.table[chosen].reset_index(drop=True)
    return replace(fitted, table=table, nodes=lives_of(fitted.nodes, chosen))
