"""Whether the season's risk hangs on what was believed before the records.

The same lives are fitted three times: with the belief as it is set, with one
that is worth little, and with one that is worth much. Where the risk stays,
the records carry it; where it moves, belief does.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Literal

import numpy as np
import numpy.typing as npt
import pandas as pd
from scipy.special import expit, logit

from analytics.ageing.belief import Learned
from analytics.ageing.fit import Ageing, FleetAgeing
from analytics.ageing.own_belief import with_prior
from analytics.ageing.summary import Estimate
from analytics.ageing.wear.fleet_wear import FleetWear, fleet_own_lives
from analytics.lives import Lives
from analytics.outlook.season import SeasonRisk, season_risk
from analytics.records.kinds import Prior
from analytics.records.seasons import Season

Floats = npt.NDArray[np.float64]
Progress = Callable[[str, int, int], None]

Stance = Literal["doubtful", "as set", "trusting"]
"""How much a belief is taken to be worth."""

WIDER: dict[Stance, float] = {"doubtful": 2.0, "as set": 1.0, "trusting": 0.5}
"""How many times as wide each range of the belief is taken to be, about the same middle."""

STANCES: tuple[Stance, ...] = ("doubtful", "as set", "trusting")

ALL_KINDS = "all kinds"

NO_WEAR: FleetWear = MappingProxyType({})

KINDS_COLUMNS = [
    *("season", "kind", "group", "prior"),
    *("shape_low", "shape_high", "at", "clock", "worn_out_low", "worn_out_high"),
    *("early_low", "early_high", "accidents", "accident_years"),
    *("expected_failures", "expected_low", "expected_high"),
]

_RISKS: dict[Stance, str] = {"doubtful": "doubtful", "as set": "as_set", "trusting": "trusting"}
_COMPARED = [f"{what}_{name}" for what in ("risk", "rank") for name in _RISKS.values()]

PARTS_COLUMNS = ["season", "boat", "position", "kind", *_COMPARED]
BOATS_COLUMNS = ["season", "boat", *_COMPARED]


@dataclass(frozen=True)
class PriorDoubt:
    """The risk of a season under three beliefs.

    Attributes
    ----------
    season : Season
    kinds : DataFrame
        `KINDS_COLUMNS`: for each kind, group and belief the belief itself and the
        expected failures of the season, their mean and 90 % range over what is not
        known of the curve. Where there are several kinds, rows of the kind
        `ALL_KINDS` come last, without a belief.
    parts : DataFrame
        `PARTS_COLUMNS`: risk of each part in service under each belief and its
        rank, 1 the highest; highest risk as set first.
    boats : DataFrame
        `BOATS_COLUMNS`: the same for boats, from the kinds looked at.
    """

    season: Season
    kinds: pd.DataFrame
    parts: pd.DataFrame
    boats: pd.DataFrame

    def expected(self, kind: str = "", group: str = "") -> dict[Stance, float]:
        """Mean expected failures under each belief; of all kinds unless one is named."""
        rows = self.kinds
        if kind:
            rows = rows[(rows["kind"] == kind) & (rows["group"] == (group or "all"))]
        else:
            rows = rows.tail(len(STANCES))
        values = dict(zip(rows["prior"], rows["expected_failures"], strict=True))
        return {stance: float(values[stance]) for stance in STANCES}


def prior_under(prior: Prior, stance: Stance) -> Prior:
    """A belief about the same middle, doubted or trusted.

    Doubtful: the range of the shape, that of the share worn out by the quoted age
    and that of the share of bad fits are twice as wide (on the log and the log-odds
    scale that the beliefs are stated on), and the accident rate is worth a quarter
    of the part-years. Trusting: they are half as wide, and worth four times as
    many. For a normal belief this raises its density to the power 1/4 or 4: the
    check of Kallioinen, Paananen, Bürkner and Vehtari (2024) by power scaling, with
    wide steps (from memory). What `ageing.prior` adds to a stated range, lest it be
    wrong, stays as it is.
    """
    wider = WIDER[stance]
    if wider == 1.0:
        return prior
    return replace(
        prior,
        shape_factor=float(prior.shape_factor**wider),
        worn_out=_widened(prior.worn_out, wider),
        early=_widened(prior.early, wider),
        accident_years=prior.accident_years / wider**2,
    )


def prior_doubt(
    lives: Lives,
    ageing: FleetAgeing,
    season: Season,
    seed: int = 0,
    progress: Progress | None = None,
    wear: FleetWear = NO_WEAR,
) -> PriorDoubt:
    """The risk of a season under a doubtful belief, the one that is set, and a trusting one.

    Parameters
    ----------
    lives : Lives
        The whole fleet.
    ageing : mapping
        One kind or more as they are fitted; each is fitted twice more.
    season : Season
        One that ends after the last day watched.
    seed : int
        The one of `ageing`.
    progress : callable, optional
        Called before each fit.
    wear : mapping, optional
        From `fleet_wear`: readings that move parts, whatever is believed of their kind.

    Raises
    ------
    ValueError
        If the season is already over, see `season_risk`.
    """
    under: dict[Stance, FleetAgeing] = {"as set": ageing}
    to_do = 2 * len(ageing)
    refitted: tuple[Stance, ...] = ("doubtful", "trusting")
    for stance in refitted:
        fitted: dict[tuple[str, str], Ageing] = {}
        for key, one in ageing.items():
            if progress:
                done = len(fitted) + (0 if stance == "doubtful" else len(ageing))
                progress(f"{one.kind.label.lower()}, {stance} belief", done, to_do)
            fitted[key] = with_prior(one, lives, prior_under(one.kind.prior, stance), seed)
        under[stance] = fitted
    # What the belief as set lets readings move, they move under every belief.
    moved = {key for key, own in fleet_own_lives(ageing, wear, seed).items() if len(own)}
    wear = {key: wear[key] for key in moved}
    risks = {stance: _risk(lives, under[stance], season, seed, wear) for stance in STANCES}
    year = season.year
    return PriorDoubt(
        season,
        _kinds_table(lives, under, season, seed, risks, wear),
        _compared(year, risks, "parts", ["boat", "position", "kind"])[PARTS_COLUMNS],
        _compared(year, risks, "boats", ["boat"])[BOATS_COLUMNS],
    )


def expected_learned(
    lives: Lives,
    ageing: FleetAgeing,
    season: Season,
    seed: int = 0,
    wear: FleetWear = NO_WEAR,
) -> tuple[Learned, ...]:
    """Expected failures of each kind in a season, as believed and with its records.

    The belief alone already knows which parts are in service and how old they are;
    what it does not know is how such parts have fared. Kinds of which no part is
    in service are left out.
    """
    found = []
    for key, one in ageing.items():
        before = {key: replace(one, posterior=one.prior)}
        risks = [
            _risk(lives, before, season, seed, NO_WEAR),
            _risk(lives, {key: one}, season, seed, wear),
        ]
        if risks[0].parts.empty:
            continue
        prior, records = (Estimate.of(risk.during.sum(axis=1)) for risk in risks)
        fitted = one.grade != "only failures, not fitted"
        found.append(
            Learned(*key, one.kind.family, "expected_failures", "failures", prior, records, fitted)
        )
    return tuple(found)


def _risk(
    lives: Lives, ageing: FleetAgeing, season: Season, seed: int, wear: FleetWear
) -> SeasonRisk:
    return season_risk(lives, ageing, season, seed, fleet_own_lives(ageing, wear, seed))


def _widened(share: tuple[float, float], wider: float) -> tuple[float, float]:
    low, high = logit(share[0]), logit(share[1])
    middle, half = (low + high) / 2, (high - low) / 2 * wider
    # A share is never stated as 0 or 1: that would be no belief but certainty.
    ends = np.clip(expit([middle - half, middle + half]), 1e-9, 1.0 - 1e-9)
    return float(ends[0]), float(ends[1])


def _kinds_table(
    lives: Lives,
    under: dict[Stance, FleetAgeing],
    season: Season,
    seed: int,
    risks: dict[Stance, SeasonRisk],
    wear: FleetWear,
) -> pd.DataFrame:
    rows: list[dict[str, object]] = []
    for key, one in under["as set"].items():
        for stance in STANCES:
            fitted = under[stance][key]
            alone = _risk(lives, {key: fitted}, season, seed, wear)
            rows.append(
                {
                    "season": season.year,
                    "kind": key[0],
                    "group": key[1],
                    "prior": stance,
                    "clock": one.kind.clock,
                    **_stated(fitted.kind.prior),
                    **_expected(alone),
                }
            )
    if len(under["as set"]) != 1:
        whole = {"season": season.year, "kind": ALL_KINDS, "group": "all"}
        rows += [{**whole, "prior": stance, **_expected(risks[stance])} for stance in STANCES]
    return pd.DataFrame(rows, columns=KINDS_COLUMNS)


def _stated(prior: Prior) -> dict[str, float]:
    return {
        "shape_low": prior.shape / prior.shape_factor,
        "shape_high": prior.shape * prior.shape_factor,
        "at": prior.at,
        "worn_out_low": prior.worn_out[0],
        "worn_out_high": prior.worn_out[1],
        "early_low": prior.early[0],
        "early_high": prior.early[1],
        "accidents": prior.accidents,
        "accident_years": prior.accident_years,
    }


def _expected(risk: SeasonRisk) -> dict[str, float]:
    numbers = Estimate.of(risk.during.sum(axis=1))
    return {
        "expected_failures": risk.expected,
        "expected_low": numbers.low,
        "expected_high": numbers.high,
    }


def _compared(
    year: int, risks: dict[Stance, SeasonRisk], what: Literal["parts", "boats"], names: list[str]
) -> pd.DataFrame:
    """Risks and ranks under each belief side by side, the highest as set first."""
    table: pd.DataFrame | None = None
    for stance, name in _RISKS.items():
        one: pd.DataFrame = getattr(risks[stance], what)
        one = one[[*names, "risk"]].rename(columns={"risk": f"risk_{name}"})
        ranks = one[f"risk_{name}"].astype(float).rank(ascending=False, method="min")
        one[f"rank_{name}"] = ranks.astype(int)
        # Two rows may hold the same place; each belief lists them in the same order.
        keys = [*names, "at"]
        one["at"] = one.groupby(names, sort=False).cumcount()
        table = one if table is None else table.merge(one, on=keys, validate="one_to_one")
    assert table is not None
    table.insert(0, "season", year)
    order = ["risk_as_set", *names]
    return table.sort_values(
        order, ascending=[False, *(True for _ in names)], kind="stable", ignore_index=True
    )
