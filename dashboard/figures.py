"""The figures of the pages: tables in, plotly figures out; no Streamlit and no computation.

Colours are middle tones that show on light and on dark paper; texts take the
colour of the page. No colour stands alone: lines differ by dash, bars by
pattern, points by symbol.
"""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

import numpy as np
import pandas as pd
import plotly.graph_objects as go
from plotly.subplots import make_subplots

from analytics.papers.words import percent
from analytics.records.kinds import Kind
from dashboard import words

WATER, COPPER, SLATE, PLUM, MOSS = "#2b8f97", "#c2752f", "#7d8d97", "#a2659f", "#7f9a2e"
WATER_BAND, PLUM_BAND = "rgba(43,143,151,0.20)", "rgba(162,101,159,0.22)"
GRID = "rgba(125,141,151,0.25)"
CLEAR = "rgba(0,0,0,0)"

FONT = 13

TOP = 10
SAME_MIX = "fitted, same mix of parts"
"""The fitted curve as the records' own steps would show it."""


def boats(table: pd.DataFrame, labels: Sequence[str], *, by_cost: bool, currency: str) -> go.Figure:
    """Boats as dots with their 90 % ranges, highest on top.

    Parameters
    ----------
    table : DataFrame
        Rows of `SeasonRisk.boats`, in the order to show.
    labels : sequence of str
        The part that contributes most to each.
    """
    middle = "expected_cost" if by_cost else "risk"
    unit, after = (1.0, currency) if by_cost else (100.0, "in 100")
    at, low, high = (
        table[name].to_numpy(dtype=float) * unit
        for name in (middle, f"{middle}_low", f"{middle}_high")
    )
    shown = [
        words.NOT_KNOWN if np.isnan(value) else f"{value:,.0f}" if by_cost else percent(value / 100)
        for value in at
    ]
    names = [
        f"{escape(boat)}<br><span style='font-size:0.85em'>{escape(label)}</span>"
        for boat, label in zip(table["boat"], labels, strict=True)
    ]
    figure = go.Figure()
    bars_x = [end for left, right in zip(low, high, strict=True) for end in (left, right, None)]
    bars_y = [place for name in names for place in (name, name, None)]
    figure.add_trace(
        go.Scatter(x=bars_x, y=bars_y, mode="lines", hoverinfo="skip", showlegend=False,
                   line={"color": WATER, "width": 2})
    )  # fmt: skip
    ends = go.Scatter(
        x=[*low, *high], y=[*names, *names], mode="markers", hoverinfo="skip", showlegend=False,
        marker={"symbol": "line-ns", "size": 9, "line": {"color": WATER, "width": 2}},
    )  # fmt: skip
    figure.add_trace(ends)
    figure.add_trace(
        go.Scatter(
            x=at, y=names, mode="markers", marker={"color": WATER, "size": 11}, showlegend=False,
            customdata=np.column_stack([low, high]),
            hovertemplate=f"%{{x:,.0f}} {after} (%{{customdata[0]:,.0f}} to "
                          "%{customdata[1]:,.0f})<extra></extra>",
        )
    )  # fmt: skip
    figure.add_trace(
        go.Scatter(x=np.nan_to_num(high), y=names, mode="text",
                   text=[f"  {text}" for text in shown], textposition="middle right",
                   textfont={"size": FONT}, hoverinfo="skip", showlegend=False, cliponaxis=False)
    )  # fmt: skip
    title = (
        f"Expected cost of failures in the season, {currency}"
        if by_cost
        else "Chance that at least one part fails, %"
    )
    # What a boat's failures cost may not be known: such a boat has its line and no dot.
    known = high[np.isfinite(high)]
    furthest = float(known.max()) if len(known) else 1.0
    _plain(figure, height=90 + 44 * max(len(table), 2))
    figure.update_xaxes(
        title=title, range=[0, furthest * 1.16], nticks=8, tickformat=",",
        zeroline=True, zerolinecolor=GRID,
    )  # fmt: skip
    figure.update_yaxes(autorange="reversed", showgrid=False, automargin=True)
    return figure


def survival(
    fitted: pd.DataFrame, records: pd.DataFrame, kind: Kind, *,
    oldest: float, furthest: float, units_per_year: float,
    ticks: np.ndarray, watched: np.ndarray, youngest: float, prior: bool,
    mix: pd.DataFrame | None = None,
) -> go.Figure:  # fmt: skip
    """Share still sound by age: fitted line and band, the records' steps, limit, lives watched.

    Parameters
    ----------
    fitted, records : DataFrame
        From `survival_and_hazard` and `kaplan_meier`.
    oldest : float
        Oldest age watched; a line with the records is dashed past it.
    furthest : float
        Where the age axis ends.
    units_per_year : float
        To place a calendar limit on the hours clock.
    ticks, watched : ndarray
        Ages under the axis and the lives watched at each.
    youngest : float
        Age from which on lives were watched.
    prior : bool
        True where the line is the prior alone.
    mix : DataFrame, optional
        From `as_watched`: the fitted curve of the same mix of parts as the steps.
    """
    figure = make_subplots(
        rows=2, cols=1, shared_xaxes=True, row_heights=[0.9, 0.1], vertical_spacing=0.09
    )
    name = "prior alone" if prior else "fitted"
    colour, band = (PLUM, PLUM_BAND) if prior else (WATER, WATER_BAND)
    _curve(
        figure,
        fitted,
        "survival",
        100.0,
        np.inf if prior else oldest,
        name,
        colour,
        band,
        "%{y:.0f} % still sound",
    )
    if mix is not None and not prior:
        figure.add_trace(
            go.Scatter(
                x=mix["age"], y=mix["survival"] * 100, mode="lines", name=SAME_MIX,
                line={"color": SLATE, "width": 2.2, "dash": "dot"},
                hovertemplate="%{y:.0f} %<extra>same mix of parts</extra>",
            ), row=1, col=1,
        )  # fmt: skip
    if not records.empty:
        last = float(records["age"].iloc[-1])
        x = [youngest, *records["age"]]
        y = [100.0, *(records["survival"] * 100)]
        figure.add_trace(
            go.Scatter(
                x=[*x, last], y=[*y, y[-1]], mode="lines",
                name="records alone, not a fit" if prior else "records alone (steps)",
                line={"shape": "hv", "color": COPPER, "width": 1.8,
                      "dash": "dash" if prior else "solid"},
                hovertemplate="%{y:.0f} %<extra>records alone</extra>",
            ), row=1, col=1,
        )  # fmt: skip
    _limit(figure, kind, units_per_year, furthest)
    figure.add_trace(
        go.Scatter(x=ticks, y=[0.0] * len(ticks), mode="text", text=[f"{n:,}" for n in watched],
                   textfont={"size": FONT}, showlegend=False, hoverinfo="skip", cliponaxis=False),
        row=2, col=1,
    )  # fmt: skip
    _plain(figure, height=470)
    figure.update_xaxes(range=[0, furthest], tickvals=ticks, tickformat=",", showgrid=False)
    figure.update_xaxes(showticklabels=True, row=1, col=1)
    figure.update_xaxes(
        showticklabels=False, ticks="", title=f"Age in {kind.unit}",
        row=2, col=1, zeroline=False,
    )  # fmt: skip
    figure.update_yaxes(
        title="Still sound, %", range=[0, 104], tickvals=[0, 25, 50, 75, 100], row=1, col=1
    )
    figure.update_yaxes(
        range=[-1, 1],
        tickvals=[0],
        ticktext=["watched"],
        ticklabelstandoff=16,
        showgrid=False,
        zeroline=False,
        row=2,
        col=1,
    )
    return figure


def hazard(
    fitted: pd.DataFrame, kind: Kind, *,
    oldest: float, furthest: float, units_per_year: float, prior: bool,
) -> go.Figure:  # fmt: skip
    """Failure rate by age, and the two causes in it."""
    per, unit = (1.0, "a year") if kind.clock == "years" else (1000.0, "per 1,000 h")
    figure = go.Figure()
    colour, band = (PLUM, PLUM_BAND) if prior else (WATER, WATER_BAND)
    name = "prior alone, all of it" if prior else "all of it"
    _curve(figure, fitted, "hazard", per * 100, np.inf if prior else oldest, name, colour, band,
           "%{y:.1f} in 100 " + unit)  # fmt: skip
    parts = [("hazard_wear_out", "wear-out", COPPER, "dash")]
    if "early" in kind.causes:
        parts.append(("hazard_early", "bad fit", SLATE, "dot"))
    for column, name, tone, dash in parts:
        if not (fitted[column] > 0).any():
            continue
        figure.add_trace(
            go.Scatter(x=fitted["age"], y=fitted[column] * per * 100, mode="lines", name=name,
                       line={"color": tone, "width": 2, "dash": dash},
                       hovertemplate="%{y:.1f}<extra>" + name + "</extra>")
        )  # fmt: skip
    _limit(figure, kind, units_per_year, furthest, subplot=False)
    _plain(figure, height=400)
    within = fitted[fitted["age"] <= max(oldest, kind.limit or 0.0)]
    top = float(within["hazard_high"].max()) * per * 100 if len(within) else None
    figure.update_xaxes(
        title=f"Age in {kind.unit}",
        range=[0, furthest],
        nticks=8,
        tickformat=",",
        showgrid=False,
    )
    figure.update_yaxes(title=f"Failures in 100 parts, {unit}", rangemode="tozero")
    if top:
        figure.update_yaxes(range=[0, top * 1.15])
    return figure


def mark_part(figure: go.Figure, low: float, high: float) -> go.Figure:
    """Mark a part's age, or the range of it, on a survival figure.

    The marks are named in the legend: a name beside them would run into that of the limit.
    """
    middle, top = (low + high) / 2, 104.0
    if high > low:
        figure.add_trace(
            go.Scatter(x=[low, low, high, high], y=[0.0, top, top, 0.0], mode="lines",
                       name="its age lies in here", hoverinfo="skip", fill="toself",
                       fillpattern={"shape": "/", "fgcolor": MOSS, "size": 14, "solidity": 0.08},
                       fillcolor=CLEAR, line={"color": MOSS, "width": 1, "dash": "dot"}),
            row=1, col=1,
        )  # fmt: skip
    figure.add_trace(
        go.Scatter(x=[middle, middle], y=[0.0, top], mode="lines", hoverinfo="skip",
                   name="this part", line={"color": MOSS, "width": 2.4, "dash": "dashdot"}),
        row=1, col=1,
    )  # fmt: skip
    return figure


def _curve(
    figure: go.Figure, fitted: pd.DataFrame, column: str, unit: float, oldest: float,
    name: str, colour: str, band: str, hover: str,
) -> None:  # fmt: skip
    """A middle line with its 90 % band; it is dashed past the oldest age watched."""
    age = fitted["age"]
    figure.add_trace(
        go.Scatter(
            x=[*age, *age[::-1]],
            y=[*(fitted[f"{column}_high"] * unit), *(fitted[f"{column}_low"][::-1] * unit)],
            fill="toself", fillcolor=band, line={"color": CLEAR, "width": 0}, hoverinfo="skip",
            name="90 % range", mode="lines",
        )
    )  # fmt: skip
    seen = fitted[age <= oldest]
    # One point is no line: it would stand in the legend with nothing drawn.
    if len(seen) > 1:
        figure.add_trace(
            go.Scatter(x=seen["age"], y=seen[column] * unit, mode="lines", name=name,
                       line={"color": colour, "width": 2.6},
                       hovertemplate=f"{hover}<extra>{name}</extra>")
        )  # fmt: skip
    beyond = fitted[age >= (seen["age"].iloc[-1] if len(seen) else 0.0)]
    if len(beyond) > 1:
        figure.add_trace(
            go.Scatter(x=beyond["age"], y=beyond[column] * unit, mode="lines",
                       name="past the oldest age watched",
                       line={"color": colour, "width": 2.2, "dash": "dash"},
                       hovertemplate=f"{hover}<extra>not watched</extra>")
        )  # fmt: skip


def _limit(
    figure: go.Figure, kind: Kind, units_per_year: float, furthest: float, *, subplot: bool = True
) -> None:
    """The limit as a labelled line; a calendar one at the mean hours a year where hours count."""
    age, (text, *whose) = kind.limit, escape(words.limit(kind)).split(" (")
    if subplot and whose:
        text += f"<br>({whose[0]}"
    if age is None and kind.limit_years is not None:
        age = kind.limit_years * units_per_year
        if subplot and kind.clock == "hours":
            text += f"<br>about {age:,.0f} hours<br>at the mean rate"
    if age is None or age > furthest:
        return
    # Where there is room: low down under a falling curve, high up over a rising one.
    left = age > furthest * 0.4
    where = {"row": 1, "col": 1} if subplot else {}
    figure.add_vline(x=age, line={"color": SLATE, "width": 1.6, "dash": "longdash"}, **where)
    figure.add_annotation(
        x=age, y=0.02 if subplot else 0.99, yref="y domain" if subplot else "paper",
        text=text, showarrow=False, xanchor="right" if left else "left",
        yanchor="bottom" if subplot else "top", xshift=-5 if left else 5,
        align="right" if left else "left",
    )  # fmt: skip


def _plain(figure: go.Figure, height: int) -> None:
    """What every figure shares: no paper of its own, no zoom by accident, legend on top."""
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
    figure.update_annotations(font_size=FONT)
