"""What the section on groups says; no Streamlit and no computation."""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from math import log
from typing import Any

from analytics.ageing.fit import Ageing
from analytics.ageing.groups.fields import ENOUGH_FAILURES
from analytics.ageing.groups.lots import BAD_LOTS, SURE, LotApart
from analytics.ageing.groups.standing_out import SHORTER, StandingOut
from analytics.ageing.summary import Estimate
from analytics.papers.groups import group_sentences, label, together
from analytics.papers.words import count, percent
from dashboard.ageing.groups_answers import GroupsFound
from dashboard.words import plain

HEADING = "Which groups last shorter or longer"
LOTS_HEADING = "Lots tried apart"
REGRESSION_HEADING = "The same by regression, as a check"

ASSOCIATION = (
    "This says what goes together in these records. It does not say why: boats at one base may "
    "also be older, run harder or be looked after by other hands."
)
PICTURE = (
    "How many times as long the parts of each group last as all others of the kind; the line at 1 "
    "is no difference. Point: middle value; bar: likely range (90 %); the axis is logarithmic. A "
    "full point is a group that "
    f"lasts shorter or longer by a tenth or more with a chance of {SURE:.0%}".replace("%", " %")
    + " or more; its form tells what the lives were sorted by."
)
TABLE = (
    "Chances are those of lasting shorter, or longer, by more than a tenth. Factors are drawn "
    "towards 1 by what the other groups of the same sort show, the more so the fewer failures a "
    "group has."
)
LOTS_LEAD = (
    "A lot that wears out in another way, not only sooner, hides how sharply all the others wear "
    f"out. So each lot with {ENOUGH_FAILURES} failures or more is tried with a life and a shape of "
    f"its own. Before the records, {BAD_LOTS:g} such lots are expected among all of a kind "
    "(planning default)."
)
LOTS_TRIAL = (
    "Shapes and factors of this trial are quick: one form of curve, the effects of all other "
    "groups held at their means, and little believed beforehand. Those of the section on curves "
    "are fitted in full, each with its belief, so that the two differ. Trust those; the trial only "
    "tells whether a lot is of another kind of life."
)
REGRESSION_TOGGLE = "Work out the regressions"
REGRESSION_TOGGLE_HELP = "Takes a few seconds: a library for survival regression is opened."
REGRESSION_TABLE = (
    "Factor: by the life factors above. By regression on age: the same without drawing towards 1. "
    "Failure rate: how many times as fast they fail; above 1 where the factor is below 1."
)


def first_sentences(found: StandingOut, fitted: Ageing) -> list[str]:
    """What stands out, the point of each sentence in bold."""
    return [
        f"**{plain(point)}** {plain(rest)}" if point else plain(rest)
        for point, rest in group_sentences(found, fitted)
    ]


def lots_sentences(answer: GroupsFound, group: str) -> list[str]:
    """What trying the lots apart showed."""
    if not answer.looked_at:
        return ["No lot is written down for these lives, so none was tried apart."]
    lots = count(answer.looked_at, "lot")
    if not answer.lots:
        return [
            f"None of the {lots} that these records name has {ENOUGH_FAILURES} failures, or too "
            "little is known of all the others: none was tried apart."
        ]
    tried = count(len(answer.lots), "lot")
    sure = [lot for lot in answer.lots if lot.sure]
    if not sure:
        first = answer.lots[0]
        return [
            f"Of {lots}, {len(answer.lots)} had failures enough to be tried. None has a life of "
            f"its own; the likeliest, {plain(first.lot)}, has a chance of {percent(first.chance)}."
        ]
    said = [_lot(lot, lot.lot in answer.apart, group) for lot in sure]
    said.append(f"Of {lots} that the records name, {tried} had failures enough to be tried.")
    return said


def fitted_in_full(lot: str, own: Ageing, life: Estimate, others: Estimate) -> str:
    """The age by which a tenth has failed, of a lot set apart and of the others, as fitted."""
    unit, digits = own.kind.unit, 1 if own.kind.clock == "years" else 0
    first, second = (
        f"{one.median:,.{digits}f} {unit} ({one.low:,.{digits}f} to {one.high:,.{digits}f})"
        for one in (life, others)
    )
    told = (
        f"By the full fits, as on *Curves*: 10 % have failed by {first} of lot {plain(lot)}, and "
        f"by {second} of the others: {life.median / others.median:.2f} times as long."
    )
    if own.rests_on_prior:
        told += (
            " The lot's own figure is what was believed before the records: they say too little."
        )
    return told


def table_rows(found: StandingOut) -> dict[str, list[Any]]:
    """The table of groups as texts and numbers, by the heading of each column."""
    rows = found.table.to_dict("records")
    return {
        "Sorted by": [label(row["field"]).capitalize() for row in rows],
        "Group": [str(row["level"]) for row in rows],
        "Lives": [row["lives"] for row in rows],
        "Failures": [row["failures"] for row in rows],
        "Times as long": [row["factor"] for row in rows],
        "Likely from": [row["factor_low"] for row in rows],
        "to": [row["factor_high"] for row in rows],
        "Chance shorter": [row["chance_shorter"] for row in rows],
        "Chance longer": [row["chance_longer"] for row in rows],
        "Cannot be told from": [together(row) for row in rows],
    }


def chance(share: float) -> str:
    """A chance counted from draws: none of them is not never, and all is not always."""
    return percent(min(max(share, 1e-3), 1.0))


def lots_rows(lots: tuple[LotApart, ...]) -> dict[str, list[Any]]:
    """The lots tried, by the heading of each column."""
    return {
        "Lot": [lot.lot for lot in lots],
        "Lives": [lot.lives for lot in lots],
        "Failures": [lot.failures for lot in lots],
        "Chance of a life of its own": [percent(lot.chance) for lot in lots],
        "Times as long as the others": [
            f"{lot.factor:.2f} ({lot.factor_low:.2f} to {lot.factor_high:.2f})" for lot in lots
        ],
        "Its shape": [
            f"{lot.shape:.1f} ({lot.shape_low:.1f} to {lot.shape_high:.1f})" for lot in lots
        ],
        "Shape of the others without it": [f"{lot.shape_of_others:.1f}" for lot in lots],
        "with it": [f"{lot.shape_with_it:.1f}" for lot in lots],
    }


def regression_rows(rows: list[dict[Hashable, Any]]) -> dict[str, list[str]]:
    """The regressions, by the heading of each column."""
    return {
        "Group": [f"{label(row['field']).capitalize()}: {row['level']}" for row in rows],
        "Life factor": [_range(row, "factor") for row in rows],
        "By regression on age": [_range(row, "accelerated") for row in rows],
        "Failure rate, times": [_range(row, "rate_ratio") for row in rows],
        "Same way?": [_yes(row["same_way"]) for row in rows],
        "Ranges overlap?": [_yes(row["overlap"]) for row in rows],
    }


def _yes(known: bool | None) -> str:
    return "" if known is None else "yes" if known else "no"


def more_than_drawn(drawn: int, of: int) -> str:
    """That the picture shows some of the groups only."""
    return f"Drawn: {drawn} of the {of} rows of the table, those that differ most surely."


def _range(row: Mapping[Hashable, Any], name: str) -> str:
    if row[name] != row[name]:
        return "no answer"
    return f"{row[name]:.2f} ({row[f'{name}_low']:.2f} to {row[f'{name}_high']:.2f})"


def _lot(lot: LotApart, apart: bool, group: str) -> str:
    hides = abs(log(lot.shape_of_others / lot.shape_with_it)) > -log(SHORTER)
    shape = (
        f" In this trial the shape without it is {lot.shape_of_others:.1f}, with it "
        f"{lot.shape_with_it:.1f}: "
        + (
            "counted together, the lot hides how sharply the rest wears out."
            if lot.shape_of_others > lot.shape_with_it
            else "counted together, the lot makes the rest look as if it wore out more sharply."
        )
        if hides
        else f" The shape of the others is {lot.shape_of_others:.1f} in this trial, with or "
        "without it."
    )
    where = (
        " It has a curve of its own; choose it above under *Kind of part*."
        if apart and group == "all"
        else " This is its own curve."
        if group == f"lot {lot.lot}"
        else " It is counted with the others here."
        if not apart
        else " It has a curve of its own."
    )
    return (
        f"**Lot {plain(lot.lot)} has a life of its own** (chance {percent(lot.chance)}): its parts "
        f"last {lot.factor:.2f} times as long as the others, likely between {lot.factor_low:.2f} "
        f"and {lot.factor_high:.2f} ({count(lot.lives, 'life', 'lives')}, "
        f"{count(lot.failures, 'failure')}).{shape}{where} This goes together with the lot; "
        "whether the lot is the cause is not known."
    )
