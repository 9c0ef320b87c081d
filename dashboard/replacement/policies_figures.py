"""The picture of rules compared: what each changes beside the limits as set."""

from __future__ import annotations

from html import escape
from textwrap import wrap

import pandas as pd
import plotly.graph_objects as go

from analytics.decisions.policies import Compared
from analytics.papers import policies as says
from dashboard.figures import CLEAR, COPPER, FONT, GRID, SLATE, WATER

ROW = 52
"""Pixels of one rule."""


def differences(table: pd.DataFrame, found: Compared, measure: str, currency: str) -> go.Figure:
    """Difference of each rule to the limits as set, with its 90 % range.

    Parameters
    ----------
    table : DataFrame
        From `policies.comparison`.
    measure : str
        "cost" or "failures".
    """
    rows = table[(table["measure"] == measure) & (table["policy"] != "as_set")]
    labels = [
        "<br>".join(escape(line) for line in wrap(says.rule_label(name, found.threshold), 15))
        for name in rows["policy"]
    ]
    middle, low, high = (rows[f"difference{end}"] for end in ("", "_low", "_high"))
    colour, symbol = (COPPER, "diamond") if measure == "cost" else (WATER, "circle")
    figure = go.Figure()
    figure.add_vline(x=0.0, line={"color": SLATE, "width": 1.5, "dash": "dash"})
    figure.add_trace(
        go.Scatter(
            x=middle, y=labels, mode="markers", showlegend=False,
            marker={"symbol": symbol, "size": 11, "color": colour},
            error_x={"type": "data", "symmetric": False, "color": colour, "thickness": 1.8,
                     "width": 5, "array": high - middle, "arrayminus": middle - low},
            customdata=pd.DataFrame({"low": low, "high": high}).to_numpy(),
            hovertemplate="%{x:,.1f} (%{customdata[0]:,.1f} to %{customdata[1]:,.1f})"
                          "<extra></extra>",
        )
    )  # fmt: skip
    figure.update_layout(
        height=90 + ROW * max(len(rows), 2), margin={"l": 8, "r": 12, "t": 8, "b": 8},
        paper_bgcolor=CLEAR, plot_bgcolor=CLEAR, dragmode=False, hovermode="closest",
    )  # fmt: skip
    axes = {
        "fixedrange": True, "gridcolor": GRID, "automargin": True, "zeroline": False,
        "tickfont": {"size": FONT}, "title_font": {"size": FONT},
    }  # fmt: skip
    what = f"All costs, {escape(currency)}" if measure == "cost" else "Failures in the season"
    figure.update_xaxes(
        title=f"{what}: less or more than<br>with the limits as set", tickformat=",", nticks=6,
        **axes,
    )  # fmt: skip
    figure.update_yaxes(autorange="reversed", **{**axes, "gridcolor": CLEAR})
    return figure
