"""The few figures that say how a kind ages, each with its 90 % interval, and its families."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.ageing.constant_rate import AgeingEvidence, does_it_age
from analytics.ageing.curves import BAND, life_at
from analytics.ageing.families import AVERAGED, CODES, shared_terms
from analytics.ageing.family_choice import FamilyChoice
from analytics.ageing.fit import Ageing
from analytics.ageing.posterior import Posterior
from analytics.ageing.predictive import Score, difference

FAMILIES_COLUMNS = [
    "family",
    "weight",
    "used",
    "score",
    "score_error",
    "behind",
    "behind_error",
    "unit",
    "units",
    "unreliable_units",
]

CONSTANT = "constant rate"
"""Name of the exponential among families: something to be beaten, never used."""


@dataclass(frozen=True)
class Estimate:
    """A median and the 90 % interval about it."""

    median: float
    low: float
    high: float

    @classmethod
    def of(cls, draws: npt.NDArray[np.float64]) -> Estimate:
        """From draws of equal weight."""
        low, median, high = np.quantile(draws, (BAND[0], 0.5, BAND[1]))
        return cls(float(median), float(low), float(high))


@dataclass(frozen=True)
class KeyFigures:
    """Figures of one posterior (or of the prior alone).

    Attributes
    ----------
    shape : Estimate
        How sharply parts wear out, in the family's own terms; a Weibull shape
        of 1 is no ageing at all. Where families are averaged, the Weibull shape
        that spreads log life as much.
    scale : Estimate
        In the family's own terms, on the kind's clock. Where families are averaged,
        the age by which half have worn out.
    life_10 : Estimate
        Age by which 10 % have failed, early or worn out, on the kind's clock.
    early : Estimate
        Share of installs that fail early.
    accidents : Estimate
        Accidents per part and year.
    """

    shape: Estimate
    scale: Estimate
    life_10: Estimate
    early: Estimate
    accidents: Estimate


def key_figures(ageing: Ageing, posterior: Posterior | None = None) -> KeyFigures:
    """Key figures with the records, or those of `ageing.prior` where it is given."""
    chosen = posterior or ageing.posterior
    theta = chosen.parameters
    return KeyFigures(
        shape=Estimate.of(np.exp(theta.log_shape)),
        scale=Estimate.of(np.exp(theta.log_scale)),
        life_10=Estimate.of(life_at(chosen, ageing.units_per_year)),
        early=Estimate.of(theta.early),
        accidents=Estimate.of(chosen.accidents),
    )


def records_alone(ageing: Ageing) -> tuple[float, float] | None:
    """Shape and scale of maximum likelihood, in the terms of `KeyFigures`; None without one."""
    best, choice = ageing.likelihood, ageing.posterior.families
    if best is None:
        return None
    if ageing.posterior.kind.family != AVERAGED or choice is None:
        return best.shape, best.scale
    shape, scale = shared_terms(
        choice.likeliest, np.array(best.log_shape), np.array(best.log_scale)
    )
    return float(np.exp(shape)), float(np.exp(scale))


def families_table(ageing: Ageing, evidence: AgeingEvidence | None = None) -> pd.DataFrame:
    """The wear-out families of a kind, as a table for pages and files.

    Parameters
    ----------
    ageing : Ageing
    evidence : AgeingEvidence, optional
        From `constant_rate.does_it_age`; worked out where it is not given.

    Returns
    -------
    DataFrame
        A row for each family, the constant rate last:

        family : its name, or `CONSTANT`.
        weight : how sure the choice is, 0 to 1; by the scores, or the weight before
            the records where they cannot tell. Missing for the constant rate.
        used : whether it stands behind the curve.
        score, score_error : log of the density given to units that were left out, and its
            standard error; higher is better; missing where nothing was compared.
        behind, behind_error : by how much the best score is above this one, and the
            standard error of that.
        unit, units : what was left out one at a time, and how many there are.
        unreliable_units : units whose share of the score is not known well.
    """
    choice = ageing.posterior.families or _unasked(ageing)
    found = evidence or does_it_age(ageing)
    scores: dict[str, Score] = dict(choice.scores)
    if found.constant is not None:
        scores[CONSTANT] = found.constant
    comparable = {name: one for name, one in scores.items() if len(scores) > 1}
    best = max(comparable.values(), key=lambda one: one.total, default=None)
    rows = []
    for name in [*CODES, CONSTANT]:
        score = comparable.get(name)
        behind, error = (np.nan, np.nan)
        if score is not None and best is not None:
            behind, error = (0.0, 0.0) if score is best else difference(best, score)
        rows.append({
            "family": name,
            "weight": choice.by_score.get(name, np.nan),
            "used": choice.weights.get(name, 0.0) > 0,
            "score": np.nan if score is None else score.total,
            "score_error": np.nan if score is None else score.error,
            "behind": behind,
            "behind_error": error,
            "unit": choice.unit,
            "units": np.nan if score is None else score.units,
            "unreliable_units": np.nan if score is None else score.unreliable,
        })  # fmt: skip
    return pd.DataFrame(rows, columns=FAMILIES_COLUMNS)


def family_sentence(ageing: Ageing) -> str:
    """Which family stands behind the curve, and how sure that is, in plain words."""
    choice = ageing.posterior.families or _unasked(ageing)
    one, other = (_LABELS[name] for name in CODES)
    if choice.basis == "as set":
        if choice.name == AVERAGED:
            return f"The curve is what is believed before the records: of {one} and {other} alike."
        return f"The curve is {_LABELS[choice.name]}, because the settings say so."
    if choice.basis == "few failures":
        return (
            f"The records cannot tell {one} from {other}: fewer than three parts are known to have "
            "worn out. Both are used alike, and every figure is an average over them."
        )
    if choice.basis == "rough":
        return (
            f"Whether {one} or {other} foretells these records better could not be worked out: the "
            "fits lean on too few lives or lines. Both are used alike, and every figure is an "
            "average over them."
        )
    sure = choice.by_score[choice.likeliest]
    told = f"by how well each foretells a {choice.unit} that it has not seen"
    if choice.name != AVERAGED:
        left_out = other if choice.name == CODES[0] else one
        return (
            f"The curve is {_LABELS[choice.name]}: {told}, it has {_percent(sure)} of the weight, "
            f"and {left_out} is left out."
        )
    lean = _LABELS[choice.likeliest]
    return (
        f"The records cannot settle whether such parts age like {one} or {other}: {told}, "
        f"{lean} has {_percent(sure)} of the weight. Both are used in that proportion, and every "
        "figure is an average over them."
    )


_LABELS = {"weibull": "a Weibull curve", "lognormal": "a lognormal curve"}


def _percent(share: float) -> str:
    return "more than 99 %" if share > 0.99 else f"{share * 100:.0f} %"


def _unasked(ageing: Ageing) -> FamilyChoice:
    """The families of draws that no records stand behind."""
    codes = ageing.posterior.parameters.codes
    if codes is None:
        alone = {name: float(name == ageing.posterior.kind.family) for name in CODES}
        return FamilyChoice(alone, alone)
    shares = np.bincount(codes, minlength=len(CODES)) / len(codes)
    found = dict(zip(CODES, (float(share) for share in shares), strict=True))
    return FamilyChoice(found, found)


def ageing_document(ageing: Ageing) -> dict[str, Any]:
    """Everything a file says about one kind and group, as plain numbers and texts.

    Beside the figures: `families` (a mapping of each family and the constant rate to
    the columns of `families_table`, None where there is no number), `family_basis`
    (why these families: as set, few failures, rough, or score), `family_sentence`, and
    `ageing_evidence` (the attributes of `AgeingEvidence` but for the score, with its
    sentence). `maximum_likelihood` is of the likeliest family, in its own terms.
    """
    best = ageing.likelihood
    evidence = does_it_age(ageing)
    choice = ageing.posterior.families or _unasked(ageing)
    told = {name: value for name, value in vars(evidence).items() if name != "constant"}
    return {
        "kind": ageing.kind.name,
        "group": ageing.group,
        "boundary": ageing.kind.boundary,
        "clock": ageing.kind.clock,
        "family": ageing.kind.family,
        "family_basis": choice.basis,
        "family_sentence": family_sentence(ageing),
        "families": {
            str(row["family"]): {name: _plain(row[name]) for name in FAMILIES_COLUMNS[1:]}
            for row in families_table(ageing, evidence).to_dict("records")
        },
        "ageing_evidence": {name: _plain(value) for name, value in told.items()}
        | {"sentence": evidence.sentence},
        "lives": ageing.lives,
        "failures": ageing.failures,
        "worn_out_failures": ageing.worn_out,
        "accidents": ageing.accidents,
        "censored": ageing.censored,
        "oldest": ageing.oldest,
        "grade": ageing.grade,
        "with_records": asdict(key_figures(ageing)),
        "prior_alone": asdict(key_figures(ageing, ageing.prior)),
        "prior": asdict(ageing.kind.prior),
        "maximum_likelihood": best
        and {"family": choice.likeliest, "shape": best.shape, "scale": best.scale},
        "method": ageing.posterior.method,
        "effective_draws": ageing.posterior.effective,
        "tail_of_weights": ageing.posterior.tail,
        "limit": ageing.kind.limit,
        "limit_years": ageing.kind.limit_years,
        "limit_from": ageing.kind.limit_from,
    }


def _plain(value: Any) -> Any:
    """A number or text as a file holds it; None for what is not a number."""
    if isinstance(value, (bool, np.bool_)):
        return bool(value)
    if isinstance(value, (int, float, np.integer, np.floating)):
        return float(value) if np.isfinite(value) else None
    return value
