"""The picture of spares and orders: what to order in which month."""

from __future__ import annotations

from datetime import date

import pandas as pd
import plotly.graph_objects as go

from analytics.decisions.stock_orders import FOR_LIFT, FOR_NEXT_LIFT, FOR_SHELF
from dashboard.figures import CLEAR, COPPER, FONT, GRID, SLATE, WATER

_USES = ((FOR_LIFT, WATER, ""), (FOR_SHELF, COPPER, "/"), (FOR_NEXT_LIFT, SLATE, "."))

NO_LEAD = "no lead time"


def order_months(months: pd.DataFrame, currency: str, *, priced: bool) -> go.Figure:
    """Stacked bars: money, or parts where nothing is priced, by the month to order in.

    Parameters
    ----------
    months : DataFrame
        From `stock_orders.order_months`.
    """
    column, unit = ("cost", currency) if priced else ("parts", "parts")
    named = [_name(month) for month in months["month"]]
    order = list(dict.fromkeys(named))
    figure = go.Figure()
    for use, colour, pattern in _USES:
        mine = months["use"] == use
        if not mine.any():
            continue
        heights = pd.Series(months.loc[mine, column].to_numpy(), index=_of(named, mine))
        figure.add_trace(
            go.Bar(x=order, y=heights.reindex(order, fill_value=0), name=use,
                   marker={"color": colour, "opacity": 0.85,
                           "pattern": {"shape": pattern, "fgcolor": "rgba(255,255,255,0.55)",
                                       "size": 8, "solidity": 0.25, "fillmode": "overlay"}},
                   hovertemplate=f"%{{x}}: %{{y:,.0f}} {unit}<extra>{use}</extra>")
        )  # fmt: skip
    figure.update_layout(
        height=300, margin={"l": 8, "r": 12, "t": 8, "b": 8}, barmode="stack", bargap=0.4,
        paper_bgcolor=CLEAR, plot_bgcolor=CLEAR, dragmode=False,
        legend={"orientation": "h", "yanchor": "bottom", "y": 1.02, "x": 0.0,
                "traceorder": "normal", "font": {"size": FONT}},
    )  # fmt: skip
    axes = {"fixedrange": True, "gridcolor": GRID, "automargin": True, "tickfont": {"size": FONT}}
    figure.update_xaxes(**axes, title="Month to order in", type="category", showgrid=False)
    title = f"Parts to order, {currency}" if priced else "Parts to order"
    figure.update_yaxes(**axes, title=title, rangemode="tozero", tickformat=",")
    return figure


def _name(month: date | None) -> str:
    return f"{month:%b} {month.year}" if isinstance(month, date) else NO_LEAD


def _of(names: list[str], mine: pd.Series) -> list[str]:
    return [name for name, chosen in zip(names, mine, strict=True) if chosen]
