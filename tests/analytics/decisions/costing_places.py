"""Futures written out renewal by renewal, so that their money can be worked out by hand."""

from collections.abc import Sequence
from datetime import date

import numpy as np
import pandas as pd

from analytics.job import Fleet
from analytics.outlook.futures import PARTS_COLUMNS, Futures
from analytics.usage import day_number

Renewal = tuple[int, int, date, int]
"""Future, place, day and how."""


def written_out(
    fleet: Fleet,
    places: Sequence[tuple[str, str, str, str]],
    renewals: Sequence[Renewal],
    *,
    n_futures: int = 1,
    n_draws: int = 1,
    years: Sequence[int] = (2025,),
    sizes: Sequence[str] = (),
    bases: Sequence[str] = (),
) -> Futures:
    """Futures of these places (boat, position, kind, part number) and renewals."""
    rule = fleet.records.settings.seasons
    parts = pd.DataFrame(
        [
            dict(zip(["boat", "position", "kind", "part_no"], place, strict=True))
            | {"group": "all", "source": "parts.csv:2"}
            | {"size": sizes[i] if sizes else "", "base": bases[i] if bases else ""}
            for i, place in enumerate(places)
        ],
        columns=PARTS_COLUMNS,
    )
    return Futures(
        seasons=tuple(rule.season(year) for year in years),
        parts=parts,
        n_futures=n_futures,
        n_draws=n_draws,
        future=np.array([one[0] for one in renewals], dtype=np.int32),
        part=np.array([one[1] for one in renewals], dtype=np.int32),
        day=np.array([day_number(one[2]) for one in renewals], dtype=np.int32),
        how=np.array([one[3] for one in renewals], dtype=np.int8),
    )
