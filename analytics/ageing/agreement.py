"""Whether the fitted curve, the records' own curve and the prior tell the same story.

A wrong model must be seen, and not by those alone who can read a chart: where
the two part, a sentence says at which ages, by how much, and which way. Whether
they part is judged by failures seen and expected (`expected_failures`), which
allows for entry, windows, groups, and for the curve having been fitted to the
same lives; how far, by the records' own curve.

Of fleets drawn from the model itself, with truths drawn from the prior, about one in
twenty hears a sentence, half of them that the shape lies where hardly any was
believed to, which is then true. A lot of three parts in ten that lasts two fifths
as long is told in one fleet of ten with 18 failures and in every second with 90.
A wrong clock shows in the curve by age seldom: for that the clocks are compared by
what they predict.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from analytics.ageing.as_watched import as_watched
from analytics.ageing.expected_failures import (
    Stretches,
    accident_stretches,
    calendar_ages,
    stretches,
)
from analytics.ageing.fit import Ageing
from analytics.ageing.nonparametric.incidence import incidence
from analytics.ageing.nonparametric.spells import windows_of
from analytics.ageing.nonparametric.turnbull import turnbull
from analytics.ageing.posterior import Posterior

Floats = npt.NDArray[np.float64]

ALARM = 0.025
"""Chance of a difference between failures seen and expected below which it is told."""

ACCIDENT_ALARM = 0.005
"""The same for accidents."""

MATTERS = 0.15
"""Share of the failures expected by which those seen must differ to be worth a sentence."""

ENOUGH = 5
"""Failures below which the records are too rough to be held against a fit."""

SURPRISE = 0.005
"""Chance under the belief of a shape still further off, at which it is told that it has moved."""


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
    told = [_seen_and_expected(ageing), _accidents(ageing)]
    return " ".join(filter(None, told)) or _prior_and_records(ageing)


def parts_company(found: Stretches, alarm: float = ALARM) -> bool:
    """Whether failures seen and expected differ by more than chance, and by enough to matter."""
    first, last = found.worst()
    run = slice(first, last + 1)
    expected = float(found.expected[run].sum())
    apart = abs(float(found.seen[run].sum()) - expected)
    return found.chance() < alarm and apart > MATTERS * expected


def _seen_and_expected(ageing: Ageing) -> str | None:
    if ageing.failures < ENOUGH:
        return None
    found = stretches(ageing.posterior, ageing.nodes, ageing.table)
    if found is None or not parts_company(found):
        return None
    unit = ageing.kind.unit
    since, until, told, when = _worst(found, unit, "failed")
    return " ".join(
        [
            f"Records and fitted curve disagree {told}: these lives ended {when} than the curve "
            "allows.",
            *_both_curves(ageing, since, until),
            "Trust the steps, not the line; several causes may be mixed, or the prior pulls too "
            "hard.",
        ]
    )


def _worst(found: Stretches, unit: str, verb: str) -> tuple[float, float, str, str]:
    """Ages of the worst stretch, what was seen and expected there, and which way it is off."""
    first, last = found.worst()
    run = slice(first, last + 1)
    seen, expected = float(found.seen[run].sum()), float(found.expected[run].sum())
    # Rounding can leave a variance of nothing a little below 0.
    reach = 1.645 * float(np.sqrt(max(float(found.spread[run, run].sum()), 0.0)))
    since, until = float(found.edges[first]), float(found.edges[last + 1])
    where = f"between {_age(since)} and {_age(until)} {unit}"
    if not np.isfinite(until):
        where = f"past {_age(since)} {unit}"
    if since == 0:
        where = f"up to {_age(until)} {unit}" if np.isfinite(until) else "over all ages"
    low, high = max(expected - reach, 0.0), expected + reach
    told = (
        f"{where}, where about {seen:,.0f} {verb} and {expected:,.0f} ({low:,.0f} to {high:,.0f}) "
        "were to be expected"
    )
    return since, until, told, "sooner" if seen > expected else "later"


def _both_curves(ageing: Ageing, since: float, until: float) -> list[str]:
    """How many of those sound at one age reach another, by the records and by the curve."""
    entry, lower, upper = windows_of(ageing.nodes)
    if not len(lower):
        return []
    windowed = bool((np.isfinite(upper) & (lower < upper)).any())
    until = min(until, float(lower.max()))
    if not since < until:
        return []
    own = turnbull(lower, upper, entry, unit=ageing.kind.clock, after=since)
    least, greatest = (float(end[0]) for end in own.survival_between([until]))
    ages = np.linspace(since, until, 25)
    fitted = as_watched(
        ageing.posterior,
        ageing.nodes,
        ageing.table,
        ages,
        units_per_year=ageing.units_per_year,
    ).iloc[-1]
    by_records = f"{100 * greatest:.0f}"
    if round(100 * least) != round(100 * greatest):
        by_records = f"{100 * least:.0f} to {by_records}"
    of = "100 new parts" if since == 0 else f"100 sound at {_age(since)} {ageing.kind.unit}"
    estimate = "Turnbull" if windowed else "Kaplan-Meier"
    return [
        f"Of {of}, {by_records} reach {_age(until)} {ageing.kind.unit} by the records' own curve "
        f"({estimate}), {100 * fitted['survival']:.0f} ({100 * fitted['survival_low']:.0f} to "
        f"{100 * fitted['survival_high']:.0f}) by the fitted one."
    ]


def _age(age: float) -> str:
    """An age in two or three figures."""
    return f"{age:,.0f}" if age >= 100 else f"{age:.3g}"


def _accidents(ageing: Ageing) -> str | None:
    """Where accidents are not spread over age as one rate would have them."""
    if "accident" not in ageing.kind.causes:
        return None
    found = accident_stretches(ageing.table)
    if found is None or not parts_company(found, ACCIDENT_ALARM):
        return None
    since, until, told, _ = _worst(found, "years", "came")
    entry, exit, outcome = calendar_ages(ageing.table)
    own = incidence(exit, outcome.tolist(), ["failed", "accident"], entry)
    # Past the last stretch the two shares meet again: there were as many in all.
    until = until if np.isfinite(until) else since
    share = float(own.at([until], "accident")["share"].iloc[0])
    ages = np.linspace(0.0, until, 200)
    in_place = np.append(1.0, own.in_place)[np.searchsorted(own.ages, ages, side="right")]
    rate = (outcome == "accident").sum() / (exit - entry).sum()
    even = float(rate * np.trapezoid(in_place, ages))
    return (
        f"Accidents do not come at one rate at every age: {told}. By {_age(until)} years "
        f"{100 * share:.0f} in 100 were lost to one by the records' own count (Aalen-Johansen), "
        f"{100 * even:.0f} by one rate. Some of what is called an accident may be wear or a bad "
        "fit."
    )


def _prior_and_records(ageing: Ageing) -> str | None:
    """Where the shape has moved to where hardly any was believed to be before the records."""
    low, high = np.quantile(_log_shape(ageing.prior), (SURPRISE, 1.0 - SURPRISE))
    found = float(np.median(_log_shape(ageing.posterior)))
    if found < low:
        return (
            "Flatter than is believed of this kind of part: several causes may be mixed, such as "
            "a bad lot or bad fits. Look at the lots and bases one by one."
        )
    if found > high:
        return (
            "Sharper than is believed of this kind of part: the prior holds the curve back. Give "
            "the kind a prior of its own in fleet.toml if there is a reason for it."
        )
    return None


def _log_shape(posterior: Posterior) -> Floats:
    """Shapes of the draws as those of the Weibull curve that spreads log life as much."""
    shape: Floats = posterior.parameters.log_shape - np.log(posterior.family.shape_unit)
    return shape
