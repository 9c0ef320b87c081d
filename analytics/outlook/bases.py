"""The season by base and for the fleet: failures expected before it, in it and after it.

Two ranges stand beside each expected number. That of the expected number itself spreads over
the draws: what is not known of curves, groups and hours. That of the number of failures is
wider, because luck comes on top: even with every curve known, failures come or stay away.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.ageing.curves import BAND
from analytics.outlook.counts import count_distribution, count_quantiles

Floats = npt.NDArray[np.float64]

ALL_BASES = "all bases"
"""The last row: the fleet."""

WINDOWS = ("before", "in_season", "after")

BASE_COLUMNS = [
    *("base", "boats", "parts"),
    *(
        f"{what}_{window}{end}"
        for window in WINDOWS
        for what, ends in (("expected", ("", "_low", "_high")), ("failures", ("_low", "_high")))
        for end in ends
    ),
]


def bases_table(parts: pd.DataFrame, drawn: Mapping[str, Floats]) -> pd.DataFrame:
    """Expected failures of each base, and of the fleet in the last row.

    Parameters
    ----------
    parts : DataFrame
        Columns `base`, `boat`; a base that is not known is "".
    drawn : mapping of str to ndarray, shape (n_draws, n_parts)
        Chances of the parts in each of `WINDOWS`.

    Returns
    -------
    DataFrame
        `BASE_COLUMNS`: `expected_*` with the 90 % range of the expected number over the
        draws, and `failures_*` the 90 % range of the number of failures, luck included.
    """
    bases = parts["base"].to_numpy()
    rows = [
        {"base": base, **_row(parts["boat"], drawn, np.flatnonzero(bases == base))}
        for base in sorted(set(bases))
    ]
    rows.append({"base": ALL_BASES, **_row(parts["boat"], drawn, np.arange(len(parts)))})
    return pd.DataFrame(rows, columns=BASE_COLUMNS)


def _row(
    boats: pd.Series, drawn: Mapping[str, Floats], chosen: npt.NDArray[np.int64]
) -> dict[str, float | int]:
    row: dict[str, float | int] = {"boats": boats.iloc[chosen].nunique(), "parts": len(chosen)}
    for window in WINDOWS:
        # Taking all columns by their numbers would copy the draws of the whole fleet.
        chances = drawn[window]
        own = chances if len(chosen) == chances.shape[1] else chances[:, chosen]
        numbers = own.sum(axis=1)
        low, high = np.quantile(numbers, BAND)
        fewest, most = count_quantiles(count_distribution(own), BAND)
        row |= {
            f"expected_{window}": float(numbers.mean()),
            f"expected_{window}_low": float(low),
            f"expected_{window}_high": float(high),
            f"failures_{window}_low": fewest,
            f"failures_{window}_high": most,
        }
    return row
