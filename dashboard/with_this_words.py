"""What the page of boats says of "with this, the risk becomes"; no Streamlit."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

import pandas as pd

from analytics.decisions.what_changes import FITTED, RENEWED, RENEWED_ALL, STANDS, TODAY
from analytics.outlook.with_this import Change, Dated, Passed
from analytics.papers.words import count, money, percent, place
from analytics.records.kinds import Kind
from analytics.records.settings import Settings
from dashboard.words import day, plain

TITLE = "With this, the risk becomes"

NOTHING, DATE, PASSED, RENEW = (
    "nothing else",
    "when it was fitted is found out",
    "it is looked at and sound",
    "it is renewed",
)
CHOICES = (NOTHING, DATE, PASSED, RENEW)
"""What else may be asked about."""

READING = (
    "In the season: the chance that it fails then. By the end: that it has failed already, or "
    "fails by the season's end. An inspection that it passes takes away the chance that it had "
    "failed already, so the figure by the end falls; as only a sound part can still fail in the "
    "season, the season's own figure may rise a little for that. It clears nothing for use."
)
HOW = "How these lines are worked out"
RENEWAL = (
    "Renewed: the new part is of no lot that is known, starts at age nought and may be a bad fit; "
    "until the lift the old one stays in place. Its chance of failing before then is in the figure "
    "by the end, and the new part counts where the old one has lasted. Lost days and cost: those "
    "expected of the whole boat's failures in the season. Planned work: part and labour, each job "
    "as if done alone. "
)
THE_SAME_CURVES = (
    "Every line is worked out by the same curves and draws as the pages; the curves themselves "
    "are left as they are."
)
SEEN_AT_ONCE = (
    "A failure of this kind is seen at once, so it counts as sound up to the end of the records: "
    "to find it sound today would say nothing more."
)


def case(row: Mapping[str, object], lift: date) -> str:
    """What is found or done in one row of `what_changes.cases_table`."""
    name, on, until = str(row["case"]), row["on"], row["until"]
    if name == STANDS:
        return STANDS
    assert isinstance(on, pd.Timestamp)
    first = on.date()
    if name == FITTED:
        assert isinstance(until, pd.Timestamp)
        return f"fitted {_window(first, until.date())}"
    if name == RENEWED_ALL:
        others = int(str(row["renewed"])) - 1
        return f"renewed {day(first)}, and {count(others, 'other part')} past the limit"
    at = "at the lift" if first == lift else ""
    done = "renewed" if name == RENEWED else "sound"
    return " ".join(one for one in (done, at, _on(first)) if one)


def _window(first: date, last: date) -> str:
    if first == last:
        return _on(first)
    if first.year == last.year:
        whole = (first.month, first.day, last.month, last.day) == (1, 1, 12, 31)
        part = "" if whole else f" ({first.day} {first:%b} to {last.day} {last:%b})"
        return f"in {first.year}{part}"
    return f"from {day(first)} to {day(last)}"


def _on(when: date) -> str:
    return f"on {when.day} {when:%b %Y}"


def lead(table: pd.DataFrame, kind: Kind, lift: date) -> str:
    """What helps most: the part and the boat as they stand, and after a renewal."""
    stands = table[table["case"] == STANDS].iloc[0]
    said = (
        f"**{_capital(plain(place(kind.label, str(stands['position']))))}**: "
        f"{percent(stands['part_risk'])} in the season as things stand, the boat "
        f"{percent(stands['boat_risk'])}."
    )
    renewed = table[table["case"] == RENEWED]
    if len(renewed):
        after = renewed.iloc[0]
        less = stands["part_risk"] > after["part_risk"]
        said += (
            f" Renewed on {day(lift)}, the part has {percent(after['part_risk'])} and the boat "
            f"{percent(after['boat_risk'])}."
        )
        if not less:
            said += " A new part is not less likely to fail in this season: renewing gains nothing."
    dated = table[table["case"] == FITTED]
    if len(dated) > 1:
        low, high = dated["part_risk"].min(), dated["part_risk"].max()
        said += (
            f" By the year in which it turns out to have been fitted, {percent(low)} to "
            f"{percent(high)}."
        )
    return said


def money_said(table: pd.DataFrame, settings: Settings) -> str:
    """What a renewal costs beside what it takes off the expected cost of the season."""
    stands = table[table["case"] == STANDS].iloc[0]
    renewed = table[table["case"] == RENEWED]
    if (
        renewed.empty
        or pd.isna(stands["expected_cost"])
        or pd.isna(renewed["planned_cost"].iloc[0])
    ):
        return ""
    after = renewed.iloc[0]
    saved, days = (
        float(stands[name] - after[name]) for name in ("expected_cost", "expected_lost_days")
    )
    planned = money(after["planned_cost"], settings.currency)
    if saved < 0.5:
        return f"The renewal costs {planned} and takes nothing off this season's expected cost."
    lost = f" and {days:.1f} charter days" if days >= 0.05 else ""
    return (
        f"The renewal costs {planned} as planned work; it takes "
        f"{money(saved, settings.currency)}{lost} off what this season's failures are expected to "
        "cost. That is one season's side of it: see When to replace for the years together."
    )


def how(table: pd.DataFrame) -> str:
    """What stands behind the lines of the table."""
    cases = set(table["case"])
    told = [SEEN_AT_ONCE] if TODAY not in cases else []
    told += [RENEWAL] if cases & {RENEWED, RENEWED_ALL} else []
    return "\n".join(f"- {one.strip()}" for one in [*told, THE_SAME_CURVES])


def change(what: Change) -> str:
    """A change of the asker's own."""
    if isinstance(what, Dated):
        return f"fitted {_window(what.first, what.last)}"
    return f"{'sound' if isinstance(what, Passed) else 'renewed'} {_on(what.on)}"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
