"""Lists of jobs, with the stores' issues and the inspections beside them, as lives."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import pandas as pd

from analytics.records.decided.decision import ByText, Decisions
from analytics.records.events.assembling import Assembled, assemble
from analytics.records.events.told import Told
from analytics.records.findings import Finding
from analytics.records.gather.boat_facts import BoatFacts
from analytics.records.gather.event_rows import (
    between_invoice_and_launch,
    events_of,
    say,
    seen_by_leaving,
)
from analytics.records.gather.inspections import with_every_column
from analytics.records.gather.issues import with_issues
from analytics.records.gather.ledger import Ledger
from analytics.records.gather.life_rows import tell_flags
from analytics.records.gather.shafts import SIDES
from analytics.records.mapping.model import SourceMapping
from analytics.records.mapping.translate import Translated
from analytics.records.settings import Settings

Progress = Callable[[str, int, int], None]


@dataclass(frozen=True)
class How:
    """What a person said that lives are made by.

    Attributes
    ----------
    decisions : Decisions
    settings : Settings
    ledger : Ledger
        For what is said on the way.
    progress : callable or None
    """

    decisions: Decisions
    settings: Settings
    ledger: Ledger
    progress: Progress | None


def lives_of_jobs(
    jobs: Sequence[tuple[Translated, pd.DataFrame]],
    issues: Sequence[pd.DataFrame],
    seen: pd.DataFrame,
    launches: Mapping[str, Sequence[pd.Timestamp]],
    known: BoatFacts,
    twins: frozenset[str],
    how: How,
) -> Assembled:
    """The lives that jobs tell of; every line of them is accounted for in the ledger.

    Parameters
    ----------
    jobs : sequence of (Translated, DataFrame)
        At least one.
    issues : sequence of DataFrame
        Lists of the stores.
    seen : DataFrame
        Inspections as events.
    launches : mapping of str to sequence of Timestamp
        By boat, in order.
    known : BoatFacts
    twins : frozenset of str
        Boats with two shafts.
    how : How
    """
    ledger, settings = how.ledger, how.settings
    frames = []
    for one, frame in jobs:
        tell_flags(frame, ledger)
        events = events_of(frame, ledger, _said(one.source, how.decisions))
        frames.append(_invoiced(events, frame, launches, ledger))
    if known.rows:
        frames = list(map(seen_by_leaving, frames))
    events = pd.concat(frames, ignore_index=True)
    if issues:
        events = with_issues(
            events, pd.concat(issues, ignore_index=True), ledger, settings.currency
        )
    if len(seen):
        here = seen[seen["boat"].isin(set(events["boat"]))]
        events = pd.concat([events, with_every_column(here)], ignore_index=True)
    assembled = assemble(
        events,
        as_of=settings.as_of,
        kinds=settings.kinds,
        positions=_positions(events, twins),
        left=known.left,
        progress=None if how.progress is None else _named(how.progress),
    )
    told = {id(one): ledger.tell(one.line, _finding(one, ledger)) for one in assembled.findings}
    for line, fate in assembled.fates.items():
        if fate.told is None or fate.outcome == "used":
            ledger.used.add(line)
        else:
            place, row = ledger.where(line)
            first = told.get(id(fate.told)) or _finding(fate.told, ledger)
            why = replace(first, file=place, row=row, done=fate.outcome, also=())
            ledger.out.setdefault(line, why)
    return assembled


def _said(source: SourceMapping, decisions: Decisions) -> dict[str, Mapping[str, str]]:
    """What a person said that texts mean, by field: in the mapping, and since."""
    fields = ("kind", "action", "condition", "reason")
    return {
        name: ByText([*source.words.get(name, {}).items(), *decisions.words(name).items()])
        for name in fields
    }


def _finding(told: Told, ledger: Ledger) -> Finding:
    remedy = told.remedy
    if told.beside is not None:
        place, row = ledger.where(told.beside)
        remedy = f"{remedy} The other is row {row} of {place}."
    return Finding(
        "",
        None,
        told.field,
        told.found,
        told.expected,
        told.done,
        remedy,
        told.sort,
        told.also,
    )


def _invoiced(
    events: pd.DataFrame,
    frame: pd.DataFrame,
    launches: Mapping[str, Sequence[pd.Timestamp]],
    ledger: Ledger,
) -> pd.DataFrame:
    """Events of which only an invoice's date is known: fitted between it and the next launch."""
    if "invoice_on_lo" not in frame:
        return events
    by_line = frame.drop_duplicates("line").set_index("line")
    lines = by_line.loc[events["line"]]
    dated = (
        lines["on_lo"].isna() if "on_lo" in lines else pd.Series(True, index=lines.index)
    ).to_numpy() & lines["invoice_on_lo"].notna().to_numpy()
    if not dated.any():
        return events
    some = lines[dated]
    last = between_invoice_and_launch(some, launches)
    events = events.copy()
    events.loc[dated, "on_hi"] = last.to_numpy()
    say(
        ledger,
        events.loc[dated, "line"].tolist(),
        "invoice_on",
        ", ".join(some["invoice_on"].head(3)),
        "the date of the job",
        "assumed",
        "Done between the invoice and the launch after it, or within half a year where no launch "
        "is written down.",
        "invoice_date",
    )
    return events


def _positions(events: pd.DataFrame, twins: frozenset[str]) -> dict[str, tuple[str, ...]]:
    """The shafts of each boat that is named."""
    boats = set(events["boat"]) | set(events["to_boat"]) - {""}
    return {boat: SIDES if boat in twins else ("single",) for boat in boats}


def _named(progress: Progress) -> Callable[[int, int], None]:
    def told(done: int, total: int) -> None:
        progress("Putting jobs together", done, total)

    return told
