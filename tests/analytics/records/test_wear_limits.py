"""Limits by shaft size: whose they are, and which size has none."""

from __future__ import annotations

import tomllib
from dataclasses import replace

import pytest

from analytics.records.settings import read_settings
from analytics.records.wear_limits import BEARING, LIMITS, PLANNING, WearSettings, read_wear


def read(text: str):
    return read_wear(tomllib.loads(text).get("wear", {}))


def test_every_limit_says_whose_it_is_and_rises_from_new_to_renew() -> None:
    for size, limit in LIMITS.items():
        assert limit.size == size
        assert limit.whose
        assert limit.new_mm[0] < limit.new_mm[1] < limit.watch_mm < limit.renew_mm


def test_sizes_in_mm_and_in_inches_are_looked_up_apart() -> None:
    settings, findings = read('[wear.limits."25 mm"]\nrenew_mm = 0.60\nwhose = "our yard"\n')
    assert not findings
    assert settings.limit_of(BEARING, "25mm").renew_mm == 0.60
    assert settings.limit_of(BEARING, "25mm").whose == "our yard"
    assert settings.limit_of(BEARING, '1"').renew_mm == 0.65
    assert settings.limit_of(BEARING, '1"').whose == "planning default, no source"


@pytest.mark.parametrize("size", ["", "45 mm", "26 mm", "1 1/8 in", "unknown"])
def test_no_limit_is_borrowed_from_another_size(size: str) -> None:
    assert WearSettings().limit_of(BEARING, size) is None


def test_it_is_said_of_each_limit_whose_it_is() -> None:
    assert LIMITS["1 1/2 in"].whose_is("new") == "second-hand, from a surveyor's chart"
    assert LIMITS["1 1/2 in"].whose_is("renew") == PLANNING
    assert LIMITS["25 mm"].whose_is("renew").startswith("near one supplier's advice")
    assert LIMITS["25 mm"].whose_is("watch") == PLANNING
    assert LIMITS["40 mm"].whose_is("watch") == PLANNING
    assert replace(LIMITS["40 mm"], whose="our yard: Ada").whose_is("new") == "our yard: Ada"


def test_one_size_in_two_units_is_one_size() -> None:
    # 1 in is 25.4 mm by definition (international inch), 1 1/2 in 38.1 mm.
    assert WearSettings().limit_of(BEARING, "25.4 mm") is LIMITS["1 in"]
    assert WearSettings().limit_of(BEARING, "38.1 mm") is LIMITS["1 1/2 in"]
    assert WearSettings().limit_of(BEARING, "38 mm") is None


def test_the_fleet_folder_says_whose_limit_it_is() -> None:
    text = '[wear]\nrate_mm = 0.3\n[wear.limits."30 mm"]\nrenew_mm = 0.7\nwhose = "the yard"\n'
    settings, findings = read_settings(text)
    assert not findings
    assert settings.wear.belief.rate_mm == 0.3
    limit = settings.wear.limit_of(BEARING, "30 mm")
    assert (limit.renew_mm, limit.watch_mm, limit.whose) == (0.7, 0.45, "the yard")
    assert settings.wear.limit_of(BEARING, "40 mm") == LIMITS["40 mm"]


@pytest.mark.parametrize("text", ["wear = 3\n", "[wear]\nrate_mm = 1" + "0" * 5000 + "\n"])
def test_a_section_that_is_none_is_told(text: str) -> None:
    settings, findings = read_settings(text)
    assert settings.wear == WearSettings()
    assert len(findings) == 1
    assert findings[0].sort == "setting"


def test_a_bearing_of_another_kind_has_none_of_these_limits() -> None:
    assert WearSettings().limit_of("rudder_bearing", "30 mm") is None
    assert WearSettings().limit_of(BEARING, "30 mm").renew_mm == 0.75


def test_a_limit_of_ones_own_size_needs_all_three() -> None:
    settings, findings = read('[wear.limits."45 mm"]\nrenew_mm = 1.0\n')
    assert settings.limit_of(BEARING, "45 mm") is None
    assert "Give all three" in findings[0].remedy
    whole = "new_mm = [0.1, 0.25]\nwatch_mm = 0.6\nrenew_mm = 1.0\n"
    settings, findings = read(f'[wear.limits."45 mm"]\n{whole}')
    assert not findings
    assert settings.limit_of(BEARING, "45 mm").whose == "fleet.toml"


def test_the_belief_can_be_changed() -> None:
    settings, findings = read("[wear]\nrate_mm = 0.4\nerror_factor = 3\n")
    assert not findings
    assert settings.belief.rate_mm == 0.4
    assert settings.belief.error_factor == 3.0
    assert settings.belief.spread == WearSettings().belief.spread


@pytest.mark.parametrize(
    "text",
    [
        '[wear]\nrate_mm = "fast"\n',
        "[wear]\nrate_factor = 1\n",
        "[wear]\nrates = 2\n",
        "[wear]\nlimits = 3\n",
        "[wear.limits.big]\nrenew_mm = 1\n",
        '[wear.limits]\n"30 mm" = 4\n',
        '[wear.limits."30 mm"]\nwatch_mm = 0.9\n',
        '[wear.limits."30 mm"]\nnew_mm = [0.3, 0.2]\n',
        '[wear.limits."30 mm"]\nrenew_in = 0.03\n',
    ],
)
def test_what_is_wrong_is_told_and_the_default_stands(text: str) -> None:
    settings, findings = read(text)
    assert settings == WearSettings()
    assert [(one.file, one.done, one.sort) for one in findings] == [
        ("fleet.toml", "ignored", "setting")
    ]
