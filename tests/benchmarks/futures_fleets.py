"""Fleets for timing the futures: the places of a small fleet, many times over."""

from __future__ import annotations

from dataclasses import fields, replace

import numpy as np
import pandas as pd

from analytics.ageing.clocks import Nodes
from analytics.ageing.fit import Ageing, FleetAgeing
from analytics.ageing.groups.fields import NO_LEVEL, PLACE, level_names
from analytics.ageing.posterior import Posterior
from analytics.lives import IN_SERVICE, Lives
from analytics.usage import ShaftHours


def repeated(lives: Lives, ageing: FleetAgeing, times: int) -> tuple[Lives, FleetAgeing]:
    """The parts in service again and again, each time on boats of another name."""
    usage = _lines(lives.usage, times)
    return replace(lives, usage=usage), {key: _kind(one, times) for key, one in ageing.items()}


def _name(boats: pd.Series, number: int) -> pd.Series:
    return boats + f" {number}" if number else boats


def _lines(usage: ShaftHours, times: int) -> ShaftHours:
    n = len(usage.lines)
    moved: dict[str, object] = {}
    for field in fields(usage):
        value = getattr(usage, field.name)
        if isinstance(value, np.ndarray) and value.shape[:1] == (n,):
            moved[field.name] = np.tile(value, times)
        elif isinstance(value, tuple) and len(value) == n:
            moved[field.name] = value * times
    lines = {
        (f"{boat} {k}" if k else boat, position): k * n + line
        for k in range(times)
        for (boat, position), line in usage.lines.items()
    }
    return replace(usage, **{**moved, "lines": lines})  # type: ignore[arg-type]


def _kind(fitted: Ageing, times: int) -> Ageing:
    serving = (fitted.table["outcome"] == IN_SERVICE).to_numpy()
    nodes, table = fitted.nodes, fitted.table[serving]
    rows = serving[nodes.life]
    sizes = np.tile(np.diff(np.append(nodes.first, len(nodes.life)))[serving], times)
    moved: dict[str, object] = {}
    for field in fields(Nodes):
        value = getattr(nodes, field.name)
        if value is not None:
            of_node = len(value) == len(rows) and field.name not in ("outcome", "count", "first")
            moved[field.name] = np.tile(value[rows if of_node else serving], times)
    moved["life"] = np.repeat(np.arange(len(sizes)), sizes)
    moved["first"] = (np.cumsum(sizes) - sizes).astype(np.int64)
    tables = [table.assign(boat=_name(table["boat"], k)) for k in range(times)]
    return replace(
        fitted,
        posterior=_known_places(fitted.posterior, tables),
        table=pd.concat(tables, ignore_index=True),
        nodes=replace(nodes, **moved),  # type: ignore[arg-type]
    )


def _known_places(posterior: Posterior, tables: list[pd.DataFrame]) -> Posterior:
    """Every shaft line with the effect of the one that it repeats: none is new to the records."""
    factors = posterior.factors
    if factors is None or factors.fields[-1].name != PLACE:
        return posterior
    *others, field = factors.fields
    codes = field.codes_of(tables[0])
    levels, from_level = list(field.levels), list(range(len(field.levels)))
    for table in tables[1:]:
        names = level_names(table, PLACE)[codes != NO_LEVEL]
        again = dict(zip(names, codes[codes != NO_LEVEL].tolist(), strict=True))
        levels += again
        from_level += again.values()
    order = np.argsort(levels)
    more = replace(field, levels=tuple(np.array(levels)[order].tolist()))
    effects = factors.effects[-1][:, np.array(from_level)[order]]
    return replace(
        posterior,
        factors=replace(factors, fields=(*others, more), effects=(*factors.effects[:-1], effects)),
    )
