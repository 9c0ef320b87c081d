"""Which mark is the decimal one: the rules by examples done by hand, and any number read back."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from analytics.records.files.grids import FileSettings, SheetNumber
from analytics.records.numbers import Marks, TwoReadings, marks_of

NOTHING_SET = FileSettings()
SPACES = ["\u00a0", "\u202f", "\u2009", " "]


def values(texts: list[str], chosen: FileSettings = NOTHING_SET) -> list[float | None]:
    """What each cell of a column is read as; None where two readings stand."""
    marks = marks_of(texts, chosen)
    found: list[float | None] = []
    for text in texts:
        try:
            found.append(marks.value(text))
        except TwoReadings:
            found.append(None)
    return found


@pytest.mark.parametrize(
    ("texts", "expected"),
    [
        # One reading each.
        (["12", "1.5", "0.125", "1234.567", ".5", "7."], [12, 1.5, 0.125, 1234.567, 0.5, 7]),
        (["1,5", "0,125", "1234,567", ",5"], [1.5, 0.125, 1234.567, 0.5]),
        (["1.234.567"], [1234567]),
        (["1.234,5"], [1234.5]),
        (["1,234.5", "-1,234,567"], [1234.5, -1234567]),
        (["1 234,5", "1'234.5", "1’234", "12\u00a0345"], [1234.5, 1234.5, 1234, 12345]),
        # Two readings, and nothing decides: not even whole numbers, or numbers with spaces.
        (["1.200"], [None]),
        (["1,200", "12", "1 200"], [None, 12, 1200]),
        # Two readings, and another cell decides.
        (["1.200", "1,5"], [1200, 1.5]),
        (["1.200", "1.5"], [1.2, 1.5]),
        (["1,200", "0.5"], [1200, 0.5]),
        (["1,200", "1.000.000"], [1.2, 1000000]),
        # Both marks are decimal ones in this column: what has one reading keeps it.
        (["1.5", "1,5", "1.200"], [1.5, 1.5, None]),
    ],
)
def test_the_column_decides(texts: list[str], expected: list[float | None]) -> None:
    assert values(texts) == expected
    assert values(texts[::-1]) == expected[::-1]


@pytest.mark.parametrize(
    "text",
    ["", "1.2.3", "1,2,3", "1.23.456", "12.3456.789", "1,234,56", "1 23", "12 h", "1e3", "."],
)
def test_what_is_no_number(text: str) -> None:
    with pytest.raises(ValueError, match="not a number"):
        Marks().value(text)


def test_the_settings_decide() -> None:
    assert values(["1.200"], FileSettings(decimal=".")) == [1.2]
    assert values(["1.200"], FileSettings(decimal=",")) == [1200]
    assert values(["1.200"], FileSettings(thousands=".")) == [1200]
    assert values(["1.200"], FileSettings(thousands="")) == [1.2]
    assert values(["1,200", "1'200"], FileSettings(thousands="'")) == [1.2, 1200]
    # They stand against the evidence, which is then no number.
    with pytest.raises(ValueError, match="not a number"):
        values(["1,5"], FileSettings(decimal="."))


def test_a_number_of_the_spreadsheet_needs_no_mark_and_decides_for_no_text() -> None:
    assert Marks(",").value(SheetNumber("1.125")) == 1.125
    assert SheetNumber("1.5").strip() == "1.5"
    assert type(SheetNumber("1.5").strip()) is SheetNumber


@given(
    st.lists(st.decimals(0, 10**8, places=2), min_size=1, max_size=8),
    st.sampled_from([(".", ","), (",", "."), *((",", space) for space in SPACES), (".", "'")]),
)
def test_any_column_is_read_back(numbers: list, marks: tuple[str, str]) -> None:
    decimal, thousands = marks
    table = str.maketrans(",.", thousands + decimal)
    assert values([f"{n:,.2f}".translate(table) for n in numbers]) == [float(n) for n in numbers]
