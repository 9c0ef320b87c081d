"""Does a kind of part age at all? Its curve against a failure rate that never changes.

Where parts fail at the same rate at any age, an old one is as good as a new one and
replacing by age gains nothing. So a constant rate (the exponential) is set up beside
the fitted curve as something to be beaten: with the same belief about the share worn
out by the quoted age, and scored in the same way, by how well it foretells lives that
it has not seen.

The curve has to be better by odds of 20 to 1, and by more than the standard error of
that. If the rate were constant, a rival that was named beforehand would reach such odds
in the density of the records at most once in twenty times (Markov's inequality); scores
that leave one out come close to that. Such a curve may rise or fall: which it does is
read from its draws.

That records show no ageing needs more than a curve that is not better. A curve that can
be straight loses next to nothing to a straight one: with many failures the scores differ
by one at most, odds of less than 3 to 1, however constant the rate is. So it is read from
the size of the rise: it must be all but ruled out that the rate grows by half over the
ages most watched. All else cannot be told.
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

SURE = 0.9
"""Chance from which a rate is said to rise; below one less this, to fall (planning default)."""

MUCH = 1.5
"""Rate at the older of the ages most watched, over that at the younger, that would matter.

In a fleet watched from new the older age is some four times the younger, and a Weibull
shape of 1.3 has a rate half as high again there (planning default)."""

_AS_GOOD = np.log(2.0)
"""Scores nearer than this foretell the records as well as each other."""

_AS_GOOD_AS_ONE = 0.01
"""Spread of the log shape about 0 in the constant rate: a hundredth, which no records show."""

Verdict = Literal[
    "evidence of ageing",
    "rate falls with age",
    "no ageing",
    "cannot tell",
    "too few failures to say",
]


@dataclass(frozen=True)
class AgeingEvidence:
    """Whether the records of one kind show that it ages.

    Attributes
    ----------
    verdict : str
        "evidence of ageing" or "rate falls with age": a rate that changes foretells the
        records better by odds of `ODDS` and more than the standard error, and rises or
        falls with a chance of `SURE`. "no ageing": a rise that would matter is all but
        ruled out. "cannot tell", "too few failures to say": neither.
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
    rising_much : float
        Chance that the wear-out rate at `old` is `MUCH` times that at `young`, or more.
    rough : bool
        Whether a score leans on too many units to be relied on.
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
    rising_much: float = float("nan")
    rough: bool = False
    constant: Score | None = None

    @property
    def sentence(self) -> str:
        """The verdict in plain words."""
        rises = "That the rate rises over the ages most watched is believed at"
        before = f"Before the records this was believed at {_percent(self.rising_before)}."
        if self.verdict == "evidence of ageing":
            return (
                "These parts age: a failure rate that changes with age foretells these records "
                f"better than a constant one, by odds of {_odds(self.lead)}. "
                f"{rises} {_percent(self.rising)}. {before}"
            )
        if self.verdict == "rate falls with age":
            return (
                "The failure rate of these parts falls with age: a rate that changes foretells "
                f"these records better than a constant one, by odds of {_odds(self.lead)}. "
                f"{rises} {_percent(self.rising)}. By what these records show, renewing by "
                "age makes things worse: a new part is likelier to fail than one that has lasted. "
                "Look for bad fits, a bad lot, or several causes mixed together. "
                f"{before}"
            )
        if self.verdict == "too few failures to say":
            return (
                f"With {_failures(self.worn_out)} these records cannot say whether such parts age "
                f"at all. {rises} {_percent(self.rising)}. {before}"
            )
        if self.verdict == "no ageing":
            return (
                f"These records show no ageing: {self._compared}. Replacing by age gains nothing "
                "by what they show. That the rate grows by half or more over the ages most "
                f"watched is believed at {_percent(self.rising_much)}, that it rises at all "
                f"at {_percent(self.rising)}; before the records, that it rises was believed at "
                f"{_percent(self.rising_before)}."
            )
        leans = not self.rough and self.lead >= _AS_GOOD and self.rising >= SURE
        say = (
            "lean towards ageing, but cannot tell it from a constant failure rate for sure"
            if leans
            else "cannot tell ageing from a constant failure rate"
        )
        return f"These records {say}: {self._compared}. {rises} {_percent(self.rising)}. {before}"

    @property
    def _compared(self) -> str:
        """How a rate that changes with age and a constant one foretell the records."""
        if self.rough:
            return "the fits lean too hard on few lives or lines for the two to be compared"
        if self.lead < -_AS_GOOD:
            return f"a constant failure rate foretells them better, by odds of {_odds(-self.lead)}"
        if self.lead < _AS_GOOD:
            return "a constant failure rate foretells them as well as one that changes with age"
        changing = "a failure rate that changes with age foretells them better by odds of"
        if self.lead < np.log(ODDS):
            return f"{changing} only {_odds(self.lead)}, where {ODDS:.0f} to 1 are asked for"
        if self.lead <= self.error:
            return f"{changing} {_odds(self.lead)}, but that is within its standard error"
        return f"{changing} {_odds(self.lead)}, but not whether it rises or falls"


def does_it_age(ageing: Ageing, seed: int | None = None) -> AgeingEvidence:
    """Whether the records of a kind show that it ages.

    Parameters
    ----------
    ageing : Ageing
        From `fit.kind_ageing`.
    seed : int, optional
        Source of chance for the fit of the constant rate: that of `ageing` where it is
        left out, so that every page and file says the same.
    """
    young, old = ages_watched(ageing)
    rising, before = (_rising(of, young, old) for of in (ageing.posterior, ageing.prior))
    much = _rising(ageing.posterior, young, old, MUCH)
    if ageing.worn_out < FEW or ageing.grade == "only failures, not fitted":
        return AgeingEvidence(
            "too few failures to say", float("nan"), float("nan"), rising, before, young, old,
            ageing.worn_out, much,
        )  # fmt: skip
    seed = ageing.seed if seed is None else seed
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
    rough = any(2 * one.unreliable > one.count.sum() for one in (curve, constant))
    verdict: Verdict = "cannot tell"
    changes = not rough and lead >= np.log(ODDS) and lead > error
    if changes and rising >= SURE:
        verdict = "evidence of ageing"
    elif changes and rising <= 1 - SURE:
        verdict = "rate falls with age"
    elif ageing.worn_out < ENOUGH:
        verdict = "too few failures to say"
    elif not rough and lead < _AS_GOOD and rising <= SURE and much <= 1 - SURE:
        verdict = "no ageing"
    return AgeingEvidence(
        verdict, lead, error, rising, before, young, old, ageing.worn_out, much, rough, constant
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


def _rising(posterior: Posterior, young: float, old: float, times: float = 1.0) -> float:
    """Chance that the wear-out rate is so many times higher at one age than at an earlier one."""
    theta, family = posterior.parameters, posterior.family
    early, late = (
        family.log_hazard(np.full(len(theta), age), theta.log_shape, theta.log_scale)
        for age in (young, old)
    )
    return float((late > early + np.log(times)).mean())


def ages_watched(ageing: Ageing) -> tuple[float, float]:
    """Ages between which the middle half of all watching lies, on the kind's clock.

    A life whose fitting is known to a window counts at each of its possible ages by the
    chance of that age.
    """
    nodes: Nodes = ageing.nodes
    weight = nodes.weight * nodes.count[nodes.life]
    ages = np.concatenate([nodes.entry, nodes.lower])
    order = np.argsort(ages, kind="stable")
    ages = ages[order]
    watched = np.cumsum(np.concatenate([weight, -weight])[order])
    time = np.cumsum(np.maximum(watched[:-1], 0.0) * np.diff(ages))
    if not len(time) or time[-1] <= 0:
        furthest = ageing.oldest if ageing.oldest > 0 else ageing.kind.prior.at
        return furthest / 4, furthest
    share = np.append(0.0, time) / time[-1]
    young, old = (float(np.interp(at, share, ages)) for at in (0.25, 0.75))
    return young, old


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
