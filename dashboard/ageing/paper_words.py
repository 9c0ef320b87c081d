"""What is said of probability paper; no Streamlit and no computation."""

from __future__ import annotations

from analytics.papers.words import count
from analytics.records.kinds import Kind
from dashboard.ageing.paper_answers import OnPaper

PAPERS = {"weibull": "Weibull paper", "lognormal": "Lognormal paper"}

LEAD = (
    "Probability paper is ruled so that wear-out of one form is a straight line. Points along a "
    "straight line speak for that form; a bend or a kink says that another form, or several causes "
    "or lots together, stand behind them."
)
CAPTION = (
    "**Points:** each failure, at the middle between the shares that the records' own curve has "
    "failed just before and just after it (so with all parts failed, (i - 0.5) / n). A bar to "
    "both sides: its age is known to lie in there. **Line and band:** the fitted curve with its "
    "90 % range, of the same mix of parts as was watched at each age; dashed past the oldest age "
    "watched. **Dashed, apart:** the prior alone."
)
LIKELY = (
    "**Dotted:** most likely by the records alone, with no prior and with every failure taken as "
    "wear-out of parts that are all alike."
)
SLOPE = (
    "The steeper the points, the more sharply parts wear out: on Weibull paper with equal rules "
    "the slope is the shape. The ends of the paper are stretched, so the first and the last few "
    "points stray most by chance."
)
BAD_FITS = (
    "The step at young ages is that of bad fits, which show within {days} days; wear-out is the "
    "part after it."
)
NO_POINTS = (
    "No failure has an age here, so there is no point to draw: the line is what is believed, not "
    "what was seen."
)
SHARED = (
    "They stand for {failures}: failures of one age share a point, and so do failures known to "
    "windows that overlap."
)
UNPLACED = "too little is known of the age, or the records' own curve had ended before"
FEW_POINTS = "With {points} no line can be told from another."


def told(drawn: OnPaper, kind: Kind) -> str:
    """How much the paper can say."""
    number = len(drawn.points)
    if not number:
        return NO_POINTS
    youngest, oldest = float(drawn.points["age"].min()), float(drawn.points["age"].max())
    ends = [f"{end:,.0f}" if end >= 100 else f"{end:.3g}" for end in (youngest, oldest)]
    span = f"at {ends[0]}" if number == 1 else f"from {ends[0]} to {ends[1]}"
    said = f"{count(number, 'point')}, {span} {kind.unit}."
    if drawn.failures > number:
        said = f"{said} {SHARED.format(failures=count(drawn.failures, 'failure'))}"
    if drawn.unplaced > 0:
        verb = "has" if drawn.unplaced == 1 else "have"
        said = f"{said} {count(drawn.unplaced, 'more failure')} {verb} no point: {UNPLACED}."
    if number < 3:
        said = f"{said} {FEW_POINTS.format(points=count(number, 'point'))}"
    return " ".join([said, *drawn.told])
