"""What the program says of one invented fleet, beside what is true of it."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from analytics.ageing.clocks import collapsed
from analytics.ageing.curves import BAND, life_at
from analytics.ageing.families import AVERAGED, FAMILIES
from analytics.ageing.fit import Ageing, kind_ageing
from analytics.ageing.maximum_likelihood.maximum import MaximumLikelihood, maximum_likelihood
from analytics.ageing.maximum_likelihood.profile_likelihood import delta_survival_limits
from analytics.ageing.maximum_likelihood.surface import surface_of
from analytics.ageing.posterior import Posterior, prior_of
from analytics.lives import IN_SERVICE
from analytics.outlook.chances import AgesAhead, ages_ahead, chances
from analytics.outlook.counts import count_distribution, count_quantiles
from analytics.records.kinds import Kind
from analytics.usage import DAYS_PER_YEAR
from tests.benchmarks.coverage_fleets import (
    MOST_FAILURES,
    SEASON_DAYS,
    TODAY,
    Design,
    Fleet,
    invent,
    one_truth,
    scale_for,
)

Floats = npt.NDArray[np.float64]

WEIBULL = FAMILIES["weibull"]

SHARE = 0.1
"""Of the 10 % life."""

MOST_PARTS = 150
"""Parts in service, picked by chance, whose season is looked at."""

PER_NODE = (
    *("weight", "sound", "now", "begin", "end", "until_begin", "until_end"),
    *("sound_years", "now_years", "begin_years", "end_years"),
)
"""Fields of `AgesAhead` with an entry for each node."""

PARTS = ("youngest", "a third", "two thirds", "oldest")
"""Parts of known fitting whose risk is looked at, by their place in the order of age."""

Z90 = 1.6448536269514722


@dataclass(frozen=True)
class Asked:
    """One fleet to invent.

    Attributes
    ----------
    cell : str
        Name of the setting.
    kind : Kind
        What the program is told.
    design : Design
    shape : float or None
        Weibull shape of the truth; None draws the truth from the prior.
    seed : tuple of int
    narrowed : float
        Draws are drawn together about their median to this share of their distance: 1 leaves
        the program's own; anything less must be found out.
    """

    cell: str
    kind: Kind
    design: Design
    shape: float | None
    seed: tuple[int, ...]
    narrowed: float = 1.0


Answer = dict[str, float | str]
"""A row of results; figures that do not exist are NaN."""


def answer(asked: Asked) -> Answer:
    """Invent a fleet, fit it, and set the intervals beside the truth."""
    rng = np.random.default_rng(list(asked.seed))
    while True:
        truth = _truth(asked, rng)
        fleet = invent(asked.kind, truth, asked.design, rng)
        # A condition on the records alone leaves a posterior as right as it was.
        if fleet.failures <= MOST_FAILURES and _in_service(fleet).any():
            break
    fitted = kind_ageing(fleet.lives, fleet.lives.table, int(rng.integers(2**31)), factors=False)
    row: Answer = {"cell": asked.cell, "failures": float(fleet.failures)}
    row["true_shape"] = float(np.exp(truth.parameters.log_shape[0]))
    row["method"] = fitted.posterior.method
    row["effective"] = fitted.posterior.effective
    best = maximum_likelihood(WEIBULL, collapsed(fitted.nodes))
    row |= _of_parameters(asked, fitted, best, truth, rng)
    row |= _of_season(asked, fleet, fitted, best, truth, rng)
    return row


def _truth(asked: Asked, rng: np.random.Generator) -> Posterior:
    if asked.shape is None:
        prior = prior_of(asked.kind, rng)
        return replace(
            prior,
            parameters=prior.parameters.part(slice(0, 1)),
            accidents=prior.accidents[:1],
            method="point",
        )
    most = min(float(MOST_FAILURES), 0.6 * asked.design.lives)
    wanted = float(np.exp(rng.uniform(np.log(0.5), np.log(most))))
    scale = scale_for(asked.kind, asked.shape, wanted, asked.design)
    return one_truth(asked.kind, asked.shape, scale)


def _in_service(fleet: Fleet) -> npt.NDArray[np.bool_]:
    return np.asarray(fleet.lives.table["outcome"] == IN_SERVICE)


def _of_parameters(
    asked: Asked,
    fitted: Ageing,
    best: MaximumLikelihood | None,
    truth: Posterior,
    rng: np.random.Generator,
) -> Answer:
    """Shape, scale and 10 % life."""
    posterior = fitted.posterior
    life, true_life = (np.log(life_at(one, 1.0, SHARE)) for one in (posterior, truth))
    row = _beside("life", life, float(true_life[0]), asked.narrowed, rng)
    before = np.log(life_at(fitted.prior, 1.0, SHARE))
    row["prior life width"] = float(np.subtract(*np.quantile(before, BAND[::-1])))
    # Families tell shape and scale in terms of their own.
    if asked.shape is None and posterior.kind.family == truth.kind.family != AVERAGED:
        theta, true = posterior.parameters, truth.parameters
        row |= _beside("shape", theta.log_shape, float(true.log_shape[0]), asked.narrowed, rng)
        row |= _beside("scale", theta.log_scale, float(true.log_scale[0]), asked.narrowed, rng)
    row["ml_exists"] = float(best is not None)
    if best is not None and best.covariance is not None:
        z = float(np.log(-np.log1p(-SHARE)))
        slope = np.array([-z / best.shape, 1.0])
        middle = best.log_scale + z / best.shape
        away = Z90 * float(np.sqrt(slope @ best.covariance @ slope))
        row |= _held("ml_life", middle - away, middle + away, float(true_life[0]))
    return row


def _of_season(
    asked: Asked,
    fleet: Fleet,
    fitted: Ageing,
    best: MaximumLikelihood | None,
    truth: Posterior,
    rng: np.random.Generator,
) -> Answer:
    """Risk of some parts in the next half year, and how many of the fleet fail in it."""
    ahead = ages_ahead(fleet.lives, fitted, TODAY, TODAY + SEASON_DAYS)
    parts = np.sort(rng.permutation(len(ahead))[:MOST_PARTS])
    ahead, start = _some(ahead, parts), fleet.start[_in_service(fleet)][parts]
    found = chances(fitted.posterior, ahead, rng)
    true_ahead = _truly_ahead(ahead, start)
    true_risk = chances(truth, true_ahead, rng).during[0]

    single = np.diff(np.append(ahead.first, len(ahead.weight))) == 1
    known = np.flatnonzero(single & (true_ahead.sound == true_ahead.now))
    known = known[np.argsort(-start[known], kind="stable")]
    row: Answer = {}
    at = np.linspace(0, len(known) - 1, len(PARTS)).round().astype(int) if len(known) else []
    for name, place in zip(PARTS, at, strict=False):
        part = int(known[place])
        row |= _beside(
            f"risk {name}", found.at_start[:, part], true_risk[part], asked.narrowed, rng
        )
        row |= _delta_risk(f"ml_risk {name}", fitted, best, true_ahead, part, true_risk[part])
    undated = np.flatnonzero(~single)
    if len(undated):
        part = int(rng.choice(undated))
        row |= _beside(
            "risk undated", found.at_start[:, part], true_risk[part], asked.narrowed, rng
        )
    failing = int((rng.random(len(true_risk)) < true_risk).sum())
    low, high = count_quantiles(count_distribution(found.during), BAND)
    row |= _held("count", low, high, failing)
    return row


def _some(ahead: AgesAhead, parts: npt.NDArray[np.int64]) -> AgesAhead:
    """Some of the parts, with all their nodes; all alike, and ageing by the calendar."""
    sizes = np.diff(np.append(ahead.first, len(ahead.weight)))
    chosen = np.isin(np.repeat(np.arange(len(ahead)), sizes), parts)
    nodes = {name: getattr(ahead, name)[chosen] for name in PER_NODE}
    return AgesAhead(first=np.cumsum(sizes[parts]) - sizes[parts], **nodes)


def _truly_ahead(ahead: AgesAhead, start: Floats) -> AgesAhead:
    """The same parts with one day of fitting each: the true one."""
    first = ahead.first
    age = {"now": TODAY - start, "end": TODAY + SEASON_DAYS - start}
    now, end = (np.maximum(each, 0.0) / DAYS_PER_YEAR for each in (age["now"], age["end"]))
    # What lies between the day last known sound and today is the same on any day of fitting.
    unseen = (ahead.now - ahead.sound)[first]
    sound = np.maximum(now - unseen, 0.0)
    ones = np.ones(len(start))
    return AgesAhead(
        first=np.arange(len(start)),
        weight=ones,
        sound=sound,
        now=now,
        begin=now,
        end=end,
        sound_years=sound,
        now_years=now,
        begin_years=now,
        end_years=end,
        until_begin=0.0 * ones,
        until_end=ones * SEASON_DAYS / DAYS_PER_YEAR,
    )


def _delta_risk(
    name: str,
    fitted: Ageing,
    best: MaximumLikelihood | None,
    ahead: AgesAhead,
    part: int,
    truth: float,
) -> Answer:
    if best is None:
        return {}
    surface = surface_of(WEIBULL, fitted.nodes)
    limits = delta_survival_limits(surface, best, float(ahead.end[part]), float(ahead.begin[part]))
    if limits.low is None or limits.high is None:
        return {}
    return _held(name, 1.0 - limits.high, 1.0 - limits.low, truth)


def _beside(
    name: str, draws: Floats, truth: float, narrowed: float, rng: np.random.Generator
) -> Answer:
    """Whether the interval of some draws holds the truth, its width, and the truth's rank."""
    middle = float(np.median(draws))
    draws = draws if narrowed == 1.0 else middle + narrowed * (draws - middle)
    low, high = (float(end) for end in np.quantile(draws, BAND))
    row = _held(name, low, high, truth)
    # Draws that are the same share the ranks among them.
    below = int((draws < truth).sum()) + int(rng.integers(int((draws == truth).sum()) + 1))
    row[f"{name} rank"] = (below + rng.random()) / (len(draws) + 1)
    return row


def _held(name: str, low: float, high: float, truth: float) -> Answer:
    return {f"{name} held": float(low <= truth <= high), f"{name} width": float(high - low)}
