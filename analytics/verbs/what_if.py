"""The verb `what-if`: what changes bring against today's plan."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pandas as pd

from analytics import job
from analytics.papers.terminal import Terminal
from analytics.records.findings import Finding, FleetError
from analytics.records.reading import folder_files
from analytics.verbs.telling import assumed, document, headline, rows, write
from analytics.what_if.against import not_possible
from analytics.what_if.applied import applied, todays_plan
from analytics.what_if.changes import Changes
from analytics.what_if.compared import EVERY_SEASON, Compared, between, years_of
from analytics.what_if.measures import ALL, MONEY, Measured, measured
from analytics.what_if.sentences import MEASURES, brought, changed, taken_for_granted
from analytics.what_if.text import changes_text, link_text, read_changes


def what_if(
    folder: Path, changes: Sequence[Path], out: Path | None, as_json: bool, seed: int
) -> int:
    """What changes bring against today's plan."""
    with Terminal(as_json) as terminal:
        fleet = job.open_fleet(folder_files(folder), terminal.progress)
        every = [_read(path, fleet) for path in changes]  # wrong ones are said before long work
        today = todays_plan(fleet, job.how_it_ages(fleet, seed, terminal.progress), seed)
        currency = fleet.records.settings.currency
        headline(terminal, fleet)
        found: list[Compared] = []
        of_today: dict[tuple[int, ...], Measured] = {}
        for one in every:
            years = years_of(today, one)
            if years not in of_today:
                of_today[years] = measured(today, years, seed=seed, progress=terminal.progress)
            then = measured(applied(today, one), years, seed=seed, progress=terminal.progress)
            found.append(between(of_today[years], then, one, currency))
            _tell(terminal, fleet, found[-1], currency)
        said = dict.fromkeys(sentence for one in every for sentence in taken_for_granted(one))
        for sentence in said:
            terminal.say("  - " + sentence)
        assumed(terminal, fleet, today.ageing, money_too=True)
        table = pd.concat([one.table for one in found], ignore_index=True)
        write(terminal, fleet, out, {"what_if.csv": table})
        plans = [
            {
                "name": one.changes.name,
                "changes": changes_text(one.changes),
                "link": link_text(one.changes),
                "changed": changed(one.changes, fleet),
                "brought": brought(one, currency),
                "differences": rows(one.table),
                "boats": rows(one.boats),
                "unpriced": list(one.unpriced),
            }
            for one in found
        ]
        document(fleet, as_json, {"taken_for_granted": list(said), "plans": plans})
    return 0


def _read(path: Path, fleet: job.Fleet) -> Changes:
    try:
        text = path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        found = str(getattr(error, "strerror", None) or "a file that is no UTF-8 text")
        expected = "a TOML file with the changes"
        remedy = "Give the file that the page What if hands out, or one written like it."
        raise FleetError(
            [Finding(str(path), None, "", found, expected, "stopped", remedy)]
        ) from None
    read, findings = read_changes(text, path.name)
    if findings := findings or not_possible(read, fleet, path.name):
        raise FleetError(findings)
    return read


def _tell(terminal: Terminal, fleet: job.Fleet, found: Compared, currency: str) -> None:
    terminal.say(found.changes.name, style="bold")
    for sentence in changed(found.changes, fleet):
        terminal.say("  " + sentence)
    for sentence in brought(found, currency):
        terminal.say(sentence)
    years = f"{found.years[0]} to {found.years[-1]}"
    terminal.table(
        f"All seasons together, {years}", _shown(found, currency), right=["today", *_RIGHT]
    )


_RIGHT = ["changed", "difference", "in 90 of 100 futures"]


def _shown(found: Compared, currency: str) -> pd.DataFrame:
    table = found.table
    chosen = table[(table["season"] == EVERY_SEASON) & (table["kind"] == ALL)]
    by_name = chosen.set_index("measure")
    shown = by_name.loc[[name for name in MEASURES if name in by_name.index]]

    def amount(measure: str, value: float, sign: str = "") -> str:
        if measure in MONEY:
            return f"{value:{sign},.0f}"
        return f"{value:{sign},.1f}"

    return pd.DataFrame(
        [
            {
                "what": MEASURES[name] + (f", {currency}" if name in MONEY else ""),
                "today": amount(name, row["today"]),
                "changed": amount(name, row["changed"]),
                "difference": amount(name, row["difference"], "+"),
                "in 90 of 100 futures": f"{amount(name, row['difference_low'], '+')} to "
                f"{amount(name, row['difference_high'], '+')}",
            }
            for name, row in zip(
                map(str, shown.index), (row for _, row in shown.iterrows()), strict=True
            )
        ]
    )
