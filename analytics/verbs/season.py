"""The verb `season`: which boats are at risk."""

from __future__ import annotations

from pathlib import Path

import pandas as pd

from analytics import job
from analytics.decisions.consequence import by_cost
from analytics.papers import words
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
        currency = fleet.records.settings.currency
        first_by_cost = set(by_cost(risk.boats)["boat"].head(SHOWN_BOATS))
        terminal.table(
            f"Boats by risk{_first(risk.boats)}",
            _boats_shown(risk.boats, currency, "worst"),
            right=["risk", "90 %", "before", "expected cost"],
        )
        terminal.table(
            f"Boats by risk times consequence{_first(risk.boats)}",
            _boats_shown(by_cost(risk.boats), currency, "costliest"),
            right=["risk", "90 %", "before", "expected cost"],
        )
        both = first_by_cost & set(risk.boats["boat"].head(SHOWN_BOATS))
        if len(risk.boats) > SHOWN_BOATS:
            terminal.say(f"{words.count(len(both), 'boat')} in both lists.")
        if unpriced := without_price(risk.parts, fleet):
            terminal.say("Without a price, and not in the cost: " + ", ".join(unpriced))
        if worn := words.likely_worn(risk.parts):
            terminal.say(worn, style="bold")
        for one in fitted.values():
            terminal.say(f"{named(one.kind.label, one.group)}: {words.how_sure(one)}")
        assumed(terminal, fleet, fitted, money_too=True)
        write(terminal, fleet, out, {"season.csv": risk.parts, "boats_at_risk.csv": risk.boats})
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
                "boats": rows(risk.boats),
                "parts": rows(risk.parts),
            },
        )
    return 0


def _first(boats: pd.DataFrame) -> str:
    return f", the first {SHOWN_BOATS} of {len(boats)}" if len(boats) > SHOWN_BOATS else ""


def _boats_shown(boats: pd.DataFrame, currency: str, most: str) -> pd.DataFrame:
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
        }
    )
