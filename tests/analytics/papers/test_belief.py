"""What is said of belief and data, for answers whose sentence is plain."""

from __future__ import annotations

from dataclasses import replace

import pandas as pd
import pytest

from analytics.ageing.belief import Learned
from analytics.ageing.summary import Estimate
from analytics.outlook.doubt import KINDS_COLUMNS, PARTS_COLUMNS, STANCES, PriorDoubt
from analytics.papers import belief as said
from analytics.papers.words import prior_is_default, prior_sentence
from analytics.records.kinds import KINDS, on_the_other_clock, unknown_kind
from analytics.records.seasons import SeasonRule

BELLOWS = KINDS["bellows"]


def life(prior: tuple[float, float], records: tuple[float, float], fitted: bool = True) -> Learned:
    before, after = (Estimate((low * high) ** 0.5, low, high) for low, high in (prior, records))
    return Learned("bellows", "all", "weibull", "life_10", "years", before, after, fitted)


def doubt_of(*expected: float, ranks: tuple[tuple[int, int, int], ...] = ()) -> PriorDoubt:
    rows = [
        {"season": 2027, "kind": "bellows", "group": "all", "prior": stance,
         "expected_failures": number}
        for stance, number in zip(STANCES, expected, strict=True)
    ]  # fmt: skip
    parts = [
        {"season": 2027, "boat": f"B{i}", "rank_doubtful": one[0], "rank_as_set": one[1],
         "rank_trusting": one[2]}
        for i, one in enumerate(ranks or ((1, 1, 1), (2, 2, 2)))
    ]  # fmt: skip
    return PriorDoubt(
        SeasonRule().season(2027),
        pd.DataFrame(rows, columns=KINDS_COLUMNS),
        pd.DataFrame(parts, columns=PARTS_COLUMNS),
        pd.DataFrame(),
    )


def test_a_range_that_shrinks_comes_from_the_records() -> None:
    # On the log scale 5 to 14 is 1.03 wide, 6 to 9 is 0.41: 1 - (0.41 / 1.03) squared = 84 %.
    one = life((5.0, 14.0), (6.0, 9.0))
    assert one.from_records == pytest.approx(0.845, abs=0.001)
    sentence = said.learned_sentence(one)
    assert (
        "narrow the range of the age by which 10 % have failed from 5.0–14.0 to 6.0–9.0 years"
        in (sentence)
    )
    assert "most of what is said of it comes from the records" in sentence


@pytest.mark.parametrize(
    ("records", "says"),
    [
        ((5.5, 12.9), "more of it is belief than records"),
        ((6.0, 12.0), "more of it comes from the records than from belief"),
        ((5.1, 13.9), "nearly all of this is belief"),
        ((4.0, 17.0), "do not bear out what was believed"),
        ((1.0, 1.5), "move the age by which 10 % have failed from 5.0–14.0 to 1.0–1.5 years"),
    ],
)
def test_the_verdict_follows_the_ranges(records: tuple[float, float], says: str) -> None:
    assert says in said.learned_sentence(life((5.0, 14.0), records))


def test_what_was_not_fitted_is_called_belief() -> None:
    assert "belief alone" in said.learned_sentence(life((5.0, 14.0), (5.0, 14.0), fitted=False))


def test_belief_and_records_that_part_are_said_so() -> None:
    together, apart = life((5.0, 14.0), (6.0, 9.0)), life((5.0, 14.0), (1.0, 1.5))
    assert said.conflict_sentence([together]) is None
    sentence = said.conflict_sentence([together, apart])
    assert sentence is not None
    assert "believed 5.0 to 14.0, with the records 1.0 to 1.5 years" in sentence
    assert "point lower" in sentence


@pytest.mark.parametrize(
    ("expected", "says"),
    [
        ((3.6, 3.1, 2.9), "does not hang on the prior"),
        ((4.4, 3.1, 2.9), "hangs somewhat on the prior"),
        ((6.0, 3.1, 2.0), "the answer hangs on the prior"),
        ((0.3, 0.2, 0.15), "does not hang on the prior"),
        ((0.01, 0.02, 0.03), "Hardly any failure"),
        ((3.1, 3.1, 3.1), "stay at 3.1"),
    ],
)
def test_whether_the_answer_hangs_on_the_prior(expected: tuple[float, ...], says: str) -> None:
    sentence = said.doubt_sentence(doubt_of(*expected), "bellows", "all")
    assert says in sentence
    if says != "Hardly any failure":
        assert f"{expected[1]:.1f}" in sentence or f"{expected[1]:.2f}" in sentence


def test_the_order_of_the_parts() -> None:
    same = doubt_of(1, 1, 1, ranks=((1, 1, 1), (2, 2, 2), (3, 3, 3)))
    assert "2 parts of highest risk stay the same" in said.order_sentence(same)
    other = doubt_of(1, 1, 1, ranks=((3, 1, 1), (2, 2, 2), (1, 3, 3)))
    assert "1 stay among the 2 under a doubtful belief and 2 under a trusting" in (
        said.order_sentence(other)
    )
    one = doubt_of(1, 1, 1, ranks=((1, 1, 1),))
    assert "One part" in said.order_sentence(one)
    none = replace(same, parts=same.parts.head(0))
    assert said.order_sentence(none) == said.doubt_sentence(none) == said.NONE_IN_SERVICE


@pytest.mark.parametrize("endless", [float("inf"), 1e30])
def test_no_endless_life_is_given_as_a_number(endless: float) -> None:
    assert said.value(endless, "years") == "more than 200"
    assert said.value(endless, "shaft hours") == "more than 200,000"
    assert said.range_of(Estimate(9.0, 5.0, endless), "years") == "5.0 to more than 200"
    assert "inf" not in said.value(endless, "")


@pytest.mark.parametrize("name", [*KINDS, "own_kind"])
def test_every_default_belief_has_its_reason(name: str) -> None:
    kind = KINDS.get(name) or unknown_kind(name)
    assert prior_is_default(kind)
    assert "common practice, no source" in said.reason(kind)
    assert "common practice, no source" in prior_sentence(kind)
    assert prior_is_default(on_the_other_clock(kind))
    own = replace(kind, prior=replace(kind.prior, shape=kind.prior.shape + 1))
    assert "common practice" not in said.reason(own)
    assert "fleet.toml" in said.reason(own)
    assert "Set in fleet.toml" in prior_sentence(own)


def test_the_three_beliefs_are_told_in_trade_terms() -> None:
    doubtful, as_set, trusting = said.stance_sentences(BELLOWS)
    assert "by 8 years 2 % to 40 % have worn out; shape 2.5 to 6.4" in as_set
    assert "shape 1.6 to 10.2" in doubtful  # 4 / 1.6 ** 2 and 4 * 1.6 ** 2
    assert "shape 3.2 to 5.1" in trusting  # 4 / 1.6 ** 0.5 and 4 * 1.6 ** 0.5
    assert "worth 10 part-years" in doubtful
    assert "worth 160 part-years" in trusting
    no_accidents = replace(BELLOWS, causes=("wear_out",))
    assert "accidents" not in said.stance_sentences(no_accidents)[0]
