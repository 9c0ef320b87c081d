"""The picture of the haul-out plan: weeks and slots, a mark for each boat; no Streamlit."""

from __future__ import annotations

from html import escape

import pandas as pd
import plotly.graph_objects as go
from plotly.subplots import make_subplots

from analytics.papers.words import count
from dashboard.figures import CLEAR, COPPER, GRID, MOSS, PLUM, SLATE, WATER

PER_ROW = 8
"""Weeks side by side: more, and the names would not fit."""

LONGEST = 19
"""Letters of a name that fit into a week."""

ROOMY = 8
"""Slots a week up to which a boat has two lines."""

_MARKS = {
    "jobs that pay": ("circle", WATER),
    "a rule asks for a job": ("diamond", COPPER),
    "week promised or pinned": ("square", PLUM),
    "no job": ("circle-open", SLATE),
    "free slot": ("line-ew-open", MOSS),
}
_CLOSED = "closed"


def calendar(weeks: pd.DataFrame, boats: pd.DataFrame) -> go.Figure:
    """Weeks along, slots down, one mark a boat with her name and her number of jobs.

    Parameters
    ----------
    weeks, boats : DataFrame
        From `papers.yard_tables`.
    """
    panels = max(1, -(-len(weeks) // PER_ROW))
    tallest = [_tallest(weeks.iloc[at * PER_ROW : (at + 1) * PER_ROW]) for at in range(panels)]
    each = 40 if max(tallest) <= ROOMY else 22
    figure = make_subplots(
        rows=panels, cols=1, row_heights=tallest, vertical_spacing=_spacing(panels, tallest, each)
    )
    marks = _marks(weeks, boats, two_lines=each == 40)
    for name, (symbol, colour) in {**_MARKS, _CLOSED: ("circle", CLEAR)}.items():
        look = {"symbol": symbol, "color": colour, "size": 11}
        look["line"] = {"width": 2, "color": colour}
        for panel in range(panels):
            some = marks[(marks["mark"] == name) & (marks["panel"] == panel)]
            if some.empty:
                continue
            figure.add_trace(
                go.Scatter(
                    x=some["x"], y=some["y"], text=some["text"], customdata=some["hover"],
                    mode="markers+text", textposition="middle right", cliponaxis=False,
                    textfont={"size": 12}, name=name, showlegend=False,
                    marker=look, hovertemplate="%{customdata}<extra></extra>",
                ),
                row=panel + 1, col=1,
            )  # fmt: skip
        if name != _CLOSED and (marks["mark"] == name).any():
            # A legend of its own, whichever panel holds the mark.
            figure.add_trace(
                go.Scatter(x=[None], y=[None], mode="markers", name=name, marker=look),
                row=1, col=1,
            )  # fmt: skip
    for panel in range(panels):
        some = weeks.iloc[panel * PER_ROW : (panel + 1) * PER_ROW]
        _axes(figure, panel, some, tallest[panel])
    figure.update_layout(
        height=84 + (panels - 1) * 56 + each * sum(tallest),
        margin={"l": 8, "r": 8, "t": 68, "b": 8},
        paper_bgcolor=CLEAR, plot_bgcolor=CLEAR, dragmode=False,
        legend={"orientation": "h", "yanchor": "top", "yref": "container",
                "y": 0.99, "x": 0.0, "itemclick": False, "itemdoubleclick": False,
                "font": {"size": 13}},
    )  # fmt: skip
    return figure


def _tallest(weeks: pd.DataFrame) -> int:
    """Slots that are drawn: those taken, and one that is free where there are more."""
    drawn = [min(int(row["slots"]), int(row["slots_used"]) + 1) for _, row in weeks.iterrows()]
    return max([*drawn, 1])


def _spacing(panels: int, tallest: list[int], each: int) -> float:
    if panels == 1:
        return 0.0
    whole = each * sum(tallest) + 56 * (panels - 1)
    return min(56 / whole, 0.9 / (panels - 1))


def _marks(weeks: pd.DataFrame, boats: pd.DataFrame, *, two_lines: bool) -> pd.DataFrame:
    rows = []
    lifted = boats[boats["week"].notna()]
    by_week = dict(list(lifted.groupby("week", sort=True)))
    for at, (_, week) in enumerate(weeks.iterrows()):
        panel, column = divmod(at, PER_ROW)
        place = {"panel": panel, "x": column - 0.44}
        here = by_week.get(week["week"], boats.iloc[:0])
        for slot, (_, boat) in enumerate(here.iterrows(), 1):
            rows.append(
                {**place, "y": slot, "mark": _mark(boat), "text": _text(boat, two_lines),
                 "hover": _hover(boat)}
            )  # fmt: skip
        if not week["slots"]:
            note = escape(_short(str(week["note"]) or "closed"))
            rows.append({**place, "y": 1, "mark": _CLOSED, "text": note, "hover": note})
        elif len(here) < week["slots"]:
            free = count(int(week["slots"]) - len(here), "slot")
            rows.append(
                {**place, "y": len(here) + 1, "mark": "free slot", "text": f"\u2002{free} free",
                 "hover": f"{free} free"}
            )  # fmt: skip
    return pd.DataFrame(rows, columns=["panel", "x", "y", "mark", "text", "hover"])


def _mark(boat: pd.Series) -> str:
    if boat["fixed"]:
        return "week promised or pinned"
    if boat["must"]:
        return "a rule asks for a job"
    return "jobs that pay" if boat["jobs"] else "no job"


def _text(boat: pd.Series, two_lines: bool) -> str:
    name, jobs = escape(_short(str(boat["boat"]))), int(boat["jobs"])
    if not two_lines:
        return f"{escape(_short(str(boat['boat']), LONGEST - 3))} {jobs}"
    must = f", {boat['must']} must" if boat["must"] else ""
    return f"{name}<br>{count(jobs, 'job') if jobs else 'no job'}{must}"


def _hover(boat: pd.Series) -> str:
    jobs = escape(str(boat["job_names"])) or "no job"
    fixed = f", {boat['fixed']}" if boat["fixed"] else ""
    return (
        f"{escape(str(boat['boat'])[:80])}{fixed}<br>{jobs.replace('; ', '<br>')}<br>"
        f"{boat['hours']:g} hours, launch from {boat['launch']}"
    )


def _short(text: str, most: int = LONGEST) -> str:
    return text if len(text) <= most else text[: most - 1].rstrip() + "…"


def _axes(figure: go.Figure, panel: int, weeks: pd.DataFrame, tallest: int) -> None:
    labels = [f"{day.day} {day:%b}" + (f" {day.year}" if at == 0 else "")
              for at, day in enumerate(weeks["week"])]  # fmt: skip
    figure.update_xaxes(
        range=[-0.5, PER_ROW - 0.5], tickvals=list(range(len(weeks))), ticktext=labels,
        tickfont={"size": 13}, showgrid=False, fixedrange=True, zeroline=False, side="top",
        row=panel + 1, col=1,
    )  # fmt: skip
    figure.update_yaxes(
        range=[tallest + 0.5, 0.5], tickvals=list(range(1, tallest + 1)), fixedrange=True,
        title={"text": "Slot", "font": {"size": 12}}, tickfont={"size": 12}, showgrid=False,
        zeroline=False, row=panel + 1, col=1,
    )  # fmt: skip
    for edge in range(PER_ROW + 1):
        figure.add_shape(
            type="line", x0=edge - 0.5, x1=edge - 0.5, y0=0.5, y1=tallest + 0.5,
            line={"color": GRID, "width": 1}, row=panel + 1, col=1,
        )  # fmt: skip
