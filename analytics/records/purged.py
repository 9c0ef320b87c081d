"""Records that begin later than they are said to: what was removed before is not in them."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.records.findings import Finding
from analytics.records.settings import FILE as SETTINGS_FILE
from analytics.records.tables import BOATS, PARTS

Floats = npt.NDArray[np.float64]

GAP_YEARS = 3.0
"""Years without a removal that make one ask whether they were kept (common practice, no source)."""

MISSED = 3.0
"""Removals to be expected in the gap before their lack says anything: with three expected, none
comes about once in twenty such gaps (Poisson, exp(-3) = 0.05)."""

_DAYS_PER_YEAR = 365.25


def purged_records(
    tables: Mapping[str, pd.DataFrame], watched_from: Floats, as_of: float
) -> list[Finding]:
    """Bases whose removals begin years after most of their boats are said to be watched.

    Parameters
    ----------
    tables : mapping of str to DataFrame
        Checked rows by file.
    watched_from : ndarray, shape (n_boats,)
        For each row of the boats, the day from which its removals are in the
        records, as the settings and the boat say (days since 1970-01-01, NaN
        where nothing says).
    as_of : float
        Last day watched.
    """
    boats, parts = tables[BOATS.file], tables[PARTS.file]
    lines = parts.drop_duplicates(["boat", "position", "kind"]).groupby("boat").size()
    places = boats["boat"].map(lines).fillna(0).to_numpy(dtype=np.float64)
    base_of = boats.set_index("boat")["base"]
    removed = parts["removed_on_lo"].to_numpy(dtype="datetime64[D]").astype("int64")
    ended = parts["removed_on_lo"].notna().to_numpy()
    part_base = parts["boat"].map(base_of).to_numpy()
    findings = []
    for base in sorted(boats["base"].unique()):
        here = (boats["base"] == base).to_numpy() & (places > 0)
        days = removed[ended & (part_base == base)]
        if not here.any() or not len(days):
            continue
        earliest = float(days.min())
        gap = (earliest - watched_from[here]) / _DAYS_PER_YEAR
        # A boat that nothing says anything of is not said to be watched for long.
        if np.mean(np.nan_to_num(gap) >= GAP_YEARS) <= 0.5:
            continue
        place_years_before = float((np.fmax(np.nan_to_num(gap), 0) * places[here]).sum())
        place_years_after = max((as_of - earliest) / _DAYS_PER_YEAR, 0.5) * float(
            places[here].sum()
        )
        if place_years_before * len(days) / place_years_after < MISSED:
            continue
        day = np.datetime64(int(earliest), "D")
        findings.append(
            Finding(
                PARTS.file,
                None,
                "removed_on",
                f"{base or 'boats without a base'}: no removal before {day}",
                "removals from the day on which the boats joined or the records began",
                "noted",
                f"{place_years_before:.0f} years of parts in place without one: if earlier "
                f"removals were thrown away, set joined_on of these boats to {day}, or "
                f"records_from in {SETTINGS_FILE} where it is so of the whole fleet. Else parts "
                "look longer-lived than they are.",
                "records_purged",
            )
        )
    return findings
