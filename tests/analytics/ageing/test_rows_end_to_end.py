"""Rows laid end to end, against `numpy.searchsorted`, `numpy.interp` and `numpy.cumsum` of each."""

import numpy as np
import numpy.typing as npt
import pytest

from analytics.ageing.rows_end_to_end import RowsEndToEnd

Floats = npt.NDArray[np.float64]


@pytest.fixture(scope="module")
def rows() -> list[Floats]:
    rng = np.random.default_rng(5)
    return [np.unique(rng.integers(0, 30, n)).astype(float) for n in [1, 1, 2, 25, *range(1, 20)]]


@pytest.fixture(scope="module")
def asked(rows: list[Floats]) -> tuple[npt.NDArray[np.int64], Floats]:
    """Rows and numbers: before, after, between and on their values."""
    rng = np.random.default_rng(6)
    return rng.integers(0, len(rows), 3000), rng.integers(-4, 66, 3000) / 2


@pytest.mark.parametrize("side", ["left", "right"])
def test_searched_as_numpy_does(
    rows: list[Floats], asked: tuple[npt.NDArray[np.int64], Floats], side: str
) -> None:
    which, x = asked
    found = RowsEndToEnd.of(rows).searched(which, x, side)  # type: ignore[arg-type]
    each = [np.searchsorted(rows[i], one, side) for i, one in zip(which, x, strict=True)]  # type: ignore[call-overload]
    assert found.tolist() == each


def test_interpolated_to_the_last_digit(
    rows: list[Floats], asked: tuple[npt.NDArray[np.int64], Floats]
) -> None:
    which, x = asked
    heights = [np.random.default_rng(i).normal(size=len(row)) for i, row in enumerate(rows)]
    found = RowsEndToEnd.of(rows).interpolated(which, x, np.concatenate(heights))
    each = [np.interp(one, rows[i], heights[i]) for i, one in zip(which, x, strict=True)]
    assert np.array_equal(found, each)


def test_sums_of_a_row_are_its_own_to_the_last_digit(rows: list[Floats]) -> None:
    terms = [np.random.default_rng(i).normal(size=len(row)) for i, row in enumerate(rows)]
    found = RowsEndToEnd.of(rows).summed(np.concatenate(terms))
    each = [np.append(0.0, np.cumsum(of[:-1])) for of in terms]
    assert np.array_equal(found, np.concatenate(each))
