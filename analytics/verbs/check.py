"""The verb `check`: what was read, merged, rejected and assumed."""

from __future__ import annotations

from pathlib import Path

import pandas as pd

from analytics import job
from analytics.intake_verbs import say_attention, say_changes
from analytics.lives import require_survivors
from analytics.papers.terminal import Terminal
from analytics.records.findings import FleetError, told
from analytics.records.reading import folder_files
from analytics.verbs.telling import (
    document,
    headline,
    rows,
    write,
    write_workbook,
)

SHOWN_FINDINGS = 20


def check(folder: Path, out: Path | None, as_json: bool) -> int:
    """What was read, merged, rejected and assumed."""
    with Terminal(as_json) as terminal:
        fleet = job.open_fleet(folder_files(folder), terminal.progress)
        findings, lives = fleet.findings(), fleet.lives.for_files()
        headline(terminal, fleet)
        terminal.table("How the files were read", _files_shown(fleet.records.files))
        terminal.table(
            "Rows by file", fleet.records.counts, right=list(fleet.records.counts.columns[1:])
        )
        terminal.say(fleet.reconciliation())
        changed = say_changes(terminal, fleet, folder)
        groups = say_attention(terminal, fleet)
        counted = findings["done"].value_counts()
        terminal.say(
            f"{len(findings)} findings: " + ", ".join(f"{n} {done}" for done, n in counted.items())
        )
        sentences = told(fleet.told)
        for sentence in sentences[:SHOWN_FINDINGS]:
            terminal.say("  - " + sentence)
        if len(sentences) > SHOWN_FINDINGS:
            terminal.say("  ... and more; --out FOLDER writes every one of them.")
        try:
            require_survivors(fleet.lives)
        except FleetError as error:
            terminal.say("These records cannot be fitted:", style="bold")
            for finding in error.findings:
                terminal.say("  - " + finding.sentence())
        files = {
            "findings.csv": findings,
            "rejected.csv": fleet.rejected(),
            "lives.csv": lives,
            "attention.csv": groups,
        }
        write(terminal, fleet, out, files)
        write_workbook(terminal, fleet, out, files)
        document(
            fleet,
            as_json,
            {
                "files": rows(fleet.records.files),
                "counts": rows(fleet.records.counts),
                "findings": rows(findings),
                "rejected": rows(files["rejected.csv"]),
                "attention": rows(groups),
                "changes": changed,
            },
        )
    return 0


def _files_shown(files: pd.DataFrame) -> pd.DataFrame:
    """How the files were read, without the columns that would be blank throughout."""
    shown = files.astype("string").fillna("")
    shown["taken_for"] = shown["taken_for"].where(shown["taken_for"] != "", "left alone")
    return shown.loc[:, (shown != "").any()]
