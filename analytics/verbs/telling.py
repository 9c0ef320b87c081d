"""What every verb says and writes in the same way: headline, assumptions, files, document."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pandas as pd

from analytics import job
from analytics.ageing.fit import FleetAgeing
from analytics.decisions.prices import price_list
from analytics.papers import json_document, words
from analytics.papers.cautions import NOT_AN_INSPECTION
from analytics.papers.files import write_csv
from analytics.papers.terminal import Terminal
from analytics.papers.workbook import workbook_bytes


def headline(terminal: Terminal, fleet: job.Fleet) -> None:
    """Whose records these are, up to when, and whether every row is accounted for."""
    settings = fleet.records.settings
    terminal.say(f"{settings.name}, records up to {settings.as_of}", style="bold")
    if settings.demo:
        terminal.say(settings.note or "Demo data, invented.", style="italic")
    terminal.say(fleet.reconciliation() + ".")
    if missing := words.without_reason(fleet.lives.table):
        terminal.say(missing, style="bold")


def assumed(terminal: Terminal, fleet: job.Fleet, ageing: FleetAgeing, *, money_too: bool) -> None:
    """What the numbers take for granted, and that they are no inspection."""
    terminal.say("Assumed:", style="bold")
    for sentence in words.assumptions(fleet.records.settings, ageing, money_too=money_too):
        terminal.say("  - " + sentence)
    terminal.say(NOT_AN_INSPECTION, style="bold")


def without_price(parts: pd.DataFrame, fleet: job.Fleet) -> list[str]:
    """Part numbers, or kinds, without a price."""
    prices = price_list(fleet.records)
    pairs = sorted(set(zip(parts["kind"], parts["part_no"], strict=True)))
    return [no or kind for kind, no in pairs if math.isnan(prices.of(kind, no).part)]


def named(label: str, group: str) -> str:
    """A kind, and the lot it is where one was set apart."""
    return label if group == "all" else f"{label}, {group}"


def write(
    terminal: Terminal, fleet: job.Fleet, out: Path | None, files: Mapping[str, pd.DataFrame]
) -> None:
    """Write tables as CSV files into a folder, where one is given."""
    if out is None:
        return
    for name, table in files.items():
        terminal.say(f"wrote {write_csv(table, fleet.records.settings, out / name)}")


MOST_IN_WORKBOOK = 100_000
"""Rows that are written as a workbook, which takes a second for each twenty thousand."""


def write_workbook(
    terminal: Terminal, fleet: job.Fleet, out: Path | None, files: Mapping[str, pd.DataFrame]
) -> None:
    """The same tables as sheets of one workbook."""
    if out is None:
        return
    if (rows := sum(map(len, files.values()))) > MOST_IN_WORKBOOK:
        terminal.say(f"No check.xlsx: {rows:,} rows are too many for it; the CSV files hold them.")
        return
    sheets = {name.removesuffix(".csv"): table for name, table in files.items()}
    path = out / "check.xlsx"
    path.write_bytes(workbook_bytes(sheets, fleet.records.settings))
    terminal.say(f"wrote {path}")


def write_json(terminal: Terminal, path: Path, document: dict[str, Any]) -> None:
    """Write one JSON file."""
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(
        json.dumps(json_document.plain(document), indent=1) + "\n", encoding="utf-8", newline="\n"
    )
    terminal.say(f"wrote {path}")


def document(fleet: job.Fleet, as_json: bool, answer: dict[str, Any]) -> None:
    """Print the one JSON document of a verb, where it is asked for."""
    if as_json:
        print(json.dumps(json_document.plain(with_notice(fleet, answer)), indent=1))


def with_notice(fleet: job.Fleet, answer: dict[str, Any]) -> dict[str, Any]:
    """An answer with the fleet, its notice, the caution and the assumptions in front."""
    settings = fleet.records.settings
    return {
        "fleet": settings.name,
        "notice": settings.note if settings.demo else "",
        "caution": NOT_AN_INSPECTION,
        "as_of": str(settings.as_of),
        "fingerprint": fleet.records.fingerprint,
        "assumptions": words.assumptions(settings, money_too=True),
        **answer,
    }


def rows(table: pd.DataFrame) -> list[dict[str, Any]]:
    """A table as a list of rows for JSON."""
    return [{str(k): v for k, v in row.items()} for row in table.to_dict(orient="records")]
