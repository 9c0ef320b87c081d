"""The picture of wear: readings, straight paths and limits; no Streamlit and no computation."""

from __future__ import annotations

from html import escape

import numpy as np
import plotly.graph_objects as go

from analytics.ageing.wear.hours_to_limit import BAND, Wear
from analytics.ageing.wear.straight_lines import PER
from dashboard import figures
from dashboard.ageing import readings_words as says
from dashboard.figures import COPPER, PLUM, SLATE, WATER, WATER_BAND

N_STEPS = 40


def paths(wear: Wear, life: int) -> go.Figure:
    """Paths of all bearings of one size, one of them with its range carried on to the limit.

    Parameters
    ----------
    wear : Wear
    life : int
        The bearing that is shown with its range.
    """
    table, readings = wear.table, wear.readings
    chosen = int(np.flatnonzero(table["life"] == life)[0])
    limit = wear.limits[chosen]
    same = np.flatnonzero(table["shaft_size"] == table["shaft_size"].iloc[chosen])
    figure = go.Figure()
    last = readings.groupby("life")["hours"].max()
    for i in same:
        if i == chosen:
            continue
        hours = np.array([0.0, float(last[table["life"].iloc[i]])])
        middle = np.median(_clearance(wear, int(i), hours), axis=0)
        figure.add_trace(
            go.Scatter(x=hours, y=middle, mode="lines", hoverinfo="skip", showlegend=False,
                       line={"color": SLATE, "width": 1}, opacity=0.6)
        )  # fmt: skip
    others = readings[readings["life"].isin(table["life"].iloc[same]) & (readings["life"] != life)]
    if not others.empty:
        names = table.set_index("life").apply(says.bearing, axis=1)
        figure.add_trace(
            go.Scatter(
                x=others["hours"], y=others["mm"], mode="markers", name="other bearings read",
                marker={"color": SLATE, "size": 6, "symbol": "circle-open"},
                text=[escape(names[one]) for one in others["life"]],
                hovertemplate="%{text}: %{y:.2f} mm at %{x:,.0f} h<extra></extra>",
            )
        )  # fmt: skip
    own = readings[readings["life"] == life]
    furthest = _furthest(wear, chosen, float(others["hours"].max()) if len(others) else 0.0)
    name = escape(says.bearing(table.iloc[chosen]))
    _carried_on(figure, wear, chosen, float(own["hours"].max()), furthest, name)
    figure.add_trace(
        go.Scatter(
            x=own["hours"], y=own["mm"], mode="markers", name=f"{name}, read",
            marker={"color": WATER, "size": 11},
            hovertemplate="%{y:.2f} mm at %{x:,.0f} h<extra></extra>",
        )
    )  # fmt: skip
    figures._plain(figure, height=460)
    if limit is not None:
        for mm, what, whose, dash, colour in (
            (limit.renew_mm, "renew", limit.whose_is("renew"), "solid", COPPER),
            (limit.watch_mm, "watch", limit.whose_is("watch"), "dot", PLUM),
        ):
            figure.add_hline(
                y=mm, line={"color": colour, "dash": dash, "width": 2},
                annotation={"text": f"{what} {mm:.2f} mm: {escape(says.whose(whose))}",
                            "font": {"size": 12}},
                annotation_position="top left",
            )  # fmt: skip
    figure.update_xaxes(title="Shaft hours since fitting", range=[0, furthest], tickformat=",")
    top = max(float(readings.loc[readings["life"].isin(table["life"].iloc[same]), "mm"].max()),
              limit.renew_mm if limit else 0.0)  # fmt: skip
    figure.update_yaxes(title="Clearance, mm", range=[0, top * 1.2])
    return figure


def _carried_on(
    figure: go.Figure, wear: Wear, path: int, last: float, furthest: float, name: str
) -> None:
    hours = np.unique(np.append(np.linspace(0.0, furthest, N_STEPS), last))
    low, middle, high = np.quantile(_clearance(wear, path, hours), BAND, axis=0)
    figure.add_trace(
        go.Scatter(x=[*hours, *hours[::-1]], y=[*high, *low[::-1]], fill="toself",
                   fillcolor=WATER_BAND, line={"width": 0}, hoverinfo="skip",
                   name="90 % range")
    )  # fmt: skip
    read = hours <= last
    for part, dash, label in (
        (read, "solid", name),
        (~read | (hours == last), "dash", "carried on"),
    ):
        figure.add_trace(
            go.Scatter(
                x=hours[part], y=middle[part], mode="lines", name=label,
                line={"color": WATER, "width": 3, "dash": dash},
                hovertemplate="about %{y:.2f} mm at %{x:,.0f} h<extra></extra>",
            )
        )  # fmt: skip


def _clearance(wear: Wear, path: int, hours: np.ndarray) -> np.ndarray:
    fitted, rate = wear.draws.at_fitting[:, path], wear.draws.rate[:, path]
    return np.asarray(fitted[:, None] + rate[:, None] * hours[None, :] / PER)


def _furthest(wear: Wear, path: int, others: float) -> float:
    """Where the axis of hours ends: with the middle of what is likely for the limit in sight."""
    run = float(np.median(wear.hours_run[wear.draws.row[:, path]]))
    limit, at_limit = wear.limits[path], 0.0
    if limit is not None:
        fitted, rate = wear.draws.at_fitting[:, path], wear.draws.rate[:, path]
        at_limit = float(np.quantile((limit.renew_mm - fitted) / rate * PER, 0.75))
    return 1.1 * max(run, others, min(at_limit, 3 * max(run, others)), 100.0)
