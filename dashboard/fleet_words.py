"""What the pages say of the whole fleet's season: bases, money, who is truly among the worst."""

from __future__ import annotations

from datetime import date

import pandas as pd

from analytics.outlook.season import SeasonRisk
from analytics.papers.words import money, percent
from analytics.records.settings import Settings
from dashboard.words import day, plain

SURE = 0.9
"""Chance from which a boat is said to be surely among the worst (planning default)."""

SOUND_WHEN_SEEN = (
    "Every risk is that of a part known to have been sound when it was last seen: that it has "
    "lasted until then is counted, and only what comes after can fail."
)
BASES_READING = (
    "Expected numbers, and in brackets what is likely (90 %): what is not known of the curves, and "
    "luck, together. Before: those not yet seen among them. After: from the "
    "season's end to the next one's start, if nothing is renewed. Ranges of bases do not add up to "
    "that of the fleet."
)


def among(ordered: pd.DataFrame, n: int, *, costly: bool) -> str:
    """How many of the boats that stand highest are truly there, whatever their estimate.

    Parameters
    ----------
    ordered : DataFrame
        All boats of the fleet in this order.
    n : int
        How many "the worst" are.
    """
    column = "among_costliest" if costly else "among_worst"
    known = ordered[ordered[column].notna()]
    if len(known) <= n:
        return ""
    share, name = known[column].to_numpy(dtype=float), [plain(boat) for boat in known["boat"]]
    sure = int((share[:n] >= SURE).sum())
    least, nearest = int(share[:n].argmin()), n + int(share[n:].argmax())
    what = f"the {n} {'costliest' if costly else 'worst'}"
    if n == 1:
        return (
            f"**{name[0]}** is truly the first with a chance of {percent(share[0])}; next comes "
            f"**{name[nearest]}** with {percent(share[nearest])}."
        )
    number = f"{sure} {'is' if sure == 1 else 'are'}" if sure else "none is"
    return (
        f"Of the {n} boats that stand highest {number} truly among {what} with a chance of "
        f"{percent(SURE)} or more; the least sure is **{name[least]}**, {percent(share[least])}. "
        f"Nearest behind them: **{name[nearest]}**, {percent(share[nearest])}."
    )


def among_reading(n: int, *, costly: bool) -> str:
    """What the column of the chance of being among the worst is."""
    by = "risk times consequence" if costly else "risk"
    return (
        f"In worst: the chance that the boat is truly among the {n} of the fleet with the "
        f"highest {by}. Curves, hours and days of fitting are drawn a thousand times, and it is "
        "the share of draws in which she is."
    )


def lost(risk: SeasonRisk, currency: str, *, priced: bool = True) -> str:
    """What the season's failures are expected to cost the fleet, and the charter days lost.

    Parameters
    ----------
    priced : bool
        Whether any part has a price; without one parts and their labour are in no cost.
    """
    row = risk.bases.iloc[-1]
    days = float(row["expected_lost_days"])
    said = f"{days:,.0f}" if days >= 3 else f"{days:.1f}"
    said += f" charter days (likely {row['lost_days_low']:,.0f} to {row['lost_days_high']:,.0f})"
    if pd.isna(row["expected_cost"]):
        return f"The season's failures are expected to cost {said}."
    without = "" if priced else ", without parts and their labour, which have no price,"
    return (
        f"The season's failures are expected to cost{without} "
        f"{money(row['expected_cost'], currency)} (likely {row['cost_low']:,.0f} to "
        f"{row['cost_high']:,.0f}), with {said} lost."
    )


def damage(settings: Settings, parts: pd.DataFrame) -> str:
    """What water in the boat would cost, where somebody has said so; in no average."""
    kinds = [settings.kind(name) for name in sorted(parts["kind"].unique())]
    stated = [kind for kind in kinds if kind.damage is not None and kind.can_flood]
    if not stated:
        return ""
    listed = "; ".join(
        f"{plain(kind.label).lower()} {money(kind.damage or 0.0, settings.currency)}"
        for kind in stated
    )
    return (
        f"If a failure let water in and the boat were damaged: {listed}. That is a case of its "
        "own, stated in fleet.toml, and in no average shown here."
    )


def sound(row: pd.Series, as_of: date) -> str:
    """From when on a part's risk counts, because it is known to have been sound then."""
    last = row["sound_on"].date()
    if last >= as_of:
        return (
            f"No failure was recorded up to {day(last)}, so it counts as sound then, and its risk "
            "begins there."
        )
    if row["start_hi"].date() >= last:
        return "Nobody has seen it since it was fitted, so its risk begins there."
    return f"It was last known sound on {day(last)}, so its risk begins there."
