"""The figures of the parts budget: seasons, months, and how far a total may be off; no Streamlit.

Colours and marks are those of `dashboard.figures`; none stands alone.
"""

from __future__ import annotations

import numpy as np
import pandas as pd
import plotly.graph_objects as go

from analytics.decisions.spares import POINTS
from dashboard.figures import COPPER, PLUM, SLATE, WATER, _plain

SYMBOLS = {"p50": ("circle", "#ffffff"), "p80": ("diamond", PLUM), "p95": ("x", PLUM)}


def seasons(lines: pd.DataFrame, currency: str, *, priced: bool) -> go.Figure:
    """Planned and unplanned renewals of each season, stacked means, with the P points.

    Parameters
    ----------
    lines : DataFrame
        `Budget.fleet()`, or the rows of one kind.
    priced : bool
        Money where True, numbers of parts where not.
    """
    point, unit = ("cost", currency) if priced else ("quantity", "parts")
    at = [str(year) for year in lines["season"]]
    figure = go.Figure()
    _stacked(figure, at, lines, unit, priced=priced)
    for name in POINTS:
        symbol, fill = SYMBOLS[name]
        figure.add_trace(
            go.Scatter(x=at, y=lines[f"{point}_{name}"], mode="markers", name=name.upper(),
                       marker={"symbol": symbol, "size": 11, "color": fill,
                               "line": {"width": 2, "color": PLUM}},
                       hovertemplate=f"%{{y:,.0f}} {unit}<extra>{name.upper()}</extra>")
        )  # fmt: skip
    _plain(figure, height=400)
    figure.update_layout(barmode="stack", bargap=0.45)
    figure.update_xaxes(title="Season", type="category", showgrid=False)
    _money_axis(figure, currency, priced=priced)
    return figure


def months(lines: pd.DataFrame, currency: str, *, priced: bool) -> go.Figure:
    """Planned and unplanned renewals of each month of one season, stacked means.

    Parameters
    ----------
    lines : DataFrame
        Rows of `Budget.months` of one season.
    priced : bool
        Money where True, numbers of parts where not.
    """
    begins = pd.to_datetime(lines["month"], format="%Y-%m")
    # The year is written where it begins, and under the first month.
    at = [
        f"{day:%b}<br>{day:%Y}" if not i or day.month == 1 else f"{day:%b}"
        for i, day in enumerate(begins)
    ]
    named = [f"{day:%Y-%m}" for day in begins]
    figure = go.Figure()
    _stacked(figure, named, lines, currency if priced else "parts", priced=priced)
    _plain(figure, height=320)
    figure.update_layout(barmode="stack", bargap=0.3)
    figure.update_xaxes(
        title="Month in which it is paid", type="category", tickvals=named, ticktext=at,
        tickangle=0, showgrid=False,
    )  # fmt: skip
    _money_axis(figure, currency, priced=priced)
    return figure


def total(totals: np.ndarray, line: pd.Series, currency: str) -> go.Figure:
    """Every simulated total of one season, with planned work and the P points marked.

    Parameters
    ----------
    totals : ndarray, shape (n_futures,)
    line : Series
        The season's row of `Budget.fleet()`.
    """
    figure = go.Figure(
        go.Histogram(x=totals, nbinsx=40, marker={"color": WATER, "opacity": 0.75},
                     showlegend=False, hovertemplate="%{y} futures at %{x}<extra></extra>")
    )  # fmt: skip
    marks = [("planned", "committed", SLATE, "dashdot")]
    dashes = {"p50": "dot", "p80": "dash", "p95": "solid"}
    marks += [(name.upper(), f"cost_{name}", PLUM, dashes[name]) for name in POINTS]
    for level, (name, column, colour, dash) in enumerate(marks):
        at = float(line[column])
        # Neighbours stand at two heights, so that their names do not run into each other.
        figure.add_vline(x=at, line={"color": colour, "width": 2, "dash": dash})
        figure.add_annotation(
            x=at, y=1.0, yref="paper", text=name, showarrow=False,
            xanchor="center", yanchor="bottom", yshift=2 + 16 * (level % 2),
        )  # fmt: skip
    _plain(figure, height=320)
    figure.update_layout(bargap=0.04, margin_t=44)
    figure.update_xaxes(
        title=f"Total of the season, {currency}", nticks=8, tickformat=",", showgrid=False,
        rangemode="tozero",
    )  # fmt: skip
    figure.update_yaxes(title=f"Futures, of {len(totals):,}")
    return figure


def _stacked(
    figure: go.Figure, at: list[str], lines: pd.DataFrame, unit: str, *, priced: bool
) -> None:
    planned, unplanned = ("committed", "forecast") if priced else ("planned", "unplanned")
    names = ("committed (planned)", "forecast (unplanned)") if priced else ("planned", "unplanned")
    for column, name, colour, pattern in (
        (planned, names[0], WATER, ""),
        (unplanned, names[1], COPPER, "/"),
    ):
        figure.add_trace(
            go.Bar(x=at, y=lines[column], name=f"{name}, mean",
                   marker={"color": colour, "opacity": 0.85,
                           "pattern": {"shape": pattern, "fgcolor": "rgba(255,255,255,0.55)",
                                       "size": 8, "solidity": 0.25, "fillmode": "overlay"}},
                   hovertemplate=f"%{{y:,.{0 if priced else 1}f}} {unit}<extra>{name}</extra>")
        )  # fmt: skip


def _money_axis(figure: go.Figure, currency: str, *, priced: bool) -> None:
    figure.update_yaxes(
        title=f"Cost of parts and fitting, {currency}" if priced else "Parts renewed",
        rangemode="tozero", tickformat=",",
    )  # fmt: skip
