"""The yard as `fleet.toml` tells of it: working days, what the lift takes, the user's ceiling."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from analytics.records import setting_values as values
from analytics.records.files.names import SETTINGS as FILE
from analytics.records.findings import Finding

SECTION = "yard"
"""The section of `fleet.toml`."""


@dataclass(frozen=True)
class YardSettings:
    """What holds for every haul-out. Planning defaults, no source, until the file says otherwise.

    Attributes
    ----------
    hours_a_day : float
        Hours of trade work on one boat in a day.
    days_a_week : int
        Days worked in a week.
    least_days : int
        Days ashore of a boat however short her jobs.
    storage_per_day : float
        Money for each day ashore.
    moving_cost : float
        Money at which a boat is taken out of the week of the last plan.
    every_boat : bool
        Whether each boat is lifted every lay-up whatever her jobs, so that her lift is paid for
        anyway; else a boat is lifted only where it pays.
    risk_ceiling : float or None
        Chance of failing before the next lift above which a part must be renewed or be
        listed as an exception; None for no ceiling.
    longest_m, widest_m, deepest_m, heaviest_t : float or None
        The largest boat that the lift takes; None where nobody has said.
    """

    hours_a_day: float = 8.0
    days_a_week: int = 5
    least_days: int = 2
    storage_per_day: float = 30.0
    moving_cost: float = 150.0
    every_boat: bool = True
    risk_ceiling: float | None = None
    longest_m: float | None = None
    widest_m: float | None = None
    deepest_m: float | None = None
    heaviest_t: float | None = None


def read_yard(table: Mapping[str, Any]) -> tuple[YardSettings, list[Finding]]:
    """Read the section `[yard]`.

    Returns
    -------
    YardSettings
        With a default wherever the section is silent or wrong.
    list of Finding
        One per wrong or unknown key.
    """
    good: dict[str, Any] = {}
    findings: list[Finding] = []
    for key, value in table.items():
        check = _KEYS.get(key)
        try:
            if check is None:
                raise values.WrongValue("a setting that Tideworn knows")
            good[key] = check(value)
        except values.WrongValue as wrong:
            findings.append(
                Finding(
                    FILE,
                    None,
                    f"{SECTION}.{key}",
                    values.as_found(value),
                    str(wrong),
                    "ignored",
                    "Correct it; until then the planning default stands."
                    if check
                    else "Check the spelling against the README, or remove the line.",
                    "setting",
                )
            )
    return replace(YardSettings(), **good), findings


def _hours(value: Any) -> float:
    if not 0 < values.number(value) <= 24:
        raise values.WrongValue("hours above 0, up to 24")
    return float(value)


def _share(value: Any) -> float:
    if not 0 < values.number(value) < 1:
        raise values.WrongValue("a share between 0 and 1, such as 0.3")
    return float(value)


_KEYS: dict[str, Callable[[Any], Any]] = {
    "hours_a_day": _hours,
    "days_a_week": values.whole(1, 7),
    "least_days": values.whole(1, 60),
    "storage_per_day": values.not_negative,
    "moving_cost": values.not_negative,
    "every_boat": values.flag,
    "risk_ceiling": _share,
    "longest_m": values.positive,
    "widest_m": values.positive,
    "deepest_m": values.positive,
    "heaviest_t": values.positive,
}
