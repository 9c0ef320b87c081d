"""Prices against the fleet's currency and tax; policies of the project's own."""

from analytics.records.cells import CheckedRows, check_rows
from analytics.records.files.delimited import text_grid
from analytics.records.price_rows import check_prices
from analytics.records.settings import Rates, Settings
from analytics.records.table_rows import read_rows
from analytics.records.tables import PRICES
from tests.analytics.records.fleet_folder import csv_bytes


def checked(*rows: tuple[str, str]) -> CheckedRows:
    cells = [
        {"kind": "bellows", "part_price": "12", "currency": currency, "tax": tax}
        for currency, tax in rows
    ]
    return check_rows(PRICES, read_rows(PRICES, text_grid(PRICES.file, csv_bytes(cells))))


def test_currency_mixed() -> None:
    prices = checked(("EUR", ""), ("", ""), ("gbp", ""), ("eur", ""), ("€", ""))
    kept = check_prices(prices, Settings())
    assert [row["row"] for row in kept] == [2, 3, 5, 6]
    (one,) = prices.findings
    assert (one.row, one.sort, one.done) == (4, "currency_mixed", "rejected")
    assert prices.rejected == {4: one}
    assert "in EUR" in one.remedy


def test_currency_mixed_with_tax_is_noted_where_both_are_known() -> None:
    rows = (("", "gross"), ("", "net"), ("", ""), ("", "Gross"))
    prices = checked(*rows)
    assert len(check_prices(prices, Settings(rates=Rates(tax="net")))) == 4
    (one,) = prices.findings
    assert (one.rows, one.sort, one.done, one.found) == (
        (2, 5),
        "currency_mixed",
        "noted",
        "gross",
    )
    unknown = checked(*rows)
    check_prices(unknown, Settings())
    assert unknown.findings == []
