"""What each verb of the command says, writes and returns.

The answers come from `job`; here they become words on a terminal, files in a
folder and one JSON document, all with the same numbers.
"""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pandas as pd

from analytics import job
from analytics.ageing.agreement import disagreement
from analytics.ageing.fit import Ageing, FleetAgeing
from analytics.ageing.posterior import Posterior
from analytics.ageing.summary import Estimate, ageing_document, key_figures
from analytics.decisions.consequence import by_cost
from analytics.decisions.prices import price_list
from analytics.intake_verbs import say_attention, say_changes
from analytics.lives import require_survivors
from analytics.papers import json_document, words
from analytics.papers.ageing_sentences import ageing_sentences
from analytics.papers.ageing_tables import ageing_tables
from analytics.papers.cautions import NOT_AN_INSPECTION
from analytics.papers.files import write_csv
from analytics.papers.terminal import Terminal
from analytics.papers.workbook import workbook_bytes
from analytics.records.findings import FleetError, told
from analytics.records.reading import folder_files

SHOWN_BOATS = 10
SHOWN_FINDINGS = 20


def check(folder: Path, out: Path | None, as_json: bool) -> int:
    """What was read, merged, rejected and assumed."""
    with Terminal(as_json) as terminal:
        fleet = job.open_fleet(folder_files(folder), terminal.progress)
        findings, lives = fleet.findings(), fleet.lives.for_files()
        _headline(terminal, fleet)
        terminal.table("How the files were read", _files_shown(fleet.records.files))
        terminal.table(
            "Rows by file", fleet.records.counts, right=list(fleet.records.counts.columns[1:])
        )
        terminal.say(fleet.reconciliation())
        changed = say_changes(terminal, fleet, folder)
        groups = say_attention(terminal, fleet)
        counted = findings["done"].value_counts()
        terminal.say(
            f"{len(findings)} findings: " + ", ".join(f"{n} {done}" for done, n in counted.items())
        )
        sentences = told(fleet.told)
        for sentence in sentences[:SHOWN_FINDINGS]:
            terminal.say("  - " + sentence)
        if len(sentences) > SHOWN_FINDINGS:
            terminal.say("  ... and more; --out FOLDER writes every one of them.")
        try:
            require_survivors(fleet.lives)
        except FleetError as error:
            terminal.say("These records cannot be fitted:", style="bold")
            for finding in error.findings:
                terminal.say("  - " + finding.sentence())
        files = {
            "findings.csv": findings,
            "rejected.csv": fleet.rejected(),
            "lives.csv": lives,
            "attention.csv": groups,
        }
        _write(terminal, fleet, out, files)
        _write_workbook(terminal, fleet, out, files)
        _document(
            fleet,
            as_json,
            {
                "files": _rows(fleet.records.files),
                "counts": _rows(fleet.records.counts),
                "findings": _rows(findings),
                "rejected": _rows(files["rejected.csv"]),
                "attention": _rows(groups),
                "changes": changed,
            },
        )
    return 0


def ageing(folder: Path, out: Path | None, as_json: bool, seed: int) -> int:
    """How each kind of part ages."""
    with Terminal(as_json) as terminal:
        fleet = job.open_fleet(folder_files(folder), terminal.progress)
        fitted = job.how_it_ages(fleet, seed, terminal.progress)
        _headline(terminal, fleet)
        terminal.table(
            "How each kind ages (90 % intervals)",
            _ageing_shown(fitted),
            right=["lives", "failures", "10 % failed by", "shape"],
        )
        for one in fitted.values():
            terminal.say(
                f"{_named(one.kind.label, one.group)}: {words.how_sure(one)} "
                f"{words.prior_sentence(one.kind)} {disagreement(one) or ''}".rstrip()
            )
            for sentence in ageing_sentences(one):
                terminal.say(f"  - {sentence}")
        documents = [ageing_document(one) for one in fitted.values()]
        if out:
            wear, coming = job.wear_of(fleet, fitted, seed), fleet.coming_season()
            files = ageing_tables(fleet.lives, fitted, wear, coming, seed, terminal.progress)
            _write(terminal, fleet, out, files)
            _write_json(terminal, out / "ageing.json", _with_notice(fleet, {"kinds": documents}))
        _document(fleet, as_json, {"kinds": documents})
    return 0


def season(folder: Path, out: Path | None, as_json: bool, seed: int, year: int | None) -> int:
    """Which boats are at risk this season."""
    with Terminal(as_json) as terminal:
        fleet = job.open_fleet(folder_files(folder), terminal.progress)
        job.season_of(fleet, year)  # a wrong season is said before the long work
        fitted = job.how_it_ages(fleet, seed, terminal.progress)
        risk = job.boats_at_risk(fleet, fitted, year, seed)
        _headline(terminal, fleet)
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
        if unpriced := _without_price(risk.parts, fleet):
            terminal.say("Without a price, and not in the cost: " + ", ".join(unpriced))
        if worn := words.likely_worn(risk.parts):
            terminal.say(worn, style="bold")
        for one in fitted.values():
            terminal.say(f"{_named(one.kind.label, one.group)}: {words.how_sure(one)}")
        _assumed(terminal, fleet, fitted, money_too=True)
        _write(terminal, fleet, out, {"season.csv": risk.parts, "boats_at_risk.csv": risk.boats})
        _document(
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
                "boats": _rows(risk.boats),
                "parts": _rows(risk.parts),
            },
        )
    return 0


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
        _headline(terminal, fleet)
        terminal.table(
            "Parts budget, whole fleet", _budget_shown(money.fleet()), right=_BUDGET_RIGHT
        )
        terminal.table("By kind", _budget_shown(money.kinds()), right=_BUDGET_RIGHT)
        terminal.say(
            "Percentiles of the lines do not add up to those of the totals; both are simulated."
        )
        if money.unpriced:
            terminal.say("Without a price, and not in the money: " + ", ".join(money.unpriced))
        _assumed(terminal, fleet, fitted, money_too=True)
        _write(terminal, fleet, out, {"budget.csv": money.lines, "spares.csv": money.spares})
        _document(
            fleet,
            as_json,
            {
                "lines": _rows(money.lines),
                "spares": _rows(money.spares),
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


def _headline(terminal: Terminal, fleet: job.Fleet) -> None:
    settings = fleet.records.settings
    terminal.say(f"{settings.name}, records up to {settings.as_of}", style="bold")
    if settings.demo:
        terminal.say(settings.note or "Demo data, invented.", style="italic")
    terminal.say(fleet.reconciliation() + ".")
    if missing := words.without_reason(fleet.lives.table):
        terminal.say(missing, style="bold")


def _assumed(terminal: Terminal, fleet: job.Fleet, ageing: FleetAgeing, *, money_too: bool) -> None:
    terminal.say("Assumed:", style="bold")
    for sentence in words.assumptions(fleet.records.settings, ageing, money_too=money_too):
        terminal.say("  - " + sentence)
    terminal.say(NOT_AN_INSPECTION, style="bold")


def _first(boats: pd.DataFrame) -> str:
    return f", the first {SHOWN_BOATS} of {len(boats)}" if len(boats) > SHOWN_BOATS else ""


def _without_price(parts: pd.DataFrame, fleet: job.Fleet) -> list[str]:
    prices = price_list(fleet.records)
    pairs = sorted(set(zip(parts["kind"], parts["part_no"], strict=True)))
    return [no or kind for kind, no in pairs if math.isnan(prices.of(kind, no).part)]


def _named(label: str, group: str) -> str:
    return label if group == "all" else f"{label}, {group}"


def _files_shown(files: pd.DataFrame) -> pd.DataFrame:
    """How the files were read, without the columns that would be blank throughout."""
    shown = files.astype("string").fillna("")
    shown["taken_for"] = shown["taken_for"].where(shown["taken_for"] != "", "left alone")
    return shown.loc[:, (shown != "").any()]


def _ageing_shown(fitted: FleetAgeing) -> pd.DataFrame:
    rows = []
    for one in fitted.values():
        rows.append(_figures_shown(one, _named(one.kind.label, one.group), one.posterior))
        if one.rests_on_prior:
            rows.append(_figures_shown(one, "  the prior alone", one.prior))
    return pd.DataFrame(
        rows, columns=["kind", "lives", "failures", "10 % failed by", "shape", "how sure"]
    )


def _figures_shown(one: Ageing, named: str, posterior: Posterior) -> list[object]:
    figures = key_figures(one, posterior)
    digits = 1 if one.kind.clock == "years" else 0
    life = f"{_estimate(figures.life_10, digits)} {one.kind.unit}"
    return [named, one.lives, one.failures, life, _estimate(figures.shape, 1), one.grade]


def _estimate(estimate: Estimate, digits: int) -> str:
    return (
        f"{estimate.median:,.{digits}f} ({estimate.low:,.{digits}f} to {estimate.high:,.{digits}f})"
    )


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


def _write(
    terminal: Terminal, fleet: job.Fleet, out: Path | None, files: Mapping[str, pd.DataFrame]
) -> None:
    if out is None:
        return
    for name, table in files.items():
        terminal.say(f"wrote {write_csv(table, fleet.records.settings, out / name)}")


MOST_IN_WORKBOOK = 100_000
"""Rows that are written as a workbook, which takes a second for each twenty thousand."""


def _write_workbook(
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


def _write_json(terminal: Terminal, path: Path, document: dict[str, Any]) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(
        json.dumps(json_document.plain(document), indent=1) + "\n", encoding="utf-8", newline="\n"
    )
    terminal.say(f"wrote {path}")


def _document(fleet: job.Fleet, as_json: bool, answer: dict[str, Any]) -> None:
    if as_json:
        print(json.dumps(json_document.plain(_with_notice(fleet, answer)), indent=1))


def _with_notice(fleet: job.Fleet, answer: dict[str, Any]) -> dict[str, Any]:
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


def _rows(table: pd.DataFrame) -> list[dict[str, Any]]:
    return [{str(k): v for k, v in row.items()} for row in table.to_dict(orient="records")]
