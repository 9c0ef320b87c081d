"""Causes apart: early failure, wear-out and accident, each with its own hazard.

They act independently, so their hazards add up, at every age, to the hazard of
ending by any of them. What share of parts each one ends is another question:
only a part that no other cause has ended can still be ended by this one.
"""

from __future__ import annotations

from typing import Literal
from zlib import crc32

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.ageing.as_watched import watched_steps
from analytics.ageing.clocks import CENSORED, EXACT
from analytics.ageing.curves import BAND
from analytics.ageing.expected_failures import Watched, some_draws
from analytics.ageing.fit import Ageing, FleetAgeing
from analytics.ageing.likelihood import early_cumulative_hazard, early_hazard
from analytics.ageing.nonparametric.incidence import Incidence
from analytics.records.kinds import Kind

Floats = npt.NDArray[np.float64]

Cause = Literal["early", "wear_out", "failed", "accident", "all"]

CAUSES_COLUMNS = [
    "kind",
    "group",
    "clock",
    "age",
    "cause",
    "hazard",
    "hazard_low",
    "hazard_high",
    "per_year",
    "per_year_low",
    "per_year_high",
    "share_ended",
    "share_ended_low",
    "share_ended_high",
    "recorded",
    "recorded_low",
    "recorded_high",
    "past_oldest",
]

N_AGES = 41
_FINE = 2
"""Steps of the sums between two ages of the table."""


def causes_of(kind: Kind) -> list[Cause]:
    """The causes of a kind, then the failures together and all ends together."""
    named: tuple[Cause, ...] = ("early", "wear_out")
    modelled: list[Cause] = [cause for cause in named if cause in kind.causes]
    together: list[Cause] = ["failed"] if len(modelled) > 1 else []
    if "accident" in kind.causes:
        return [*modelled, *together, "accident", "all"]
    return [*modelled, *together]


def causes_table(
    ageing: Ageing, ages: Floats | None = None, recorded: Incidence | None = None
) -> pd.DataFrame:
    """Hazard of each cause by age, and the share of parts that each has ended.

    Parameters
    ----------
    ageing : Ageing
        One kind or group.
    ages : ndarray, shape (m,), optional
        On the kind's clock, rising; from new to the oldest watched if left out.
    recorded : Incidence, optional
        The records' own shares (Aalen-Johansen) with the causes "failed" and
        "accident", all else going on, of the same lives.

    Returns
    -------
    DataFrame
        `CAUSES_COLUMNS`, a row per age and cause. `cause` is ``early``,
        ``wear_out``, ``failed`` (the two together), ``accident`` or ``all``.
        `hazard` is per unit of the clock and `per_year` per calendar year, of the
        typical part; at age 0 that of a moment later. `share_ended` is the share
        of new parts that the cause has ended by the age, the others allowed for and
        nothing replaced, of parts such as were watched at each age. `recorded`
        is the records' own, NaN where they say nothing or cannot tell causes
        apart. Each with the ends of its 90 % range.

    Notes
    -----
    A share ended is the sum over ages of the hazard of the cause times the share
    that nothing has ended yet (Klein & Moeschberger, Survival Analysis, section
    2.7, from memory).
    """
    if ages is None:
        furthest = max(ageing.oldest, ageing.kind.limit or 0.0, ageing.kind.prior.at)
        ages = np.linspace(0.0, furthest, N_AGES)
        if "early" in ageing.kind.causes:
            over = ageing.posterior.early_years * ageing.units_per_year
            ages = np.unique([*ages, over / 2, over])
    chosen = causes_of(ageing.kind)
    hazards, shares = _hazards(ageing, ages), _shares(ageing, ages)
    tables = []
    for cause in chosen:
        table = pd.DataFrame({"age": ages, "cause": cause})
        for name, draws in (
            ("hazard", hazards[cause]),
            ("per_year", hazards[cause] * ageing.units_per_year),
            ("share_ended", shares[cause]),
        ):
            table[name] = draws.mean(axis=0)
            table[f"{name}_low"], table[f"{name}_high"] = np.quantile(draws, BAND, axis=0)
        own = _recorded(recorded, cause, ages, alone=len(chosen) == 1)
        tables.append(table.assign(**own, order=np.arange(len(ages))))
    whole = pd.concat(tables, ignore_index=True).sort_values("order", kind="stable")
    whole["kind"], whole["group"] = ageing.kind.name, ageing.group
    whole["clock"] = ageing.kind.clock
    whole["past_oldest"] = whole["age"] > ageing.oldest
    return whole[CAUSES_COLUMNS].reset_index(drop=True)


def fleet_causes(ageing: FleetAgeing) -> pd.DataFrame:
    """`causes_table` of every kind and group, without the records' own shares."""
    tables = [causes_table(one) for one in ageing.values()]
    if not tables:
        return pd.DataFrame(columns=CAUSES_COLUMNS)
    return pd.concat(tables, ignore_index=True)


def _hazards(ageing: Ageing, ages: Floats) -> dict[Cause, Floats]:
    """Hazard of each cause per unit of the clock, shape (n_draws, m)."""
    posterior, units = ageing.posterior, ageing.units_per_year
    # Shapes below 1 have an infinite hazard at age 0.
    step = ages[ages > 0].min(initial=np.inf)
    shown = np.maximum(ages, step / 100 if np.isfinite(step) else 1e-9)
    theta = posterior.parameters
    family = posterior.family
    wear = np.exp(
        family.log_hazard(shown[None, :], theta.log_shape[:, None], theta.log_scale[:, None])
    )
    early = early_hazard(shown[None, :] / units, theta.early[:, None], posterior.early_years)
    accident = np.repeat(posterior.accidents[:, None] / units, len(ages), axis=1)
    return _together(early / units, wear, accident)


def _shares(ageing: Ageing, ages: Floats) -> dict[Cause, Floats]:
    """Share ended by each cause, shape (n_draws, m)."""
    posterior, units = ageing.posterior, ageing.units_per_year
    within = np.arange(_FINE) / _FINE
    between = ages[:-1, None] + np.diff(ages)[:, None] * within
    fine = np.unique(np.append(0.0, np.append(between, ages[-1:])))
    steps = watched_steps(posterior, ageing.nodes, ageing.table, fine, units)
    chosen = some_draws(posterior, len(ageing.nodes.life))
    theta = posterior.parameters.part(chosen)
    years = fine / units
    early = np.diff(
        early_cumulative_hazard(years[None, :], theta.early[:, None], posterior.early_years)
    )
    early = np.minimum(early, steps)
    accident = posterior.accidents[chosen, None] * np.diff(years)[None, :]
    hazards = _together(early, steps - early, accident)
    total = hazards["all"]
    left = np.exp(-np.cumsum(total, axis=1))
    before = np.column_stack([np.ones(len(left)), left[:, :-1]])
    with np.errstate(invalid="ignore", divide="ignore"):
        ended = np.where(total > 0, (before - left) / total, 0.0)
    at = np.searchsorted(fine, ages)
    shares = {}
    for cause, steps_of in hazards.items():
        summed = np.cumsum(ended * steps_of, axis=1)
        shares[cause] = np.column_stack([np.zeros(len(summed)), summed])[:, at]
    return shares


def _together(early: Floats, wear: Floats, accident: Floats) -> dict[Cause, Floats]:
    failed = early + wear
    return {
        "early": early,
        "wear_out": wear,
        "failed": failed,
        "accident": accident,
        "all": failed + accident,
    }


def _recorded(
    recorded: Incidence | None, cause: Cause, ages: Floats, *, alone: bool
) -> dict[str, Floats]:
    nothing = np.full(len(ages), np.nan)
    named = "failed" if alone and cause == "wear_out" else cause
    own = {"recorded": nothing, "recorded_low": nothing, "recorded_high": nothing}
    if recorded is None or not len(recorded.ages):
        return own
    if named == "all":
        whole = sum(recorded.at(ages, one)["share"].to_numpy() for one in recorded.causes)
        return own | {"recorded": np.asarray(whole)}
    if named not in recorded.causes:
        return own
    table = recorded.at(ages, named)
    return {
        "recorded": table["share"].to_numpy(),
        "recorded_low": table["share_low"].to_numpy(),
        "recorded_high": table["share_high"].to_numpy(),
    }


def cause_shares(ageing: Ageing) -> pd.DataFrame:
    """What the lives in the records ended by: as written down, and as the fit tells failures apart.

    Records say that a part failed, not whether it was badly fitted or worn out;
    for each failure the fit gives the chance of each from its age.

    Parameters
    ----------
    ageing : Ageing
        One kind or group.

    Returns
    -------
    DataFrame
        `cause`; `recorded`, lives whose written reason it is (NaN where records
        have no such word); `estimated` (mean), `estimated_low`, `estimated_high`:
        lives, of those that ended as failures or accidents; `share`, `share_low`,
        `share_high`: the same in shares of them, NaN where there are none.
    """
    outcome = ageing.table["outcome"]
    failed, lost = int((outcome == "failed").sum()), int((outcome == "accident").sum())
    early = _early_failures(ageing)
    counts: dict[str, tuple[float, Floats]] = {}
    for cause in causes_of(ageing.kind):
        if cause == "early":
            counts[cause] = (np.nan, early)
        elif cause == "wear_out":
            counts[cause] = (np.nan, failed - early)
        elif cause == "failed":
            counts[cause] = (failed, np.full(len(early), float(failed)))
        elif cause == "accident":
            counts[cause] = (lost, np.full(len(early), float(lost)))
    of_all = float(failed + lost) or np.nan
    rows = []
    for cause_name, (recorded, number) in counts.items():
        low, high = np.quantile(number, BAND)
        rows.append(
            {
                "cause": cause_name,
                "recorded": recorded,
                "estimated": number.mean(),
                "estimated_low": low,
                "estimated_high": high,
                "share": number.mean() / of_all,
                "share_low": low / of_all,
                "share_high": high / of_all,
            }
        )
    return pd.DataFrame(rows)


def _early_failures(ageing: Ageing) -> Floats:
    """How many of the failures were early ones, shape (n_draws,); chance by draws and by life."""
    nodes, posterior = ageing.nodes, ageing.posterior
    draws = len(some_draws(posterior, len(nodes.life)))
    young = (nodes.outcome[nodes.life] != CENSORED) & (nodes.lower_years < posterior.early_years)
    at = np.flatnonzero(young)
    if "early" not in ageing.kind.causes or not len(at):
        return np.zeros(draws)
    watched = Watched.of(posterior, nodes, ageing.table, ageing.seed)
    life, exact = nodes.life[at], nodes.outcome[nodes.life[at]] == EXACT
    lower, upper = watched.lower[at], nodes.upper[at]
    over = posterior.early_years / watched.rate[life]
    until = np.maximum(np.where(exact, upper, np.minimum(upper, over)), lower)
    cut = lower + (until - lower) * np.linspace(0.0, 1.0, 13)[:, None]
    theta = posterior.parameters.part(watched.chosen)
    stream = f"early failures|{ageing.kind.name}|{ageing.group}"
    rng = np.random.default_rng([ageing.seed, crc32(stream.encode())])
    number = np.zeros(draws)
    dated = len(nodes.life) == nodes.n_lives
    for draw in range(draws):
        hazard = np.array([watched.hazard(draw, ages, life) for ages in cut])
        early = early_cumulative_hazard(
            cut * watched.rate[life], theta.early[draw], posterior.early_years
        )
        total = np.diff(hazard, axis=0)
        with np.errstate(invalid="ignore", divide="ignore"):
            share = np.where(total > 0, np.diff(early, axis=0) / total, 0.0)
        first, last = hazard[0], watched.hazard(draw, upper, life)
        ended = -np.diff(np.exp(-(hazard - first)), axis=0)
        in_window = -np.expm1(-(last - first))
        with np.errstate(invalid="ignore", divide="ignore"):
            chance = np.where(in_window > 0, (ended * share).sum(axis=0) / in_window, 0.0)
        # A day on which the part would have failed as it did counts more than one it outlived.
        weight = nodes.weight[at] if dated else watched.days(draw)[at]
        by_life = np.bincount(life, np.clip(chance, 0.0, 1.0) * weight, nodes.n_lives)
        number[draw] = (rng.random(nodes.n_lives) < by_life).sum()
    return number
