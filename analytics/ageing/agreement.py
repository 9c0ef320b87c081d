"""Whether the fitted curve, the records' own curve and the prior tell the same story.

A wrong model must be seen, and not by those alone who can read a chart: where
the three part, a sentence says so.
"""

from __future__ import annotations

import numpy as np

from analytics.ageing.curves import survival_and_hazard
from analytics.ageing.fit import Ageing
from analytics.ageing.nonparametric.kaplan_meier import drawn_lives, kaplan_meier

OUTSIDE = 0.25
"""Share of the ages with failures at which the two 90 % ranges miss each other (planning default):
a right model shows about none, since both are ranges of the same curve."""

ENOUGH = 5
"""Failures below which the records' own curve is too rough to be held against a fit."""


def disagreement(ageing: Ageing) -> str | None:
    """A sentence where the records' own curve and the fitted one do not agree.

    Parameters
    ----------
    ageing : Ageing
        One kind or group.

    Returns
    -------
    str or None
        None where they agree, where there is no fit, or where the records' own
        curve is too rough to tell.
    """
    if ageing.rests_on_prior:
        return None
    return _steps_and_line(ageing) or _prior_and_records(ageing)


def _steps_and_line(ageing: Ageing) -> str | None:
    entry, exit, failed, _ = drawn_lives(ageing.nodes)
    if failed.sum() < ENOUGH:
        return None
    plain = kaplan_meier(entry, exit, failed)
    plain = plain[plain["failed"] > 0]
    # Where the records' own curve has ended it has no limits, and reaches what it says.
    low, high = (plain[name].fillna(plain["survival"]).to_numpy() for name in ("low", "high"))
    fitted = survival_and_hazard(ageing, ageing.posterior, plain["age"].to_numpy())
    sooner = float((high < fitted["survival_low"].to_numpy()).mean())
    later = float((low > fitted["survival_high"].to_numpy()).mean())
    if max(sooner, later) < OUTSIDE:
        return None
    when = "sooner" if sooner > later else "later"
    return (
        f"Records and fitted curve disagree: these lives ended {when} than the curve allows. "
        "Trust the steps, not the line; several causes may be mixed, or the prior pulls too hard."
    )


def _prior_and_records(ageing: Ageing) -> str | None:
    """Where the shape has moved out of the 90 % range that was believed before the records."""
    prior = ageing.kind.prior
    believed = np.log(prior.shape * ageing.posterior.family.shape_unit)
    moved = float(np.median(ageing.posterior.parameters.log_shape) - believed)
    if abs(moved) <= np.log(prior.shape_factor):
        return None
    if moved < 0:
        return (
            "Flatter than is believed of this kind of part: several causes may be mixed, such as "
            "a bad lot or bad fits. Look at the lots and bases one by one."
        )
    return (
        "Sharper than is believed of this kind of part: the prior holds the curve back. Give the "
        "kind a prior of its own in fleet.toml if there is a reason for it."
    )
