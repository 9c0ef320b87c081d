"""Ten invented fleets of 600 boats: do the intervals hold what the fleets were drawn from?

The generator draws every life from the building of a boat on and writes down only those still in
place when the boat was first watched; old parts are dated by the year or not at all, and parts
are renewed at a limit. A 90 % interval should hold the truth in nine fleets of ten; with ten
fleets, seven is where chance ends (probability .013 of fewer). The fleets are drawn without
groups and from Weibull curves, and are fitted so: what groups and the choice of a family do is
tested elsewhere.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt
import pytest

from analytics.ageing.fit import kind_ageing
from analytics.job import open_fleet
from analytics.sample import TARNWICK, invent_fleet, without_bad_lot, without_life_factors
from tests.analytics.ageing.folders import of_weibull_curves

FLEETS, BOATS = 10, 600
SCENARIO = replace(without_bad_lot(without_life_factors(TARNWICK)), defects=())
TRUTH = {
    ("bellows", "shape"): 5.0,
    ("bellows", "scale"): 14.0,
    ("bellows", "early"): 0.02,
    ("packed_gland", "shape"): 1.6,
    ("packed_gland", "scale"): 1100.0,
}

Quantiles = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Recovered:
    """5, 50 and 95 % points by kind and parameter, shape (fleets, 3): entry kept, and ignored."""

    right: Mapping[tuple[str, str], Quantiles]
    entry_ignored: Mapping[tuple[str, str], Quantiles]


def covered(points: Quantiles, truth: float) -> int:
    return int(((points[:, 0] <= truth) & (truth <= points[:, 2])).sum())


@pytest.fixture(scope="module")
def recovered() -> Recovered:
    found: dict[bool, dict[tuple[str, str], list[Quantiles]]] = {False: {}, True: {}}
    for seed in range(FLEETS):
        text = invent_fleet(SCENARIO, boats=BOATS, seed=seed).files
        header, *rows = text["parts.csv"].splitlines()
        chosen = [row for row in rows if ",bellows," in row or ",packed_gland," in row]
        files = {name: text[name].encode() for name in ("fleet.toml", "boats.csv", "hours.csv")}
        files["parts.csv"] = "\n".join([header, *chosen]).encode()
        lives = of_weibull_curves(open_fleet(files).lives)
        for kind in ("bellows", "packed_gland"):
            table = lives.table[lives.table["kind"] == kind]
            for ignored, of_kind in found.items():
                fitted = kind_ageing(lives, table, ignore_entry=ignored, factors=False)
                theta = fitted.posterior.parameters
                for name, draws in (
                    ("shape", np.exp(theta.log_shape)),
                    ("scale", np.exp(theta.log_scale)),
                    ("early", theta.early),
                ):
                    points = np.quantile(draws, (0.05, 0.5, 0.95))
                    of_kind.setdefault((kind, name), []).append(points)
    right, wrong = ({k: np.array(v) for k, v in found[ignored].items()} for ignored in found)
    return Recovered(right, wrong)


def test_the_truth_is_what_the_fleets_are_drawn_from() -> None:
    for kind in ("bellows", "packed_gland"):
        assert SCENARIO.kind(kind).shape == TRUTH[kind, "shape"]
        assert SCENARIO.kind(kind).scale == TRUTH[kind, "scale"]
    assert SCENARIO.early_share == TRUTH["bellows", "early"]


@pytest.mark.slow
@pytest.mark.parametrize(("kind", "name"), TRUTH)
def test_intervals_hold_the_truth(recovered: Recovered, kind: str, name: str) -> None:
    assert covered(recovered.right[kind, name], TRUTH[kind, name]) >= 7


@pytest.mark.slow
@pytest.mark.parametrize(("kind", "name"), TRUTH)
def test_the_middle_is_not_off_to_one_side(recovered: Recovered, kind: str, name: str) -> None:
    # Mean of ten medians; their standard error is a third of one posterior's spread.
    points, truth = recovered.right[kind, name], TRUTH[kind, name]
    spread = np.log(points[:, 2] / points[:, 0]).mean() / 3.29
    assert abs(np.log(points[:, 1] / truth).mean()) < spread


@pytest.mark.slow
def test_with_entry_ignored_packed_glands_last_too_long(recovered: Recovered) -> None:
    # Packing wears out in three years and is renewed only then: what was in place when the records
    # began had outlived most of its kind.
    truth = TRUTH["packed_gland", "scale"]
    points = recovered.entry_ignored["packed_gland", "scale"]
    assert covered(points, truth) <= 3
    assert (points[:, 1] > truth).all()
    assert (points[:, 1] > recovered.right["packed_gland", "scale"][:, 1]).all()


@pytest.mark.slow
def test_with_entry_ignored_bad_fits_seem_rarer(recovered: Recovered) -> None:
    # Bellows are renewed at seven to nine years, before they wear out, so what entry times change
    # is the early share: parts already old when first watched could not show an early failure.
    right, wrong = recovered.right["bellows", "early"], recovered.entry_ignored["bellows", "early"]
    assert (wrong[:, 1] < 0.8 * right[:, 1]).all()
    assert wrong[:, 1].mean() < 0.8 * TRUTH["bellows", "early"]
    assert covered(wrong, 0.02) < covered(right, 0.02)
