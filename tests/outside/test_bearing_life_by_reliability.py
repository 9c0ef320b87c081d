"""Lives that a share of bearings reaches, of the kind's own curve, against bearing practice.

ISO 281 rates rolling bearings by the life that 90 % reach, and gives factors on it for 95 to 99 %.
Those of the edition of 2007 are of a Weibull curve of shape 1.5 that begins at a threshold of .05
of that life. The program has no threshold: a part that cannot fail before an age is, from that
age on, a part of the two-parameter curve, and so is it asked here.
"""

from dataclasses import replace

import numpy as np
import pytest

from analytics.ageing.curves import life_at
from analytics.ageing.posterior import Posterior, point
from analytics.records.kinds import KINDS

KIND = replace(KINDS["cutless_bearing"], causes=("wear_out",), family="weibull")

THRESHOLD = 0.05


def of_shape_one_and_a_half(scale: float) -> Posterior:
    return point(KIND, np.log(1.5), np.log(scale))


def reached_by(posterior: Posterior, share: float) -> float:
    return float(life_at(posterior, 300.0, 1.0 - share)[0])


def test_scale_beside_the_life_of_nine_in_ten() -> None:
    # Closed form (-log .9) ** (-1 / 1.5) = 4.482787.
    curve = of_shape_one_and_a_half(2400.0)
    assert 2400.0 / reached_by(curve, 0.9) == pytest.approx(4.482787, abs=1e-6)


@pytest.mark.parametrize(
    ("reliability", "rounded", "exact"),
    [
        (0.95, 0.64, 0.6379),
        (0.96, 0.55, 0.5549),
        (0.97, 0.47, 0.4654),
        (0.98, 0.37, 0.3659),
        (0.99, 0.25, 0.2483),
    ],
)
def test_life_factors_of_iso_281(reliability: float, rounded: float, exact: float) -> None:
    # Two decimals: ISO 281:2007, table of the life modification factor for reliability, from
    # memory. Four: computed from the curve described above.
    curve = of_shape_one_and_a_half(1.0)
    beyond = reached_by(curve, reliability) / reached_by(curve, 0.9)
    factor = THRESHOLD + (1.0 - THRESHOLD) * beyond
    assert factor == pytest.approx(exact, abs=5e-5)
    assert factor == pytest.approx(rounded, abs=0.005)
    # Without the threshold no shape gives the table's 99 % and its 95 % at once.
    assert beyond < exact
