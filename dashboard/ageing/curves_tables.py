"""The curves of one kind and their figures as tables for files; no Streamlit."""

from __future__ import annotations

import numpy as np
import pandas as pd

from analytics.ageing.fit import Ageing
from analytics.ageing.summary import Estimate, records_alone
from dashboard.curves import Curves

FIGURES_COLUMNS = ["kind", "group", "figure", "unit", "basis", "middle", "low", "high"]

RECORDS, PRIOR, ALONE = "records and prior", "prior alone", "most likely by the records alone"

_ENDS = ("", "_low", "_high")


def curve_table(fitted: Ageing, curves: Curves) -> pd.DataFrame:
    """The lines of the section, a row per age.

    Returns
    -------
    DataFrame
        `kind`, `group`, `unit` (of ages), `age`, then with `_low` and `_high` for the 90 % range:
        `survival` (share still sound) and `hazard` (failures per part and unit of age) of the
        typical part, `survival_same_mix` of the mix of parts watched at that age (blank
        where all parts are taken as alike and past the ages watched), `prior_survival` and
        `prior_hazard` of the prior alone; `hazard_wear_out` and `hazard_early` are the
        parts of `hazard`. Accidents are not in it.
    """
    table = curves.fitted.copy()
    for end in _ENDS:
        name = f"survival_same_mix{end}"
        table[name] = np.nan
        if curves.mix is not None:
            # The ages of the mix are the first of those of the fitted curve.
            table.loc[: len(curves.mix) - 1, name] = curves.mix[f"survival{end}"].to_numpy()
    for name in ("survival", "hazard"):
        for end in _ENDS:
            table[f"prior_{name}{end}"] = curves.prior[f"{name}{end}"].to_numpy()
    for at, (name, value) in enumerate(_whose(fitted).items()):
        table.insert(at, name, value)
    table.insert(2, "unit", fitted.kind.clock)
    return table


def figures_table(fitted: Ageing, curves: Curves) -> pd.DataFrame:
    """The figures of the section, a row per figure and what it rests on.

    Returns
    -------
    DataFrame
        `FIGURES_COLUMNS`. `figure`: `life_10` (age by which 10 % have failed), `scale`,
        `shape`, `early` (share of installs that fail from a bad fit), `accidents` (per
        part and year). `low` and `high` hold the 90 % range; the most likely value by
        the records alone has none.
    """
    kind, clock = fitted.kind, fitted.kind.clock
    units = {"life_10": clock, "scale": clock, "shape": ""}
    if "early" in kind.causes:
        units["early"] = "share of installs"
    if "accident" in kind.causes:
        units["accidents"] = "per part and year"
    rows: list[tuple[str, str, Estimate]] = [
        (name, basis, getattr(of, name))
        for basis, of in ((RECORDS, curves.figures), (PRIOR, curves.prior_figures))
        for name in units
    ]
    likely = None if fitted.rests_on_prior else records_alone(fitted)
    if likely is not None:
        for name, value in zip(("shape", "scale"), likely, strict=True):
            rows.append((name, ALONE, Estimate(value, np.nan, np.nan)))
    return pd.DataFrame(
        [
            {**_whose(fitted), "figure": name, "unit": units[name], "basis": basis,
             "middle": one.median, "low": one.low, "high": one.high}
            for name, basis, one in rows
        ],
        columns=FIGURES_COLUMNS,
    )  # fmt: skip


def _whose(fitted: Ageing) -> dict[str, str]:
    return {"kind": fitted.kind.name, "group": fitted.group}
