"""Rows that add up the others: spreadsheets end with them, and they are no records."""

from __future__ import annotations

import re
from collections.abc import Mapping

from analytics.records.tables import Table

_LISTED = (
    "total, totals, grand total, subtotal, sub-total, sum, sums, "
    "summe, gesamt, gesamtsumme, zwischensumme, insgesamt, "
    "totaal, subtotaal, eindtotaal, som, "
    "totaux, sous-total, somme, totale, subtotale, somma, suma, subtotal, "
    "samlet, i alt, sammanlagt, summa, totalt, yhteensä, razem, ukupno, toplam"
)
WORDS = frozenset(_LISTED.split(", "))
"""What spreadsheets name such a row in the languages of the usual charter countries (common
practice, no source)."""

_NUMBER = re.compile(r"[+-]?[\d.,'’ \u00a0\u2007\u2009\u202f]*\d[\d.,]*")


def is_totals_row(table: Table, cells: Mapping[str, str]) -> bool:
    """True where a row adds up others instead of telling of one thing.

    It says so in its first cell and holds nothing but numbers beside it, or
    every cell but those of numbers is blank.

    Parameters
    ----------
    table : Table
        What the file holds.
    cells : mapping of str to str
        The row; not all blank.
    """
    filled = [(name, text) for name, text in cells.items() if text]
    text = filled[0][1]
    if _word(text) in WORDS:
        rest = filled[1:]
        # A boat may bear such a name; a total of nothing is none.
        alone_is_enough = len(table.needed) > 1
        return (bool(rest) or alone_is_enough) and all(_NUMBER.fullmatch(one) for _, one in rest)
    identity = {column.name for column in table.columns if column.holds != "number"}
    return all(name not in identity and _NUMBER.fullmatch(one) for name, one in filled)


def _word(text: str) -> str:
    return text.casefold().strip(" :.")
