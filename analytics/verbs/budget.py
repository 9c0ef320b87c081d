"""The verb `budget`: what parts and money the coming seasons need."""

from __future__ import annotations

import math
from pathlib import Path

import pandas as pd

from analytics import job
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
        terminal.table(
            "Parts budget, whole fleet", _budget_shown(money.fleet()), right=_BUDGET_RIGHT
        )
        terminal.table("By kind", _budget_shown(money.kinds()), right=_BUDGET_RIGHT)
        terminal.say(
            "Percentiles of the lines do not add up to those of the totals; both are simulated."
        )
        if money.unpriced:
            terminal.say("Without a price, and not in the money: " + ", ".join(money.unpriced))
        assumed(terminal, fleet, fitted, money_too=True)
        write(terminal, fleet, out, {"budget.csv": money.lines, "spares.csv": money.spares})
        document(
            fleet,
            as_json,
            {
                "lines": rows(money.lines),
                "spares": rows(money.spares),
                "unpriced": list(money.unpriced),
            },
        )
    return 0


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


def _money(amount: float) -> str:
    return "no price" if math.isnan(amount) else f"{amount:,.0f}"
