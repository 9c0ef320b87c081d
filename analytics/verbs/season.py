"""The verb `season`: which boats are at risk."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pandas as pd

from analytics import job
from analytics.decisions.consequence import by_cost
from analytics.outlook.bases import ALL_BASES
from analytics.papers import words
from analytics.papers.season_counts import bridge
from analytics.papers.terminal import Terminal
from analytics.records.reading import folder_files
from analytics.verbs.telling import (
    assumed,
    document,
    headline,
    named,
    rows,
    without_price,
    write,
)

SHOWN_BOATS = 10


def season(folder: Path, out: Path | None, as_json: bool, seed: int, year: int | None) -> int:
    """Which boats are at risk this season."""
    with Terminal(as_json) as terminal:
        fleet = job.open_fleet(folder_files(folder), terminal.progress)
        job.season_of(fleet, year)  # a wrong season is said before the long work
        fitted = job.how_it_ages(fleet, seed, terminal.progress)
        risk = job.boats_at_risk(fleet, fitted, year, seed)
        headline(terminal, fleet)
        low, high = risk.likely_range
        terminal.say(
            f"Season {risk.season.year} ({risk.season.start} to {risk.season.end}): "
            f"{risk.expected:.1f} failures expected among {len(risk.parts)} parts of "
            f"{words.count(len(risk.boats), 'boat')}, likely {low} to {high}.",
            style="bold",
        )
        terminal.say(
            f"Before it, {risk.expected_before:.1f} more may fail or prove worn, "
            f"{risk.expected_hidden:.1f} of them bearings that only a lift shows."
            if risk.expected_hidden >= 0.05
            else f"Before it, {risk.expected_before:.1f} more may fail."
        )
        if len(risk.parts):
            terminal.say(bridge(risk, fleet.records.settings))
        currency = fleet.records.settings.currency
        first_by_cost = set(by_cost(risk.boats)["boat"].head(SHOWN_BOATS))
        if risk.parts.empty:
            terminal.say("No part is in service: there is no boat to rank.", style="bold")
        else:
            terminal.table(
                f"Boats by risk{_first(risk.boats)}",
                _boats_shown(risk.boats, currency, "worst", risk.worst),
                right=["risk", "90 %", "before", "expected cost", f"in first {risk.worst}"],
            )
            terminal.table(
                f"Boats by risk times consequence{_first(risk.boats)}",
                _boats_shown(by_cost(risk.boats), currency, "costliest", risk.worst),
                right=["risk", "90 %", "before", "expected cost", f"in first {risk.worst}"],
            )
            terminal.table(
                "By base: failures, their cost and charter days lost, expected and likely",
                _bases_shown(risk.bases, currency),
                right=["boats", "before", "in season", "after", "cost", "lost days"],
            )
        both = first_by_cost & set(risk.boats["boat"].head(SHOWN_BOATS))
        if len(risk.boats) > SHOWN_BOATS:
            terminal.say(f"{words.count(len(both), 'boat')} in both lists.")
        terminal.say(
            f"In first {risk.worst}: the chance that the boat is truly among the first "
            f"{risk.worst} in that list's order, which is the share of draws of curves, hours and "
            "days of fitting in which she is."
        )
        if unpriced := without_price(risk.parts, fleet):
            terminal.say("Without a price, and not in the cost: " + ", ".join(unpriced))
        if worn := words.likely_worn(risk.parts):
            terminal.say(worn, style="bold")
        for one in fitted.values():
            terminal.say(f"{named(one.kind.label, one.group)}: {words.how_sure(one)}")
        assumed(terminal, fleet, fitted, money_too=True)
        files = {"season.csv": risk.parts, "boats_at_risk.csv": risk.boats, "bases.csv": risk.bases}
        write(terminal, fleet, out, files)
        document(
            fleet,
            as_json,
            {
                "season": {
                    "year": risk.season.year,
                    "start": str(risk.season.start),
                    "end": str(risk.season.end),
                },
                "expected_failures": risk.expected,
                "likely_range": [low, high],
                "expected_before": risk.expected_before,
                "expected_after": risk.expected_after,
                "worst": risk.worst,
                "bases": rows(risk.bases),
                "boats": rows(risk.boats),
                "parts": rows(risk.parts),
            },
        )
    return 0


def _first(boats: pd.DataFrame) -> str:
    return f", the first {SHOWN_BOATS} of {len(boats)}" if len(boats) > SHOWN_BOATS else ""


def _bases_shown(bases: pd.DataFrame, currency: str) -> pd.DataFrame:
    shown: dict[str, Any] = {"base": bases["base"].replace("", "base not known")}
    shown["boats"] = bases["boats"]
    for label, name in (("before", "before"), ("in season", "in_season"), ("after", "after")):
        shown[label] = [
            f"{middle:.1f} ({low} to {high})"
            for middle, low, high in zip(
                bases[f"expected_{name}"],
                bases[f"failures_{name}_low"],
                bases[f"failures_{name}_high"],
                strict=True,
            )
        ]
    shown["cost"] = [
        f"{words.money(cost, currency)} ({low:,.0f} to {high:,.0f})"
        if cost == cost
        else "not known"
        for cost, low, high in zip(
            bases["expected_cost"], bases["cost_low"], bases["cost_high"], strict=True
        )
    ]
    shown["lost days"] = [
        f"{days:.1f} ({low:.0f} to {high:.0f})"
        for days, low, high in zip(
            bases["expected_lost_days"],
            bases["lost_days_low"],
            bases["lost_days_high"],
            strict=True,
        )
    ]
    table = pd.DataFrame(shown)
    # One base is the fleet.
    return table if len(table) > 2 else table[table["base"] == ALL_BASES]


def _boats_shown(boats: pd.DataFrame, currency: str, most: str, worst: int) -> pd.DataFrame:
    first = boats.head(SHOWN_BOATS)
    return pd.DataFrame(
        {
            "boat": first["boat"],
            "base": first["base"],
            "risk": [words.percent(risk) for risk in first["risk"]],
            "90 %": [
                f"{words.percent(low)} to {words.percent(high)}"
                for low, high in zip(first["risk_low"], first["risk_high"], strict=True)
            ],
            "before": [words.percent(risk) for risk in first["risk_before"]],
            "expected cost": [words.money(cost, currency) for cost in first["expected_cost"]],
            "most from": [
                words.part(kind, position)
                for kind, position in zip(
                    first[f"{most}_kind"], first[f"{most}_position"], strict=True
                )
            ],
            "past limit": first["past_limit"],
            f"in first {worst}": [
                words.percent(share) if share == share else "not known"
                for share in first[f"among_{most}"]
            ],
        }
    )
