"""The picture of groups: a point and a bar for each, about the line of no difference."""

from __future__ import annotations

from html import escape
from textwrap import wrap

import numpy as np
import pandas as pd
import plotly.graph_objects as go

from analytics.ageing.groups.lots import SURE
from analytics.papers.groups import label
from dashboard.figures import CLEAR, COPPER, FONT, GRID, MOSS, PLUM, SLATE, WATER

ROW, TALL_ROW = 30, 40
"""Pixels of one group, and where names stand on two lines."""

_SYMBOLS = ("circle", "diamond", "square", "triangle-up", "pentagon", "star", "hexagon", "cross")
_COLOURS = (WATER, COPPER, PLUM, MOSS, SLATE)


def factors(table: pd.DataFrame) -> go.Figure:
    """How many times as long the parts of each group last as the others.

    Parameters
    ----------
    table : DataFrame
        Rows of `standing_out.factors_table`, in the order to draw, lowest first.
    """
    figure = go.Figure()
    # The field is told by the form and the legend: with it the names take half of a small screen.
    levels = [_wrapped(level) for level in table["level"]]
    names = [
        f"{escape(label(field))}: {escape(level)}"
        for field, level in zip(table["field"], table["level"], strict=True)
    ]
    # Two groups of one name would be drawn in one row.
    at = np.arange(len(table))
    figure.add_vline(x=1.0, line={"color": SLATE, "width": 1.5, "dash": "dash"})
    for number, field in enumerate(dict.fromkeys(table["field"])):
        rows = (table["field"] == field).to_numpy()
        some, y = table[rows], at[rows]
        colour = _COLOURS[number % len(_COLOURS)]
        symbol = _SYMBOLS[number % len(_SYMBOLS)]
        sure = (some[["chance_shorter", "chance_longer"]].max(axis=1) >= SURE).to_numpy()
        figure.add_trace(
            go.Scatter(
                x=some["factor"], y=y, mode="markers", name=label(field).capitalize(),
                marker={"symbol": [symbol if known else f"{symbol}-open" for known in sure],
                        "color": colour, "size": 11, "line": {"color": colour, "width": 1.5}},
                error_x={"type": "data", "symmetric": False, "color": colour, "thickness": 1.6,
                         "width": 4, "array": some["factor_high"] - some["factor"],
                         "arrayminus": some["factor"] - some["factor_low"]},
                text=[names[i] for i in y],
                customdata=some[["factor_low", "factor_high", "lives", "failures"]].to_numpy(),
                hovertemplate="%{text}: %{x:.2f} times as long (%{customdata[0]:.2f} to "
                "%{customdata[1]:.2f})<br>%{customdata[2]:,.0f} lives, %{customdata[3]:,.0f} "
                "failures<extra></extra>",
            )
        )  # fmt: skip
    row = TALL_ROW if any("<br>" in level for level in levels) else ROW
    figure.update_layout(
        height=110 + row * max(len(table), 3), margin={"l": 8, "r": 12, "t": 8, "b": 8},
        paper_bgcolor=CLEAR, plot_bgcolor=CLEAR, dragmode=False, hovermode="closest",
        legend={"orientation": "h", "yanchor": "bottom", "y": 1.01, "x": 0.0, "xanchor": "left",
                "font": {"size": FONT}},
    )  # fmt: skip
    axes = {
        "fixedrange": True, "gridcolor": GRID, "automargin": True,
        "tickfont": {"size": FONT}, "title_font": {"size": FONT},
    }  # fmt: skip
    figure.update_xaxes(
        title="Times as long", type="log",
        tickvals=_TICKS, ticktext=[f"{tick:g}" for tick in _TICKS],
        range=_reach(table), zeroline=False, **axes,
    )  # fmt: skip
    figure.update_yaxes(tickvals=at, ticktext=levels, autorange="reversed", zeroline=False, **axes)
    return figure


_WIDEST = 16
"""Letters of a name on one line."""


def _wrapped(level: str) -> str:
    """A name on lines of `_WIDEST` letters or less, where its words allow."""
    return "<br>".join(escape(line) for line in wrap(level, _WIDEST, break_long_words=False))


_TICKS = (0.1, 0.2, 0.5, 0.75, 1.0, 1.5, 2.0, 5.0, 10.0)


def _reach(table: pd.DataFrame) -> list[float]:
    """Ends of the axis as logarithms: all bars, and some room on both sides of 1."""
    low, high = min(0.6, table["factor_low"].min()), max(1.6, table["factor_high"].max())
    return [float(np.log10(max(low, 0.05) * 0.95)), float(np.log10(min(high, 20.0) * 1.05))]
