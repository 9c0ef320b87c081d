"""The section `[yard]`: defaults, and a sentence for every key that is wrong."""

from typing import Any

import pytest

from analytics.records.settings import Settings, read_settings
from analytics.records.yard_settings import YardSettings, read_yard


def test_a_silent_file_gives_the_planning_defaults() -> None:
    assert read_yard({}) == (YardSettings(), [])
    assert Settings().yard.risk_ceiling is None


def test_what_the_file_says_stands() -> None:
    text = "[yard]\nrisk_ceiling = 0.3\nhours_a_day = 7.5\nleast_days = 3\nwidest_m = 6\n"
    settings, findings = read_settings(text)
    assert settings.yard == YardSettings(
        hours_a_day=7.5, least_days=3, risk_ceiling=0.3, widest_m=6.0
    )
    assert not findings


@pytest.mark.parametrize(
    ("key", "value", "expected"),
    [
        ("risk_ceiling", 30, "share between 0 and 1"),
        ("risk_ceiling", True, "a number"),
        ("hours_a_day", 25, "up to 24"),
        ("days_a_week", 8, "from 1 to 7"),
        ("least_days", 1.5, "whole number"),
        ("widest_m", -1, "above 0"),
        ("moving_cost", "much", "a number"),
        ("slots", 3, "that Tideworn knows"),
        ("heaviest_t", 10**12, "a number up to"),
    ],
)
def test_a_wrong_key_is_told_and_the_default_stands(key: str, value: Any, expected: str) -> None:
    yard, findings = read_yard(
        {key: value, "least_days": 4} if key != "least_days" else {key: value}
    )
    assert yard == (YardSettings(least_days=4) if key != "least_days" else YardSettings())
    (told,) = findings
    assert told.field == f"yard.{key}"
    assert told.done == "ignored"
    assert expected in told.expected
