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
from dashboard.results.of_outlook import ahead, budget, season, warm, what_would_change
from dashboard.results.of_policies import policies, replacement_ages
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
from dashboard.results.of_spares import spares
from dashboard.results.of_what_if import what_if
from dashboard.results.of_yard import YardAnswer, haul_outs, yard_compared, yard_papers

__all__ = [
    "PATIENCE",
    "SEED",
    "Asked",
    "Chosen",
    "YardAnswer",
    "ageing",
    "ahead",
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
    "haul_outs",
    "kind",
    "looked",
    "of_folder",
    "of_that_age",
    "on_paper",
    "one_base",
    "policies",
    "preview",
    "readings",
    "records_own",
    "regression",
    "replacement_ages",
    "season",
    "season_asked",
    "since_accepted",
    "spares",
    "tried",
    "warm",
    "watched",
    "wear",
    "what_if",
    "what_would_change",
    "yard_compared",
    "yard_papers",
]
