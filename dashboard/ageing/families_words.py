"""The words of the section on wear-out families."""

from __future__ import annotations

from typing import Literal

from analytics.ageing.constant_rate import Verdict
from analytics.ageing.fit import Ageing
from analytics.ageing.summary import CONSTANT

HEADING = "Which curve, and does it age at all"

LABELS = {
    "weibull": "Weibull curve",
    "lognormal": "lognormal curve",
    CONSTANT: "constant rate, no ageing",
}

FAMILIES = (
    "A *Weibull* curve has a failure rate that goes on rising with age. Under a *lognormal* curve "
    "it rises, then levels off and falls among the very old: some parts just last. The two differ "
    "least where records are thickest and most past the oldest age watched."
)

SCORES = (
    "Each curve is scored by how well it foretells lives that it was not fitted to, one left out "
    "at a time: the higher the score the better. A difference of 1 multiplies the odds by about "
    "2.7; within twice its standard error it may be chance. The constant rate is there only to be "
    "beaten. Both curves start from the same belief about shape and life."
)

PICTURE = (
    "Lines: the share still sound by each curve, of the mean over its draws; they differ by dash. "
    "Steps: what the records show without any curve. A curve may be right and still leave the "
    "steps where few lives were watched."
)


def weight_of(verdict: Verdict) -> Literal["markdown", "info", "warning"]:
    """How loudly a verdict is said: what speaks against renewing by age is a warning."""
    if verdict in ("no ageing", "rate falls with age"):
        return "warning"
    return "markdown" if verdict == "evidence of ageing" else "info"


def unreliable(units: int, unit: str) -> str | None:
    """A sentence where many scores lean on what was left out; None where few do."""
    if not units:
        return None
    what = f"one {unit}" if units == 1 else f"{units} {unit.replace('life', 'live')}s"
    return (
        f"The scores of {what} are rough, because the fit leans on them: take the comparison "
        "with a grain of salt where the curves are close."
    )


def not_fitted(fitted: Ageing) -> str:
    """Why there is nothing to compare."""
    return (
        f"All {fitted.lives} lives of this kind have failed and none is still in service: records "
        "of failures only are not fitted, so there are no curves to compare."
    )
