"""Rows of `prices.csv` against the fleet's own currency and tax."""

from __future__ import annotations

from analytics.records.cells import CheckedRows, Row
from analytics.records.settings import FILE as SETTINGS_FILE
from analytics.records.settings import Settings
from analytics.records.tables import as_word

_SIGNS = {"€": "EUR"}
"""The one sign that a single currency has to itself; `$` and `£` are those of several."""


def in_currency(written: str, settings: Settings) -> bool:
    """True where a price is in the fleet's currency, or does not say in which."""
    code = written.strip().upper()
    return not code or _SIGNS.get(code, code) == settings.currency


def check_prices(checked: CheckedRows, settings: Settings) -> list[Row]:
    """Keep the prices in the fleet's currency; note those with another tax than the rates.

    Parameters
    ----------
    checked : CheckedRows
        Of `prices.csv`; its findings and rejections grow.
    settings : Settings
    """
    tax = as_word(settings.rates.tax).split("_")[0].strip(",;")
    other_tax: list[int] = []
    kept: list[Row] = []
    for row in checked.rows:
        if not in_currency(row["currency"], settings):
            checked.reject(
                row["row"],
                "currency",
                row["currency"],
                f"{settings.currency}, the fleet's currency",
                f"Give the price in {settings.currency} (no rates of exchange are assumed), or "
                f"set currency in {SETTINGS_FILE} if all prices and rates are in this one.",
                sort="currency_mixed",
            )
            continue
        kept.append(row)
        if row["tax"] and tax in ("net", "gross") and row["tax"] != tax:
            other_tax.append(row["row"])
    checked.say_of(
        other_tax,
        "tax",
        "net" if tax == "gross" else "gross",
        f"{tax}, as the rates of {SETTINGS_FILE} are",
        "noted",
        "Added up as they stand: give these prices and the rates alike, or the budget is off by "
        "the tax on them.",
        sort="currency_mixed",
    )
    return kept
