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
from types import MappingProxyType
from typing import Any

from analytics.records import setting_values as values
from analytics.records.files.grids import FileSettings
from analytics.records.files.names import SETTINGS as FILE
from analytics.records.findings import Finding
from analytics.records.kinds import KINDS, Kind, on_the_other_clock, unknown_kind
from analytics.records.seasons import SeasonRule
from analytics.records.tables import as_word
from analytics.records.wear_limits import SECTION as WEAR
from analytics.records.wear_limits import WearSettings, read_wear
from analytics.records.yard_settings import SECTION as YARD
from analytics.records.yard_settings import YardSettings, read_yard

__all__ = ["FILE", "Rates", "Settings", "read_settings"]


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
    price_increase, labour_increase : float
        Share by which prices of parts, and every other rate, rise in a year.
    price_date, tax : str
        When the prices were taken, and whether they are net or gross.
    """

    labour_per_hour: float = 75.0
    emergency_multiplier: float = 1.8
    lift_and_launch: float = 750.0
    tow: float = 1200.0
    lost_day: float = 450.0
    lost_days: float = 4.0
    price_increase: float = 0.0
    labour_increase: float = 0.0
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
    shaft_share_given : bool
        True where the file says it; else it is a planning default.
    first_part_as_built : bool
        True where the first part of a place counts as fitted when the boat was
        built, if nothing says when it was.
    kinds : mapping of str to Kind
        The catalogue with the fleet's own limits and priors.
    files : mapping of str to FileSettings
        How files are read, by name, where the fleet overrules what is detected.
    wear : WearSettings
        How far bearings may wear by shaft size, and what is believed of wear.
    yard : YardSettings
        Working days, the lift, and the user's ceiling of risk.
    """

    name: str = "Unnamed fleet"
    note: str = ""
    demo: bool = False
    as_of: date | None = None
    records_from: date | None = None
    seasons: SeasonRule = SeasonRule()
    currency: str = "EUR"
    shaft_share: float = 0.8
    shaft_share_given: bool = False
    first_part_as_built: bool = False
    rates: Rates = Rates()
    kinds: Mapping[str, Kind] = field(default_factory=lambda: MappingProxyType(dict(KINDS)))
    files: Mapping[str, FileSettings] = field(default_factory=lambda: MappingProxyType({}))
    wear: WearSettings = field(default_factory=WearSettings)
    yard: YardSettings = YardSettings()

    def kind(self, name: str) -> Kind:
        """The kind of this name; a wide default where the catalogue does not know it."""
        return self.kinds.get(name) or unknown_kind(name)


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
            Finding(
                FILE,
                None,
                "",
                "no such file",
                "settings of the fleet",
                "assumed",
                "Add fleet.toml to set the last day of watching, limits, prices and currency; "
                "planning defaults stand in until then.",
                "setting",
            )
        ]
    try:
        table = tomllib.loads(text)
    except (ValueError, RecursionError) as error:  # endless digits, brackets within brackets
        return Settings(), [
            Finding(
                FILE,
                None,
                "",
                str(error),
                "a TOML file",
                "ignored",
                "Mend the line named; until then every setting is a planning default.",
                "setting",
            )
        ]
    return _Reader().settings(table)


class _Reader:
    """Takes known keys out of tables and notes what is wrong or left over."""

    def __init__(self) -> None:
        self.findings: list[Finding] = []

    def settings(self, table: dict[str, Any]) -> tuple[Settings, list[Finding]]:
        plain = self.accepted(table, _FLEET_KEYS, vars(Settings()), "")
        usual = SeasonRule()
        season = {"season_start": usual.start, "season_end": usual.end, "lift_on": usual.lift_on}
        season |= self.accepted(table, dict.fromkeys(season, values.month_day), season, "")
        sections = self.accepted(table, dict.fromkeys(_SECTIONS, values.table), _SECTIONS, "")
        settings = Settings(
            **plain,
            shaft_share_given="shaft_share" in plain,
            seasons=SeasonRule(*season.values()),
            rates=self.rates(sections.get("rates", {})),
            kinds=self.kinds(sections.get("kinds", {})),
            files=self.files(sections.get("files", {})),
            wear=self.wear(sections.get(WEAR, {})),
            yard=self.yard(sections.get(YARD, {})),
        )
        self.unknown(table, "")
        return settings, self.findings

    def accepted(
        self,
        table: dict[str, Any],
        checks: Mapping[str, Callable[[Any], Any]],
        defaults: Mapping[str, Any],
        at: str,
    ) -> dict[str, Any]:
        """The values given under known keys, taken out of the table, without the wrong ones."""
        good = {}
        for key, check in checks.items():
            if key not in table:
                continue
            value = table.pop(key)
            try:
                good[key] = check(value)
            except values.WrongValue as wrong:
                remedy = f"Correct it; until then {_in_words(defaults[key])} is used."
                self.ignore(at + key, value, str(wrong), remedy)
        return good

    def ignore(self, key: str, value: Any, expected: str, remedy: str) -> None:
        found = values.as_found(value)
        self.findings.append(
            Finding(FILE, None, key, found, expected, "ignored", remedy, "setting")
        )

    def unknown(self, table: dict[str, Any], at: str) -> None:
        for key, value in table.items():
            self.ignore(
                at + key,
                value,
                "a setting that Tideworn knows",
                "Check the spelling against the README, or remove the line.",
            )

    def rates(self, table: dict[str, Any]) -> Rates:
        rates = Rates()
        checks = {
            name: values.written if isinstance(default, str) else values.not_negative
            for name, default in vars(rates).items()
        }
        rates = replace(rates, **self.accepted(table, checks, vars(rates), "rates."))
        self.unknown(table, "rates.")
        return rates

    def kinds(self, table: dict[str, Any]) -> Mapping[str, Kind]:
        kinds = dict(KINDS)
        for written, given in table.items():
            name = as_word(written)
            if isinstance(given, dict):
                kind = kinds.get(name) or unknown_kind(name)
                kinds[name] = self.kind(kind, given, f"kinds.{written}.")
            else:
                self.unknown({written: given}, "kinds.")
        return MappingProxyType(kinds)

    def files(self, table: dict[str, Any]) -> Mapping[str, FileSettings]:
        files, detected = {}, dict.fromkeys(_FILE_KEYS, "what is detected")
        for name, given in table.items():
            if not isinstance(given, dict):
                self.unknown({name: given}, "files.")
                continue
            at = f"files.{name}."
            accepted = self.accepted(given, _FILE_KEYS, detected, at)
            self.unknown(given, at)
            if accepted.get("thousands") and accepted["thousands"] == accepted.get("decimal"):
                self.ignore(
                    at + "thousands",
                    accepted.pop("thousands"),
                    "another mark than decimal",
                    "Correct it; until then 'what is detected' is used.",
                )
            files[name] = FileSettings(**accepted)
        return MappingProxyType(files)

    def wear(self, table: dict[str, Any]) -> WearSettings:
        wear, findings = read_wear(table)
        self.findings += findings
        return wear

    def yard(self, table: dict[str, Any]) -> YardSettings:
        yard, findings = read_yard(table)
        self.findings += findings
        return yard

    def kind(self, kind: Kind, table: dict[str, Any], at: str) -> Kind:
        prior = self.accepted(table, _PRIOR_KEYS, vars(kind.prior), at)
        changed = self.accepted(table, _KIND_KEYS, vars(kind), at)
        if changed.keys() & {"limit", "limit_years"}:
            changed.setdefault("limit_from", FILE)
        if "storage_years" in changed:
            # The longer time that an inspection grants is another source's: it goes with its own.
            changed.setdefault("storage_longer", 0.0)
            changed["storage_from"] = FILE
        self.unknown(table, at)
        clock = changed.get("clock", kind.clock)
        if clock != kind.clock:
            kind = on_the_other_clock(kind)
            if not {"at", "worn_out"} <= prior.keys():
                self.other_clock(kind, at)
        return replace(kind, prior=replace(kind.prior, **prior), **changed)

    def other_clock(self, kind: Kind, at: str) -> None:
        low, high = kind.prior.worn_out
        self.findings.append(
            Finding(
                FILE,
                None,
                at + "clock",
                kind.clock,
                "at and worn_out beside a clock of your own",
                "assumed",
                f"A wide belief stands in: {low:.0%} to {high:.0%} worn out by "
                f"{kind.prior.at:,.0f} {kind.unit}. Give at and worn_out on that clock.",
                "setting",
            )
        )


def _in_words(value: Any) -> str:
    return "nothing" if value in (None, "", {}) else f"'{value}'"


_SECTIONS: dict[str, dict[str, Any]] = {"rates": {}, "kinds": {}, "files": {}, WEAR: {}, YARD: {}}
_FLEET_KEYS: dict[str, Callable[[Any], Any]] = {
    "name": values.text,
    "note": values.text,
    "demo": values.flag,
    "as_of": values.day,
    "records_from": values.day,
    "currency": values.currency,
    "shaft_share": values.positive,
    "first_part_as_built": values.flag,
}
_PRIOR_KEYS: dict[str, Callable[[Any], Any]] = {
    "shape": values.positive,
    "shape_factor": values.above_one,
    "at": values.positive,
    "worn_out": values.shares,
    "early": values.shares,
    "accidents": values.positive,
    "accident_years": values.positive,
}
_KIND_KEYS: dict[str, Callable[[Any], Any]] = {
    "label": values.text,
    "boundary": values.text,
    "clock": values.one_of("years", "hours"),
    "limit": values.limit,
    "limit_years": values.limit,
    "limit_from": values.text,
    "causes": values.causes,
    "early_days": values.days,
    "found_ashore_only": values.flag,
    "stops_the_boat": values.flag,
    "can_flood": values.flag,
    "lost_days": values.not_negative,
    "tow": values.not_negative,
    "damage": values.not_negative,
    "storage_years": values.limit,
    "storage_longer": values.not_negative,
    "family": values.one_of("averaged", "weibull", "lognormal"),
    "apart": values.texts,
    "set_lots_apart": values.flag,
}
_FILE_KEYS: dict[str, Callable[[Any], Any]] = {
    "encoding": values.encoding,
    "delimiter": values.one_of(",", ";", "\t", "|"),
    "decimal": values.one_of(".", ","),
    "thousands": values.one_of("", ".", ",", " ", "'"),
    "sheet": values.one_or_more_texts,
    "header_row": values.row,
}
