"""Figures of belief and data: two curves with their bands, and ranges side by side."""

from __future__ import annotations

import pandas as pd
import plotly.graph_objects as go
from plotly.subplots import make_subplots

from analytics.ageing.belief import Learned
from analytics.papers import belief as said
from analytics.records.kinds import Kind
from dashboard.ageing import belief_words as words
from dashboard.figures import CLEAR, FONT, GRID, PLUM, WATER, WATER_BAND

ROW = 74
"""Pixels of one figure's range."""


def two_curves(
    first: pd.DataFrame, second: pd.DataFrame, kind: Kind, *,
    names: tuple[str, str], oldest: float, furthest: float,
) -> go.Figure:  # fmt: skip
    """Share still sound by age, twice: dotted with a hatched band, and full with a plain one.

    Parameters
    ----------
    first, second : DataFrame
        From `survival_and_hazard`, at the same ages.
    names : tuple of str
        What each is.
    oldest : float
        Oldest age watched; the second line is dashed past it.
    furthest : float
        Where the age axis ends.
    """
    figure = go.Figure()
    hatched = {
        "fillpattern": {"shape": "/", "fgcolor": PLUM, "size": 10, "solidity": 0.12},
        "fillcolor": CLEAR, "line": {"color": PLUM, "width": 1, "dash": "dot"},
    }  # fmt: skip
    plain = {"fillcolor": WATER_BAND, "line": {"color": WATER, "width": 0.8}}
    for table, name, look in ((first, names[0], hatched), (second, names[1], plain)):
        age = table["age"]
        figure.add_trace(
            go.Scatter(x=[*age, *age[::-1]],
                       y=[*(table["survival_high"] * 100), *(table["survival_low"][::-1] * 100)],
                       fill="toself", mode="lines", hoverinfo="skip",
                       name=f"90 % range, {name}", **look)
        )  # fmt: skip
    _line(figure, first, names[0], PLUM, "dot")
    seen = second[second["age"] <= oldest]
    beyond = second[second["age"] >= (seen["age"].iloc[-1] if len(seen) else 0.0)]
    if len(seen) > 1:
        _line(figure, seen, names[1], WATER, "solid")
    if len(beyond) > 1:
        past = f"{names[1]}, past the oldest age watched"
        _line(figure, beyond, past, WATER, "dash")
    _laid_out(figure, 420)
    figure.update_xaxes(
        title=f"Age in {kind.unit}", range=[0, furthest], nticks=8, tickformat=",", showgrid=False
    )
    figure.update_yaxes(title="Still sound, %", range=[0, 104], tickvals=[0, 25, 50, 75, 100])
    return figure


def ranges(figures: tuple[Learned, ...]) -> go.Figure:
    """The range of every figure before the records and with them, each on an axis of its own."""
    count = len(figures)
    figure = make_subplots(
        rows=count, cols=1, vertical_spacing=0.56 / max(count, 2),
        subplot_titles=[said.named_with_unit(one) for one in figures],
    )  # fmt: skip
    for row, one in enumerate(figures, start=1):
        scale = 100.0 if one.unit in ("share", "a part and year") else 1.0
        most = said.LONGEST.get(one.unit, 1000.0)
        for estimate, name, colour, dash, symbol in (
            (one.prior, words.BELIEF, PLUM, "dot", "diamond-open"),
            (one.records, words.RECORDS, WATER, "solid", "circle"),
        ):
            ends = [min(value * scale, most) for value in (estimate.low, estimate.high)]
            last = "triangle-right" if estimate.high * scale > most else "line-ns"
            shown = said.estimate_of(estimate, one.unit)
            figure.add_trace(
                go.Scatter(x=ends, y=[name, name], mode="lines+markers", name=name,
                           showlegend=row == 1, legendgroup=name,
                           line={"color": colour, "width": 2.4, "dash": dash},
                           marker={"symbol": ["line-ns", last],
                                   "size": 10, "color": colour,
                                   "line": {"color": colour, "width": 2}},
                           hovertemplate=f"{shown} {said.unit_of(one.unit)}<extra>{name}</extra>"),
                row=row, col=1,
            )  # fmt: skip
            if estimate.median * scale <= most:
                figure.add_trace(
                    go.Scatter(x=[estimate.median * scale], y=[name], mode="markers",
                               showlegend=False,
                               marker={"symbol": symbol, "size": 11, "color": colour,
                                       "line": {"color": colour, "width": 2}},
                               hovertemplate=f"{shown} {said.unit_of(one.unit)}"
                                             f"<extra>{name}</extra>"),
                    row=row, col=1,
                )  # fmt: skip
    _laid_out(figure, 70 + (ROW + 42) * count)
    figure.update_xaxes(rangemode="tozero", nticks=8, tickformat=",")
    figure.update_yaxes(autorange="reversed", showgrid=False, showticklabels=False)
    figure.update_annotations(font_size=FONT, x=0.0, xanchor="left")
    figure.update_layout(legend_y=1.06, margin_t=40)
    return figure


def _line(figure: go.Figure, table: pd.DataFrame, name: str, colour: str, dash: str) -> None:
    figure.add_trace(
        go.Scatter(x=table["age"], y=table["survival"] * 100, mode="lines", name=name,
                   line={"color": colour, "width": 2.6, "dash": dash},
                   hovertemplate=f"%{{y:.0f}} % still sound<extra>{name}</extra>")
    )  # fmt: skip


def _laid_out(figure: go.Figure, height: int) -> None:
    figure.update_layout(
        height=height, margin={"l": 8, "r": 12, "t": 8, "b": 8},
        paper_bgcolor=CLEAR, plot_bgcolor=CLEAR, dragmode=False, hovermode="closest",
        legend={"orientation": "h", "yanchor": "bottom", "y": 1.02, "x": 0.0, "xanchor": "left",
                "traceorder": "normal", "font": {"size": FONT}},
    )  # fmt: skip
    axes = {
        "fixedrange": True, "gridcolor": GRID, "automargin": True,
        "tickfont": {"size": FONT}, "title_font": {"size": FONT},
    }  # fmt: skip
    figure.update_xaxes(**axes)
    figure.update_yaxes(**axes)
