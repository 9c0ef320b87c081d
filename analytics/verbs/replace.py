"""The verb `replace`: at what age to renew sound parts, and how other rules would do."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace as changed
from pathlib import Path

import pandas as pd

from analytics import job
from analytics.decisions.policies import comparison, policies_table
from analytics.decisions.replacement_groups import (
    ALL,
    GroupAge,
    ages_table,
    curve_table,
    next_lift,
)
from analytics.outlook.futures import N_FUTURES
from analytics.papers import policies as rules_say
from analytics.papers import replacement as ages_say
from analytics.papers.terminal import Terminal
from analytics.records.findings import FleetError
from analytics.records.reading import folder_files
from analytics.records.tables import PARTS, as_word
from analytics.verbs.telling import assumed, document, headline, rows, write


def replace(
    folder: Path,
    out: Path | None,
    as_json: bool,
    seed: int,
    kind: str | None = None,
    *,
    seasons: int = job.HORIZON,
    n_futures: int = N_FUTURES,
) -> int:
    """At what age to renew parts, and how other rules would do.

    Parameters
    ----------
    kind : str, optional
        Look at this kind alone.
    seasons, n_futures : int
        Over how many seasons, and on how many futures, rules are compared.

    Raises
    ------
    FleetError
        If no part of that kind is in service.
    """
    with Terminal(as_json) as terminal:
        fleet = job.open_fleet(folder_files(folder), terminal.progress)
        _require(kind, fleet)
        fitted = job.how_it_ages(fleet, seed, terminal.progress)
        every = job.replacement_ages_of(fleet, fitted, seed)
        settings = fleet.records.settings
        ages = tuple(one for one in every if kind is None or one.kind.name == as_word(kind))
        found = job.policies_of(
            fleet,
            fitted,
            every,
            seasons=seasons,
            n_futures=n_futures,
            seed=seed,
            progress=terminal.progress,
        )
        if kind is not None:
            # Each rule is that of the whole fleet, so that the numbers are those of the page.
            named = (ages[0].kind.name,)
            found = changed(found, outcomes=tuple(one.of_kinds(named) for one in found.outcomes))
        headline(terminal, fleet)
        for one in ages:
            if one.base == ALL:
                _say(terminal, one, ages, fleet)
        terminal.table(
            f"Age of replacement, years after fitting ({ages_say.LONG_RUN})",
            _shown(ages),
            right=_RIGHT,
        )
        terminal.say(ages_say.SHORTER_WINS)
        terminal.say("Rules compared on the same futures", style="bold")
        shown = found.kinds[0]
        compared = comparison(found, settings.currency, kind=shown)
        terminal.say(rules_say.today(compared, found, settings.currency))
        for sentence in rules_say.beside_today(compared, found, settings.currency):
            terminal.say("  - " + sentence)
        terminal.say("Taken for granted:", style="bold")
        taken = [
            *ages_say.assumptions(settings, next_lift(settings.seasons, fleet.lives.as_of)),
            *rules_say.assumptions(found, settings),
        ]
        for sentence in taken:
            terminal.say("  - " + sentence)
        assumed(terminal, fleet, fitted, money_too=True)
        tables = {
            "replacement.csv": curve_table(ages, settings.seasons, fleet.lives),
            "replacement_ages.csv": ages_table(ages, settings.currency),
            "policies.csv": policies_table(found, settings.currency),
        }
        write(terminal, fleet, out, tables)
        document(
            fleet,
            as_json,
            {
                "taken_for_granted": taken,
                **{name.removesuffix(".csv"): rows(table) for name, table in tables.items()},
            },
        )
    return 0


def _require(kind: str | None, fleet: job.Fleet) -> None:
    """Stop where no part of the kind, or none at all, is in service."""
    known = sorted(fleet.lives.in_service()["kind"].unique())
    if known and (kind is None or as_word(kind) in known):
        return
    raise FleetError.because(
        PARTS.file,
        field="kind",
        found=kind or "no part in service",
        expected=f"a kind with parts in service: {', '.join(known) or 'there is none'}",
        remedy="Name one of these, or leave --kind out."
        if known
        else "Parts that are fitted need a blank removed_on, and their boats a blank left_on.",
    )


def _say(terminal: Terminal, one: GroupAge, ages: Sequence[GroupAge], fleet: job.Fleet) -> None:
    terminal.say(ages_say.heading(one) + ".", style="bold")
    for sentence in ages_say.sentences(one, fleet.records.settings):
        terminal.say("  - " + sentence)
    if differing := ages_say.bases_differ(tuple(ages), one.kind.name):
        terminal.say("  - " + differing)


_RIGHT = ["parts", "saves a year", "limit costs more"]


def _shown(ages: Sequence[GroupAge]) -> pd.DataFrame:
    return pd.DataFrame(
        [
            {
                "kind": one.kind.label,
                "base": "all bases" if one.base == ALL else one.base,
                "parts": one.parts,
                "limit that stands": "none" if one.limit is None else ages_say.years(one.limit),
                "cheaper age": ages_say.cheaper(one),
                "least cost": _least(one),
                "saves a year": "" if one.best is None else _money(one, None),
                "limit costs more": "" if one.limit is None else _money(one, one.limit),
            }
            for one in ages
        ]
    )


def _least(one: GroupAge) -> str:
    if one.found is None:
        return "no price"
    if one.best is None:
        return "gains nothing"
    first, last = one.found.about_as_good
    return f"{one.best:.0f} (about as good {first:.0f} to {last:.0f})"


def _money(one: GroupAge, limit: float | None) -> str:
    if one.found is None:
        return ""
    draws = one.found.saving if limit is None else one.found.dearer(limit)
    return f"{round(float(draws.mean())) + 0:,} ({ages_say.interval(draws)})"
