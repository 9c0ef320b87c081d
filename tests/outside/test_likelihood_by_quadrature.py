"""The likelihood of single lives against adaptive integration of the formula it stands for.

For a fitting day s, uniform over its window, with survival S and density f of the age::

    failed at age b                  g(s) = f(b)
    failed somewhere in (a, b]       g(s) = S(max(a, e)) - S(b)
    sound when last seen at age a    g(s) = S(a)

    L = integral of g(s) / integral of S(e(s))          e: age when first watched, not below 0

written here from scipy's distributions alone, on lives that go through the program's own reading.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.stats import lognorm, weibull_min

from analytics.ageing.clocks import nodes_of
from analytics.ageing.families import FAMILIES
from analytics.ageing.likelihood import Parameters, log_likelihood
from analytics.job import open_fleet
from tests.analytics.ageing.folders import with_sure_hours

AS_OF = "2024-06-30"
YEAR = 365.25
HOURS_A_YEAR = 400.0
EARLY_DAYS = 90
SHAPE, SCALE_YEARS, EARLY = 2.5, 9.5, 0.03

Curve = Callable[[float], float]


@dataclass(frozen=True)
class Case:
    """One row of parts.csv, and the days it means: windows of fitting and end."""

    row: str
    start: tuple[str, str]
    end: tuple[str, str]
    ends: str
    joined: str = "2012-05-01"


CASES = {
    "exact, start known": Case(
        "2013-03-01,2021-08-15,failed,afloat,", ("2013-03-01",) * 2, ("2021-08-15",) * 2, "exact"
    ),
    "exact, entered late": Case(
        "2007-03-01,2021-08-15,failed,afloat,", ("2007-03-01",) * 2, ("2021-08-15",) * 2, "exact"
    ),
    "exact, year of fitting only": Case(
        "2014,2021-08-15,failed,afloat,", ("2014-01-01", "2014-12-31"), ("2021-08-15",) * 2, "exact"
    ),
    "exact, perhaps an early failure": Case(
        "2015,2015-11-20,failed,afloat,", ("2015-01-01", "2015-11-20"), ("2015-11-20",) * 2, "exact"
    ),
    "exact, window straddles the first day watched": Case(
        "2006..2015,2021-08-15,failed,afloat,", ("2006-01-01", "2015-12-31"), ("2021-08-15",) * 2,
        "exact",
    ),
    "interval, start known": Case(
        "2013-03-01,2021-12-01,failed,ashore,2020-11-10", ("2013-03-01",) * 2,
        ("2020-11-10", "2021-12-01"), "interval",
    ),
    "interval, window straddles the first day watched": Case(
        "2006..2015,2021-12-01,failed,ashore,2020-11-10", ("2006-01-01", "2015-12-31"),
        ("2020-11-10", "2021-12-01"), "interval",
    ),
    "interval, last sound before it was watched": Case(
        "2004,2013-12-01,failed,ashore,2011-11-10", ("2004-01-01", "2004-12-31"),
        ("2012-05-01", "2013-12-01"), "interval",
    ),
    "interval, may have been fitted within it": Case(
        "2012..2020,2021-12-01,failed,ashore,2018-11-10", ("2012-01-01", "2020-12-31"),
        ("2018-11-10", "2021-12-01"), "interval",
    ),
    "censored, start known": Case(
        "2013-03-01,,,,", ("2013-03-01",) * 2, (AS_OF,) * 2, "censored"
    ),
    "censored, entered late": Case(
        "2007-03-01,,,,", ("2007-03-01",) * 2, (AS_OF,) * 2, "censored"
    ),
    "censored, window straddles the first day watched": Case(
        "2006..2015,,,,", ("2006-01-01", "2015-12-31"), (AS_OF,) * 2, "censored"
    ),
}  # fmt: skip


def day(text: str) -> float:
    return float((date.fromisoformat(text) - date(1970, 1, 1)).days)


def found_by_program(case: Case, clock: str, family: str, early: float) -> float:
    unit = HOURS_A_YEAR if clock == "hours" else 1.0
    run = (day(AS_OF) - day("2000-01-01")) / YEAR * HOURS_A_YEAR
    fleet = open_fleet({
        "fleet.toml": f'as_of = {AS_OF}\nrecords_from = 2010-01-01\nshaft_share = 1.0\n'
        f'[kinds.part]\nclock = "{clock}"\nfamily = "{family}"\n'.encode(),
        "boats.csv": f"boat,joined_on,lay_up\nA,{case.joined},afloat\n".encode(),
        "parts.csv": "boat,kind,fitted_on,removed_on,reason,found,last_sound_on\n"
        f"A,part,{case.row}\n".encode(),
        "hours.csv": f"boat,read_on,hours\nA,2000-01-01,0\nA,{AS_OF},{run:.9f}\n".encode(),
    })  # fmt: skip
    theta = Parameters(np.log([SHAPE]), np.log([SCALE_YEARS * unit]), np.array([early]))
    # One reading at either end of 25 years says little of any day between; here it says all.
    lives = with_sure_hours(fleet.lives)
    nodes = nodes_of(lives, lives.table)
    return float(log_likelihood(FAMILIES[family], theta, nodes, EARLY_DAYS / YEAR)[0])


def by_quadrature(case: Case, clock: str, family: str, early: float) -> float:
    unit = HOURS_A_YEAR if clock == "hours" else 1.0
    wear = (
        weibull_min(SHAPE, scale=SCALE_YEARS)
        if family == "weibull"
        else lognorm(1 / SHAPE, scale=SCALE_YEARS)
    )
    within = EARLY_DAYS / YEAR

    def survival(years: float) -> float:
        return float(wear.sf(years)) * (1 - early * min(years / within, 1.0))

    def density(years: float) -> float:
        spared = 1 - early * min(years / within, 1.0)
        struck = early / within if years < within else 0.0
        return float(wear.pdf(years)) * spared + float(wear.sf(years)) * struck

    (lo, hi), (a, b) = map(day, case.start), map(day, case.end)
    seen = max(day(case.joined), day("2010-01-01"))

    def age_at_entry(s: float) -> float:
        return max(seen - s, 0.0) / YEAR

    def above(s: float) -> float:
        if case.ends == "exact":
            return density((b - s) / YEAR) / unit
        if case.ends == "censored":
            return survival((a - s) / YEAR)
        lower = max((a - s) / YEAR, age_at_entry(s))
        return survival(lower) - survival((b - s) / YEAR)

    def below(s: float) -> float:
        return survival(age_at_entry(s))

    if lo == hi:
        return float(np.log(above(lo) / below(lo)))
    corners = [
        k for k in (seen, a, seen - EARLY_DAYS, a - EARLY_DAYS, b - EARLY_DAYS) if lo < k < hi
    ]
    top, bottom = (
        quad(f, lo, hi, points=corners or None, limit=200, epsrel=1e-10)[0] for f in (above, below)
    )
    return float(np.log(top / bottom))


@pytest.mark.parametrize("family", ["weibull", "lognormal"])
@pytest.mark.parametrize("early", [0.0, EARLY], ids=["worn out only", "early too"])
@pytest.mark.parametrize("clock", ["years", "hours"])
@pytest.mark.parametrize("name", CASES)
def test_the_likelihood_of_a_life_is_the_integral_it_stands_for(
    name: str, clock: str, early: float, family: str
) -> None:
    case = CASES[name]
    found = found_by_program(case, clock, family, early)
    # Known days need no quadrature; in a window the program has six or sixteen nodes a stretch.
    known = case.start[0] == case.start[1]
    tolerance = 1e-9 if known else 5e-5
    assert found == pytest.approx(by_quadrature(case, clock, family, early), abs=tolerance)
