"""Does a kind of part age at all? Its curve against a failure rate that never changes.

Where parts fail at the same rate at any age, an old one is as good as a new one and
replacing by age gains nothing. So a constant rate (the exponential) is set up beside
the fitted curve as something to be beaten: with the same belief about the share worn
out by the quoted age, and scored in the same way, by how well it foretells lives that
it has not seen.

The curve has to be better by odds of 20 to 1. If the rate were constant, a rival that
was named beforehand would reach such odds in the density of the records at most once
in twenty times (Markov's inequality); scores that leave one out come close to that.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal
from zlib import crc32

import numpy as np
import numpy.typing as npt

from analytics.ageing.clocks import Nodes, collapsed
from analytics.ageing.families import FAMILIES
from analytics.ageing.family_choice import FEW
from analytics.ageing.fit import ENOUGH, Ageing
from analytics.ageing.groups.group_posterior import grouped_score
from analytics.ageing.posterior import AlikeLives, Belief, Posterior, of_family
from analytics.ageing.predictive import Score, difference, mixed
from analytics.ageing.prior import log_prior
from analytics.records.kinds import Prior

Floats = npt.NDArray[np.float64]

ODDS = 20.0
"""Odds by which a rising rate must foretell the records better than a constant one."""

_AS_GOOD_AS_ONE = 0.01
"""Spread of the log shape about 0 in the constant rate: a hundredth, which no records show."""

Verdict = Literal["evidence of ageing", "no evidence", "too few failures to say"]


@dataclass(frozen=True)
class AgeingEvidence:
    """Whether the records of one kind show that it ages.

    Attributes
    ----------
    verdict : {"evidence of ageing", "no evidence", "too few failures to say"}
    lead : float
        Predictive score of the fitted curve above that of a constant rate; NaN where
        they were not compared.
    error : float
        Standard error of `lead` by the units that the records happen to hold.
    rising, rising_before : float
        Chance that the wear-out rate is higher at `old` than at `young`, with the
        records and before them.
    young, old : float
        Ages on the kind's clock between which the middle half of all watching lies.
    worn_out : int
        Failures that surely came later than an early one can.
    constant : Score or None
        Of the constant rate.
    """

    verdict: Verdict
    lead: float
    error: float
    rising: float
    rising_before: float
    young: float
    old: float
    worn_out: int
    constant: Score | None = None

    @property
    def sentence(self) -> str:
        """The verdict in plain words."""
        before = f"Before the records this was believed at {_percent(self.rising_before)}."
        if self.verdict == "evidence of ageing":
            return (
                "These parts age: a failure rate that changes with age foretells these records "
                f"better than a constant one, by odds of {_odds(self.lead)}. That the rate rises "
                f"over the ages most watched is believed at {_percent(self.rising)}. {before}"
            )
        if self.verdict == "too few failures to say":
            return (
                f"With {_failures(self.worn_out)} these records cannot say whether such parts age "
                "at all. What ageing the curve has comes from what was believed before them: that "
                f"the rate rises was believed at {_percent(self.rising_before)}."
            )
        if self.lead < -np.log(ODDS):
            how = f"a constant failure rate foretells them better, by odds of {_odds(-self.lead)}"
        elif self.lead < np.log(2.0):
            how = "a constant failure rate foretells them as well as one that changes with age"
        else:
            how = (
                "a failure rate that changes with age foretells them better by odds of only "
                f"{_odds(self.lead)}, where {ODDS:.0f} to 1 are asked for"
            )
        return (
            f"These records show no ageing: {how}. Replacing by age gains nothing by what they "
            "show; what ageing the curve has comes mostly from the prior. "
            f"{before}"
        )


def does_it_age(ageing: Ageing, seed: int = 0) -> AgeingEvidence:
    """Whether the records of a kind show that it ages.

    Parameters
    ----------
    ageing : Ageing
        From `fit.kind_ageing`.
    seed : int
        Source of chance for the fit of the constant rate.
    """
    young, old = _ages_watched(ageing)
    rising, before = (_rising(of, young, old) for of in (ageing.posterior, ageing.prior))
    if ageing.worn_out < FEW or ageing.grade == "only failures, not fitted":
        return AgeingEvidence(
            "too few failures to say", float("nan"), float("nan"), rising, before, young, old,
            ageing.worn_out,
        )  # fmt: skip
    stream = [seed, crc32(f"constant|{ageing.kind.name}|{ageing.group}".encode())]
    rng = np.random.default_rng(stream)
    families = ageing.posterior.families
    if families is not None and families.scores:
        names = list(families.scores)
        curve = mixed([families.scores[name] for name in names],
                      [families.by_score[name] for name in names])  # fmt: skip
    else:
        curve = _score(ageing, rng, ageing.posterior.likeliest.kind.family)
    constant = _score(ageing, rng, "weibull", constant_rate(ageing.kind.prior))
    lead, error = difference(curve, constant)
    verdict: Verdict = "no evidence"
    if lead >= np.log(ODDS):
        verdict = "evidence of ageing"
    elif ageing.worn_out < ENOUGH:
        verdict = "too few failures to say"
    return AgeingEvidence(
        verdict, lead, error, rising, before, young, old, ageing.worn_out, constant
    )


def constant_rate(prior: Prior) -> Belief:
    """Belief in a Weibull curve of shape 1, with the same share worn out by the quoted age."""
    family = FAMILIES["weibull"]

    def belief(rows: Floats) -> Floats:
        straight = rows.copy()
        straight[:, 0] = 0.0
        return log_prior(family, prior, straight) - 0.5 * (rows[:, 0] / _AS_GOOD_AS_ONE) ** 2

    return belief


def _score(
    ageing: Ageing, rng: np.random.Generator, family: str, belief: Belief | None = None
) -> Score:
    kind = of_family(ageing.kind, family)
    if ageing.groups:
        return grouped_score(kind, ageing.nodes, ageing.groups, rng, belief)
    return AlikeLives(kind, collapsed(ageing.nodes), rng, belief).score(rng)


def _rising(posterior: Posterior, young: float, old: float) -> float:
    """Chance that the wear-out rate is higher at one age than at an earlier one."""
    theta, family = posterior.parameters, posterior.family
    early, late = (
        family.log_hazard(np.full(len(theta), age), theta.log_shape, theta.log_scale)
        for age in (young, old)
    )
    return float((late > early).mean())


def _ages_watched(ageing: Ageing) -> tuple[float, float]:
    """Ages between which the middle half of all watching lies."""
    nodes: Nodes = ageing.nodes
    furthest = ageing.oldest
    if not nodes.n_lives or furthest <= 0:
        return ageing.kind.prior.at / 4, ageing.kind.prior.at
    ages = (np.arange(200) + 0.5) / 200 * furthest
    entry, until = np.sort(nodes.entry), np.sort(nodes.lower)
    watched = np.searchsorted(entry, ages) - np.searchsorted(until, ages)
    share = np.cumsum(watched) / max(int(watched.sum()), 1)
    young, old = (float(ages[min(int(np.searchsorted(share, at)), 199)]) for at in (0.25, 0.75))
    return (young, old) if young < old else (furthest / 4, furthest)


def _odds(lead: float) -> str:
    if lead > np.log(1000.0):
        return "more than 1,000 to 1"
    return f"about {max(np.exp(lead), 1.0):,.0f} to 1"


def _percent(chance: float) -> str:
    if chance > 0.99:
        return "more than 99 %"
    return "less than 1 %" if chance < 0.01 else f"{chance:.0%}".replace("%", " %")


def _failures(n: int) -> str:
    return {0: "no failure by wear", 1: "one failure by wear"}.get(n, f"{n} failures by wear")
