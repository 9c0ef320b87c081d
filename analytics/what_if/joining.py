"""The futures of a plan, with the boats that join in the course of it.

Parts of a boat that joins are simulated from that day on, as if the records ended on it: new,
and with no accident before. Every place has chance of its own, so that those of the boats
that are there stay as they are.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pandas as pd

from analytics.ageing.fit import FleetAgeing
from analytics.job import Progress
from analytics.outlook.futures import Futures, simulated_futures
from analytics.records.seasons import Season
from analytics.what_if.applied import Plan


def with_joining(plan: Plan) -> FleetAgeing:
    """How all parts age, those of boats that join as groups of their own."""
    new = {
        (kind, f"{group}, joining {one.on}"): fitted
        for one in plan.joining
        for (kind, group), fitted in one.ageing.items()
    }
    return {**plan.ageing, **new}


def futures_ahead(
    plan: Plan,
    seasons: Sequence[Season],
    n_futures: int,
    seed: int = 0,
    progress: Progress | None = None,
) -> Futures:
    """Simulated futures of every part of a plan; see `outlook.futures.simulated_futures`."""
    lives = plan.fleet.lives
    futures = simulated_futures(
        lives,
        plan.ageing,
        seasons,
        n_futures=n_futures,
        seed=seed,
        progress=progress,
        own=plan.own,
    )
    for one in plan.joining:
        later = [season for season in seasons if season.end > one.on]
        if later:
            from_then = replace(lives, settings=replace(lives.settings, as_of=one.on))
            new = simulated_futures(from_then, one.ageing, later, n_futures=n_futures, seed=seed)
            futures = _together(futures, new)
    return futures


def _together(one: Futures, other: Futures) -> Futures:
    return replace(
        one,
        parts=pd.concat([one.parts, other.parts], ignore_index=True),
        future=np.concatenate([one.future, other.future]),
        part=np.concatenate([one.part, other.part + np.int32(len(one.parts))]),
        day=np.concatenate([one.day, other.day]),
        how=np.concatenate([one.how, other.how]),
    )
