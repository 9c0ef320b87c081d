"""Rows of `prices.csv` against the fleet's own currency and tax, and against each other."""

from __future__ import annotations

from math import isnan, nan

from analytics.records.cells import CheckedRows, Row
from analytics.records.settings import FILE as SETTINGS_FILE
from analytics.records.settings import Settings
from analytics.records.tables import as_word

_SIGNS = {"€": "EUR"}
"""The one sign that a single currency has to itself; `$` and `£` are those of several."""


SAID_OF_A_PRICE = [
    *("part_price", "labour_hours", "lead_time_days", "shared_hours", "shelf_life_years"),
]
"""What a row says of the parts it is about."""


LONGEST_LEAD_DAYS = 1_825
"""Five years: nobody waits longer for a part, so more is a slip (a limit of this program's own)."""

LONGEST_STORAGE_YEARS = 100
"""Nothing of rubber or metal is bought to be fitted later than that."""

_MOST = {
    "lead_time_days": (LONGEST_LEAD_DAYS, "days"),
    "shelf_life_years": (LONGEST_STORAGE_YEARS, "years; leave blank what keeps without end"),
}


def in_currency(written: str, settings: Settings) -> bool:
    """True where a price is in the fleet's currency, or does not say in which."""
    code = written.strip().upper()
    return not code or _SIGNS.get(code, code) == settings.currency


def check_prices(checked: CheckedRows, settings: Settings) -> list[Row]:
    """Keep the prices in the fleet's currency; note those with another tax than the rates.

    Rows about the same parts that do not agree are noted as well. Lead times and storage lives
    too long to be meant are read as blank.

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
        kept.append(_without_what_is_too_long(checked, row))
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
    _note_contradictions(checked, kept)
    return kept


def _without_what_is_too_long(checked: CheckedRows, row: Row) -> Row:
    too_long = [name for name, (most, _) in _MOST.items() if row[name] > most]
    for name in too_long:
        most, unit = _MOST[name]
        checked.say(
            row["row"],
            name,
            f"{row[name]:,.10g}",
            f"up to {most:,} {unit}",
            "ignored",
            "Correct the number. Until then the cell is read as blank.",
            sort="cell_unreadable",
        )
    return row | dict.fromkeys(too_long, nan)


def _note_contradictions(checked: CheckedRows, rows: list[Row]) -> None:
    about: dict[tuple[str, str], list[Row]] = {}
    for row in rows:
        about.setdefault((row["kind"], row["part_no"]), []).append(row)
    for (kind, part_no), same in about.items():
        if not kind and not part_no:
            continue
        told = {
            name: sorted({row[name] for row in same if not isnan(row[name])})
            for name in SAID_OF_A_PRICE
        }
        differing = {name: numbers for name, numbers in told.items() if len(numbers) > 1}
        if not differing:
            continue
        number = f" with number {part_no}" if part_no else " without a number of its own"
        counts = "the dearest row counts" if part_no else "the mean of the rows counts"
        checked.say_of(
            [row["row"] for row in same],
            ", ".join(differing),
            "; ".join(
                f"{name} {' or '.join(f'{one:g}' for one in numbers)}"
                for name, numbers in differing.items()
            ),
            f"one price for {kind.replace('_', ' ') or 'a part'}{number}",
            "noted",
            f"Keep the row that is right: until then {counts}.",
            sort="prices_differ",
        )
