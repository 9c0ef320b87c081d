"""Tables of plans beside today's."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pandas as pd
from pandas.io.formats.style import Styler

from analytics.papers.words import money, percent
from analytics.what_if.compared import EVERY_SEASON, Compared
from analytics.what_if.measures import ALL, MONEY
from analytics.what_if.sentences import MEASURES, how_often
from dashboard.tables import shown
from dashboard.what_if import words as says


def of_plan(found: Compared, season: int, kind: str, currency: str) -> Styler:
    """Every measure of today's plan and the changed one; `EVERY_SEASON` is the mean of a season."""
    per = len(found.years) if season == EVERY_SEASON else 1
    rows = _rows(found, season, kind)
    table: dict[str, list[Any]] = {"": [MEASURES[measure] for measure in rows]}
    texts: dict[str, list[str]] = {}
    for label, name in (("Difference", "difference"), ("Today", "today"), ("Changed", "changed")):
        table[label] = [float(row[name]) / per for row in rows.values()]
        tell = _difference if name == "difference" else _amount
        texts[label] = [
            tell(measure, value, currency)
            for measure, value in zip(rows, table[label], strict=True)
        ]
    table["In 90 of 100 futures"] = [
        _span(measure, row, per, currency) for measure, row in rows.items()
    ]
    table["How often"] = [
        how_often(row, "less", "more").replace(" of them", "") for row in rows.values()
    ]
    return shown(pd.DataFrame(table), texts)


def side_by_side(plans: Sequence[Compared], currency: str) -> Styler:
    """A column for each plan: its mean of a season, and the difference to today's."""
    first, n = _rows(plans[0], EVERY_SEASON, ALL), len(plans[0].years)
    what = "A season, on average"
    table: dict[str, list[Any]] = {what: [MEASURES[measure] for measure in first]}
    table["Today"] = [float(row["today"]) / n for row in first.values()]
    texts = {
        "Today": [
            _amount(measure, value, currency)
            for measure, value in zip(first, table["Today"], strict=True)
        ]
    }
    for at, plan in enumerate(plans):
        name, rows = _named(plans, at), _rows(plan, EVERY_SEASON, ALL)
        table[name] = [float(row["changed"]) / n for row in rows.values()]
        texts[name] = [
            f"{_amount(measure, row['changed'] / n, currency)} "
            f"({_amount(measure, row['difference'] / n, currency, signed=True)})"
            for measure, row in rows.items()
        ]
    return shown(pd.DataFrame(table), texts)


def boats(found: Compared, most: int = 12) -> pd.DataFrame:
    """The boats whose chance of a failure changes most, those that come and go among them."""
    table = found.boats.fillna({"today": 0.0, "changed": 0.0})
    table = table.assign(size=(table["changed"] - table["today"]).abs())
    table = table[table["size"] >= 0.0005].sort_values(["size", "boat"], ascending=[False, True])
    left_out = found.boats.set_index("boat")
    return pd.DataFrame(
        [
            {
                "Boat": row["boat"],
                "Base": row["base"],
                "Today": _chance(left_out.loc[row["boat"], "today"]),
                "Changed": _chance(left_out.loc[row["boat"], "changed"]),
            }
            for _, row in table.head(most).iterrows()
        ]
    )


def download(plans: Sequence[Compared]) -> pd.DataFrame:
    """The comparison as the command writes it, one plan below the other."""
    return pd.concat([plan.table for plan in plans], ignore_index=True)


def _rows(found: Compared, season: int, kind: str) -> dict[str, pd.Series]:
    table = found.table
    chosen = table[(table["season"] == season) & (table["kind"] == kind)]
    rows = {str(row["measure"]): row for _, row in chosen.iterrows()}
    return {name: rows[name] for name in MEASURES if name in rows}


def _span(measure: str, row: pd.Series, per: int, currency: str) -> str:
    low, high = (
        _amount(measure, row[f"difference_{end}"] / per, currency, signed=True)
        for end in ("low", "high")
    )
    return low if low == high else f"{low} to {high}"


def _named(plans: Sequence[Compared], at: int) -> str:
    name = plans[at].changes.name
    again = sum(plan.changes.name == name for plan in plans[:at])
    taken = {"Today", "A season, on average"}
    return f"{name} ({again + 1})" if again or name in taken else name


def _amount(measure: str, value: float, currency: str, *, signed: bool = False) -> str:
    value = value + 0.0 if abs(value) >= 0.05 else 0.0
    if measure not in MONEY:
        return f"{value:+,.1f}" if signed and value else f"{value:,.1f}"
    if signed:
        return f"{value:+,.0f}" if round(value) else "0"
    return money(value, currency)


def _difference(measure: str, value: float, currency: str) -> str:
    return says.difference(measure in MONEY, value, currency)


def _chance(share: float) -> str:
    return "not in the fleet" if share != share else percent(share)
