"""The picture of the cost by age of replacement, at every lift."""

from __future__ import annotations

from html import escape

import numpy as np
import plotly.graph_objects as go

from analytics.decisions.replacement_groups import GroupAge
from analytics.papers import replacement as says
from dashboard.figures import (
    CLEAR,
    COPPER,
    FONT,
    GRID,
    MOSS,
    SLATE,
    WATER,
    WATER_BAND,
)

GOOD_BAND = "rgba(127,154,46,0.16)"

BEYOND = 4
"""Lifts shown past the last that matters."""

RENEWED = "renewed at this lift, if not before"

HIGHEST = 2.6
"""Times the cost of running to failure above which a cost is cut off."""


def cost_by_age(one: GroupAge, currency: str, *, per_hours: bool = False) -> go.Figure:
    """Cost per part and year, or per 1,000 shaft hours, with its band at each lay-up lift.

    Parameters
    ----------
    one : GroupAge
        One whose costs are known.
    per_hours : bool
        Per 1,000 shaft hours in place of a year.
    """
    found = one.found
    assert found is not None
    table = found.table()
    last = _last_shown(one)
    table = table[table["years"] <= last]
    x = table["years"].to_numpy()
    unit = float(found.per_thousand(np.ones(1))[0]) if per_hours else 1.0
    middle, low, high = (
        table[name].to_numpy() * unit for name in ("cost", "cost_low", "cost_high")
    )
    run = float(found.to_failure.mean()) * unit
    figure = go.Figure()
    if not found.gains_nothing:
        first, until = found.about_as_good
        figure.add_vrect(
            x0=first - 0.4, x1=min(until, last) + 0.4, fillcolor=GOOD_BAND, line_width=0,
            layer="below",
        )  # fmt: skip
        figure.add_trace(
            go.Scatter(x=[None], y=[None], mode="markers", name="about as good as the best",
                       marker={"symbol": "square", "size": 14, "color": GOOD_BAND,
                               "line": {"width": 1, "color": MOSS}})
        )  # fmt: skip
    figure.add_trace(
        go.Scatter(x=[*x, *x[::-1]], y=[*high, *low[::-1]], fill="toself", fillcolor=WATER_BAND,
                   line={"color": CLEAR, "width": 0}, hoverinfo="skip", name="90 % range",
                   mode="lines")
    )  # fmt: skip
    figure.add_trace(
        go.Scatter(x=x, y=middle, mode="lines+markers", name=RENEWED,
                   line={"color": WATER, "width": 1.6, "dash": "dot"},
                   marker={"size": 8, "color": WATER},
                   customdata=np.column_stack([low, high]),
                   hovertemplate="%{x:.0f} years: %{y:,.0f} (%{customdata[0]:,.0f} to "
                                 "%{customdata[1]:,.0f})<extra></extra>")
    )  # fmt: skip
    name = says.ASHORE_RUNS if one.kind.found_ashore_only else says.RUNS
    figure.add_trace(
        go.Scatter(x=[0.5, last + 0.5], y=[run, run], mode="lines", name=name,
                   line={"color": COPPER, "width": 2, "dash": "dash"},
                   hovertemplate=f"%{{y:,.0f}}<extra>{name}</extra>")
    )  # fmt: skip
    if one.best is not None:
        at = float(found.at(one.best).mean()) * unit
        figure.add_trace(
            go.Scatter(x=[one.best], y=[at], mode="markers", name=f"least: {says.years(one.best)}",
                       marker={"symbol": "diamond", "size": 15, "color": WATER,
                               "line": {"width": 2, "color": MOSS}}, hoverinfo="skip")
        )  # fmt: skip
    if one.limit is not None and one.limit <= last:
        figure.add_vline(x=one.limit, line={"color": SLATE, "width": 2, "dash": "longdash"})
        right = one.limit > last * 0.6
        figure.add_annotation(
            x=one.limit, y=0.99, yref="paper", yanchor="top", showarrow=False,
            text=escape(f"limit {says.years(one.limit)}"),
            xanchor="right" if right else "left", xshift=-5 if right else 5,
        )  # fmt: skip
    figure.update_layout(
        height=430, margin={"l": 8, "r": 12, "t": 8, "b": 8},
        paper_bgcolor=CLEAR, plot_bgcolor=CLEAR, dragmode=False, hovermode="closest",
        legend={"orientation": "h", "yanchor": "bottom", "y": 1.02, "x": 0.0, "xanchor": "left",
                "traceorder": "normal", "font": {"size": FONT}},
    )  # fmt: skip
    axes = {
        "fixedrange": True, "gridcolor": GRID, "automargin": True, "zeroline": False,
        "tickfont": {"size": FONT}, "title_font": {"size": FONT},
    }  # fmt: skip
    step = 1 if last <= 12 else 2
    figure.update_xaxes(
        title="Years after fitting, at the lay-up lift", range=[0.4, last + 0.6],
        tickvals=np.arange(step, last + 1, step), showgrid=False, **{
            key: value for key, value in axes.items() if key != "gridcolor"},
    )  # fmt: skip
    top = min(float(high.max()), HIGHEST * max(run, float(middle.min())))
    per = "1,000 shaft hours" if per_hours else "year"
    figure.update_yaxes(
        title=f"Cost per part and {per}, {escape(currency)}", range=[0, top * 1.04],
        tickformat=",", **axes,
    )  # fmt: skip
    figure.update_annotations(font_size=FONT)
    return figure


def _last_shown(one: GroupAge) -> float:
    """Years as far as anything matters: limits, the best ages and what is about as good."""
    found = one.found
    assert found is not None
    matters = [age for age in (one.best, one.limit) if age is not None]
    if not found.gains_nothing:
        matters += [found.about_as_good[1], found.best_range[1]]
    furthest = max(matters, default=12.0) + BEYOND
    return float(min(max(furthest, 10.0), found.shown[-1]))
