"""Pieces shared out: in their order, all of them, with what the caller says of overflow."""

import threading

import numpy as np
import pytest

from analytics.ageing.side_by_side import ENOUGH, side_by_side


@pytest.mark.parametrize("n", [0, 1, ENOUGH - 1, 5 * ENOUGH])
def test_the_answers_are_in_the_order_of_the_pieces(n: int) -> None:
    assert side_by_side(lambda piece: piece**2, range(n)) == [i**2 for i in range(n)]


def test_many_pieces_are_shared_out_and_few_are_not() -> None:
    def here(_: int) -> bool:
        return threading.current_thread() is threading.main_thread()

    assert all(side_by_side(here, range(ENOUGH - 1)))
    assert not any(side_by_side(here, range(ENOUGH)))


def test_what_is_to_become_of_overflow_holds_for_every_piece() -> None:
    with np.errstate(over="raise"), pytest.raises(FloatingPointError):
        side_by_side(lambda _: np.exp(np.array([1e4])), range(ENOUGH))
    with np.errstate(over="ignore"):
        found = side_by_side(lambda _: float(np.exp(np.array([1e4]))[0]), range(ENOUGH))
    assert found == [np.inf] * ENOUGH
