"""Marks of rows. Outside check: BLAKE2b of hashlib, which RFC 7693 defines, over a text put
together by hand."""

import hashlib
import random

from hypothesis import given
from hypothesis import strategies as st

from analytics.records.decided.marks import row_mark, row_marks, same_text

TEXTS = st.text(st.characters(exclude_categories=[]), max_size=6) | st.sampled_from(
    ["", " ", "\x1e", "a\x1eb", "Zoë", "Zoe\u0308", "½", "\u00a8x", "\n"]
)
ROWS = st.integers(1, 5).flatmap(
    lambda width: st.tuples(
        st.lists(TEXTS, min_size=width, max_size=width),
        st.lists(st.lists(TEXTS, min_size=width, max_size=width), max_size=5),
    )
)


def test_a_mark_made_by_hand() -> None:
    by_hand = hashlib.blake2b(b'["boat", "on"]\nOtter\x1e2019', digest_size=8)
    assert row_marks(["On", "Boat", "Note"], [["2019", " Otter ", ""]]) == [by_hand.hexdigest()]


@given(ROWS, st.randoms(use_true_random=False))
def test_neither_the_order_of_columns_nor_a_blank_one_matters(
    table: tuple[list[str], list[list[str]]], chance: random.Random
) -> None:
    header, rows = table
    order = list(range(len(header)))
    chance.shuffle(order)
    moved = [[cells[at] for at in order] + [" "] for cells in rows]
    assert row_marks([header[at] for at in order] + ["one more"], moved) == row_marks(header, rows)


@given(ROWS)
def test_a_row_alone_has_the_mark_it_has_among_others(
    table: tuple[list[str], list[list[str]]],
) -> None:
    header, rows = table
    assert [row_mark(header, cells) for cells in rows] == row_marks(header, rows)


@given(st.lists(TEXTS, min_size=3, max_size=3), st.lists(TEXTS, min_size=3, max_size=3))
def test_rows_that_differ_have_marks_that_differ(one: list[str], other: list[str]) -> None:
    def seen(cells: list[str]) -> list[str]:
        import unicodedata

        return [unicodedata.normalize("NFKC", cell).strip() for cell in map(str.strip, cells)]

    first, second = row_marks(["a", "b", "c"], [one, other])
    assert (first == second) == (seen(one) == seen(other))


def test_the_mark_between_cells_within_a_cell_joins_no_two() -> None:
    rows = [["a\x1eb", "c", "d"], ["a", "b\x1ec", "d"], ["a", "b", "c\x1ed"]]
    assert len(set(row_marks(["x", "y", "z"], rows))) == 3
    assert len(set(row_marks(["x", "x", "x"], [["a\x1eb", "c", ""], ["a", "b\x1ec", ""]]))) == 2


def test_the_header_over_a_cell_counts() -> None:
    assert row_mark(["a", "b"], ["x", ""]) != row_mark(["a", "b"], ["", "x"])
    assert row_mark(["a", "b"], ["x", ""]) == row_mark(["a"], ["x"])


def test_short_and_long_rows() -> None:
    assert row_mark(["a", "b"], ["x"]) == row_mark(["a", "b"], ["x", ""])
    assert row_mark(["a", "b"], ["x", "", "y"]) != row_mark(["a", "b"], ["x", ""])


@given(TEXTS)
def test_the_same_text_is_the_same_twice(text: str) -> None:
    assert same_text(same_text(text)) == same_text(text)
    assert same_text(f"  {text}\t") == same_text(text)


def test_same_text_by_hand() -> None:
    assert same_text(" Penny\u00a0 WREN ") == "penny wren"
    assert same_text("ZOE\u0308") == same_text("zoë")


def test_rows_that_differ_in_one_number_have_marks_of_their_own() -> None:
    row = ["Zoë", "", "port", "bellows", "2019-03-04", "", "failed", "x" * 20, "", "12,5", "n", ""]
    rows = [[*row[:10], str(number), ""] for number in range(20_000)]
    marks = row_marks([f"h{at}" for at in range(12)], rows)
    assert len(set(marks)) == 20_000
