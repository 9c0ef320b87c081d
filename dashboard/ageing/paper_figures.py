"""Probability paper as a plotly figure."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pandas as pd
import plotly.graph_objects as go

from analytics.ageing.nonparametric.plotting_positions import on_paper
from analytics.records.kinds import Kind
from dashboard import figures
from dashboard.ageing.paper_answers import OnPaper
from dashboard.figures import CLEAR, COPPER, PLUM, SLATE, WATER, WATER_BAND

Floats = npt.NDArray[np.float64]

RULES = (0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 30, 50, 70, 80, 90, 95, 99, 99.9)
"""Per cent failed that have a rule across the paper."""

LEAST, MOST = 0.001, 0.999


def paper(drawn: OnPaper, kind: Kind, family: str) -> go.Figure:
    """Share failed by age on the paper of a family.

    Parameters
    ----------
    drawn : OnPaper
    kind : Kind
    family : {"weibull", "lognormal"}
        Whose curves are straight.
    """
    figure = go.Figure()
    if drawn.fitted is not None:
        _fitted(figure, drawn.fitted, drawn.oldest, family)
    if drawn.likely is not None:
        known = drawn.likely[drawn.likely["age"] <= drawn.oldest]
        _line(figure, known, family, "records alone, most likely", SLATE, "dot", 1.6)
    _line(figure, drawn.prior, family, "prior alone", PLUM, "dash", 1.8)
    _points(figure, drawn.points, family)
    figures._plain(figure, height=520)
    low, high = _room(drawn)
    rules = [rule for rule in RULES if low <= rule / 100 <= high]
    ends = on_paper([low, high], family)
    figure.update_yaxes(
        title="Failed, %", range=[float(ends[0]), float(ends[1])],
        tickvals=on_paper(np.array(rules) / 100, family), ticktext=[f"{rule:g}" for rule in rules],
        zeroline=False,
    )  # fmt: skip
    ages = drawn.prior["age"] if drawn.fitted is None else drawn.fitted["age"]
    ticks = _round(float(ages.iloc[0]), float(ages.iloc[-1]))
    figure.update_xaxes(
        title=f"Age in {kind.unit} (each step along the axis multiplies)", type="log",
        range=[float(np.log10(ages.iloc[0])), float(np.log10(ages.iloc[-1]))],
        tickvals=ticks, ticktext=[f"{tick:,g}" for tick in ticks],
    )  # fmt: skip
    return figure


def _fitted(figure: go.Figure, line: pd.DataFrame, oldest: float, family: str) -> None:
    low, high = (on_paper(line[name], family) for name in ("failed_low", "failed_high"))
    known = np.isfinite(low) & np.isfinite(high)
    for at, end in enumerate((low[known], high[known])):
        figure.add_trace(
            go.Scatter(x=line["age"][known], y=end, mode="lines", hoverinfo="skip",
                       legendgroup="band", name="90 % range", showlegend=at == 1,
                       fill="tonexty" if at else None, fillcolor=WATER_BAND,
                       line={"color": CLEAR, "width": 0})
        )  # fmt: skip
    within = line[line["age"] <= oldest]
    _line(figure, within, family, "fitted", WATER, "solid", 2.6)
    beyond = line[line["age"] >= (within["age"].iloc[-1] if len(within) else 0.0)]
    _line(figure, beyond, family, "past the oldest age watched", WATER, "longdash", 2.0)


def _line(
    figure: go.Figure, line: pd.DataFrame, family: str, name: str, colour: str, dash: str,
    width: float,
) -> None:  # fmt: skip
    if len(line) < 2:
        return
    figure.add_trace(
        go.Scatter(x=line["age"], y=on_paper(line["failed"], family), mode="lines", name=name,
                   line={"color": colour, "width": width, "dash": dash},
                   customdata=line["failed"] * 100,
                   hovertemplate="%{customdata:.1f} % by %{x:,.3g}<extra>" + name + "</extra>")
    )  # fmt: skip


def _points(figure: go.Figure, points: pd.DataFrame, family: str) -> None:
    if points.empty:
        return
    known = points["age_from"] < points["age_to"]
    # A window that begins at new has no left end on a log axis: its bar stops at the axis.
    left = np.where(known, points["age"] - np.maximum(points["age_from"], 1e-9), 0.0)
    right = np.where(known, points["age_to"] - points["age"], 0.0)
    bars = None
    if known.any():
        bars = {"type": "data", "symmetric": False, "array": right, "arrayminus": left,
                "color": COPPER, "thickness": 1, "width": 0}  # fmt: skip
    figure.add_trace(
        go.Scatter(x=points["age"], y=on_paper(points["failed"], family), mode="markers",
                   name="failures, counted", error_x=bars, customdata=points["failed"] * 100,
                   marker={"color": COPPER, "size": 7, "symbol": "circle-open",
                           "line": {"width": 1.6}},
                   hovertemplate="%{customdata:.1f} % by %{x:,.3g}<extra>counted</extra>")
    )  # fmt: skip


def _room(drawn: OnPaper) -> tuple[float, float]:
    """Shares failed between which the paper is drawn."""
    shares = [drawn.points["failed"], drawn.prior["failed"]]
    if drawn.fitted is not None:
        shares.append(drawn.fitted["failed"])
    low = min(float(drawn.points["failed"].min()) if len(drawn.points) else 0.01, 0.01) / 2
    high = max(float(share.max()) if len(share) else 0.5 for share in shares)
    return max(low, LEAST), min(max(high, 0.6), MOST)


def _round(low: float, high: float) -> list[float]:
    """Round ages along a log axis."""
    powers = range(int(np.floor(np.log10(low))), int(np.ceil(np.log10(high))) + 1)
    ages = [10.0**power * part for power in powers for part in (1, 2, 5)]
    return [age for age in ages if low <= age <= high]
