"""Peaks of readings and belief, against a fine grid; each by itself."""

import numpy as np
import numpy.typing as npt
import pytest

from analytics.ageing.wear.straight_lines import peak

Floats = npt.NDArray[np.float64]


@pytest.fixture(scope="module")
def asked() -> tuple[Floats, Floats, Floats, Floats]:
    """Readings that say much or little, and beliefs near them or far; draws by rows."""
    rng = np.random.default_rng(2)
    a = np.exp(rng.uniform(-4, 9, (40, 60)))
    b = a * np.exp(rng.normal(0.0, 1.5, a.shape)) * rng.choice([1.0, 1.0, 1.0, -0.2], a.shape)
    return a, b, rng.normal(0.0, 1.0, (40, 1)), np.exp(rng.uniform(-2.0, 0.7, (40, 1)))


def test_the_peak_is_the_highest_there_is(asked: tuple[Floats, Floats, Floats, Floats]) -> None:
    at, width = peak(*asked)
    away = np.linspace(-14.0, 14.0, 56_001)

    def height(log_rate: Floats, cell: tuple[int, int]) -> Floats:
        a, b = asked[0][cell], asked[1][cell]
        middle, spread = asked[2][cell[0], 0], asked[3][cell[0], 0]
        rate = np.exp(log_rate)
        return np.asarray(rate * (b - 0.5 * a * rate) - 0.5 * ((log_rate - middle) / spread) ** 2)

    for cell in [(i, (7 * i) % 60) for i in range(40)]:
        best = float(height(asked[2][cell[0], 0] + away, cell).max())
        assert float(height(at[cell], cell)) > best - 1e-4
    assert (width > 0).all()


def test_a_peak_is_the_same_to_the_last_digit_whatever_is_asked_with_it(
    asked: tuple[Floats, Floats, Floats, Floats],
) -> None:
    a, b, middle, spread = asked
    together = np.stack(peak(*asked))
    for column in (0, 17, 59):
        alone = peak(a[:, [column]], b[:, [column]], middle, spread)
        assert np.array_equal(np.stack(alone), together[:, :, [column]])
    few = peak(a[3:5], b[3:5], middle[3:5], spread[3:5])
    assert np.array_equal(np.stack(few), together[:, 3:5])
