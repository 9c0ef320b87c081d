"""A fleet as changes would have it from now on, without fitting anything again.

How parts age rests on what has happened, and stays. What is changed is what the outlook and
the decisions read of days to come: limits, season, hours, prices, rates, and the boats.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np
import pandas as pd

from analytics.ageing.fit import FleetAgeing
from analytics.ageing.wear.fleet_wear import FleetOwnLives
from analytics.job import Fleet, own_lives_of
from analytics.lives import Lives
from analytics.records.kinds import Kind
from analytics.records.settings import Rates, Settings
from analytics.records.tables import PRICES
from analytics.usage import ShaftHours, day_number
from analytics.what_if.added_boats import Joining, names_of, with_added
from analytics.what_if.against import rule_then
from analytics.what_if.changes import AS_SET, Changes, Limits

LIMIT_FROM = "what if"


@dataclass(frozen=True)
class Plan:
    """A fleet and what is known of its parts.

    Attributes
    ----------
    fleet : Fleet
    ageing : FleetAgeing
        How the parts age that are there.
    own : FleetOwnLives
        Those that their own readings move.
    joining : tuple of Joining
        New parts of boats that join later.
    """

    fleet: Fleet
    ageing: FleetAgeing
    own: FleetOwnLives
    joining: tuple[Joining, ...] = ()


def todays_plan(fleet: Fleet, ageing: FleetAgeing, seed: int = 0) -> Plan:
    """The plan as the records and their settings have it."""
    return Plan(fleet, ageing, own_lives_of(fleet, ageing, seed))


def applied(today: Plan, changes: Changes) -> Plan:
    """The plan with changes made to it.

    Parameters
    ----------
    today : Plan
    changes : Changes
        Possible for this fleet, see `against.not_possible`.

    Returns
    -------
    Plan
        Where nothing is changed, equal to `today` in every number.
    """
    fleet, lives = today.fleet, today.fleet.lives
    settings = _settings(lives.settings, changes)
    usage = replace(lives.usage, rule=settings.seasons)
    lives = replace(lives, settings=settings, usage=usage, table=_sold(lives.table, changes))
    tables = {**fleet.records.tables, PRICES.file: _prices(fleet, changes)}
    records = replace(fleet.records, settings=settings, tables=MappingProxyType(tables))
    ageing = {
        key: replace(
            fitted,
            kind=_kind(fitted.kind, changes.limits.get(key[0])),
            table=_sold(fitted.table, changes),
        )
        for key, fitted in today.ageing.items()
    }
    like = {name: boat for boat, names in _names(lives, changes) for name in names}
    lives, joining = with_added(lives, ageing, changes.added)
    lives = replace(lives, usage=_usage(lives, like, changes))
    return Plan(Fleet(records, lives), ageing, today.own, joining)


def _settings(settings: Settings, changes: Changes) -> Settings:
    kinds = dict(settings.kinds)
    for name, limits in changes.limits.items():
        kinds[name] = _kind(settings.kind(name), limits)
    assert settings.as_of is not None  # the reader fills it in
    seasons = rule_then(settings.seasons, changes, settings.as_of)
    rates = Rates(**vars(settings.rates) | dict(changes.rates))
    return replace(settings, kinds=MappingProxyType(kinds), seasons=seasons, rates=rates)


def _kind(kind: Kind, limits: Limits | None) -> Kind:
    if limits is None:
        return kind
    age = kind.limit if limits.age == AS_SET else limits.age
    years = kind.limit_years if limits.years == AS_SET else limits.years
    return replace(kind, limit=age, limit_years=years, limit_from=LIMIT_FROM)


def _names(lives: Lives, changes: Changes) -> list[tuple[str, list[str]]]:
    """Of each entry of added boats, the boat they are like and their own names."""
    taken = [boat for boat, _ in lives.usage.lines]
    names = names_of(changes.added, taken)
    return [(one.like, new) for one, new in zip(changes.added, names, strict=True)]


def _usage(lives: Lives, like: Mapping[str, str], changes: Changes) -> ShaftHours:
    """The hours to come at the pace of each boat; an added one has that of the boat she is like.

    Her base is the one she joins, which counts where nothing is said of the other boat herself.
    """
    usage, hours = lives.usage, changes.hours
    base = dict(zip(lives.table["boat"], lives.table["base"], strict=True))
    pace = np.array([hours.of(base.get(boat, ""), like.get(boat, boat)) for boat, _ in usage.lines])
    if not len(pace) or (pace == 1.0).all():
        return usage
    return usage.at_pace(pace, day_number(lives.as_of))


def _sold(table: pd.DataFrame, changes: Changes) -> pd.DataFrame:
    """The same lives, of boats that leave on the day of their sale at the latest."""
    if not changes.sold:
        return table
    days: Mapping[str, pd.Timestamp] = {one.boat: pd.Timestamp(one.on) for one in changes.sold}
    sold = pd.to_datetime(table["boat"].map(days))
    leaves = pd.to_datetime(table["leaves_on"])
    return table.assign(leaves_on=leaves.where(~(sold < leaves.fillna(pd.Timestamp.max)), sold))


def _prices(fleet: Fleet, changes: Changes) -> pd.DataFrame:
    table = fleet.records.tables[PRICES.file]
    if not changes.prices or table.empty:
        return table
    # A row without a kind is of the kind that bears its number.
    rows = fleet.lives.table
    kind_of = dict(zip(rows["part_no"], rows["kind"], strict=True))
    factor = [
        changes.prices.of(kind or kind_of.get(number, ""), number)
        for kind, number in zip(table["kind"], table["part_no"], strict=True)
    ]
    return table.assign(part_price=table["part_price"] * np.array(factor))
