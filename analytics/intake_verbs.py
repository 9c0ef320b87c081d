"""What the verbs about exports say, write and return: how they are read, decided on, accepted."""

from __future__ import annotations

import sys
from dataclasses import asdict
from datetime import date
from pathlib import Path
from textwrap import shorten
from typing import Any

import pandas as pd

from analytics import intake, job
from analytics.intake import check_decision
from analytics.papers import json_document
from analytics.papers.attention import attention
from analytics.papers.masking import MASK
from analytics.papers.people import Mask
from analytics.papers.terminal import Terminal
from analytics.papers.words import count
from analytics.records.decided.decision import Decision
from analytics.records.files.names import MAPPING
from analytics.records.findings import FleetError
from analytics.records.history.changes import Changes
from analytics.records.mapping.fields import SHAPES
from analytics.records.mapping.meanings import LEAVE
from analytics.records.mapping.model import SourceMapping
from analytics.records.mapping.proposal import Proposal

SHOWN_ROWS = 12
"""Lines of a table on the terminal; files and pages hold all of them."""


def propose(folder: Path, as_json: bool, save: bool) -> int:
    """How the exports of a folder would be read; saved where somebody says so."""
    with Terminal(as_json) as terminal:
        files = intake.of_folder(folder)
        looked = intake.look_at(files)
        mask = looked.mask()
        for finding in mask.findings(looked.findings):
            terminal.say("  - " + finding.sentence())
        for source in looked.mapping:
            terminal.say(f"{_named(source)}: read as {MAPPING} says, {_row_is(source)}.")
        for changed in looked.changed:
            for sentence in changed.sentences():
                terminal.say("  ! " + sentence, style="bold")
        for proposal in looked.proposals:
            _say_proposal(terminal, proposal, mask)
        document: dict[str, Any] = {
            "sources": [_source(one) for one in looked.proposed()],
            "proposals": [_proposal(one, mask) for one in looked.proposals],
        }
        if not (looked.proposals or looked.changed):
            terminal.say("No file waits to be mapped.")
            json_document.say(document, as_json)
            return 0
        document["preview"] = _say_preview(terminal, files, looked, mask)
        if not save and not as_json and sys.stdin.isatty() and sys.stdout.isatty():
            save = _asked(f"Save this as {folder / MAPPING}?")
        if save:
            path = intake.save_mapping(folder, looked.proposed())
            terminal.say(f"wrote {path}: correct it there, or on the page of exports.")
        else:
            terminal.say("Nothing was saved; --save keeps this as it is.")
        document["saved"] = save
        json_document.say(document, as_json)
    return 0


def _say_proposal(terminal: Terminal, proposal: Proposal, mask: Mask) -> None:
    source = proposal.source

    def such_as(header: str) -> str:
        if header == source.columns.get("person"):
            return MASK
        return mask.text(", ".join(proposal.samples.get(header, ())[:3]))

    why = proposal.reasons.get("shape") or f"{_row_is(source)}."
    terminal.say(f"{_named(source)}: {why}", style="bold")
    if source.shape != LEAVE:
        fields = SHAPES[source.shape].by_name
        shown = [
            (header, fields[name].says, such_as(header)) for name, header in source.columns.items()
        ]
        shown += [("(all rows)", fields[name].says, text) for name, text in source.fixed.items()]
        shown += [(header, "not read", such_as(header)) for header in proposal.unmapped]
        table = pd.DataFrame(shown, columns=["column", "read as", "such as"])
        terminal.table(f"Columns of {_named(source)}", table)
    for doubt in proposal.doubts:
        terminal.say("  ? " + mask.text(doubt))


def _say_preview(
    terminal: Terminal, files: dict[str, bytes], looked: intake.Intake, mask: Mask
) -> dict[str, Any]:
    try:
        fleet = intake.preview(files, looked.proposed(), terminal.progress)
    except FleetError as error:
        terminal.say("Read like this, the folder cannot be used yet:", style="bold")
        told = mask.findings(error.findings)
        for finding in told:
            terminal.say("  - " + finding.sentence())
        return {"error": [asdict(finding) for finding in told]}
    terminal.say("Read like this: " + fleet.reconciliation() + ".", style="bold")
    outcomes = fleet.lives.table["outcome"].value_counts()
    terminal.say(
        "  " + ", ".join(f"{n:,} {str(name).replace('_', ' ')}" for name, n in outcomes.items())
    )
    say_attention(terminal, fleet)
    return {
        "lives": len(fleet.lives.table),
        "outcomes": {str(k): int(v) for k, v in outcomes.items()},
    }


def say_attention(terminal: Terminal, fleet: job.Fleet) -> pd.DataFrame:
    """What to look at first, a line for each sort of finding; returns all of it."""
    groups = attention(fleet.told, fleet.lives.table)
    shown = groups[groups["effect"] != "informs"].head(SHOWN_ROWS)
    if len(shown):
        terminal.table(
            "What to look at first",
            pd.DataFrame({"finding": shown["says"], "what to do": shown["remedy"].map(_shortened)}),
        )
    left = len(groups) - len(shown)
    if left > 0:
        terminal.say(f"{count(left, 'more sort')} of finding; --out FOLDER writes every one.")
    return groups


def _shortened(remedy: str) -> str:
    return shorten(remedy, 200, placeholder=" …")


def say_changes(terminal: Terminal, fleet: job.Fleet, folder: Path) -> dict[str, Any] | None:
    """What has changed since the exports were last accepted."""
    state, found = intake.since_accepted(fleet, folder)
    if state is None:
        return None
    for finding in state.findings:
        terminal.say("  - " + finding.sentence())
    if found is None or not state.log:
        return None
    last = state.log[-1]
    same = state.log[-1].fingerprint == fleet.records.fingerprint
    when = f"{last.when:%Y-%m-%d %H:%M} UTC by {last.who}"
    if same and found.none:
        terminal.say(f"These exports are those accepted on {when}.")
    else:
        terminal.say(
            f"Since the exports accepted on {when}: {found.same:,} rows the same, "
            f"{found.new_told()}, {len(found.changed):,} changed, {len(found.vanished):,} gone.",
            style="bold",
        )
        for finding in fleet.mask.findings(found.findings()):
            terminal.say("  - " + finding.sentence())
        if len(found.changed):
            changed = fleet.mask.table(_changed(found).head(SHOWN_ROWS), ["key", "changes"])
            terminal.table("Changed rows", changed)
        if len(found.vanished):
            gone = found.vanished[["place", "row", "key"]].head(SHOWN_ROWS)
            terminal.table(
                "Rows that are gone: corrected, or lost in the export?",
                fleet.mask.table(gone, ["key"]),
            )
    return {
        "accepted_on": last.when.isoformat(),
        "accepted_by": last.who,
        "same": found.same,
        "new": len(found.new),
        "changed": len(found.changed),
        "gone": len(found.vanished),
    }


def _changed(found: Changes) -> pd.DataFrame:
    shown = found.changed[["place", "row", "key"]].copy()
    shown["changes"] = [
        "; ".join(f"{header}: '{before}' is now '{now}'" for header, before, now in differences)
        for differences in found.changed["differences"]
    ]
    return shown


def accept(folder: Path, as_json: bool, by: str, note: str) -> int:
    """Keep that somebody accepted the exports as they are read now."""
    with Terminal(as_json) as terminal:
        fleet = job.open_fleet(intake.of_folder(folder), terminal.progress)
        changed = say_changes(terminal, fleet, folder)
        accepted = intake.accept(folder, fleet, by, note)
        terminal.say(f"{fleet.reconciliation()}.")
        terminal.say(
            f"Accepted by {accepted.who} on {accepted.when:%Y-%m-%d %H:%M} UTC; files "
            f"{accepted.fingerprint[:12]}. Every row is kept in {folder / 'accepted'}."
        )
        json_document.say(
            {
                "accepted_on": accepted.when.isoformat(),
                "accepted_by": accepted.who,
                "fingerprint": accepted.fingerprint,
                "changes": changed,
            },
            as_json,
        )
    return 0


def decide(folder: Path, as_json: bool, decision: Decision) -> int:
    """Add a decision, which is replayed whenever the exports are read."""
    with Terminal(as_json) as terminal:
        cells = check_decision(intake.of_folder(folder), decision)
        decisions = intake.decide(folder, decision)
        what = f"the {decision.field} of a row" if decision.field else "a boat"
        terminal.say(
            f"'{decision.found}' is read as '{decision.read_as}' from now on, where it stands for "
            f"{what}; {count(len(decisions), 'decision')} in {folder / 'decisions.toml'}."
        )
        terminal.say(
            f"It stands in {count(cells, 'cell')} of the exports."
            if cells
            else "No cell of these exports holds it: check the spelling. It is kept for later ones."
        )
        json_document.say({"decisions": len(decisions), "cells": cells}, as_json)
    return 0


def decision_of(name: str, read_as: str, field: str, by: str) -> Decision:
    """What the command line decides: a boat's name, or a word of a field."""
    what: Any = "word" if field else "name"
    return Decision(what, found=name, read_as=read_as, field=field, by=by, on=date.today())


def _named(source: SourceMapping) -> str:
    return f"{source.file}, sheet {source.sheet}" if source.sheet else source.file


def _row_is(source: SourceMapping) -> str:
    return "left alone" if source.shape == LEAVE else f"a row is {SHAPES[source.shape].row_is}"


def _source(source: SourceMapping) -> dict[str, Any]:
    return {
        "file": source.file,
        "sheet": source.sheet,
        "shape": source.shape,
        "columns": dict(source.columns),
        "fixed": dict(source.fixed),
    }


def _proposal(proposal: Proposal, mask: Mask) -> dict[str, Any]:
    return {
        **_source(proposal.source),
        "reasons": {name: mask.text(why) for name, why in proposal.reasons.items()},
        "doubts": list(map(mask.text, proposal.doubts)),
        "not_read": list(proposal.unmapped),
    }


def _asked(question: str) -> bool:
    return input(f"{question} [y/N] ").strip().lower() in ("y", "yes")
