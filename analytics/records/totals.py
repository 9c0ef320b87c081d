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


def may_be_totals(first: str) -> bool:
    """True where the first filled cell of a row does not yet rule out that it adds up others."""
    return _says_so(first) or _NUMBER.fullmatch(first) is not None


def is_totals_row(table: Table, cells: Mapping[str, str]) -> bool:
    """True where a row adds up others instead of telling of one thing.

    It says so in its first filled cell and holds nothing but numbers beside it,
    or every cell but those of numbers is blank.

    Parameters
    ----------
    table : Table
        What the file holds.
    cells : mapping of str to str
        The row; not all blank.
    """
    filled = [(name, text) for name, text in cells.items() if text]
    called_so = _says_so(filled[0][1])
    numbers = filled[1:] if called_so else filled
    if not all(_NUMBER.fullmatch(text) for _, text in numbers):
        return False
    if called_so:
        # A boat may bear such a name: a total of nothing is none where that is enough.
        return bool(numbers) or len(table.needed) > 1
    return table.identity.isdisjoint(name for name, _ in numbers)


def _says_so(text: str) -> bool:
    return text.casefold().strip(" :.") in WORDS
