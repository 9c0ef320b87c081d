"""Where mass can lie, and rounding that says no more than was seen."""

import numpy as np
import pytest
from hypothesis import given as for_all
from hypothesis import strategies as st

from analytics.ageing.nonparametric.innermost import Observed, given, innermost, observed, on_grid

LIFE = st.tuples(st.integers(0, 6), st.integers(0, 5), st.integers(0, 5), st.booleans())


def lives_of(rows: list[tuple[int, int, int, bool]]) -> Observed:
    """Small whole ages: entry, what is added to it for lower and upper, and whether failed."""
    entry, more, wide, failed = (np.array(part) for part in zip(*rows, strict=True))
    lower = entry + more + 1
    return observed(lower, np.where(failed, lower + wide, np.inf), entry)


@pytest.mark.parametrize(
    ("lower", "upper", "cells"),
    [
        ([1, 2], [3, 4], [(2, 3)]),
        ([1, 2], [2, 3], [(1, 2), (2, 3)]),
        ([1, 2], [2, 2], [(2, 2)]),
        ([2, 2], [2, 3], [(2, 2), (2, 3)]),
        ([1, 2], [4, np.inf], [(2, 4)]),
        ([1, 2, 2], [4, np.inf, 2], [(2, 2), (2, 4)]),
        ([3], [np.inf], []),
    ],
)
def test_by_hand(lower: list[float], upper: list[float], cells: list[tuple[float, float]]) -> None:
    found = innermost(observed(lower, upper))
    # A window whose beginning is that of a life not yet failed holds all that lies after it.
    assert list(zip(found.age_from, found.age_to, strict=True)) == cells


def test_a_waiting_for_entry_ends_an_interval() -> None:
    # Chance before 3 makes it less surprising that the second life was met: it may lie there.
    found = innermost(observed([1, 4], [6, np.inf], [0, 3]))
    assert list(zip(found.age_from, found.age_to, strict=True)) == [(1, 3), (4, 6)]
    assert found.outlived.tolist() == [0, 0]
    assert (found.first.tolist(), found.last.tolist()) == ([0], [1])


@for_all(st.lists(LIFE, min_size=1, max_size=12))
def test_every_failure_has_a_place_and_lives_are_counted_right(
    rows: list[tuple[int, int, int, bool]],
) -> None:
    seen = lives_of(rows)
    cells = innermost(seen)
    assert (cells.first <= cells.last).all()
    assert cells.count.sum() == seen.failures
    assert (np.diff(cells.age_to) > 0).all() or len(cells.age_to) < 2
    for k, (a, b) in enumerate(zip(cells.age_from, cells.age_to, strict=True)):
        sound = np.where(
            seen.lower == seen.upper,
            (b < seen.upper),
            (b <= seen.lower),
        )
        watched = seen.entry <= a if a < b else seen.entry < b
        assert cells.outlived[k] == seen.weight[sound & watched].sum()


@for_all(st.lists(LIFE, min_size=1, max_size=12), st.sampled_from([0.3, 0.5, 1.0, 2.5]))
def test_rounded_windows_hold_what_was_seen(
    rows: list[tuple[int, int, int, bool]], step: float
) -> None:
    for row in rows:
        one = lives_of([row])
        rounded = on_grid(one, step)
        assert 0 <= rounded.entry[0] <= rounded.lower[0] <= rounded.upper[0]
        if np.isinf(one.upper[0]):
            assert abs(rounded.lower[0] - one.lower[0]) <= step / 2 + 1e-9
            continue
        assert rounded.lower[0] < rounded.upper[0]
        assert one.upper[0] <= rounded.upper[0] + 1e-9 <= one.upper[0] + step + 2e-9
        # Only the entry, rounded to the nearest, can keep the window from reaching as far down.
        assert rounded.lower[0] <= max(one.lower[0], rounded.entry[0]) + 1e-9


def test_on_a_grid_already_only_exact_ages_change() -> None:
    seen = observed([1.0, 2.0, 3.0], [2.5, np.inf, 3.0], [0.5, 0.0, 1.0])
    rounded = on_grid(seen, 0.5)
    assert rounded.upper.tolist() == [np.inf, 2.5, 3.0]
    assert rounded.lower.tolist() == [2.0, 1.0, 2.5]


def test_from_an_age_on() -> None:
    seen = given(observed([1, 4, 6, 2], [5, 5, np.inf, 3], [0, 3, 0, 0]), 4)
    assert (seen.entry.tolist(), seen.lower.tolist()) == ([4, 4], [4, 6])


def test_identical_rows_are_one() -> None:
    seen = observed([1, 1, 2], [2, 2, np.inf], weight=[1, 2, 5])
    assert seen.weight.tolist() == [3, 5]
    assert (seen.lives, seen.failures) == (8, 3)
    assert len(observed([1, 2], [2, 3], weight=[0, 1]).weight) == 1


@pytest.mark.parametrize(
    ("lower", "upper", "entry", "weight", "said"),
    [
        ([1], [2], [1.5], None, "0 <= entry <= lower <= upper"),
        ([3], [2], [0], None, "0 <= entry <= lower <= upper"),
        ([-1], [2], [-1], None, "0 <= entry <= lower <= upper"),
        ([np.nan], [2], [0], None, "0 <= entry <= lower <= upper"),
        ([np.inf], [np.inf], [0], None, "0 <= entry <= lower <= upper"),
        ([2], [2], [2], None, "the very age of entry"),
        ([0], [0], [0], None, "the very age of entry"),
        ([1], [2], [0], [-1], "weights"),
        ([1, 2], [2], [0], None, "give as many of each"),
    ],
)
def test_what_is_refused(
    lower: list[float], upper: list[float], entry: list[float], weight: list[float], said: str
) -> None:
    with pytest.raises(ValueError, match=said):
        observed(lower, upper, entry, weight)
