"""How much of each figure of a kind is data, and how much was believed before the records.

The range of a figure before and after its records says it: where the two are
as wide, the records have taught nothing; where they lie apart, belief and
records do not go together.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

import numpy as np
import pandas as pd
from scipy.special import logit

from analytics.ageing.fit import Ageing, FleetAgeing
from analytics.ageing.prior import Z90
from analytics.ageing.summary import Estimate, key_figures

FigureName = Literal["life_10", "scale", "shape", "early", "accidents", "expected_failures"]

COLUMNS = [
    *("kind", "group", "family", "figure", "unit"),
    *("prior", "prior_low", "prior_high", "records", "records_low", "records_high"),
    *("from_records", "moved", "surprise", "conflict"),
]

SURPRISING = 2.58
"""Distance, in standard deviations, that a right belief lets one figure pass once in 100: with
the handful of figures of a kind, about one false alarm in 20."""

_LEAST_NARROWED = 0.01
"""Stands in for a range that was hardly narrowed, or widened: less than chance in 1000 draws."""


@dataclass(frozen=True)
class Learned:
    """One figure before the records and with them.

    Attributes
    ----------
    kind, group : str
    family : str
        In whose terms shape and scale are; the belief is told in those of the fit.
    figure : str
        A name of `KeyFigures`, or "expected_failures" (of the coming season).
    unit : str
        "years", "shaft hours", "share", "a part and year", "failures", or "" for the shape.
    prior, records : Estimate
        Median and 90 % range: what is believed, and what is said with the records.
    fitted : bool
        False where the records could not be fitted, so that both are the belief.
    """

    kind: str
    group: str
    family: str
    figure: FigureName
    unit: str
    prior: Estimate
    records: Estimate
    fitted: bool = True

    @property
    def from_records(self) -> float:
        """Share of what is known of the figure that comes from the records.

        The contraction ``1 - (w_records / w_prior) ** 2``, with w the width of the
        90 % range on the figure's own scale: the log of a life and of the shape; the
        log-odds of a share; the square root of a rate and of a number of failures,
        as their spread does not hang on their size there. For normal belief and
        records this is the records' share of the precision: n / (n + m) for n
        measurements beside a belief worth m of them. Contraction of the posterior
        is that of Schad, Betancourt and Vasishth (2021), there in variances, here
        in ranges, which heavy tails cannot upset (from memory). Below 0 where the
        records widen the range; 0 where nothing was fitted.
        """
        before, after = _width(self, self.prior), _width(self, self.records)
        if not self.fitted or before <= 0:
            return 0.0
        return float(1.0 - (after / before) ** 2)

    @property
    def moved(self) -> float:
        """How far the records move the middle value, in standard deviations of the belief.

        ``(m_records - m_prior) / s_prior`` with medians m and s = w / (2 * 1.645), on
        the scale of `from_records`.
        """
        before = _width(self, self.prior) / (2 * Z90)
        if not self.fitted or before <= 0:
            return 0.0
        medians = (_on_scale(self.figure, one.median) for one in (self.records, self.prior))
        with_records, believed = medians
        return (with_records - believed) / before

    @property
    def surprise(self) -> float:
        """How far the records' own estimate lies from what was believed, in standard deviations.

        ``moved / sqrt(from_records)``, which is ``(m_records - m_prior) /
        sqrt(s_prior ** 2 - s_records ** 2)``. For normal belief and records this is
        the distance of the records' own estimate from the belief, over the spread
        that the belief foresees for it: the prior predictive check of Box (1980) and
        of Evans and Moshonov (2006), from memory.
        """
        return self.moved / float(np.sqrt(max(self.from_records, _LEAST_NARROWED)))

    @property
    def conflict(self) -> bool:
        """True where records and belief lie further apart than chance explains.

        The middle value must have moved by a standard deviation of the belief as
        well: that parts have lasted so far pushes it up, and contradicts nothing.
        """
        return abs(self.surprise) > SURPRISING and abs(self.moved) > 1.0


def learned(ageing: Ageing) -> tuple[Learned, ...]:
    """The key figures of a kind before its records and with them.

    Parameters
    ----------
    ageing : Ageing
        One kind or group.

    Returns
    -------
    tuple of Learned
        The 10 % life first; causes that are not modelled are left out.
    """
    with_records, before = key_figures(ageing), key_figures(ageing, ageing.prior)
    kind = ageing.kind
    units: dict[FigureName, str] = {"life_10": kind.unit, "scale": kind.unit, "shape": ""}
    if "early" in kind.causes:
        units["early"] = "share"
    if "accident" in kind.causes:
        units["accidents"] = "a part and year"
    fitted = ageing.grade != "only failures, not fitted"
    return tuple(
        Learned(
            kind.name,
            ageing.group,
            kind.family,
            name,
            unit,
            getattr(before, name),
            getattr(with_records, name),
            fitted,
        )
        for name, unit in units.items()
    )


def learned_table(figures: Iterable[Learned]) -> pd.DataFrame:
    """Figures before the records and with them, for a file: `COLUMNS`.

    `prior` and `records` are medians in `unit`, each with its 90 % range;
    `from_records` is a share; `moved` and `surprise` are in standard deviations;
    `conflict` is True where records and belief do not go together.
    """
    rows = [
        (
            *(one.kind, one.group, one.family, one.figure, one.unit),
            *(one.prior.median, one.prior.low, one.prior.high),
            *(one.records.median, one.records.low, one.records.high),
            *(one.from_records, one.moved, one.surprise, one.conflict),
        )
        for one in figures
    ]
    return pd.DataFrame(rows, columns=COLUMNS)


def fleet_learned(ageing: FleetAgeing) -> pd.DataFrame:
    """`learned_table` of every kind and group."""
    return learned_table(figure for one in ageing.values() for figure in learned(one))


def _width(of: Learned, estimate: Estimate) -> float:
    return _on_scale(of.figure, estimate.high) - _on_scale(of.figure, estimate.low)


def _on_scale(figure: FigureName, value: float) -> float:
    if figure in ("accidents", "expected_failures"):
        return float(np.sqrt(value))
    # Nothing is believed to be exactly 0 or 1; a draw may still round to it.
    if figure == "early":
        return float(logit(np.clip(value, 1e-12, 1.0 - 1e-12)))
    return float(np.log(max(value, 1e-12)))
