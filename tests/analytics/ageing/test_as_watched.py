"""The fitted curve of the mix that was watched, which is what the records' own curve shows."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from analytics.ageing.as_watched import as_watched, time_watched
from analytics.ageing.groups.fields import Field
from analytics.ageing.groups.life_factors import LifeFactors
from analytics.ageing.nonparametric.kaplan_meier import kaplan_meier
from analytics.ageing.posterior import Posterior, point
from analytics.records.kinds import KINDS
from tests.outside.known_ages import lives_inspected, lives_seen_through

KIND = replace(KINDS["bellows"], causes=("wear_out",))


def known() -> Posterior:
    return point(KIND, np.log(3.0), np.log(8.0))


def test_without_groups_it_is_the_curve_itself() -> None:
    ages = np.linspace(0.0, 12.0, 25)
    nodes = lives_seen_through([5.0, 9.0], [True, False])
    curve = as_watched(known(), nodes, pd.DataFrame(index=range(2)), ages)
    assert curve["survival"].to_numpy() == pytest.approx(np.exp(-((ages / 8) ** 3)))


def test_a_mix_follows_the_parts_that_are_watched_at_each_age() -> None:
    # Half of the parts last half as long, and are watched while young only.
    rng = np.random.default_rng(3)
    n = 4000
    weak = np.arange(n) < n / 2
    life = np.where(weak, 4.0, 8.0) * rng.weibull(3.0, n)
    entry = np.where(weak, 0.0, rng.uniform(0.0, 5.0, n))
    end = np.where(weak, 3.0, 12.0)
    kept = life > entry
    weak, life, entry, end = weak[kept], life[kept], entry[kept], end[kept]
    nodes = lives_seen_through(np.minimum(life, end), life <= end, entry)
    field = Field("base", ("strong", "weak"), weak.astype(np.int64), 2)
    factors = LifeFactors((field,), (np.log([[1.0, 0.5]]),), np.ones((1, 1)), np.zeros((1, 1)))
    table = pd.DataFrame({"base": np.where(weak, "weak", "strong")})
    ages = np.linspace(0.0, 9.0, 181)
    curve = as_watched(replace(known(), factors=factors), nodes, table, ages)
    own = kaplan_meier(nodes.entry, nodes.upper, nodes.outcome == 0)
    for age in (1.0, 2.5, 5.0, 8.0):
        records = own.loc[own["age"] <= age, "survival"].iloc[-1]
        fitted = float(np.interp(age, curve["age"], curve["survival"]))
        assert fitted == pytest.approx(records, abs=0.025)
    # That of the typical part is another one.
    assert np.exp(-((2.5 / 8) ** 3)) - np.interp(2.5, curve["age"], curve["survival"]) > 0.05


def test_time_watched_by_hand() -> None:
    nodes = lives_inspected([4.0, 6.0], [8.0, np.inf], [1.0, 2.0])
    found = time_watched(nodes, np.array([0.0, 2.0, 6.0, 10.0]), np.array([0, 1]), 2)
    # In its window of four years the first counts ever less: 1.5 years by its middle, 2 in all.
    assert found.tolist() == [[1.0, 3.5, 0.5], [0.0, 4.0, 0.0]]
