"""From a folder of exports to records that somebody has accepted.

What is proposed for files of which nothing is said, what a mapping would give,
what a person decides, and what has changed since the exports were last
accepted. The user's own files are never written.
"""

from analytics.intake.accepting import accept, rows_of, since_accepted
from analytics.intake.checking import check_decision
from analytics.intake.finding import (
    attention_of,
    findings_as_written,
    findings_in,
    row_as_it_stands,
)
from analytics.intake.looking import (
    Changed,
    Intake,
    look_at,
    preview,
    replaced,
    with_decisions,
    with_mapping,
)
from analytics.intake.own_text import text_in, text_of
from analytics.intake.saving import bring_in, decide, of_folder, said_in, save_mapping, write_beside

__all__ = [
    "Changed",
    "Intake",
    "accept",
    "attention_of",
    "bring_in",
    "check_decision",
    "decide",
    "findings_as_written",
    "findings_in",
    "look_at",
    "of_folder",
    "preview",
    "replaced",
    "row_as_it_stands",
    "rows_of",
    "said_in",
    "save_mapping",
    "since_accepted",
    "text_in",
    "text_of",
    "with_decisions",
    "with_mapping",
    "write_beside",
]
