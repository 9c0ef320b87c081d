"""Every answer that the pages ask for, and the one place where answers are kept.

Kept answers are shared by every visitor, so each is keyed on the fingerprint of
the records and on whatever else it depends on; arguments with a leading
underscore take no part in the key. What is kept is read and never changed.
"""

from __future__ import annotations

from dashboard.results.asking import PATIENCE, SEED, Asked, Chosen, of_folder, watched
from dashboard.results.of_ageing import (
    ageing,
    believed,
    causes,
    clocks,
    curves,
    doubted,
    families,
    groups,
    kind,
    of_that_age,
    on_paper,
    one_base,
    readings,
    records_own,
    regression,
    tried,
    wear,
)
from dashboard.results.of_outlook import budget, season, warm
from dashboard.results.of_records import (
    as_of_assumed,
    attention,
    findings_as_written,
    findings_in,
    fleet,
    looked,
    preview,
    season_asked,
    since_accepted,
)

__all__ = [
    "PATIENCE",
    "SEED",
    "Asked",
    "Chosen",
    "ageing",
    "as_of_assumed",
    "attention",
    "believed",
    "budget",
    "causes",
    "clocks",
    "curves",
    "doubted",
    "families",
    "findings_as_written",
    "findings_in",
    "fleet",
    "groups",
    "kind",
    "looked",
    "of_folder",
    "of_that_age",
    "on_paper",
    "one_base",
    "preview",
    "readings",
    "records_own",
    "regression",
    "season",
    "season_asked",
    "since_accepted",
    "tried",
    "warm",
    "watched",
    "wear",
]
