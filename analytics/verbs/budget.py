"""The verb `budget`: what parts and money the coming seasons need."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pandas as pd

from analytics import job
from analytics.ageing.fit import FleetAgeing
from analytics.decisions.budget import Budget
from analytics.papers import budget_sentences as says
from analytics.papers import words
from analytics.papers.budget_workbook import budget_workbook
from analytics.papers.terminal import Terminal
from analytics.records.reading import folder_files
from analytics.verbs.telling import (
    assumed,
    document,
    headline,
    rows,
    write,
)


def budget(
    folder: Path, out: Path | None, as_json: bool, seed: int, seasons: int, n_futures: int
) -> int:
    """What parts and money the coming seasons need."""
    with Terminal(as_json) as terminal:
        fleet = job.open_fleet(folder_files(folder), terminal.progress)
        fitted = job.how_it_ages(fleet, seed, terminal.progress)
        futures = job.futures_of(
            fleet,
            fitted,
            seasons=seasons,
            n_futures=n_futures,
            seed=seed,
            progress=terminal.progress,
        )
        money = job.budget_of(fleet, futures)
        headline(terminal, fleet)
        for sentence in _said(money, fleet.records.settings.currency):
            terminal.say(sentence)
        terminal.table(
            "Parts budget, whole fleet", _budget_shown(money.fleet()), right=_BUDGET_RIGHT
        )
        terminal.table("By kind", _budget_shown(money.kinds()), right=_BUDGET_RIGHT)
        if money.fleet()["cost_mean"].notna().any():
            terminal.table("Money, whole fleet", _money_shown(money), right=_MONEY_RIGHT)
        terminal.say(says.NOT_ADDED)
        if money.unpriced:
            terminal.say("Without a price, and not in the money: " + ", ".join(money.unpriced))
        assumed(terminal, fleet, fitted, money_too=True)
        terminal.say(_ORDERS)
        write(terminal, fleet, out, _tables(money))
        if out is not None:
            path = out / "budget.xlsx"
            path.write_bytes(_workbook(fleet, fitted, money, seed))
            terminal.say(f"wrote {path}")
        document(fleet, as_json, _document(money, seed))
    return 0


_ORDERS = "What to order, and by when: tideworn spares."


def _said(money: Budget, currency: str) -> list[str]:
    first = money.fleet().iloc[0]
    if math.isnan(first["cost_mean"]):
        return []
    return [
        says.headline(first, currency),
        says.scope(money),
        says.added_up(first, currency),
        *(
            f"{piece.label}: {words.money(piece.amount, currency)}. {piece.sentence}"
            for piece in says.pieces(money, currency)
        ),
        says.spread_sentence(money.spreads[0]),
        *filter(None, [says.together(money, currency)]),
    ]


def _tables(money: Budget) -> dict[str, pd.DataFrame]:
    return {
        "budget.csv": money.lines,
        "budget_sizes.csv": money.sizes,
        "budget_bases.csv": money.bases,
        "budget_months.csv": money.months,
        "budget_boats.csv": money.boats,
    }


def _workbook(fleet: job.Fleet, fitted: FleetAgeing, money: Budget, seed: int) -> bytes:
    settings = fleet.records.settings
    return budget_workbook(
        money,
        settings,
        assumptions=words.assumptions(settings, fitted, money_too=True),
        seed=seed,
        fingerprint=fleet.records.fingerprint,
    )


def _document(money: Budget, seed: int) -> dict[str, Any]:
    named = [*money.fleet()["season"].tolist(), "all"]
    return {
        "lines": rows(money.lines),
        "horizon": rows(money.horizon)[0],
        "sizes": rows(money.sizes),
        "bases": rows(money.bases),
        "months": rows(money.months),
        "boats": rows(money.boats),
        "certain": {"parts": money.certain_parts, "cost": money.certain_cost},
        "spread": [
            {
                "season": season,
                "luck_sd": spread.luck,
                "curves_sd": spread.knowledge,
                "share_luck": spread.share_luck,
            }
            for season, spread in zip(named, money.spreads, strict=True)
        ],
        "futures": len(money.totals),
        "draws": money.n_draws,
        "seed": seed,
        "unpriced": list(money.unpriced),
    }


_BUDGET_RIGHT = [
    "planned",
    "unplanned",
    "quantity P50",
    "P80",
    "P95",
    "cost mean",
    "cost P50",
    "cost P80",
    "cost P95",
]


def _budget_shown(lines: pd.DataFrame) -> pd.DataFrame:
    money = {
        f"cost {name}": lines[f"cost_{name.lower()}"] for name in ("mean", "P50", "P80", "P95")
    }
    return pd.DataFrame(
        {
            "season": lines["season"],
            "kind": lines["kind"].str.replace("_", " "),
            "planned": [f"{n:.1f}" for n in lines["planned"]],
            "unplanned": [f"{n:.1f}" for n in lines["unplanned"]],
            "quantity P50": lines["quantity_p50"],
            "P80": lines["quantity_p80"],
            "P95": lines["quantity_p95"],
            **{name: [_money(cost) for cost in column] for name, column in money.items()},
            "currency": lines["currency"],
        }
    )


_MONEY_SHOWN = {
    "committed": "committed",
    "forecast": "forecast",
    "contingency": "contingency",
    "P80": "cost_p80",
    "parts": "parts_cost",
    "labour": "labour_cost",
}
_MONEY_RIGHT = [*_MONEY_SHOWN, "luck"]


def _money_shown(money: Budget) -> pd.DataFrame:
    """Each season, then all of them; `luck` is the share of the variance that is luck."""
    lines = pd.concat([money.fleet(), money.horizon.assign(season="all")], ignore_index=True)
    luck = [spread.share_luck for spread in money.spreads]
    return pd.DataFrame(
        {
            "season": lines["season"],
            **{
                heading: [_money(amount) for amount in lines[column]]
                for heading, column in _MONEY_SHOWN.items()
            },
            "currency": lines["currency"],
            "luck": ["not known" if math.isnan(one) else words.percent(one) for one in luck],
        }
    )


def _money(amount: float) -> str:
    return "no price" if math.isnan(amount) else f"{amount:,.0f}"
