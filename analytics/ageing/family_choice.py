"""Which wear-out families stand behind a kind, and with what weight.

Families are compared by how well each foretells a unit of the records that it has
not seen (`predictive`): a shaft line with all its lives where lines are looked at,
a life otherwise, with what its groups do to life taken into account. Otherwise a
mixture of lines, some hard on their parts and some not, would look like a family of
its own. Where one family clearly wins it is used alone; where none does, the draws
of all are kept in proportion to their weights, and every later number is an average
over them.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Literal

import numpy as np

from analytics.ageing.families import AVERAGED, CODES
from analytics.ageing.predictive import Score, difference, weights_of

CLEAR = 0.95
"""Weight from which on a family is used alone (planning default)."""

FEW = 3
"""Worn-out failures from which families are compared at all (planning default)."""

Unit = Literal["life", "shaft line"]

_ALONE: Mapping[str, Score] = MappingProxyType({})


@dataclass(frozen=True)
class FamilyChoice:
    """The families that stand behind some draws.

    Attributes
    ----------
    weights : mapping of str to float
        Share of the draws of each family, adding up to 1; 0 for one that is not used.
    by_score : mapping of str to float
        Weights before a clear loser was left out: how sure the choice is.
    scores : mapping of str to Score
        Predictive scores, of the same units; empty where none were compared.
    basis : {"as set", "few failures", "rough", "score"}
        Why these: the settings name one; the records hold too few failures to
        tell, or a score is too rough, so that each has its weight before the records;
        or by their scores.
    unit : {"life", "shaft line"}
        What was left out, one at a time.
    """

    weights: Mapping[str, float]
    by_score: Mapping[str, float]
    scores: Mapping[str, Score] = field(default_factory=lambda: _ALONE)
    basis: Literal["as set", "few failures", "rough", "score"] = "as set"
    unit: Unit = "life"

    @property
    def used(self) -> tuple[str, ...]:
        """Families with draws."""
        return tuple(name for name in CODES if self.weights.get(name, 0.0) > 0)

    @property
    def likeliest(self) -> str:
        """The family of the greatest weight; the first of them where they are equal."""
        return max(CODES, key=lambda name: self.by_score.get(name, 0.0))

    @property
    def name(self) -> str:
        """The family, or "averaged" where more than one is used."""
        return self.used[0] if len(self.used) == 1 else AVERAGED

    @property
    def lead(self) -> tuple[float, float]:
        """By how much the likeliest scores above the next, and the standard error of that."""
        if len(self.scores) < 2:
            return 0.0, float("inf")
        rest = [score for name, score in self.scores.items() if name != self.likeliest]
        next_best = max(rest, key=lambda score: score.total)
        return difference(self.scores[self.likeliest], next_best)


def as_set(family: str) -> FamilyChoice:
    """One family, because the settings name it."""
    alone = MappingProxyType({name: float(name == family) for name in CODES})
    return FamilyChoice(alone, alone)


def family_choice(
    score_of: Callable[[str], Score],
    worn_out: float,
    unit: Unit,
    rng: np.random.Generator,
) -> FamilyChoice:
    """Weights of the families of one kind.

    Parameters
    ----------
    score_of : callable
        The predictive score of a family; asked for only where it counts.
    worn_out : float
        Failures that surely came later than an early one can.
    unit : {"life", "shaft line"}
        What the scores leave out.
    rng : Generator
    """
    before = MappingProxyType(dict.fromkeys(CODES, 1 / len(CODES)))
    if worn_out < FEW:
        return FamilyChoice(before, before, basis="few failures", unit=unit)
    scores = MappingProxyType({name: score_of(name) for name in CODES})
    if any(2 * score.unreliable > score.count.sum() for score in scores.values()):
        return FamilyChoice(before, before, scores, "rough", unit)
    found = weights_of([scores[name] for name in CODES], rng)
    by_score = MappingProxyType(dict(zip(CODES, (float(one) for one in found), strict=True)))
    weights = by_score
    if found.max() >= CLEAR:
        clear = CODES[int(np.argmax(found))]
        weights = MappingProxyType({name: float(name == clear) for name in CODES})
    return FamilyChoice(weights, by_score, scores, "score", unit)


def draws_of(choice: FamilyChoice, n: int) -> dict[str, int]:
    """How many of n draws each family in use gets, in proportion to its weight."""
    upto = np.cumsum([choice.weights[name] for name in CODES])
    ends = np.rint(upto / upto[-1] * n).astype(int)
    counts = np.diff(np.concatenate([[0], ends]))
    return {name: int(count) for name, count in zip(CODES, counts, strict=True) if count}
