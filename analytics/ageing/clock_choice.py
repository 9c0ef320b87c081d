"""Which clock ages a kind: calendar years or shaft hours, judged by what each foretells.

The same lives are fitted on both clocks, with the same wide belief on each, and each
shaft line in turn is foretold from all the others (`predictive`). What is scored is
the same on both: the chance of what the records say. A failure whose day is known
counts as a density per year of use on both clocks, the density per hour times the
hours that the boat ran in the year about it: no clock gains by saying that parts fail
in the season, when somebody is there to notice. A failure known to lie between two
days, and a part that was still sound, count with their probabilities.

Parts are taken as all alike and wear-out as Weibull on both clocks. Lines whose hours
are not known at all are left out on both: years turned into hours at the fleet's rate
say nothing of hours.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace
from typing import Literal
from zlib import crc32

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.ageing.clocks import EXACT, Nodes, collapsed, nodes_of
from analytics.ageing.families import FAMILIES
from analytics.ageing.hours_run import Z90
from analytics.ageing.likelihood import Parameters, lives_of, per_life
from analytics.ageing.posterior import posterior_of
from analytics.ageing.predictive import Score, difference, leave_one_out
from analytics.lives import Lives, only_failures
from analytics.records.kinds import Clock, Kind, Prior
from analytics.usage import day_number, day_numbers

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]

Verdict = Literal["hours", "years", "cannot tell", "years only"]

CLOCKS: tuple[Clock, Clock] = ("years", "hours")

CLEAR_ERRORS = Z90
"""Standard errors that a difference must exceed to decide: its 90 % range leaves out none."""

CLEAR_SCORE = 4.0
"""Score by which the better clock must lead: less is small whatever its error (Vehtari, answers to
common questions on cross-validation; from memory)."""

FEW = 3
"""Failures from which clocks are compared at all (planning default)."""

_LEAST_RATE = 1.0
"""Hours a year below which a boat counts as lying idle, so that no failure is impossible."""

_YEAR = 365.25
_CELLS_AT_ONCE = 200_000
_MANY_NODES, _FEW_DRAWS = 5000, 400
"""With so many nodes fewer draws say as much: no line weighs much in the fit."""


@dataclass(frozen=True)
class ClockFit:
    """The lives on one clock.

    Attributes
    ----------
    clock : {"years", "hours"}
    kind : Kind
        With the wide belief that the comparison uses.
    nodes : Nodes
        Ages of the lives judged.
    parameters : Parameters
        Draws given all of them.
    score : Score
        By shaft line, in the order of `ClockChoice.lines`.
    """

    clock: Clock
    kind: Kind
    nodes: Nodes
    parameters: Parameters
    score: Score

    def ages_worn_out(self, shares: Collection[float]) -> Floats:
        """Ages by which these shares are worn out, median of the draws, shape (n_shares,)."""
        family, theta = FAMILIES[self.kind.family], self.parameters
        hazard = -np.log1p(-np.array(list(shares)))
        ages = family.age_at(hazard[:, None], theta.log_shape[None, :], theta.log_scale[None, :])
        return np.asarray(np.median(ages, axis=1))


@dataclass(frozen=True)
class ClockChoice:
    """Which clock foretells the lives of a kind better.

    Attributes
    ----------
    kind : Kind
        On the clock that the settings give it.
    verdict : {"hours", "years", "cannot tell", "years only"}
        "years only" where no shaft hours are known.
    reason : str
        Why nothing can be told, where nothing was compared; else empty.
    table : DataFrame
        The lives judged, rows of `lives.table`.
    left_out : int
        Lives on lines whose hours are not known.
    failures : int
        Failures among the lives judged.
    lines : tuple of (str, str)
        Boat and position of each line judged.
    years, hours : ClockFit or None
        None where nothing was compared.
    lead, error : float
        Predictive score of hours less that of years, and its standard error.
    """

    kind: Kind
    verdict: Verdict
    reason: str
    table: pd.DataFrame
    left_out: int
    failures: int
    lines: tuple[tuple[str, str], ...] = ()
    years: ClockFit | None = None
    hours: ClockFit | None = None
    lead: float = 0.0
    error: float = float("inf")

    @property
    def better(self) -> Clock:
        """The clock to use: the better one where one is clear, else that of the settings."""
        if self.verdict == "hours":
            return "hours"
        return "years" if self.verdict in ("years", "years only") else self.kind.clock

    @property
    def sentence(self) -> str:
        """The verdict in plain words."""
        if self.verdict == "years only":
            return "No shaft hours are known: years only."
        if self.years is None or self.hours is None:
            return f"The records cannot tell which clock ages it: {self.reason}."
        size = f"difference {abs(self.lead):.1f}, standard error {self.error:.1f}"
        if self.verdict == "cannot tell":
            ahead = "shaft hours" if self.lead > 0 else "years"
            return f"The records cannot tell which clock ages it ({size}, {ahead} ahead)."
        one, other = (
            ("Shaft hours", "years") if self.verdict == "hours" else ("Years", "shaft hours")
        )
        return f"{one} foretell these lives better than {other} ({size})."

    @property
    def warning(self) -> str | None:
        """A sentence where a score is not to be relied on."""
        found = [fit.score.warning for fit in (self.years, self.hours) if fit is not None]
        return next((one for one in found if one), None)


def clock_choice(lives: Lives, table: pd.DataFrame, seed: int = 0) -> ClockChoice:
    """Compare years and shaft hours on some lives of one kind.

    Parameters
    ----------
    lives : Lives
        The whole fleet: its settings and shaft hours.
    table : DataFrame
        Rows of `lives.table` of one kind, at least one.
    seed : int
        Source of chance; both clocks draw from streams of their own.
    """
    kind = lives.settings.kind(str(table["kind"].iloc[0]))
    judged, line = _with_hours(lives, table)
    failures = int((judged["outcome"] == "failed").sum())
    left_out = len(table) - len(judged)
    nothing = ClockChoice(kind, "cannot tell", "", judged, left_out, failures)
    if judged.empty:
        return replace(nothing, verdict="years only", reason="no shaft hours are known")
    if len(np.unique(line)) < 2:
        return replace(nothing, reason="there is one shaft line only")
    if failures < FEW:
        few = {0: "no part has failed yet", 1: "one part has failed, no more"}
        return replace(nothing, reason=few.get(failures, f"only {failures} parts have failed"))
    if only_failures(judged):
        return replace(nothing, reason="there are failures and no survivors")
    streams = np.random.SeedSequence([seed, crc32(f"clock|{kind.name}".encode())]).spawn(2)
    years, hours = (
        _fit_on(clock, lives, kind, judged, line, stream)
        for clock, stream in zip(CLOCKS, streams, strict=True)
    )
    lead, error = difference(hours.score, years.score)
    clear = abs(lead) > max(CLEAR_SCORE, CLEAR_ERRORS * error)
    verdict: Verdict = "cannot tell" if not clear else "hours" if lead > 0 else "years"
    places = {number: place for place, number in lives.usage.lines.items()}
    return replace(
        nothing,
        verdict=verdict,
        lines=tuple(places[number] for number in np.unique(line).tolist()),
        years=years,
        hours=hours,
        lead=lead,
        error=error,
    )


def _with_hours(lives: Lives, table: pd.DataFrame) -> tuple[pd.DataFrame, Ints]:
    """The lives on lines whose hours are known and not none, and the number of each one's line."""
    usage = lives.usage
    line = usage.line_of(table["boat"], table["position"])
    known = np.array([basis != "fleet" for basis in usage.basis])[line]
    known &= usage.past_rate[line] > 0
    return table[known].reset_index(drop=True), line[known]


def _fit_on(
    clock: Clock,
    lives: Lives,
    kind: Kind,
    table: pd.DataFrame,
    line: Ints,
    stream: np.random.SeedSequence,
) -> ClockFit:
    table = table.assign(clock=clock)
    nodes = nodes_of(lives, table)
    wide = replace(kind, clock=clock, family="weibull", prior=_wide(kind.prior, nodes))
    rng = np.random.default_rng(stream)

    def fitted(some: Nodes) -> Parameters:
        return posterior_of(wide, collapsed(some), 0, 0.0, rng).parameters

    exact = nodes.outcome == EXACT
    per_year = np.where(exact & (clock == "hours"), np.log(_rate_at_end(lives, table, line)), 0.0)

    def by_line(theta: Parameters, some: Nodes, jacobian: Floats, of: Ints) -> Floats:
        """Log-likelihood of each draw and line, densities per year of use."""
        order = np.argsort(of, kind="stable")
        first = np.flatnonzero(np.diff(of[order], prepend=-1))
        found = np.empty((len(theta), len(first)))
        step = max(1, _CELLS_AT_ONCE // len(some.life))
        for at in range(0, len(theta), step):
            rows = slice(at, at + step)
            value = per_life(FAMILIES["weibull"], theta.part(rows), some, wide.early_days / _YEAR)
            found[rows] = np.add.reduceat((value + jacobian)[:, order], first, axis=1)
        return found

    numbers = np.unique(line)

    def again(unit: int) -> float:
        """Log density of a line given a fit to all the others."""
        out = line == numbers[unit]
        theta = fitted(lives_of(nodes, ~out))
        value = by_line(theta, lives_of(nodes, out), per_year[out], line[out])[:, 0]
        return float(np.logaddexp.reduce(value) - np.log(len(theta)))

    theta = fitted(nodes)
    if len(nodes.life) > _MANY_NODES:
        theta = theta.part(slice(0, _FEW_DRAWS))
    score = leave_one_out(by_line(theta, nodes, per_year, line), again=again)
    return ClockFit(clock, wide, nodes, theta, score)


def _wide(prior: Prior, nodes: Nodes) -> Prior:
    """A belief so wide that it does not decide, placed alike on any clock.

    It stands at the middle of the ages that the lives reached on that clock, which only
    says in what units it is: by then anything from 2 % to 98 % may be worn out.
    """
    age = np.add.reduceat(nodes.weight * (nodes.lower + nodes.upper) / 2, nodes.first)
    middle = float(f"{max(np.median(age), 1e-6):.2g}")
    return replace(prior, shape=2.0, shape_factor=3.0, at=middle, worn_out=(0.02, 0.98))


def _rate_at_end(lives: Lives, table: pd.DataFrame, line: Ints) -> Floats:
    """Hours that the boat ran in the year about the end of each life, or in the last watched."""
    end = (day_numbers(table["end_lo"]) + day_numbers(table["end_hi"])) / 2
    until = np.minimum(end + _YEAR / 2, day_number(lives.as_of))
    ran = lives.usage.hours_at(line, until) - lives.usage.hours_at(line, until - _YEAR)
    return np.maximum(ran, _LEAST_RATE)
