"""The fleet's settings: `fleet.toml`, checked key by key, with a default for each.

A wrong value never stops the reading: the default stands in for it and a
finding says so. Money and lead times are planning defaults, to be replaced by
the user's own (common practice, no source).
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from math import isfinite
from types import MappingProxyType
from typing import Any

from analytics.records.findings import Finding
from analytics.records.kinds import KINDS, Kind, unknown_kind
from analytics.records.seasons import SeasonRule

FILE = "fleet.toml"


@dataclass(frozen=True)
class Rates:
    """What work and lost time cost, in the fleet's currency.

    Attributes
    ----------
    labour_per_hour : float
        Yard labour, per hour.
    emergency_multiplier : float
        Labour and lift out of turn cost this many times the planned price.
    lift_and_launch : float
        One haul-out, both ways.
    tow : float
        Bringing in a boat that cannot move.
    lost_day, lost_days : float
        Charter income of a day, and how many days a failure under way costs.
    price_date, tax : str
        When the prices were taken, and whether they are net or gross.
    """

    labour_per_hour: float = 75.0
    emergency_multiplier: float = 1.8
    lift_and_launch: float = 750.0
    tow: float = 1200.0
    lost_day: float = 450.0
    lost_days: float = 4.0
    price_date: str = "not given"
    tax: str = "not given"


@dataclass(frozen=True)
class Settings:
    """Everything `fleet.toml` can say, defaults filled in.

    Attributes
    ----------
    as_of : date or None
        Last day on which the records were watched; None until the reader has
        looked for the latest date in the files.
    records_from : date or None
        Day from which removals were written down.
    shaft_share : float
        Shaft hours per meter hour: an engine also runs out of gear.
    kinds : mapping of str to Kind
        The catalogue with the fleet's own limits and priors.
    """

    name: str = "Unnamed fleet"
    note: str = ""
    demo: bool = False
    as_of: date | None = None
    records_from: date | None = None
    seasons: SeasonRule = SeasonRule()
    currency: str = "EUR"
    shaft_share: float = 0.8
    rates: Rates = Rates()
    kinds: Mapping[str, Kind] = field(default_factory=lambda: MappingProxyType(dict(KINDS)))

    def kind(self, name: str) -> Kind:
        """The kind of this name; a wide default where the catalogue does not know it."""
        return self.kinds.get(name) or unknown_kind(name)


class _Wrong(ValueError):
    """A value that is not what the key expects; the message says what it expects."""


def read_settings(text: str | None) -> tuple[Settings, list[Finding]]:
    """Read the text of `fleet.toml`.

    Parameters
    ----------
    text : str or None
        The file's content; None where the folder has none.

    Returns
    -------
    Settings
        With a default wherever the file is silent or wrong.
    list of Finding
        One per wrong or unknown key.
    """
    if text is None:
        return Settings(), [
            Finding(FILE, None, "", "no such file", "settings of the fleet", "assumed",
                    "Add fleet.toml to set the last day of watching, limits, prices and currency; "
                    "planning defaults stand in until then.")
        ]  # fmt: skip
    try:
        table = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        return Settings(), [
            Finding(FILE, None, "", str(error), "a TOML file", "ignored",
                    "Mend the line named; until then every setting is a planning default.")
        ]  # fmt: skip
    reader = _Reader()
    seasons = SeasonRule(
        reader.take(table, "season_start", _month_day, SeasonRule.start),
        reader.take(table, "season_end", _month_day, SeasonRule.end),
        reader.take(table, "lift_on", _month_day, SeasonRule.lift_on),
    )
    settings = Settings(
        name=reader.take(table, "name", _text, Settings.name),
        note=reader.take(table, "note", _text, Settings.note),
        demo=reader.take(table, "demo", _flag, Settings.demo),
        as_of=reader.take(table, "as_of", _day, None),
        records_from=reader.take(table, "records_from", _day, None),
        seasons=seasons,
        currency=reader.take(table, "currency", _currency, Settings.currency),
        shaft_share=reader.take(table, "shaft_share", _positive, Settings.shaft_share),
        rates=reader.rates(reader.take(table, "rates", _table, {})),
        kinds=reader.kinds(reader.take(table, "kinds", _table, {})),
    )
    reader.unknown(table, "")
    return settings, reader.findings


class _Reader:
    """Takes known keys out of a table and notes what is wrong or left over."""

    def __init__(self) -> None:
        self.findings: list[Finding] = []

    def take(
        self,
        table: dict[str, Any],
        key: str,
        check: Callable[[Any], Any],
        default: Any,
        at: str = "",
    ) -> Any:
        if key not in table:
            return default
        value = table.pop(key)
        try:
            return check(value)
        except _Wrong as wrong:
            self.findings.append(
                Finding(FILE, None, at + key, str(value), str(wrong), "ignored",
                        f"Correct it; until then {_shown(default)} is used.")
            )  # fmt: skip
            return default

    def unknown(self, table: dict[str, Any], at: str) -> None:
        for key, value in table.items():
            self.findings.append(
                Finding(FILE, None, at + key, str(value), "a setting that Tideworn knows", "ignored",
                        "Check the spelling against the README, or remove the line.")
            )  # fmt: skip

    def rates(self, table: dict[str, Any]) -> Rates:
        table, found = dict(table), {}
        for name in Rates.__dataclass_fields__:
            default = getattr(Rates, name)
            check = _written if isinstance(default, str) else _not_negative
            found[name] = self.take(table, name, check, default, "rates.")
        self.unknown(table, "rates.")
        return Rates(**found)

    def kinds(self, table: dict[str, Any]) -> Mapping[str, Kind]:
        kinds = dict(KINDS)
        for name, given in table.items():
            at = f"kinds.{name}."
            if not isinstance(given, dict):
                self.unknown({name: given}, "kinds.")
                continue
            kinds[name] = self.kind(kinds.get(name) or unknown_kind(name), dict(given), at)
        return MappingProxyType(kinds)

    def kind(self, kind: Kind, table: dict[str, Any], at: str) -> Kind:
        prior = kind.prior
        changed_prior = {
            key: self.take(table, key, check, getattr(prior, key), at)
            for key, check in _PRIOR_KEYS.items()
            if key in table
        }
        changed = {
            key: self.take(table, key, check, getattr(kind, key), at)
            for key, check in _KIND_KEYS.items()
            if key in table
        }
        if ("limit" in changed or "limit_years" in changed) and "limit_from" not in changed:
            changed["limit_from"] = FILE
        self.unknown(table, at)
        return replace(kind, prior=replace(prior, **changed_prior), **changed)


def _shown(value: Any) -> str:
    return f"'{value}'" if value not in (None, "") else "nothing"


def _text(value: Any) -> str:
    if not isinstance(value, str):
        raise _Wrong("a text in quotes")
    return value


def _written(value: Any) -> str:
    return value.isoformat() if isinstance(value, date) else _text(value)


def _flag(value: Any) -> bool:
    if not isinstance(value, bool):
        raise _Wrong("true or false")
    return value


def _day(value: Any) -> date:
    # tomllib gives a datetime for a date with a time; only the day means anything here.
    if not isinstance(value, date) or hasattr(value, "hour"):
        raise _Wrong("a day written without quotes, such as 2026-10-31")
    return value


def _month_day(value: Any) -> tuple[int, int]:
    try:
        month, day = (int(part) for part in _text(value).split("-"))
        date(2001, month, day)  # a year without a 29 February: a season has the same days each year
    except ValueError:
        raise _Wrong('a month and a day, such as "04-01"') from None
    return month, day


def _number(value: Any) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not isfinite(value):
        raise _Wrong("a number")
    return float(value)


def _positive(value: Any) -> float:
    if _number(value) <= 0:
        raise _Wrong("a number above 0")
    return float(value)


def _not_negative(value: Any) -> float:
    if _number(value) < 0:
        raise _Wrong("0 or more")
    return float(value)


def _limit(value: Any) -> float | None:
    if value is False:
        return None
    if isinstance(value, bool) or _number(value) <= 0:
        raise _Wrong("an age above 0, or false for no limit")
    return float(value)


def _above_one(value: Any) -> float:
    if _number(value) <= 1:
        raise _Wrong("a number above 1")
    return float(value)


def _days(value: Any) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or not 1 <= value <= 3650:
        raise _Wrong("a whole number of days from 1 to 3650")
    return value


def _shares(value: Any) -> tuple[float, float]:
    if isinstance(value, list) and len(value) == 2:
        low, high = (_number(item) for item in value)
        if 0 < low < high < 1:
            return low, high
    raise _Wrong("two shares between 0 and 1, the lower first, such as [0.02, 0.40]")


def _currency(value: Any) -> str:
    if not (isinstance(value, str) and len(value) == 3 and value.isalpha() and value.isupper()):
        raise _Wrong("a currency code of ISO 4217, such as EUR")
    return value


def _table(value: Any) -> dict[str, Any]:
    if not isinstance(value, dict):
        raise _Wrong("a section in square brackets")
    return value


def _one_of(*allowed: str) -> Callable[[Any], str]:
    def check(value: Any) -> str:
        if value not in allowed:
            raise _Wrong("one of " + ", ".join(allowed))
        return str(value)

    return check


def _texts(value: Any) -> tuple[str, ...]:
    if not isinstance(value, list) or not all(isinstance(item, str) for item in value):
        raise _Wrong("a list of texts in quotes")
    return tuple(value)


def _causes(value: Any) -> tuple[str, ...]:
    causes = _texts(value)
    if "wear_out" not in causes or not set(causes) <= {"early", "wear_out", "accident"}:
        raise _Wrong('a list with "wear_out" and, if wanted, "early" and "accident"')
    return causes


_PRIOR_KEYS: dict[str, Callable[[Any], Any]] = {
    "shape": _positive,
    "shape_factor": _above_one,
    "at": _positive,
    "worn_out": _shares,
    "early": _shares,
    "accidents": _positive,
    "accident_years": _positive,
}
_KIND_KEYS: dict[str, Callable[[Any], Any]] = {
    "label": _text,
    "boundary": _text,
    "clock": _one_of("years", "hours"),
    "limit": _limit,
    "limit_years": _limit,
    "limit_from": _text,
    "causes": _causes,
    "early_days": _days,
    "found_ashore_only": _flag,
    "stops_the_boat": _flag,
    "can_flood": _flag,
    "family": _one_of("weibull", "lognormal"),
    "apart": _texts,
}
