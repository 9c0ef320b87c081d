"""Pictures of the records' own curves; tables in, plotly figures out."""

from __future__ import annotations

import numpy as np
import pandas as pd
import plotly.graph_objects as go

from analytics.ageing.nonparametric.counted import Counted
from analytics.ageing.nonparametric.rates import CumulativeRate
from analytics.ageing.nonparametric.recurrence import MeanNumber
from analytics.records.kinds import Kind
from dashboard import figures
from dashboard.figures import CLEAR, COPPER, PLUM, PLUM_BAND, SLATE, WATER

COPPER_BAND = "rgba(194,117,47,0.16)"


def survival(found: Counted, fitted: pd.DataFrame, kind: Kind, *, prior: bool) -> go.Figure:
    """Share still sound: steps, windows left open with their band, the fitted curve dashed.

    Parameters
    ----------
    found : Counted
    fitted : DataFrame
        From `as_watched`.
    prior : bool
        True where the fitted curve is the prior alone.
    """
    figure = go.Figure()
    if found.band is not None:
        _band(figure, found.band.ages, found.band.low * 100, found.band.high * 100,
              COPPER_BAND, "rough 90 % range")  # fmt: skip
    if found.windows is not None and found.windows.failures:
        _open_windows(figure, found)
    curve = found.kaplan_meier
    if not curve.empty:
        figure.add_trace(
            go.Scatter(x=[0.0, *curve["age"]], y=[100.0, *(curve["survival"] * 100)], mode="lines",
                       name="counted (Kaplan-Meier)",
                       line={"shape": "hv", "color": COPPER, "width": 2.2},
                       hovertemplate="%{y:.0f} % at %{x:,.3g}<extra>counted</extra>")
        )  # fmt: skip
    figure.add_trace(
        go.Scatter(x=fitted["age"], y=fitted["survival"] * 100, mode="lines",
                   name="prior alone" if prior else "fitted, same mix of parts",
                   line={"color": PLUM if prior else WATER, "width": 2, "dash": "dash"},
                   hovertemplate="%{y:.0f} % at %{x:,.3g}<extra>fitted</extra>")
    )  # fmt: skip
    _axes(figure, f"Age in {kind.unit}", "Still sound, %", float(fitted["age"].iloc[-1]))
    figure.update_yaxes(range=[0, 104], tickvals=[0, 25, 50, 75, 100])
    return figure


def cumulative_rate(found: CumulativeRate, kind: Kind) -> go.Figure:
    """Cumulative failure rate with its range."""
    figure = go.Figure()
    _steps(figure, found.ages, found.cumulative, found.low, found.high, found.oldest, "counted")
    _axes(figure, f"Age in {kind.unit}", "Failures per part, added up", found.oldest)
    return figure


def replacements(found: MeanNumber) -> go.Figure:
    """Mean number of renewals per position with its range."""
    figure = go.Figure()
    _steps(figure, found.times, found.mean, found.low, found.high, found.longest, "renewals")
    _axes(figure, "Years watched", "Renewals per position", found.longest)
    return figure


def _open_windows(figure: go.Figure, found: Counted) -> None:
    """Least and greatest survival that the windows allow, as two dotted lines."""
    windows = found.windows
    assert windows is not None
    edges = np.unique(np.concatenate([[0.0], windows.age_from, windows.age_to]))
    edges = np.append(edges, max(windows.oldest_told, edges[-1]))
    just_after = np.nextafter(edges, np.inf)
    ages = np.unique(np.concatenate([edges, just_after[:-1]]))
    for at, end in enumerate(windows.survival_between(ages)):
        figure.add_trace(
            go.Scatter(x=ages, y=end * 100, mode="lines", legendgroup="windows",
                       name="windows left open (Turnbull)", showlegend=at == 0,
                       line={"color": SLATE, "width": 1.6, "dash": "dot"},
                       hovertemplate="%{y:.0f} % at %{x:,.3g}<extra>windows open</extra>")
        )  # fmt: skip


def _steps(
    figure: go.Figure, x: np.ndarray, middle: np.ndarray, low: np.ndarray, high: np.ndarray,
    last: float, name: str,
) -> None:  # fmt: skip
    """Rising steps from 0 with a shaded range, drawn to the last age watched."""
    if not len(x):
        figure.add_trace(
            go.Scatter(x=[0.0, last], y=[0.0, 0.0], mode="lines", name=f"{name}: none",
                       line={"color": COPPER, "width": 2.2})
        )  # fmt: skip
        return
    known = np.isfinite(low) & np.isfinite(high)
    if known.any():
        ends = np.append(x[known], last)
        least, most = (np.append(part[known], part[known][-1]) for part in (low, high))
        _band(figure, ends, least, most, PLUM_BAND, "90 % range", shape="hv")
    figure.add_trace(
        go.Scatter(x=[0.0, *x, last], y=[0.0, *middle, middle[-1]], mode="lines", name=name,
                   line={"shape": "hv", "color": COPPER, "width": 2.2},
                   hovertemplate="%{y:.2f} at %{x:,.3g}<extra>" + name + "</extra>")
    )  # fmt: skip


def _band(
    figure: go.Figure, x: np.ndarray, low: np.ndarray, high: np.ndarray, colour: str, name: str,
    shape: str = "linear",
) -> None:  # fmt: skip
    """The room between two lines, shaded."""
    for at, end in enumerate((low, high)):
        figure.add_trace(
            go.Scatter(x=x, y=end, mode="lines", hoverinfo="skip", legendgroup=name, name=name,
                       showlegend=at == 1, fill="tonexty" if at else None, fillcolor=colour,
                       line={"color": CLEAR, "width": 0, "shape": shape})
        )  # fmt: skip


def _axes(figure: go.Figure, x: str, y: str, furthest: float) -> None:
    figures._plain(figure, height=400)
    figure.update_xaxes(title=x, range=[0, furthest * 1.02 or 1.0], nticks=8, tickformat=",",
                        showgrid=False)  # fmt: skip
    figure.update_yaxes(title=y, rangemode="tozero")
