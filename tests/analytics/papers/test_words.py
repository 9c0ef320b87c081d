"""Sentences that must not be missing beside a risk."""

from __future__ import annotations

from dataclasses import replace

import pandas as pd
import pytest

from analytics.ageing.fit import FleetAgeing
from analytics.papers.words import (
    LIKELY_WORN,
    drawn_with_difficulty,
    likely_worn,
    without_reason,
)


@pytest.mark.parametrize(
    ("outcomes", "said"),
    [
        (["failed"] * 20 + ["unknown"], ""),
        (["in_service"] * 50 + ["boat_left"] * 9, ""),
        (["failed"] * 3 + ["unknown"], "1 of 4 removals say no reason, and counts as not failed."),
        (["unknown"] * 8 + ["in_service"], "8 of 8 removals say no reason, and count as not"),
    ],
)
def test_removals_without_a_reason_are_said_where_there_are_many(
    outcomes: list[str], said: str
) -> None:
    found = without_reason(pd.DataFrame({"outcome": outcomes}))
    assert found.startswith(said)
    assert bool(found) == bool(said)


def test_parts_likely_worn_already_are_named_the_likeliest_first() -> None:
    parts = pd.DataFrame(
        {
            "boat": ["Ann", "Bee", "Cee"],
            "position": ["single", "port", "single"],
            "kind": ["cutless_bearing"] * 3,
            "risk_hidden": [LIKELY_WORN, 0.8, LIKELY_WORN - 0.01],
        }
    )
    assert likely_worn(parts) == (
        "More likely than not worn already, where only a lift shows it: Bee, port, cutless bearing "
        "(80 %); Ann, cutless bearing (50 %). Look at these at the next lift."
    )
    assert likely_worn(parts[2:]) == ""
    many = pd.concat([parts[:2]] * 5)
    assert likely_worn(many).count("Bee") == 5
    assert "and 4 more" in likely_worn(many)


def test_draws_that_were_hard_to_come_by_are_said(sample_ageing: FleetAgeing) -> None:
    fitted = sample_ageing["bellows", "all"]
    assert drawn_with_difficulty(fitted) == ""
    walked = replace(fitted, posterior=replace(fitted.posterior, method="random walk"))
    assert "may move a little with the seed" in drawn_with_difficulty(walked)
