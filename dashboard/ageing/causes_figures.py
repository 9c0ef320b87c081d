"""Pictures of causes apart; tables in, plotly figures out."""

from __future__ import annotations

import numpy as np
import pandas as pd
import plotly.graph_objects as go

from analytics.ageing.nonparametric.incidence import Incidence
from analytics.records.kinds import Kind
from dashboard import figures
from dashboard.ageing.causes_words import LABELS
from dashboard.figures import CLEAR, COPPER, MOSS, PLUM, PLUM_BAND, SLATE, WATER, WATER_BAND

LINES = {
    "early": (SLATE, "dot"),
    "wear_out": (COPPER, "dash"),
    "accident": (MOSS, "dashdot"),
    "failed": (WATER, "solid"),
    "all": (WATER, "solid"),
}


def rates(table: pd.DataFrame, kind: Kind, *, oldest: float, prior: bool) -> go.Figure:
    """Rate of each cause by age, and all together with the 90 % range."""
    per, unit = (100.0, "a year") if kind.clock == "years" else (100_000.0, "per 1,000 h")
    figure = go.Figure()
    causes = list(dict.fromkeys(table["cause"]))
    whole = causes[-1]
    together = table[table["cause"] == whole]
    colour, band = (PLUM, PLUM_BAND) if prior else (WATER, WATER_BAND)
    for at, end in enumerate(("hazard_low", "hazard_high")):
        figure.add_trace(
            go.Scatter(x=together["age"], y=together[end] * per, mode="lines", hoverinfo="skip",
                       legendgroup="band", name="90 % range", showlegend=at == 1,
                       fill="tonexty" if at else None, fillcolor=band,
                       line={"color": CLEAR, "width": 0})
        )  # fmt: skip
    for cause in causes:
        if cause == "failed":
            continue
        line = table[table["cause"] == cause]
        tone, dash = LINES[cause]
        if cause == whole:
            tone = colour
        seen = line[line["age"] <= oldest]
        # Past the oldest age watched nothing was counted: the line goes on long-dashed and fainter.
        beyond = line[line["age"] >= (seen["age"].iloc[-1] if len(seen) else 0.0)]
        for part, watched in ((seen, True), (beyond, False)):
            if len(part) < 2:
                continue
            name = LABELS[cause]
            line_of = {"color": tone, "dash": dash, "width": 2.6 if cause == whole else 2.0}
            if not watched:
                line_of |= {"dash": "longdash"}
            figure.add_trace(
                go.Scatter(x=part["age"], y=part["hazard"] * per, mode="lines", name=name,
                           legendgroup=cause, showlegend=watched or len(seen) < 2,
                           opacity=1.0 if watched else 0.45, line=line_of,
                           hovertemplate="%{y:.1f}<extra>" + name + "</extra>")
            )  # fmt: skip
    _axes(figure, table, f"Age in {kind.unit}", f"Ends in 100 parts, {unit}")
    near = together[together["age"] <= max(oldest, kind.limit or 0.0)]
    if len(near):
        figure.update_yaxes(range=[0, float(near["hazard_high"].max()) * per * 1.15])
    return figure


def shares(table: pd.DataFrame, own: Incidence | None, kind: Kind) -> go.Figure:
    """Share of new parts that each cause has ended: lines of the fit, steps of the records."""
    figure = go.Figure()
    for cause in dict.fromkeys(table["cause"]):
        if cause == "all":
            continue
        line, (tone, dash), name = table[table["cause"] == cause], LINES[cause], LABELS[cause]
        figure.add_trace(
            go.Scatter(x=line["age"], y=line["share_ended"] * 100, mode="lines", name=name,
                       line={"color": tone, "dash": dash, "width": 2},
                       hovertemplate="%{y:.0f} in 100<extra>" + name + "</extra>")
        )  # fmt: skip
    for cause in () if own is None else own.causes:
        assert own is not None
        tone = LINES[cause][0]
        share = own.share[:, own.causes.index(cause)] * 100
        if not len(share) or not share[-1] > 0:
            continue
        figure.add_trace(
            go.Scatter(x=[0.0, *own.ages, own.oldest], y=[0.0, *share, share[-1]], mode="lines",
                       name=f"{LABELS[cause].split(',')[0]}, counted",
                       line={"color": tone, "shape": "hv", "width": 1.3},
                       hovertemplate="%{y:.0f} in 100<extra>counted</extra>")
        )  # fmt: skip
    _axes(figure, table, f"Age in {kind.unit}", "Ended, of 100 new parts")
    highest = [float(table.loc[table["cause"] != "all", "share_ended"].max())]
    if own is not None and own.share.size:
        highest.append(float(own.share.max()))
    figure.update_yaxes(range=[0, min(max(*highest, 0.05) * 115, 104)])
    return figure


def _axes(figure: go.Figure, table: pd.DataFrame, x: str, y: str) -> None:
    figures._plain(figure, height=400)
    furthest = float(np.max(table["age"]))
    figure.update_xaxes(title=x, range=[0, furthest], nticks=8, tickformat=",", showgrid=False)
    figure.update_yaxes(title=y, rangemode="tozero")
