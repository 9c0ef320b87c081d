"""The orders that boats are put in, and the picture of the one that has no ranges; no Streamlit."""

from __future__ import annotations

from collections.abc import Sequence

import pandas as pd
import plotly.graph_objects as go

from analytics.decisions.consequence import by_cost
from dashboard import figures
from dashboard import risk_words as says

BY_END_AXIS = "Chance that a part has failed, or fails, by the season's end, %"
NARROW = "\N{NO-BREAK SPACE}"


def in_order(boats: pd.DataFrame, parts: pd.DataFrame, order: str) -> pd.DataFrame:
    """Boats in one of `risk_words.ORDERS`.

    Parameters
    ----------
    boats, parts : DataFrame
        Of `SeasonRisk`; some of its boats will do.

    Returns
    -------
    DataFrame
        The boats with `end_kind` and `end_position` more: the part that is most likely to
        have failed by the season's end.
    """
    most = parts.sort_values(
        ["boat", "risk_by_end", "kind", "position"], ascending=[True, False, True, True]
    ).drop_duplicates("boat")
    most = most[["boat", "kind", "position"]].rename(
        columns={"kind": "end_kind", "position": "end_position"}
    )
    found = boats.merge(most, on="boat", how="left")
    if order == says.BY_COST:
        return by_cost(found)
    if order == says.BY_SEASONS_END:
        return found.sort_values(
            ["risk_by_end", "boat"], ascending=[False, True], ignore_index=True
        )
    return found


def drawn(highest: pd.DataFrame, labels: Sequence[str], order: str, currency: str) -> go.Figure:
    """The picture of boats in an order; by the season's end as dots without ranges."""
    if order != says.BY_SEASONS_END:
        return figures.boats(highest, labels, by_cost=order == says.BY_COST, currency=currency)
    by_end = highest["risk_by_end"]
    figure = figures.boats(
        highest.assign(risk=by_end, risk_low=by_end, risk_high=by_end),
        labels,
        by_cost=False,
        currency=currency,
    )
    lines, ends, dots, beside = figure.data
    lines.visible, ends.visible = False, False
    dots.hovertemplate = "%{x:.0f} in 100<extra></extra>"
    # Without a bar the number stands beside the dot itself.
    beside.text = [f"{NARROW * 3}{text.strip()}" for text in beside.text]
    figure.update_xaxes(title=BY_END_AXIS)
    return figure
