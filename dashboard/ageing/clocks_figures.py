"""The picture of both clocks: each life at its age in years and in shaft hours."""

from __future__ import annotations

from html import escape

import pandas as pd
import plotly.graph_objects as go

from analytics.ageing.clock_choice import ClockChoice
from analytics.ageing.clock_tables import FAILED, FITTED, FOUND, REMOVED
from dashboard.figures import CLEAR, COPPER, FONT, GRID, PLUM, PLUM_BAND, SLATE, WATER, WATER_BAND

MARKS = {
    FITTED: ("circle-open", SLATE, 6),
    REMOVED: ("square-open", SLATE, 6),
    FAILED: ("x", COPPER, 8),
    FOUND: ("diamond", COPPER, 8),
}
"""Symbol, colour and size of each way in which a life ends; failures on top."""

MIDDLE_HALF = (0.25, 0.75)


def both_clocks(choice: ClockChoice, ages: pd.DataFrame) -> go.Figure:
    """Ages of lives on both clocks, with the middle half of worn-out parts on each.

    Parameters
    ----------
    choice : ClockChoice
        One in which both clocks were fitted.
    ages : DataFrame
        From `clock_tables.ages_table`.
    """
    assert choice.years is not None
    assert choice.hours is not None
    figure = go.Figure()
    ends = {"x": 1.04 * float(ages["years"].max()), "y": 1.04 * float(ages["hours"].max())}
    bands = (
        (choice.years, "x", PLUM, PLUM_BAND, "/", "worn out by years, middle half"),
        (choice.hours, "y", WATER, WATER_BAND, "\\", "worn out by hours, middle half"),
    )
    for fit, axis, colour, band, pattern, name in bands:
        low, high = (min(float(age), ends[axis]) for age in fit.ages_worn_out(MIDDLE_HALF))
        across = ends["y" if axis == "x" else "x"]
        along, beside = [low, low, high, high, low], [0.0, across, across, 0.0, 0.0]
        x, y = (along, beside) if axis == "x" else (beside, along)
        figure.add_trace(
            go.Scatter(x=x, y=y, mode="lines", fill="toself", fillcolor=band, name=name,
                       fillpattern={"shape": pattern, "fgcolor": colour, "bgcolor": band,
                                    "fgopacity": 0.25, "size": 10},
                       line={"color": colour, "width": 1}, hoverinfo="skip")
        )  # fmt: skip
    for ended, (symbol, colour, size) in MARKS.items():
        some = ages[ages["ended"] == ended]
        if some.empty:
            continue
        figure.add_trace(
            go.Scatter(
                x=some["years"], y=some["hours"], mode="markers", name=ended,
                marker={"symbol": symbol, "color": colour, "size": size},
                text=[escape(f"{boat}, {side}") for boat, side in
                      zip(some["boat"], some["position"], strict=True)],
                hovertemplate="%{text}: %{x:.1f} years, %{y:,.0f} shaft hours"
                              f"<extra>{ended}</extra>",
            )
        )  # fmt: skip
    figure.update_layout(
        height=460, margin={"l": 8, "r": 12, "t": 8, "b": 8},
        paper_bgcolor=CLEAR, plot_bgcolor=CLEAR, dragmode=False, hovermode="closest",
        legend={"orientation": "h", "yanchor": "bottom", "y": 1.02, "x": 0.0, "xanchor": "left",
                "traceorder": "normal", "font": {"size": FONT}},
    )  # fmt: skip
    axes = {
        "fixedrange": True, "gridcolor": GRID, "automargin": True, "zeroline": False,
        "tickfont": {"size": FONT}, "title_font": {"size": FONT},
    }  # fmt: skip
    figure.update_xaxes(title="Age in calendar years", range=[0.0, ends["x"]], **axes)
    figure.update_yaxes(title="Age in shaft hours", range=[0.0, ends["y"]], tickformat=",", **axes)
    return figure
