"""What is said of the records' own curves; no Streamlit and no computation of curves."""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from typing import Any

import numpy as np
import pandas as pd

from analytics.ageing.fit import Ageing
from analytics.ageing.nonparametric.counted import FEW_WATCHED, Counted
from analytics.ageing.nonparametric.recurrence import MeanNumber
from analytics.ageing.nonparametric.turnbull import Turnbull
from analytics.papers.words import count, percent
from analytics.records.kinds import Kind
from analytics.usage import DAYS_PER_YEAR

LEAD = (
    "Counted, not fitted: no form of curve is assumed, no prior is used. Each life counts only "
    "while it was watched."
)
SURVIVAL_CAPTION = (
    "**Steps:** share still sound by age (Kaplan-Meier; a failure known to a window is put at the "
    "middle of it). **Dotted:** the same with every window left open (Turnbull); where two dotted "
    "lines run side by side, the records leave open which is right. **Dashed:** the fitted curve, "
    "of the same mix of parts as was watched at each age."
)
BAND_CAPTION = (
    "The shaded band is the rough 90 % range of the dotted line, from drawing the lives anew: it "
    "holds age by age, and is too narrow where few were watched."
)
RATE_CAPTION = (
    "Failures over parts watched, added up from age to age (Nelson-Aalen), with its 90 % range. A "
    "straight line would mean that age tells nothing; a line that bends upward means wear-out."
)
REPLACEMENTS_CAPTION = (
    "Renewals of a position, for whatever reason, by the years for which it was watched, with a "
    "90 % range. The parts of one position need not be alike and no model stands behind it."
)
REPLACEMENTS_OF_SOME = (
    "Only the lives chosen count here, so a position whose other parts are of another sort has "
    "gaps."
)
EXPECTED_CAPTION = (
    "Failures at each stretch of age beside the number that the fitted curve expects of the same "
    "lives, in the time for which they were watched. In brackets: between which numbers those "
    "seen should lie, nine times in ten. The brackets are narrower than chance alone would have "
    "them, for two reasons: a failure known to a window is shared out over it by the fitted curve, "
    "and the curve was fitted to these very failures."
)
SHORT_SPAN = 0.3
"""Years below which a time is said in days."""

NO_LIVES = (
    "None of these lives has an age that can be counted: their days of fitting are not known. "
    "Write down when parts are fitted, and this section fills."
)
NO_FAILURES = (
    "No failure among these lives, so the records' own curve stays at 100 %. It has no range: "
    "nothing can be counted of what has not happened."
)


def age(value: float, kind: Kind) -> str:
    """An age with its unit: "8.4 years", "1,240 shaft hours"."""
    return f"{value:,.1f} {kind.unit}" if kind.clock == "years" else f"{value:,.0f} {kind.unit}"


def survival(fitted: Ageing, found: Counted) -> str:
    """How long parts lasted, by counting."""
    curve, kind = found.kaplan_meier, fitted.kind
    if curve.empty:
        return NO_LIVES
    if not curve["failed"].sum():
        return NO_FAILURES
    reliable = curve[curve["age"] <= found.furthest]
    if reliable.empty:
        return (
            f"At no age were {FEW_WATCHED} of these lives watched together: read nothing out of "
            "the steps."
        )
    half = _first_below(reliable, "survival", 0.5)
    if half is not None:
        earliest, latest = _first_below(curve, "low", 0.5), _first_below(curve, "high", 0.5)
        least = f"{age(earliest, kind)}" if earliest is not None else "not known"
        most = f"to {age(latest, kind)}" if latest is not None else "upward, no upper end"
        return (
            f"**Half of the parts had failed by {age(half, kind)}** (90 % range: {least} {most}), "
            "by counting alone."
        )
    last = reliable.iloc[-1]
    limits = ""
    if np.isfinite(last["low"]) and np.isfinite(last["high"]):
        limits = f" (90 % range: {percent(last['low'])} to {percent(last['high'])})"
    return (
        f"**{percent(last['survival'])} were still sound at {age(last['age'], kind)}**{limits}, "
        f"the oldest age at which {FEW_WATCHED} lives or more were watched."
    )


def _first_below(curve: pd.DataFrame, column: str, level: float) -> float | None:
    # Half of eight is half, whatever the last bit of a product of shares says.
    below = curve[curve[column] <= level + 1e-9]
    return None if below.empty else float(below["age"].iloc[0])


def windows(found: Counted) -> str:
    """How many failures are known to a window only, and what else a reader must know."""
    told = list(found.windows.told()) if found.windows else []
    if found.windowed:
        verb = "is" if found.windowed == 1 else "are"
        told.insert(
            0,
            f"{count(found.windowed, 'failure')} {verb} known only to lie between two ages.",
        )
    return " ".join(told)


def replacements(found: MeanNumber) -> str:
    """How often a position was renewed."""
    left = ""
    if found.unwatched:
        verb = "was" if found.unwatched == 1 else "were"
        left = (
            f" {count(found.unwatched, 'renewal')} {verb} left out: nobody watched the position "
            "then, or no longer than that day."
        )
    if not len(found.times):
        return f"No position had a renewal while it was watched.{left}"
    at = float(found.times[-1])
    for years in (10.0, 5.0, 3.0, 1.0):
        if years <= found.longest and found.times[0] <= years:
            at = years
            break
    row = found.at([at]).iloc[0]
    mean, low, high = (row[f"replacements_per_position{end}"] for end in ("", "_low", "_high"))
    limits = f" (90 % range: {low:.2g} to {high:.2g})" if np.isfinite([low, high]).all() else ""
    span = _span(at)
    number = f"{mean:.2g} {'renewal' if f'{mean:.2g}' == '1' else 'renewals'}"
    return (
        f"**A position had {number} in its first {span} watched**{limits}; "
        f"{count(found.positions, 'position')} counted.{left}"
    )


def _span(years: float) -> str:
    """A time watched: "year", "5 years", and in days where it is shorter than a few months."""
    if years == 1:
        return "year"
    if years >= SHORT_SPAN:
        return f"{years:.3g} years"
    days = max(round(years * DAYS_PER_YEAR), 1)
    return "day" if days == 1 else f"{days} days"


def turnbull_name(found: Turnbull) -> str:
    """Name of the dotted line."""
    return "windows left open" if found.failures else "windows left open (no failure)"


def expected_shown(table: pd.DataFrame, kind: Kind) -> pd.DataFrame:
    """Failures seen and expected, as texts."""
    ages, counts, expected = [], [], []
    for row in table.to_dict("records"):
        ages.append(_stretch(row, kind))
        counts.append(f"{row['seen']:,.1f}".removesuffix(".0"))
        low, high = _bracket(row)
        expected.append(f"{row['expected']:,.1f} ({low:,} to {high:,})")
    return pd.DataFrame({"Age": ages, "Failed": counts, "Expected by the fitted curve": expected})


def seen_and_expected(table: pd.DataFrame, kind: Kind, *, parted: bool) -> str:
    """Whether the fitted curve fits, and at which ages it does not.

    Parameters
    ----------
    table : DataFrame
        From `expected_failures.Stretches.table`.
    parted : bool
        Whether all stretches together differ by more than chance would have them.
    """
    outside = [row for row in table.to_dict("records") if _outside(row)]
    where = "; ".join(_stretch(row, kind) for row in outside)
    if parted:
        at = f"see {where}" if where else "though no stretch alone shows it"
        return f"**The fitted curve does not fit these failures:** {at}."
    if not outside:
        return "**The fitted curve fits:** at no age do the failures seen leave the brackets."
    verb = "lies outside its bracket" if len(outside) == 1 else "lie outside their brackets"
    return (
        f"**The fitted curve fits, all ages together:** {len(outside)} of "
        f"{count(len(table), 'stretch', 'stretches')} of age {verb} ({where}), no more than luck "
        "would show now and then."
    )


def _stretch(row: Mapping[Hashable, Any], kind: Kind) -> str:
    since, until = float(row["age_from"]), float(row["age_to"])
    if not np.isfinite(until):
        return f"{age(since, kind)} and later" if since else "all ages"
    span = f"{since:,.3g} to" if kind.clock == "years" else f"{since:,.0f} to"
    return f"{span if since else 'up to'} {age(until, kind)}"


def _bracket(row: Mapping[Hashable, Any]) -> tuple[int, int]:
    """Limits as shown, in whole failures."""
    return max(round(row["expected_low"]), 0), round(row["expected_high"])


def _outside(row: Mapping[Hashable, Any]) -> bool:
    """Whether what is shown as seen lies outside what is shown in the bracket."""
    low, high = _bracket(row)
    return not low <= round(row["seen"], 1) <= high
