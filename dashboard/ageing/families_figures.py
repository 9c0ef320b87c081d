"""The figure of the section on wear-out families."""

from __future__ import annotations

import numpy as np
import pandas as pd
import plotly.graph_objects as go

from analytics.ageing.summary import CONSTANT
from analytics.records.kinds import Kind
from dashboard.ageing.families_words import LABELS
from dashboard.figures import COPPER, FONT, GRID, PLUM, SLATE, WATER

_LINES = {"weibull": (WATER, "solid"), "lognormal": (PLUM, "dash"), CONSTANT: (SLATE, "dot")}


def families(
    curves: pd.DataFrame, records: pd.DataFrame, kind: Kind, *, youngest: float, furthest: float
) -> go.Figure:
    """Share still sound by age under each family, beside the records' own steps.

    Parameters
    ----------
    curves : DataFrame
        From `family_curves.curves_by_family`.
    records : DataFrame
        From `kaplan_meier`.
    youngest : float
        Age from which on lives were watched.
    furthest : float
        Where the age axis ends.
    """
    figure = go.Figure()
    for name, curve in curves.groupby("family", sort=False):
        colour, dash = _LINES[str(name)]
        figure.add_trace(
            go.Scatter(
                x=curve["age"], y=curve["survival"] * 100, mode="lines", name=LABELS[str(name)],
                line={"color": colour, "dash": dash, "width": 2.2},
                customdata=np.column_stack([curve["survival_low"], curve["survival_high"]]) * 100,
                hovertemplate="%{y:.0f} % (%{customdata[0]:.0f} to %{customdata[1]:.0f})"
                              f"<extra>{LABELS[str(name)]}</extra>",
            )
        )  # fmt: skip
    if not records.empty:
        figure.add_trace(
            go.Scatter(
                x=[youngest, *records["age"]], y=[100.0, *(records["survival"] * 100)],
                mode="lines", name="records alone (steps)",
                line={"shape": "hv", "color": COPPER, "width": 1.8},
                hovertemplate="%{y:.0f} %<extra>records alone</extra>",
            )
        )  # fmt: skip
    figure.update_layout(
        height=420,
        margin={"l": 10, "r": 10, "t": 10, "b": 10},
        font={"size": FONT},
        hovermode="x unified",
        legend={"orientation": "h", "y": 1.02, "yanchor": "bottom", "x": 0},
        plot_bgcolor="rgba(0,0,0,0)",
        paper_bgcolor="rgba(0,0,0,0)",
    )
    figure.update_xaxes(title=f"Age in {kind.unit}", range=[0, furthest], gridcolor=GRID)
    figure.update_yaxes(title="Still sound, %", range=[0, 104], gridcolor=GRID)
    return figure
