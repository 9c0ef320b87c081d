"""The section on wear-out families: its words, its figure and its table."""

from __future__ import annotations

from typing import get_args

import numpy as np
import pytest

from analytics.ageing.constant_rate import Verdict
from analytics.ageing.fit import Ageing
from analytics.ageing.summary import CONSTANT
from dashboard.ageing.families_answers import families_of, shown
from dashboard.ageing.families_figures import families
from dashboard.ageing.families_words import LABELS, unreliable, weight_of
from tests.analytics.ageing.test_constant_rate import ageing_of, fleet


@pytest.fixture(scope="module")
def ageing() -> Ageing:
    return fleet(3.0, 50, 2)


def test_words_figure_and_table_tell_of_the_same_families(ageing: Ageing) -> None:
    found = families_of(ageing)
    figure = families(
        found.curves, found.records, ageing.kind, youngest=found.youngest, furthest=found.furthest
    )
    names = [trace.name for trace in figure.data]
    assert names == [*LABELS.values(), "records alone (steps)"]
    # No line differs from another by its colour alone.
    assert len({(trace.line.dash, trace.line.shape) for trace in figure.data}) == 4
    assert figure.layout.xaxis.title.text == "Age in years"
    assert figure.layout.yaxis.title.text == "Still sound, %"
    table = shown(found.table)
    assert table["Curve"].tolist() == list(LABELS.values())
    weights = [float(text) for text in table["Weight, %"] if text]
    assert sum(weights) == pytest.approx(100, abs=1)
    assert table.set_index("Curve").loc[LABELS[CONSTANT], "Used"] == ""
    assert "of the weight" in found.sentence


def test_too_few_failures_leave_the_scores_blank() -> None:
    found = families_of(ageing_of(np.linspace(1, 8, 10), np.arange(10) >= 9))
    assert (shown(found.table)["Score"] == "").all()
    assert "cannot say" in found.evidence.sentence
    assert not found.curves["survival"].isna().any()


def test_rough_scores_are_told_of() -> None:
    assert unreliable(0, "life") is None
    assert "one shaft line" in str(unreliable(1, "shaft line"))
    assert "3 lives" in str(unreliable(3, "life"))
    assert "3 shaft lines" in str(unreliable(3, "shaft line"))


def test_what_speaks_against_renewing_by_age_is_a_warning() -> None:
    verdicts = get_args(Verdict)
    assert [one for one in verdicts if weight_of(one) == "warning"] == [
        "rate falls with age", "no ageing",
    ]  # fmt: skip
    assert [one for one in verdicts if weight_of(one) == "markdown"] == ["evidence of ageing"]
