"""The tables of the pages: the columns people need, in their words; no computation."""

from __future__ import annotations

from datetime import date
from typing import Any, get_args

import pandas as pd
import streamlit as st

from analytics.ageing.fit import Ageing, FleetAgeing
from analytics.ageing.summary import Estimate, KeyFigures
from analytics.decisions.budget import ALL
from analytics.papers import words as shared
from analytics.records.findings import Done
from analytics.records.settings import Settings
from dashboard import words

Config = dict[str, Any]

_PERCENT = st.column_config.NumberColumn(format="%.0f %%", width="small")
_FINE_PERCENT = st.column_config.NumberColumn(format="%.1f %%", width="small")
_WHOLE = st.column_config.NumberColumn(format="localized", width="small")
_DAY = st.column_config.DateColumn(format="YYYY-MM-DD")

PARTS_COLUMNS: Config = {
    "Risk": _FINE_PERCENT,
    "Before": _FINE_PERCENT,
    "Worn out": _FINE_PERCENT,
    "Bad fit": _FINE_PERCENT,
    "Accident": _FINE_PERCENT,
    "Cost of a failure": _WHOLE,
    "Risk × cost": _WHOLE,
}
ORDER_COLUMNS: Config = {
    "Expected": st.column_config.NumberColumn(format="%.1f"),
    "Lead time, days": st.column_config.NumberColumn(format="%.0f"),
    "Order by": _DAY,
}
FINDINGS_COLUMNS: Config = {
    "What to do": st.column_config.TextColumn(width="large"),
    "Expected": st.column_config.TextColumn(width="medium"),
}


def contributors(boats: pd.DataFrame, settings: Settings, costly: bool) -> list[str]:
    """The part that contributes most to each boat."""
    which = "costliest" if costly else "worst"
    return [
        words.part(settings.kind(kind), position)
        for kind, position in zip(boats[f"{which}_kind"], boats[f"{which}_position"], strict=True)
    ]


def boats_columns(settings: Settings) -> Config:
    """How the columns of a table of boats are written."""
    return {
        "Risk": _PERCENT,
        "Range": st.column_config.TextColumn(help="likely range, 90 %"),
        "Before": st.column_config.NumberColumn(
            format="%.0f %%", width="small", help="chance of a failure before the season begins"
        ),
        "Cost": st.column_config.NumberColumn(
            f"Cost, {settings.currency}",
            format="localized",
            width="small",
            help="expected cost of failures in the season: risk times what each would cost",
        ),
        "Cost range": st.column_config.TextColumn(help="likely range, 90 %"),
        "Past limit": st.column_config.NumberColumn(width="small", help="parts past their limit"),
    }


def boats(table: pd.DataFrame, settings: Settings, costly: bool) -> pd.DataFrame:
    """Boats with risk, range, cost and what contributes most."""
    return pd.DataFrame(
        {
            "Boat": table["boat"],
            "Base": table["base"],
            "Risk": table["risk"] * 100,
            "Range": _range(table, "risk", 100, " %"),
            "Before": table["risk_before"] * 100,
            "Most from": contributors(table, settings, costly),
            "Cost": table["expected_cost"].round(),
            "Cost range": _range(table, "expected_cost", 1, ""),
            "Past limit": table["past_limit"],
        }
    )


def parts(table: pd.DataFrame, settings: Settings) -> pd.DataFrame:
    """Parts with age, risk by cause, limit, consequence and the row they came from."""
    kinds = [settings.kind(name) for name in table["kind"]]
    ages = zip(table["age_low"], table["age_high"], kinds, strict=True)
    return pd.DataFrame(
        {
            "Part": [
                words.part(kind, where)
                for kind, where in zip(kinds, table["position"], strict=True)
            ],
            "Age": [shared.age(low, high, kind) for low, high, kind in ages],
            "Risk": table["risk"] * 100,
            "Range": _range(table, "risk", 100, " %", 1),
            "Before": table["risk_before"] * 100,
            "Worn out": table["risk_worn_out"] * 100,
            "Bad fit": table["risk_early"] * 100,
            "Accident": table["risk_accident"] * 100,
            "Limit": _limits(table),
            "Past it": _yes(table["past_limit"]),
            "Lets water in": _yes(table["can_flood"]),
            "Cost of a failure": table["consequence"].round(),
            "Risk × cost": table["expected_cost"].round(),
            "How sure": table["grade"],
            "Part number": table["part_no"],
            "Source": table["source"].str.replace(":", " row "),
        }
    )  # fmt: skip


def past_limit(table: pd.DataFrame, settings: Settings) -> pd.DataFrame:
    """Parts past their limit, the highest risk first."""
    past = table[table["past_limit"].astype(bool)].sort_values("risk", ascending=False)
    shown = parts(past, settings)[["Part", "Age", "Limit", "Risk", "Source"]]
    shown.insert(0, "Boat", past["boat"])
    return shown


def key_figures(fitted: Ageing, records: KeyFigures, prior: KeyFigures) -> pd.DataFrame:
    """The figures of a kind with the records, before them, and of the records alone."""
    kind, likely = fitted.kind, fitted.likelihood
    # Where failures are too few, the most likely value is as good as any: it is not shown.
    if fitted.rests_on_prior:
        likely = None
    digits = 1 if kind.clock == "years" else 0
    scale = "63 % have worn out by" if kind.family == "weibull" else "Half have worn out by"
    rows: list[tuple[str, str, float, int, str]] = [
        ("10 % have failed by", "life_10", 1.0, digits, ""),
        (scale, "scale", 1.0, digits, f"{likely.scale:,.{digits}f}" if likely else ""),
        ("Shape", "shape", 1.0, 1, f"{likely.shape:.1f}" if likely else ""),
    ]
    if "early" in kind.causes:
        rows.append((f"Bad fits in 100, within {kind.early_days} days", "early", 100.0, 1, ""))
    if "accident" in kind.causes:
        rows.append(("Accidents a year in 100 parts", "accidents", 100.0, 1, ""))
    after = {"life_10": f" {kind.unit}", "scale": f" {kind.unit}"}
    table = pd.DataFrame(
        [
            {
                "Figure": label,
                "With the records": _estimate(
                    getattr(records, name), unit, places, after.get(name, "")
                ),
                "Prior alone": _estimate(getattr(prior, name), unit, places, after.get(name, "")),
                "Most likely, records alone": best,
            }
            for label, name, unit, places, best in rows
        ]
    )
    return table if likely else table.drop(columns="Most likely, records alone")


def how_sure(ageing: FleetAgeing, settings: Settings) -> str:
    """One line per kind."""
    return "\n".join(
        f"- **{words.plain(words.group(settings, *key))}.** {shared.how_sure(one)}"
        for key, one in ageing.items()
    )


def orders(spares: pd.DataFrame, settings: Settings) -> pd.DataFrame:
    """What to order for the first season, the earliest first."""
    table = spares.sort_values(["order_by", "kind", "part_no"], na_position="last")
    shown = pd.DataFrame(
        {
            "Kind": [settings.kind(name).label for name in table["kind"]],
            "Part number": table["part_no"].replace("", "not given"),
            "Expected": table["expected"],
            "Enough in 80 of 100": table["p80"],
            "Enough in 95 of 100": table["p95"],
            "Lead time, days": table["lead_time_days"],
            "Order by": table["order_by"],
            "Note": [_late(when, settings) for when in table["order_by"]],
        }
    )
    if not shown["Note"].any():
        shown = shown.drop(columns="Note")
    if table["lead_time_days"].isna().all():
        shown = shown.drop(columns=["Lead time, days", "Order by"])
    return shown


def budget(lines: pd.DataFrame, settings: Settings, *, priced: bool, detail: bool) -> pd.DataFrame:
    """Quantities and money, a line for each season and kind or part number."""
    table = {
        "Season": lines["season"].astype(str),
        "Kind": [
            "whole fleet" if kind == ALL else settings.kind(kind).label for kind in lines["kind"]
        ],
        "Part number": lines["part_no"].replace({ALL: "all", "": "not given"}),
        "Planned": lines["planned"],
        "Unplanned": lines["unplanned"],
        "Parts P50": lines["quantity_p50"],
        "Parts P80": lines["quantity_p80"],
        "Parts P95": lines["quantity_p95"],
    }
    if priced:
        money = {"mean": "Cost mean", "p50": "Cost P50", "p80": "Cost P80", "p95": "Cost P95"}
        table |= {name: lines[f"cost_{column}"].round() for column, name in money.items()}
    shown = pd.DataFrame(table)
    return shown if detail else shown.drop(columns="Part number")


def budget_columns(currency: str) -> Config:
    """How the columns of the budget are written."""
    return {
        "Planned": st.column_config.NumberColumn(format="%.1f", help="mean over the futures"),
        "Unplanned": st.column_config.NumberColumn(format="%.1f", help="mean over the futures"),
    } | {
        name: st.column_config.NumberColumn(f"{name}, {currency}", format="localized")
        for name in ("Cost mean", "Cost P50", "Cost P80", "Cost P95")
    }


def counts(table: pd.DataFrame) -> pd.DataFrame:
    """Rows read per file, and what became of them."""
    return table.rename(
        columns={"file": "File", "rows_read": "Rows read", "used": "Used", "merged": "Merged",
                 "rejected": "Rejected", "ignored": "Ignored"}
    )  # fmt: skip


def findings(table: pd.DataFrame) -> pd.DataFrame:
    """Findings grouped by what was done, what weighs most first."""
    order = table["done"].map({done: at for at, done in enumerate(get_args(Done))})
    table = table.assign(order=order).sort_values(["order", "file", "row"], kind="stable")
    return pd.DataFrame(
        {
            "Done": table["done"],
            "Where": _places(table),
            "Column": table["field"],
            "Found": table["found"],
            "What to do": table["remedy"],
            "Expected": table["expected"],
        }
    )


def rejected(table: pd.DataFrame) -> pd.DataFrame:
    """Rejected rows as they stood."""
    return pd.DataFrame(
        {"Where": _places(table), "Column": table["field"], "The row as it stood": table["cells"]}
    )


def settings(chosen: Settings) -> pd.DataFrame:
    """The settings in force, as texts."""
    rule, rates, currency = chosen.seasons, chosen.rates, chosen.currency
    rows = {
        "Fleet": words.plain(chosen.name),
        "Last day watched": str(chosen.as_of),
        "Removals written down from": str(chosen.records_from or "the first fitting on"),
        "Season": f"{words.month_day(rule.start)} to {words.month_day(rule.end)}",
        "Lay-up lift": words.month_day(rule.lift_on),
        "Shaft hours per meter hour": f"{chosen.shaft_share:g}",
        "Currency, price date, tax": words.plain(f"{currency}, {rates.price_date}, {rates.tax}"),
        "Labour": f"{currency} {rates.labour_per_hour:g} an hour",
        "Out of turn": f"{rates.emergency_multiplier:g} times the planned price",
        "Lift and launch": f"{currency} {rates.lift_and_launch:g}",
        "Tow": f"{currency} {rates.tow:g}",
        "Lost charter days": f"{rates.lost_days:g} days at {currency} {rates.lost_day:g}",
    }
    return pd.DataFrame({"Setting": list(rows), "In force": list(rows.values())})


def kinds(chosen: Settings, names: list[str]) -> pd.DataFrame:
    """The kinds in these records, with clock, limit and prior."""
    known = [chosen.kind(name) for name in names]
    return pd.DataFrame(
        {
            "Kind": [kind.label for kind in known],
            "What counts as inside it": [kind.boundary for kind in known],
            "Aged by": [kind.unit for kind in known],
            "Limit": [words.limit(kind) for kind in known],
            "Prior": [
                f"{shared.percent(kind.prior.worn_out[0])} to "
                f"{shared.percent(kind.prior.worn_out[1])} worn out by {kind.prior.at:,g} "
                f"{kind.unit}; shape about {kind.prior.shape:g}"
                for kind in known
            ],
            "Fails unseen afloat": _yes(pd.Series([kind.found_ashore_only for kind in known])),
            "Fitted on their own": [", ".join(kind.apart) for kind in known],
        }
    )


def _estimate(estimate: Estimate, unit: float, digits: int, after: str) -> str:
    middle, low, high = (
        f"{value * unit:,.{digits}f}" for value in (estimate.median, estimate.low, estimate.high)
    )
    return f"{middle}{after} ({low} to {high})"


def _range(table: pd.DataFrame, name: str, unit: float, after: str, digits: int = 0) -> list[str]:
    return [
        f"{low * unit:,.{digits}f} to {high * unit:,.{digits}f}{after}"
        for low, high in zip(table[f"{name}_low"], table[f"{name}_high"], strict=True)
    ]


def _limits(table: pd.DataFrame) -> list[str]:
    return [
        "" if pd.isna(limit) else f"{limit:,g} {unit}"
        for limit, unit in zip(table["limit"], table["limit_unit"], strict=True)
    ]


def _places(table: pd.DataFrame) -> list[str]:
    return [
        file if pd.isna(row) else f"{file} row {row}"
        for file, row in zip(table["file"], table["row"], strict=True)
    ]


def _yes(flags: pd.Series) -> list[str]:
    return ["yes" if flag else "" for flag in flags]


def _late(when: date | None, settings: Settings) -> str:
    if when is None or settings.as_of is None:
        return "lead time not known"
    return "order at once: the day has passed" if when <= settings.as_of else ""
