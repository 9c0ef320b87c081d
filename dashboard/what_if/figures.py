"""Figures of plans beside today's: differences with their ranges; no Streamlit."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

import numpy as np
import plotly.graph_objects as go

from analytics.papers.words import money
from analytics.what_if.compared import Compared
from analytics.what_if.measures import ALL, MONEY
from analytics.what_if.sentences import MEASURES
from dashboard.figures import CLEAR, COPPER, FONT, GRID, MOSS, PLUM, SLATE, WATER
from dashboard.what_if import words as says

NUMBERS = ("failures", "boats_failing", "haul_outs", "lost_days", "found_worn", "planned")
COSTS = ("parts", "labour", "lift", "tow", "lost_income", "total")
COLOURS = (WATER, COPPER, PLUM, MOSS, SLATE)
SYMBOLS = ("circle", "diamond", "square", "triangle-up", "x")


def differences(found: Compared, measures: Sequence[str], currency: str) -> go.Figure:
    """Mean difference a season of each measure, with the range of 90 of 100 futures."""
    n, rows = len(found.years), [found.row(measure) for measure in measures]
    of_money = measures[0] in MONEY
    middle, low, high = (
        np.array([row[name] for row in rows], dtype=float) / n
        for name in ("difference", "difference_low", "difference_high")
    )
    sign = np.where(np.abs(middle) < (0.5 if of_money else 0.05), 0, np.sign(middle)).astype(int)
    colour = [{-1: WATER, 0: SLATE, 1: COPPER}[one] for one in sign.tolist()]
    symbol = [{-1: "circle", 0: "x", 1: "diamond"}[one] for one in sign.tolist()]
    said = [says.difference(of_money, value, currency) for value in middle]
    names = [
        f"{MEASURES[measure]}<br><span style='font-size:0.92em'><b>{text}</b></span>"
        for measure, text in zip(measures, said, strict=True)
    ]
    figure = go.Figure()
    for name, begin, end, shade in zip(names, low, high, colour, strict=True):
        figure.add_trace(
            go.Scatter(x=[begin, end], y=[name, name], mode="lines+markers", hoverinfo="skip",
                       line={"color": shade, "width": 2}, showlegend=False,
                       marker={"symbol": "line-ns", "size": 9,
                               "line": {"color": shade, "width": 2}})
        )  # fmt: skip
    figure.add_trace(
        go.Scatter(
            x=middle, y=names, mode="markers", showlegend=False, customdata=said,
            marker={"color": colour, "symbol": symbol, "size": 11},
            hovertemplate="%{customdata}<extra></extra>",
        )
    )  # fmt: skip
    left, right = min(float(low.min()), 0.0), max(float(high.max()), 0.0)
    room = 0.06 * max(right - left, 0.1)
    figure.add_vline(x=0, line={"color": SLATE, "width": 1.4})
    _plain(figure, height=70 + 46 * len(measures))
    unit = f", {currency}" if of_money else ""
    figure.update_xaxes(
        title=f"Difference a season{unit}",
        range=[left - room, right + room],
        tickformat=",",
        nticks=7,
    )
    figure.update_yaxes(autorange="reversed", showgrid=False)
    return figure


def by_season(plans: Sequence[Compared], measure: str, currency: str) -> go.Figure:
    """One measure, season by season: difference of each plan to today's, with its range."""
    figure, of_money = go.Figure(), measure in MONEY
    for at, plan in enumerate(plans):
        table = plan.table
        chosen = (table["measure"] == measure) & (table["kind"] == ALL)
        rows = table[chosen & table["season"].isin(plan.years)].sort_values("season")
        middle, low, high = (
            rows[name].to_numpy(dtype=float)
            for name in ("difference", "difference_low", "difference_high")
        )
        shift = (at - (len(plans) - 1) / 2) * min(0.16, 0.7 / len(plans))
        name = escape(plan.changes.name)
        said = [_range(a, b, of_money, currency) for a, b in zip(low, high, strict=True)]
        figure.add_trace(
            go.Scatter(
                x=rows["season"] + shift, y=middle, name=name, mode="markers",
                customdata=said,
                marker={"color": COLOURS[at % 5], "symbol": SYMBOLS[at % 5], "size": 10},
                error_y={"type": "data", "symmetric": False, "array": high - middle,
                         "arrayminus": middle - low, "color": COLOURS[at % 5], "thickness": 2,
                         "width": 5},
                hovertemplate=f"%{{y:+,.{0 if of_money else 1}f}} (%{{customdata}})"
                              f"<extra>{name}</extra>",
            )
        )  # fmt: skip
    figure.add_hline(y=0, line={"color": SLATE, "width": 1.4})
    _plain(figure, height=330)
    years = sorted({year for plan in plans for year in plan.years})
    figure.update_xaxes(
        title="Season", tickvals=years, range=[years[0] - 0.6, years[-1] + 0.6], showgrid=False
    )
    unit = f"<br>{currency}" if of_money else ""
    figure.update_yaxes(title=f"Difference to today{unit}", tickformat=",")
    figure.update_layout(showlegend=len(plans) > 1)
    return figure


def _range(low: float, high: float, of_money: bool, currency: str) -> str:
    if of_money:
        return f"{money(low, currency)} to {money(high, currency)}"
    return f"{low:+,.1f} to {high:+,.1f}"


def _plain(figure: go.Figure, height: int) -> None:
    figure.update_layout(
        height=height, margin={"l": 8, "r": 12, "t": 16, "b": 8},
        paper_bgcolor=CLEAR, plot_bgcolor=CLEAR, dragmode=False, hovermode="closest",
        legend={"orientation": "h", "yanchor": "bottom", "y": 1.02, "x": 0.0, "xanchor": "left",
                "traceorder": "normal", "font": {"size": FONT}},
    )  # fmt: skip
    axes = {
        "fixedrange": True, "gridcolor": GRID, "automargin": True, "zeroline": False,
        "tickfont": {"size": FONT}, "title_font": {"size": FONT},
    }  # fmt: skip
    figure.update_xaxes(**axes)
    figure.update_yaxes(**axes)
