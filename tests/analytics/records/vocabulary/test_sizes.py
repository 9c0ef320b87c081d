"""Sizes as they are written. An inch is 25.4 mm exactly (international yard and pound, 1959)."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from analytics.records.vocabulary.sizes import size_of


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("25 mm", 25.0),
        ("25", 25.0),
        ("40MM", 40.0),
        ("30mm x 40", 30.0),
        ("30x40", 30.0),
        ("Ø40", 40.0),
        ("ø 40 mm", 40.0),
        ("25,4 mm", 25.4),
        ("2.5 cm", 25.0),
        ("shaft 35 mm, tube 50", 35.0),
        ("size 30", 30.0),
    ],
)
def test_millimetres(text: str, mm: float) -> None:
    size = size_of(text)
    assert size is not None
    assert (size.mm, size.inches, size.text) == (mm, None, f"{mm:g} mm")


@pytest.mark.parametrize(
    ("text", "inches", "written"),
    [
        ("1 in", 1.0, "1 in"),
        ('1"', 1.0, "1 in"),
        ("1''", 1.0, "1 in"),
        ("1 1/4 in", 1.25, "1 1/4 in"),
        ('1¼"', 1.25, "1 1/4 in"),
        ("1.25in", 1.25, "1 1/4 in"),
        ("1-1/4", 1.25, "1 1/4 in"),
        ("1.1/4in", 1.25, "1 1/4 in"),
        ("1 1/4 x 2 in", 1.25, "1 1/4 in"),
        ("1,5 Zoll", 1.5, "1 1/2 in"),
        ("3/4 inch", 0.75, "3/4 in"),
        ("1.3 in", 1.3, "1.3 in"),
        ("2 pouces", 2.0, "2 in"),
    ],
)
def test_inches(text: str, inches: float, written: str) -> None:
    size = size_of(text)
    assert size is not None
    assert (size.inches, size.text) == (inches, written)
    assert size.mm == pytest.approx(inches * 25.4, abs=0.005)


@pytest.mark.parametrize(
    "text",
    ["", "3", "1", "1.25", "0", "M38", "QT-18", "01/02/2019", "12/11", "2019", "2 in stock", "5/0"],
)
def test_no_size(text: str) -> None:
    assert size_of(text) is None


def test_an_inch_is_not_25_mm() -> None:
    inch, metric = size_of("1 in"), size_of("25 mm")
    assert inch is not None
    assert metric is not None
    assert inch.mm != metric.mm
    assert inch.text != metric.text


@given(st.text(alphabet="0123456789 ./,-\"'xinmø¼½Ø", max_size=12) | st.text())
def test_no_text_raises(text: str) -> None:
    size = size_of(text)
    assert size is None or 0 < size.mm <= 500


@given(st.integers(6, 120), st.sampled_from(("mm", " mm", "MM")))
def test_what_is_written_is_read(mm: int, unit: str) -> None:
    size = size_of(f"{mm}{unit}")
    assert size is not None
    assert size.mm == mm


@given(st.integers(0, 4), st.sampled_from((1, 3, 5, 7)), st.sampled_from((2, 4, 8, 16)))
def test_fractions_come_back_as_written(whole: int, over: int, under: int) -> None:
    over = over % under or 1
    written = f"{whole} {over}/{under} in" if whole else f"{over}/{under} in"
    size = size_of(written)
    assert size is not None
    assert size.text == written
    assert size.inches == whole + over / under
