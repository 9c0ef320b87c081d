"""The main job on a published fleet: how many of 1,697 running parts fail in the next 300 h each.

Bearing cages, see `fleets.bearing_cages`. Meeker & Escobar 1998, Table 12.2, from memory: 5.057
expected failures. Here with R 5.0582, and by exact convolution of the 1,697 chances the 5 % and
95 % points 2 and 9 and P(N <= 5) = .6057. The fleet goes through the whole program as a folder;
only the belief is a point, the maximum-likelihood estimate, as it is in the book.
"""

from dataclasses import replace

import numpy as np
import pytest

from analytics.ageing.fit import Ageing
from analytics.ageing.posterior import point
from analytics.job import Fleet, how_it_ages, open_fleet
from analytics.outlook.chances import ages_ahead, chances
from analytics.outlook.counts import count_distribution, count_quantiles
from analytics.outlook.season import season_risk
from analytics.usage import day_number
from tests.analytics.ageing.folders import with_sure_hours
from tests.outside.fleets import AS_OF, bearing_cages, cages_fleet


@pytest.fixture(scope="module")
def fleet() -> Fleet:
    # The published question takes it as known that each runs just 300 h further.
    whole = open_fleet(cages_fleet())
    return replace(whole, lives=with_sure_hours(whole.lives))


@pytest.fixture(scope="module")
def ageing(fleet: Fleet) -> Ageing:
    fitted = how_it_ages(fleet)["bearing_cage", "all"]
    assert fitted.likelihood is not None
    estimate = point(fitted.kind, fitted.likelihood.log_shape, fitted.likelihood.log_scale)
    return replace(fitted, posterior=estimate)


def test_the_folder_holds_the_published_lives(fleet: Fleet, ageing: Ageing) -> None:
    assert fleet.reconciliation().startswith("1,703 rows of parts.csv read = 1,703 lives")
    assert (ageing.lives, ageing.failures, ageing.censored) == (1703, 6, 1697)
    hours = sorted(hours for hours, _ in bearing_cages())
    np.testing.assert_allclose(np.sort(ageing.nodes.upper), hours, rtol=1e-9)


def test_the_fleet_is_fitted_as_published(ageing: Ageing) -> None:
    # Shape 2.035, scale 11,792 (Meeker & Escobar, section 8.4, from memory).
    assert ageing.likelihood is not None
    assert ageing.likelihood.shape == pytest.approx(2.03532, rel=1e-3)
    assert ageing.likelihood.scale == pytest.approx(11_792.18, rel=1e-3)


def test_expected_failures_in_the_season(fleet: Fleet, ageing: Ageing) -> None:
    risk = season_risk(fleet.lives, {("bearing_cage", "all"): ageing}, fleet.coming_season())
    assert risk.expected == pytest.approx(5.057, abs=0.01)
    assert risk.expected == pytest.approx(5.0582, abs=1e-4)
    assert risk.likely_range == (2, 9)
    assert risk.counts[:6].sum() == pytest.approx(0.6057, abs=5e-5)


def test_expected_failures_in_the_next_300_hours(fleet: Fleet, ageing: Ageing) -> None:
    now = day_number(AS_OF)
    ages = ages_ahead(fleet.lives, ageing, now, now + 365)
    ahead = chances(ageing.posterior, ages, np.random.default_rng(0))
    counts = count_distribution(ahead.during)
    assert ahead.during.sum() == pytest.approx(5.057, abs=0.01)
    assert count_quantiles(counts, (0.05, 0.95)) == (2, 9)
    assert counts[:6].sum() == pytest.approx(0.6057, abs=5e-5)


@pytest.mark.parametrize(("hours", "lasting"), [(50, 0.999236), (1650, 0.992627)])
def test_chance_of_lasting_300_hours_more(
    fleet: Fleet, ageing: Ageing, hours: int, lasting: float
) -> None:
    # R(300 h | age) of the fit rounded to 2.035 and 11,792: exp of the difference in hazard.
    rounded = replace(ageing, posterior=point(ageing.kind, np.log(2.035), np.log(11_792.0)))
    risk = season_risk(fleet.lives, {("bearing_cage", "all"): rounded}, fleet.coming_season())
    of_age = risk.parts[np.isclose(risk.parts["age_low"].astype(float), hours)]
    assert len(of_age) > 0
    np.testing.assert_allclose(1 - of_age["risk"].astype(float), lasting, atol=1e-6)
