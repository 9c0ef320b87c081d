"""How far a bearing may wear: clearances by shaft size, and what is believed of the rate of wear.

Practices differ by a factor of two, so whose limit it is stays beside every
number. A limit is of one size as it is sold: what is 25 mm and what is 1 in are
two parts, and the 0.4 mm between them is more than a new bearing's clearance.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import Any, Literal

from analytics.records import setting_values as values
from analytics.records.files.names import SETTINGS as FILE
from analytics.records.findings import Finding
from analytics.records.vocabulary.sizes import size_of

SECTION = "wear"
"""The section of `fleet.toml`; limits stand in `[wear.limits."30 mm"]`."""

BEARING = "cutless_bearing"
"""The kind whose limits these are."""

PLANNING = "planning default, no source"


@dataclass(frozen=True)
class WearLimit:
    """Clearances of one shaft size, in mm.

    Attributes
    ----------
    size : str
        As `vocabulary.sizes` spells it: "30 mm", "1 1/4 in".
    new_mm : tuple[float, float]
        Range in which a new bearing is fitted; taken as 90 % of new bearings.
    watch_mm, renew_mm : float
        From where it is watched, and renewed.
    whose : str
        Whose limits they are; of each where they differ, as "new: a chart; renew: the yard".
    """

    size: str
    new_mm: tuple[float, float]
    watch_mm: float
    renew_mm: float
    whose: str = PLANNING

    def whose_is(self, which: Literal["new", "watch", "renew"]) -> str:
        """Whose one of the three is."""
        for clause in self.whose.split("; "):
            of, colon, text = clause.partition(": ")
            if colon and which in of.split():
                return text
        return self.whose


@dataclass(frozen=True)
class WearBelief:
    """What is believed of wear before any reading, each with its 90 % range.

    Attributes
    ----------
    rate_mm, rate_factor : float
        Clearance gained in 1,000 shaft hours by the middle bearing: the range is
        ``rate_mm / rate_factor`` to ``rate_mm * rate_factor``.
    spread, spread_factor : float
        Standard deviation of the log of the rate from bearing to bearing.
    error_mm, error_factor : float
        Standard deviation of one measured reading about the straight line.
    offset_mm : float
        How far the fleet's new clearances may lie from those of the limits,
        either way.
    """

    rate_mm: float = 0.2
    rate_factor: float = 4.0
    spread: float = 0.45
    spread_factor: float = 2.0
    error_mm: float = 0.05
    error_factor: float = 2.5
    offset_mm: float = 0.08


def _mm(size: str) -> float | None:
    read = size_of(size)
    return read.mm if read else None


_SURVEY = "new: second-hand, from a surveyor's chart; watch and renew: planning default, no source"

LIMITS: Mapping[str, WearLimit] = MappingProxyType(
    {
        limit.size: limit
        for limit in (
            WearLimit(
                "25 mm",
                (0.08, 0.18),
                0.40,
                0.65,
                "new and renew: near one supplier's advice (0.13 mm and 0.63 mm), second-hand; "
                "watch: planning default, no source",
            ),
            WearLimit("1 in", (0.08, 0.18), 0.40, 0.65),
            WearLimit("30 mm", (0.09, 0.20), 0.45, 0.75),
            WearLimit("1 1/4 in", (0.09, 0.20), 0.45, 0.75),
            WearLimit("35 mm", (0.10, 0.23), 0.55, 0.90),
            WearLimit("40 mm", (0.10, 0.23), 0.55, 0.90),
            WearLimit("1 1/2 in", (0.10, 0.23), 0.55, 0.90, _SURVEY),
            WearLimit("50 mm", (0.13, 0.25), 0.65, 1.10),
            WearLimit("2 in", (0.13, 0.25), 0.65, 1.10, _SURVEY),
            WearLimit("63 mm", (0.13, 0.28), 0.75, 1.30),
            WearLimit("2 1/2 in", (0.13, 0.28), 0.75, 1.30, _SURVEY),
        )
    }
)
"""By size, to be replaced by the bearing maker's or the yard's own in `fleet.toml`."""


@dataclass(frozen=True)
class WearSettings:
    """What `fleet.toml` says of wear, defaults filled in."""

    limits: Mapping[str, WearLimit] = field(default_factory=lambda: LIMITS)
    belief: WearBelief = WearBelief()

    def limit_of(self, kind: str, size: str) -> WearLimit | None:
        """The limit of a size as somebody wrote it.

        None where there is none of just that size, and for any kind but a
        cutless bearing: a rudder's bearing of that size has limits of its own.
        25.4 mm is 1 in written in another unit; 25 mm is not.
        """
        read = size_of(size) if size and kind == BEARING else None
        if read is None or read.text in self.limits:
            return self.limits.get(read.text) if read else None
        return next((one for name, one in self.limits.items() if _mm(name) == read.mm), None)


def read_wear(table: Mapping[str, Any]) -> tuple[WearSettings, list[Finding]]:
    """Read the section `[wear]` of `fleet.toml`.

    Parameters
    ----------
    table : mapping
        The section: keys of `WearBelief`, and `limits` by size, each with keys
        `new_mm` (two numbers), `watch_mm`, `renew_mm` and `whose`.

    Returns
    -------
    WearSettings
        With a default wherever the section is silent or wrong. A limit that is
        given without `whose` is the file's.
    list of Finding
        One per wrong or unknown key.
    """
    findings: list[Finding] = []
    rest = dict(table)
    given = rest.pop("limits", {})
    belief = replace(WearBelief(), **_accepted(rest, _BELIEF_KEYS, f"{SECTION}.", findings))
    limits = dict(LIMITS)
    if not isinstance(given, dict):
        _ignore(findings, f"{SECTION}.limits", given, "a section for each size", "Correct it.")
        given = {}
    for written, row in given.items():
        _add_limit(limits, str(written), row, findings)
    return WearSettings(MappingProxyType(limits), belief), findings


def _add_limit(
    limits: dict[str, WearLimit], written: str, row: Any, findings: list[Finding]
) -> None:
    at = f'{SECTION}.limits."{written}"'
    size = size_of(written)
    if size is None or not isinstance(row, dict):
        expected = 'a section named by a size, such as "30 mm" or "1 1/4 in"'
        _ignore(findings, at, row, expected, "Correct it; until then it is left out.")
        return
    usual = limits.get(size.text)
    changed = _accepted(dict(row), _LIMIT_KEYS, f"{at}.", findings)
    if usual is None and not {"new_mm", "watch_mm", "renew_mm"} <= changed.keys():
        expected = "new_mm, watch_mm and renew_mm, since no default is of this size"
        _ignore(findings, at, row, expected, "Give all three; until then it has no limit.")
        return
    if changed.keys() - {"whose"}:
        changed.setdefault("whose", FILE)
    limit = replace(usual or WearLimit(size.text, (0.0, 0.0), 0.0, 0.0), **changed)
    if not limit.new_mm[1] < limit.watch_mm <= limit.renew_mm:
        expected = "new below watch, and watch not above renew"
        _ignore(findings, at, row, expected, "Correct it; until then the default stands, if any.")
        return
    limits[size.text] = limit


def _accepted(
    table: dict[str, Any],
    checks: Mapping[str, Callable[[Any], Any]],
    at: str,
    findings: list[Finding],
) -> dict[str, Any]:
    good = {}
    for key, value in table.items():
        if key not in checks:
            remedy = "Check the spelling against the README, or remove the line."
            _ignore(findings, at + key, value, "a setting that Tideworn knows", remedy)
            continue
        try:
            good[key] = checks[key](value)
        except values.WrongValue as wrong:
            _ignore(findings, at + key, value, str(wrong), "Correct it; until then it is ignored.")
    return good


def _ignore(findings: list[Finding], key: str, value: Any, expected: str, remedy: str) -> None:
    try:
        found = str(value)[:200]
    except ValueError:  # Python prints no whole number of thousands of digits
        found = "a very large number"
    findings.append(Finding(FILE, None, key, found, expected, "ignored", remedy, "setting"))


def _two_clearances(value: Any) -> tuple[float, float]:
    if isinstance(value, list) and len(value) == 2:
        low, high = (values.number(item) for item in value)
        if 0 < low < high:
            return low, high
    raise values.WrongValue("two clearances in mm, the lower first, such as [0.09, 0.20]")


_BELIEF_KEYS: dict[str, Callable[[Any], Any]] = {
    "rate_mm": values.positive,
    "rate_factor": values.above_one,
    "spread": values.positive,
    "spread_factor": values.above_one,
    "error_mm": values.positive,
    "error_factor": values.above_one,
    "offset_mm": values.positive,
}
_LIMIT_KEYS: dict[str, Callable[[Any], Any]] = {
    "new_mm": _two_clearances,
    "watch_mm": values.positive,
    "renew_mm": values.positive,
    "whose": values.text,
}
