"""Whether a kind ages at all, on records made with and without ageing."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd
import pytest
from scipy.integrate import quad
from scipy.special import logit

import analytics.ageing.constant_rate as constant_rate_module
from analytics.ageing.clocks import CENSORED, Nodes
from analytics.ageing.constant_rate import AgeingEvidence, ages_watched, constant_rate, does_it_age
from analytics.ageing.families import FAMILIES
from analytics.ageing.family_curves import curves_by_family
from analytics.ageing.fit import Ageing, kind_ageing
from analytics.ageing.posterior import posterior_of, prior_of, worn_failures
from analytics.ageing.predictive import Score
from analytics.ageing.prior import prior_rows
from analytics.ageing.summary import (
    CONSTANT,
    FAMILIES_COLUMNS,
    ageing_document,
    families_table,
    family_sentence,
)
from analytics.records.kinds import KINDS
from dashboard.ageing.families_answers import families_of
from tests.analytics.ageing.folders import fleet_of
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
    # Of 42 fleets of 30 to 250 lives, tried once, none was called ageing, 29 without it.
    found = [does_it_age(fleet(1.0, 60, seed)) for seed in range(8)]
    assert sum(one.verdict == "no ageing" for one in found) >= 5
    assert {one.verdict for one in found} <= {"no ageing", "cannot tell"}
    clear = next(one for one in found if one.verdict == "no ageing")
    assert clear.rising_much <= 0.1
    assert "show no ageing" in clear.sentence
    assert "gains nothing by what they show" in clear.sentence
    assert "at less than 1 %, that it rises at all at 12 %" in clear.sentence


def test_absence_of_evidence_is_not_evidence_of_absence() -> None:
    # Parts that do age, but too few of them to be sure: nobody is told that they do not.
    found = [does_it_age(fleet(1.5, 45, seed)) for seed in range(8)]
    assert {one.verdict for one in found} == {"evidence of ageing", "cannot tell"}
    unclear = next(one for one in found if one.verdict == "cannot tell" and one.rising > 0.99)
    assert "lean towards ageing, but cannot tell it" in unclear.sentence
    assert "rises over the ages most watched is believed at more than 99 %" in unclear.sentence
    for word in ("no ageing", "gains nothing", "prior"):
        assert word not in unclear.sentence


@pytest.mark.parametrize("seed", [0, 1])
def test_a_rate_that_falls_with_age_is_not_called_ageing(seed: int) -> None:
    found = does_it_age(fleet(0.5, 150, seed))
    assert found.verdict == "rate falls with age"
    assert found.lead > np.log(20)
    assert found.rising < 0.1
    assert "These parts age" not in found.sentence
    assert "falls with age" in found.sentence
    assert "makes things worse" in found.sentence
    assert "bad fits, a bad lot, or several causes" in found.sentence


def test_the_ages_most_watched_count_each_possible_age_by_its_chance() -> None:
    # Fourteen lives from new to age 8, and one that is 4, or with a chance of 6 in 1,000 is 20.
    one = fleet(3.0, 14, 0)
    life = np.append(np.arange(14), [14, 14])
    last = np.append(np.full(14, 8.0), [4.0, 20.0])
    nodes = Nodes(
        life=life, first=np.arange(15), weight=np.append(np.ones(14), [0.994, 0.006]),
        start=np.zeros(16), entry=np.zeros(16), lower=last, upper=last, entry_years=np.zeros(16),
        lower_years=last, upper_years=last, outcome=np.full(15, CENSORED), count=np.ones(15),
    )  # fmt: skip
    watched = replace(one, nodes=nodes)
    whole = 14 * 8 + 0.994 * 4 + 0.006 * 20
    young, old = ages_watched(watched)
    assert young == pytest.approx(whole / 4 / 15)
    assert old == pytest.approx(4 + (0.75 * whole - 60) / 14.006)
    assert watched.oldest == 8.0
    # Of two that are as likely, the older: it was reached as likely as not.
    even = replace(nodes, weight=np.append(np.ones(14), [0.5, 0.5]))
    assert replace(one, nodes=even).oldest == 20.0
    # Lives that count for many are watched for as long as many.
    twice = replace(nodes, count=np.append(np.ones(14), 1000.0))
    assert ages_watched(replace(one, nodes=twice))[1] < 4


def test_every_file_and_page_of_a_fit_draws_by_its_seed() -> None:
    lives = fleet_of([
        *(f"F{n},,bellows,,,2008-04-01,{2012 + n % 6}-06-0{1 + n % 8},failed" for n in range(12)),
        *(f"B{n},,bellows,,,2016-07-01" for n in range(9)),
    ]).lives  # fmt: skip
    fitted = kind_ageing(lives, lives.table, seed=7)
    assert fitted.seed == 7
    page, document = families_of(fitted, 7), ageing_document(fitted)
    assert page.evidence.lead == does_it_age(fitted).lead == document["ageing_evidence"]["lead"]
    assert page.evidence.lead != does_it_age(fitted, 8).lead
    pd.testing.assert_frame_equal(page.table, families_table(fitted))
    assert page.evidence.sentence == document["ageing_evidence"]["sentence"]
    assert document["families"][CONSTANT]["score"] == page.table["score"].iloc[-1]


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
    base = AgeingEvidence("cannot tell", 1.5, 1.0, 0.8, 0.97, 2.0, 8.0, 20)
    assert "odds of only about 4 to 1" in base.sentence
    assert "cannot tell ageing from a constant failure rate" in base.sentence
    assert "lean towards ageing" in replace(base, rising=0.95).sentence
    assert "lean" not in replace(base, rising=0.95, lead=0.1).sentence
    assert "as well as" in replace(base, lead=0.1).sentence
    assert "foretells them better, by odds of about 55 to 1" in replace(base, lead=-4.0).sentence
    assert "within its standard error" in replace(base, lead=4.0, error=5.0).sentence
    assert "not whether it rises or falls" in replace(base, lead=4.0).sentence
    assert "too hard on few lives" in replace(base, rough=True).sentence
    assert all("at 80 %" in replace(base, lead=lead).sentence for lead in (-4.0, 0.1, 4.0))


def test_scores_that_lean_on_few_lives_settle_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    one = fleet(4.0, 40, 1)
    assert does_it_age(one).verdict == "evidence of ageing"
    whole = constant_rate_module._score

    def rough(*given: Any) -> Score:
        score = whole(*given)
        return replace(score, tail=np.full(len(score.count), 1.0))

    monkeypatch.setattr(constant_rate_module, "_score", rough)
    found = does_it_age(one)
    assert found.rough
    assert found.verdict == "cannot tell"


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
