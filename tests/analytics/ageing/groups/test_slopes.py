"""The slopes of the likelihood against differences of its values, and the values against its own.

Central differences with a step of 1e-4 are right to about 1e-7 of the third derivative; nothing
but the definition of a derivative is needed.
"""

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import given
from hypothesis import strategies as st

from analytics.ageing.clocks import CENSORED, EXACT, INTERVAL, Nodes
from analytics.ageing.families import FAMILIES
from analytics.ageing.groups.slopes import slopes_of
from analytics.ageing.likelihood import Parameters, per_life

EARLY_YEARS = 0.25
STEP = 1e-4

ages = st.floats(0.02, 12.0)


@st.composite
def lives(draw: st.DrawFn) -> Nodes:
    """One to four lives: known or windowed starts, every kind of end, entered late or not."""
    rows: list[tuple[int, float, float, float, float, float]] = []
    outcome = []
    for life in range(draw(st.integers(1, 4))):
        kind = draw(st.sampled_from((EXACT, INTERVAL, CENSORED)))
        outcome.append(kind)
        seen, window = draw(ages), draw(st.floats(0.1, 6.0))
        late = draw(st.floats(0.0, 1.0))
        n = draw(st.sampled_from((1, 1, 3, 6)))
        for node in range(n):
            # An earlier fitting makes every age of the life larger by as much.
            older = 1.5 * node
            lower, entry = seen + older, late * seen + older
            upper = lower + (window if kind == INTERVAL else 0.0)
            rows.append((life, 1.0 / n, entry if late > 0.3 else 0.0, lower, upper, 1.0))
    life, weight, entry, lower, upper, _ = (np.array(x) for x in zip(*rows, strict=True))
    n_lives = len(outcome)
    return Nodes(
        life=life.astype(np.int64),
        first=np.searchsorted(life, np.arange(n_lives)).astype(np.int64),
        weight=weight,
        start=np.zeros(len(life)),
        entry=entry,
        lower=lower,
        upper=upper,
        entry_years=entry,
        lower_years=lower,
        upper_years=upper,
        outcome=np.array(outcome),
        count=np.ones(n_lives),
        entry_weight=weight,
    )


rows = st.tuples(st.floats(-0.3, 1.6), st.floats(0.8, 2.6), st.floats(-5.0, -1.0)).map(
    lambda row: np.array([row])
)


def values(family: str, row: npt.NDArray[np.float64], nodes: Nodes, shift: float) -> np.ndarray:
    shifts = np.full((len(row), nodes.n_lives), shift)
    theta = Parameters.from_rows(row)
    return per_life(FAMILIES[family], theta, nodes, EARLY_YEARS, shifts)


@pytest.mark.parametrize("family", FAMILIES)
@given(nodes=lives(), row=rows, shift=st.floats(-0.5, 0.5))
def test_slopes_are_the_slopes_of_the_values(
    family: str, nodes: Nodes, row: npt.NDArray[np.float64], shift: float
) -> None:
    shifts = np.full((1, nodes.n_lives), shift)
    found = slopes_of(FAMILIES[family], Parameters.from_rows(row), nodes, EARLY_YEARS, shifts)
    here = values(family, row, nodes, shift)
    np.testing.assert_allclose(found.value, here, rtol=1e-9, atol=1e-9)
    for column, slope in enumerate((found.by_shape, found.by_scale, found.by_early)):
        move = np.eye(3)[column] * STEP
        up, down = (values(family, row + side * move, nodes, shift) for side in (1, -1))
        size = np.abs(here) + np.abs(slope) + 1.0
        np.testing.assert_array_less(np.abs((up - down) / (2 * STEP) - slope), 1e-4 * size)
    up, down = (values(family, row, nodes, shift + side * 1e-3) for side in (1, -1))
    bent = (up - 2 * here + down) / 1e-6
    size = np.abs(here) + np.abs(found.curvature) + np.abs(found.by_scale) + 1.0
    np.testing.assert_array_less(np.abs(bent - found.curvature), 1e-3 * size)


@pytest.mark.parametrize("family", FAMILIES)
@given(nodes=lives(), row=rows)
def test_a_life_factor_is_a_move_of_the_scale(
    family: str, nodes: Nodes, row: npt.NDArray[np.float64]
) -> None:
    moved = row + np.array([0.0, 0.4, 0.0])
    np.testing.assert_allclose(
        values(family, row, nodes, 0.4), values(family, moved, nodes, 0.0), rtol=1e-10, atol=1e-12
    )


def test_slopes_not_asked_for_are_empty() -> None:
    nodes = Nodes(
        life=np.zeros(1, dtype=np.int64), first=np.zeros(1, dtype=np.int64), weight=np.ones(1),
        start=np.zeros(1), entry=np.zeros(1), lower=np.ones(1), upper=np.ones(1),
        entry_years=np.zeros(1), lower_years=np.ones(1), upper_years=np.ones(1),
        outcome=np.array([CENSORED]), count=np.ones(1),
    )  # fmt: skip
    theta = Parameters(np.log([2.0]), np.log([4.0]), np.zeros(1))
    found = slopes_of(FAMILIES["weibull"], theta, nodes, EARLY_YEARS, every=False)
    assert found.by_shape.size == found.by_early.size == 0
    # H = (1/4)^2: slope in the log scale 2 H, curvature -4 H.
    assert found.by_scale[0, 0] == pytest.approx(2 / 16)
    assert found.curvature[0, 0] == pytest.approx(-4 / 16)


def test_an_impossible_draw_has_no_slope() -> None:
    nodes = Nodes(
        life=np.zeros(1, dtype=np.int64), first=np.zeros(1, dtype=np.int64), weight=np.ones(1),
        start=np.zeros(1), entry=np.zeros(1), lower=np.full(1, 3.0), upper=np.full(1, 3.0),
        entry_years=np.zeros(1), lower_years=np.full(1, 3.0), upper_years=np.full(1, 3.0),
        outcome=np.array([INTERVAL]), count=np.ones(1),
    )  # fmt: skip
    theta = Parameters(np.log([2.0]), np.log([4.0]), np.zeros(1))
    found = slopes_of(FAMILIES["weibull"], theta, nodes, EARLY_YEARS)
    assert np.isneginf(found.value[0, 0])
    assert found.by_scale[0, 0] == found.by_shape[0, 0] == found.curvature[0, 0] == 0.0
