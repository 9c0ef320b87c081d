"""What lies in store: whole parts, known kinds, made by the last day watched; own policies."""

from tests.analytics.records.fleet_folder import counts, part, read, reconciled, said

FILE = "stock.csv"
SOUND = {"kind": "bellows", "base": "Quay", "quantity": "2", "made_on": "2019"}


def test_stock_is_read_as_it_stands() -> None:
    records = read(part(), stock=[SOUND, SOUND | {"quantity": "0", "made_on": ""}])
    held = records.tables[FILE]
    assert held["quantity"].tolist() == [2.0, 0.0]
    assert str(held["made_on_lo"].iloc[0].date()) == "2019-01-01"
    assert held["made_on_lo"].isna().tolist() == [False, True]
    assert not [one for one in records.findings if one.file == FILE]
    reconciled(records)


def test_parts_are_whole_and_none_are_negative() -> None:
    rows = [SOUND | {"quantity": text} for text in ("1.5", "-1", "", "2")]
    records = read(part(), stock=rows)
    rejected = sorted(said(records, "rejected", FILE))
    assert rejected == [(2, "quantity"), (3, "quantity"), (4, "quantity")]
    assert counts(records, FILE) == {"rows_read": 4, "used": 1, "rejected": 3}
    reconciled(records)


def test_an_unknown_kind_is_told() -> None:
    rows = [SOUND | {"kind": "belows"}, SOUND | {"kind": "windlass rope"}]
    records = read(part(), stock=rows)
    assert said(records, "rejected", FILE) == [(2, "kind")]
    assert said(records, "assumed", FILE) == [(3, "kind")]
    assert records.tables[FILE]["kind"].tolist() == ["windlass_rope"]
    (one,) = [one for one in records.findings if one.file == FILE and one.done == "rejected"]
    assert "Did you mean 'bellows'?" in one.remedy


def test_nothing_in_store_was_made_after_the_last_day_watched() -> None:
    rows = [SOUND | {"made_on": text} for text in ("2020-12-31", "2021-01-01", "2020")]
    records = read(part(), stock=rows)
    assert said(records, "ignored", FILE) == [(3, "made_on")]
    made = records.tables[FILE]["made_on_lo"]
    assert made.isna().tolist() == [False, True, False]


def test_more_parts_than_anybody_holds_are_a_slip() -> None:
    rows = [SOUND | {"quantity": text} for text in ("10000", "10001", "999999999")]
    records = read(part(), stock=rows)
    assert said(records, "rejected", FILE) == [(3, "quantity"), (4, "quantity")]
    assert records.tables[FILE]["quantity"].tolist() == [10_000.0]
    (one, _) = [one for one in records.findings if one.file == FILE]
    assert (one.found, one.expected) == ("10,001", "up to 10,000 parts")
    reconciled(records)
