"""Whether a kind ages at all, on records made with and without ageing."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import numpy.typing as npt
import pandas as pd
import pytest
from scipy.integrate import quad
from scipy.special import logit

from analytics.ageing.constant_rate import AgeingEvidence, constant_rate, does_it_age
from analytics.ageing.families import FAMILIES
from analytics.ageing.family_curves import curves_by_family
from analytics.ageing.fit import Ageing
from analytics.ageing.posterior import posterior_of, prior_of, worn_failures
from analytics.ageing.prior import prior_rows
from analytics.ageing.summary import CONSTANT, FAMILIES_COLUMNS, families_table, family_sentence
from analytics.records.kinds import KINDS
from tests.outside.known_ages import lives_seen_through

Floats = npt.NDArray[np.float64]

KIND = replace(KINDS["bellows"], causes=("wear_out",))


def ageing_of(age: Floats, failed: npt.NDArray[np.bool_], seed: int = 0) -> Ageing:
    """Lives of known age as a fitted kind."""
    nodes, rng = lives_seen_through(age, failed), np.random.default_rng(seed)
    posterior = posterior_of(KIND, nodes, 0, 0.0, rng)
    worn = int(worn_failures(nodes, 0))
    return Ageing(
        posterior.kind, "all", pd.DataFrame({"outcome": np.where(failed, "failed", "sound")}),
        nodes, posterior, prior_of(posterior.kind, rng), None,
        "usable" if worn >= 10 else "too few failures to say", 1.0, worn,
    )  # fmt: skip


def fleet(shape: float, n: int, seed: int) -> Ageing:
    rng = np.random.default_rng(seed)
    life, watched = 9 * rng.weibull(shape, n), rng.uniform(1, 12, n)
    return ageing_of(np.minimum(life, watched), life < watched)


def test_no_ageing_is_found_where_there_is_none() -> None:
    # Of 100 fleets of 30 or 120 lives, tried once, one was called ageing; of eight, one may be.
    found = [does_it_age(fleet(1.0, 60, seed)) for seed in range(8)]
    assert sum(one.verdict == "no evidence" for one in found) >= 7
    said = next(one for one in found if one.verdict == "no evidence").sentence
    assert "show no ageing" in said
    assert "gains nothing by what they show" in said
    assert "from the prior" in said


def test_strong_ageing_is_found() -> None:
    for seed in range(4):
        one = fleet(4.0, 40, seed)
        found = does_it_age(one)
        assert found.verdict == "evidence of ageing"
        assert found.rising > 0.99
        assert found.lead > np.log(20)
        assert "These parts age" in found.sentence
        table = families_table(one, found).set_index("family")
        assert table.loc[CONSTANT, "behind"] > 2
        assert not table.loc[CONSTANT, "used"]


@pytest.mark.parametrize("failures", [0, 1, 2])
def test_too_few_failures_to_say(failures: int) -> None:
    one = ageing_of(np.linspace(1, 8, 10), np.arange(10) >= 10 - failures)
    found = does_it_age(one)
    assert found.verdict == "too few failures to say"
    assert np.isnan(found.lead)
    assert "cannot say" in found.sentence
    assert "cannot tell" in family_sentence(one)
    table = families_table(one, found)
    assert table.columns.tolist() == FAMILIES_COLUMNS
    assert table["score"].isna().all()
    assert table["weight"].iloc[:2].tolist() == [0.5, 0.5]


def test_the_chance_that_the_rate_rises_is_that_of_the_draws() -> None:
    one = fleet(1.6, 60, 3)
    found = does_it_age(one)
    alone = one.posterior.likeliest
    if alone.kind.family == "weibull" and one.posterior.parameters.codes is None:
        assert found.rising == pytest.approx((alone.parameters.log_shape > 0).mean())
    assert 0 < found.young < found.old < 12


def test_the_constant_rate_believes_what_the_trade_quotes() -> None:
    # Its prior over the scale, by quadrature, holds the quoted shares just as the kind's own.
    belief, prior = constant_rate(KIND.prior), KIND.prior

    def density(scale: float) -> float:
        return float(np.exp(belief(np.array([[0.0, scale]]))[0]))

    def scale_of(share: float) -> float:
        return float(np.log(prior.at / -np.log1p(-share)))

    whole = quad(density, -6, 14, limit=400)[0]
    rows = prior_rows(FAMILIES["weibull"], prior, False, 40_000, np.random.default_rng(0))
    worn = -np.expm1(-np.exp(np.exp(rows[:, 0]) * (np.log(prior.at) - rows[:, 1])))
    for share in np.quantile(worn, [0.1, 0.5, 0.9]):
        above = quad(density, -6, scale_of(float(share)), limit=400)[0] / whole
        assert above == pytest.approx(float((worn > share).mean()), abs=0.01)
    assert logit(worn).std() > 0.5


def test_sentences_of_leads_that_fall_short() -> None:
    base = AgeingEvidence("no evidence", 1.5, 1.0, 0.8, 0.97, 2.0, 8.0, 20)
    assert "odds of only about 4 to 1" in base.sentence
    assert "as well as" in replace(base, lead=0.1).sentence
    assert "foretells them better, by odds of about 55 to 1" in replace(base, lead=-4.0).sentence


def test_curves_of_every_family_and_of_the_constant_rate() -> None:
    one = fleet(3.0, 60, 1)
    ages = np.array([0.0, 4.0, 8.0])
    curves = curves_by_family(one, ages)
    assert curves["family"].unique().tolist() == ["weibull", "lognormal", CONSTANT]
    assert np.allclose(curves[curves["age"] == 0]["survival"], 1.0)
    constant = curves[curves["family"] == CONSTANT].set_index("age")
    early = curves[curves["family"] == "weibull"].set_index("age")
    # A rate that does not change loses more parts early on than one that rises.
    assert constant.loc[4.0, "survival"] < early.loc[4.0, "survival"]
    # Of a constant rate, what survives twice an age is the square of what survives it.
    assert constant.loc[8.0, "survival"] == pytest.approx(
        constant.loc[4.0, "survival"] ** 2, abs=0.03
    )
    pd.testing.assert_frame_equal(curves, curves_by_family(one, ages))
