"""The verb `spares`: what to hold in store, and what to order by when."""

from __future__ import annotations

from pathlib import Path

import pandas as pd

from analytics import job
from analytics.decisions.stock import StockPlan
from analytics.decisions.stock_items import POOLED
from analytics.papers import spares as says
from analytics.papers import words
from analytics.papers.terminal import Terminal
from analytics.records.reading import folder_files
from analytics.verbs.telling import assumed, document, headline, rows, write


def spares(
    folder: Path,
    out: Path | None,
    as_json: bool,
    seed: int,
    chance: float,
    *,
    one_where_it_pays: bool,
) -> int:
    """What to hold in store, and what to order by when."""
    with Terminal(as_json) as terminal:
        fleet = job.open_fleet(folder_files(folder), terminal.progress)
        fitted = job.how_it_ages(fleet, seed, terminal.progress)
        futures = job.spares_futures_of(fleet, fitted, seed=seed, progress=terminal.progress)
        plan = job.spares_of(fleet, futures, chance, one_where_it_pays=one_where_it_pays)
        settings = fleet.records.settings
        headline(terminal, fleet)
        _tell(terminal, plan, settings.currency)
        for sentence in says.assumed(plan, settings):
            terminal.say("  - " + sentence)
        assumed(terminal, fleet, fitted, money_too=True)
        tables = {
            "spares": plan.orders,
            "holdings": plan.holdings,
            "orders_ahead": plan.ahead,
            "in_store": plan.store,
            "storage": plan.storage,
            "questions": plan.questions,
        }
        files = {f"{name}.csv": says.written(plan, table) for name, table in tables.items()}
        write(terminal, fleet, out, files)
        document(
            fleet,
            as_json,
            {
                "chance": chance,
                "one_where_it_pays": one_where_it_pays,
                "season": plan.season.year,
                "all_last_at_once": plan.together.everywhere,
                "money": rows(says.named(plan.money)),
                **{name: rows(says.named(table)) for name, table in tables.items()},
            },
        )
    return 0


def _tell(terminal: Terminal, plan: StockPlan, currency: str) -> None:
    terminal.say(
        f"To order for season {plan.season.year}, so that {says.each_alone(plan.chance)}:",
        style="bold",
    )
    for base in says.stores_of(plan):
        order = says.to_order(plan, base, currency) or "nothing"
        terminal.say(f"  {base or 'no base given'}: {order}")
    lines = plan.orders[(plan.orders["base"] != POOLED) & (plan.orders["to_buy"] > 0)]
    for sentence in (
        says.at_once(plan.together.everywhere, int((plan.holdings["base"] != POOLED).sum())),
        says.shelf_money(lines, currency),
        says.from_elsewhere(lines),
        says.pooling(plan, currency),
        *says.old_stock(plan),
    ):
        if sentence:
            terminal.say(sentence)
    if lines.empty:
        terminal.say("Nothing to order: what is in store is enough, or nothing is in service.")
    else:
        terminal.table("To buy", _lines_shown(lines), right=_RIGHT)
    if len(plan.questions):
        terminal.say("Ask before ordering:", style="bold")
        for question in plan.questions["question"].head(_MOST_QUESTIONS):
            terminal.say("  - " + question)
        if len(plan.questions) > _MOST_QUESTIONS:
            terminal.say(f"  - and {len(plan.questions) - _MOST_QUESTIONS} more")
    terminal.say("Taken for granted of spares:", style="bold")


_MOST_QUESTIONS = 10
_RIGHT = ["for the lift", "spares", "from store", "to buy", "cost"]


def _lines_shown(lines: pd.DataFrame) -> pd.DataFrame:
    lines = lines.sort_values(["order_by", "base", "kind", "part_no"], kind="stable")
    return pd.DataFrame(
        {
            "order by": [str(day) if day else "no lead time" for day in lines["order_by"]],
            "late": ["late" if one else "" for one in lines["late"]],
            "base": lines["base"],
            "kind": lines["kind"].str.replace("_", " "),
            "part": [no or size or "ask the size" for no, size in
                     zip(lines["part_no"], lines["size"], strict=True)],
            "for the lift": lines["for_lift"],
            "spares": lines["spares"],
            "from store": lines["from_store"],
            "to buy": lines["to_buy"],
            "cost": [
                words.money(cost, currency) if cost == cost else "no price"
                for cost, currency in zip(lines["cost"], lines["currency"], strict=True)
            ],
        }
    )  # fmt: skip
