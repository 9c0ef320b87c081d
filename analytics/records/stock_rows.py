"""Rows of `stock.csv`: whole parts, of kinds that are known, made by the last day watched."""

from __future__ import annotations

from datetime import date

from analytics.records.cells import CheckedRows, Row
from analytics.records.settings import Settings
from analytics.records.spelling import Spelling

MOST_IN_ROW = 10_000
"""Parts in one row of the store: more is a slip, or no part of these boats."""


def check_stock(checked: CheckedRows, settings: Settings, as_of: date) -> list[Row]:
    """Keep the rows whose kind and quantity say what lies in store.

    Parameters
    ----------
    checked : CheckedRows
        Of `stock.csv`; its findings and rejections grow.
    settings : Settings
        For the kinds.
    as_of : date
        Last day watched; nothing in store was made after it.
    """
    spelling = Spelling(settings.kinds, 0.8)
    kept: list[Row] = []
    for row in checked.rows:
        if row["quantity"] != int(row["quantity"]):
            checked.reject(
                row["row"],
                "quantity",
                f"{row['quantity']:g}",
                "a whole number of parts",
                "Count the parts; a set is one part.",
                sort="cell_unreadable",
            )
            continue
        if row["quantity"] > MOST_IN_ROW:
            checked.reject(
                row["row"],
                "quantity",
                f"{row['quantity']:,.0f}",
                f"up to {MOST_IN_ROW:,} parts",
                "Correct the number, or write what is in store in several rows.",
                sort="cell_unreadable",
            )
            continue
        if not _known(checked, row, settings, spelling):
            continue
        if row["made_on_lo"] and row["made_on_lo"] > as_of:
            checked.say(
                row["row"],
                "made_on",
                row["made_on_lo"],
                f"a day up to {as_of}, the last one watched",
                "ignored",
                "Correct the day, or as_of in fleet.toml. Until then the cell is read as blank.",
                sort="future_date",
            )
            row |= {"made_on_lo": None, "made_on_hi": None}
        kept.append(row)
    return kept


def _known(checked: CheckedRows, row: Row, settings: Settings, spelling: Spelling) -> bool:
    kind = row["kind"]
    if kind in settings.kinds:
        return True
    if hint := spelling.hint(kind):
        checked.reject(
            row["row"],
            "kind",
            kind,
            "a kind of part that is known",
            f"{hint}If it is a kind of your own, add [kinds.{kind}] to fleet.toml.",
            sort="words_unknown",
        )
        return False
    checked.say(
        row["row"],
        "kind",
        kind,
        "a kind that is known or listed in fleet.toml",
        "assumed",
        "Read as a kind of your own: it counts as in store only where parts.csv has such parts.",
        sort="words_unknown",
    )
    return True
