"""What the section of the records' own curves asks for, worked out once; no Streamlit."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from analytics.ageing.agreement import disagreement, parts_company
from analytics.ageing.as_watched import as_watched
from analytics.ageing.expected_failures import stretches
from analytics.ageing.fit import Ageing
from analytics.ageing.nonparametric.counted import Counted, counted
from analytics.lives import Lives


@dataclass(frozen=True)
class OwnCurves:
    """The records' own curves of one kind, and what is held against them.

    Attributes
    ----------
    counted : Counted
    fitted : DataFrame
        The fitted curve (the prior alone where the records say too little) of the same
        mix of parts: `as_watched`.
    expected : DataFrame or None
        Failures seen and expected by stretch of age; None where there is no fit.
    disagreement : str or None
    parted : bool
        Whether failures seen and expected, all stretches together, differ by more than chance
        would have them and by enough to matter.
    """

    counted: Counted
    fitted: pd.DataFrame
    expected: pd.DataFrame | None
    disagreement: str | None
    parted: bool = False


def own_curves(lives: Lives, fitted: Ageing, seed: int = 0) -> OwnCurves:
    """Count the lives behind a fit."""
    own = counted(lives, fitted.table, fitted.nodes, seed)
    furthest = float(own.kaplan_meier["age"].max()) if len(own.kaplan_meier) else fitted.oldest
    ages = np.linspace(0.0, furthest if furthest > 0 else fitted.kind.prior.at, 61)
    posterior = fitted.prior if fitted.rests_on_prior else fitted.posterior
    found = None
    if not fitted.rests_on_prior:
        found = stretches(fitted.posterior, fitted.nodes, fitted.table)
    return OwnCurves(
        counted=own,
        fitted=as_watched(
            posterior, fitted.nodes, fitted.table, ages, units_per_year=fitted.units_per_year
        ),
        expected=None if found is None else found.table(),
        disagreement=disagreement(fitted),
        parted=found is not None and parts_company(found),
    )
