"""Prices against the fleet's currency and tax; policies of the project's own."""

from analytics.records.cells import CheckedRows, check_rows
from analytics.records.files.delimited import text_grid
from analytics.records.findings import Finding
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


def contradictions(*cells: dict[str, str]) -> list[Finding]:
    table = check_rows(PRICES, read_rows(PRICES, text_grid(PRICES.file, csv_bytes(list(cells)))))
    assert len(check_prices(table, Settings())) == len(cells)
    return table.findings


def priced(kind: str, part_no: str, price: str, hours: str = "") -> dict[str, str]:
    return {"kind": kind, "part_no": part_no, "part_price": price, "labour_hours": hours}


def test_rows_that_contradict_each_other_are_noted() -> None:
    number, kind = contradictions(
        priced("bellows", "P1", "100", "3"),
        priced("face_seal", "", "300"),
        priced("bellows", "P1", "140", "3"),
        priced("face_seal", "", "310"),
    )
    assert (number.rows, number.done, number.sort) == ((2, 4), "noted", "prices_differ")
    assert (number.field, number.found) == ("part_price", "part_price 100 or 140")
    assert "the dearest row counts" in number.remedy
    assert (kind.rows, kind.found) == ((3, 5), "part_price 300 or 310")
    assert "the mean of the rows counts" in kind.remedy


def test_rows_that_say_the_same_or_are_about_other_parts_are_not() -> None:
    assert not contradictions(
        priced("bellows", "P1", "100", "3"),
        priced("bellows", "P1", "100"),
        priced("gland_hose", "P1", "900"),
        priced("bellows", "P2", "120"),
    )


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


def test_lead_times_and_storage_lives_too_long_to_be_meant_are_read_as_blank() -> None:
    cells = [
        {"kind": "bellows", "part_no": no, "part_price": "12", "lead_time_days": lead,
         "shelf_life_years": keeps}
        for no, lead, keeps in (
            ("P1", "1825", "100"), ("P2", "1000000", "7"), ("P3", "1826", "101"), ("P4", "", ""),
        )
    ]  # fmt: skip
    table = check_rows(PRICES, read_rows(PRICES, text_grid(PRICES.file, csv_bytes(cells))))
    kept = check_prices(table, Settings())
    assert [row["part_price"] for row in kept] == [12.0] * 4
    assert [row["lead_time_days"] == row["lead_time_days"] for row in kept] == [True, *[False] * 3]
    assert [row["shelf_life_years"] for row in kept[:2]] == [100.0, 7.0]
    assert [row["shelf_life_years"] == row["shelf_life_years"] for row in kept[2:]] == [False] * 2
    told = [(one.row, one.field, one.found, one.done) for one in table.findings]
    assert told == [
        (3, "lead_time_days", "1,000,000", "ignored"),
        (4, "lead_time_days", "1,826", "ignored"),
        (4, "shelf_life_years", "101", "ignored"),
    ]
