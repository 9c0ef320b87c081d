"""The haul-out plan as a workbook: the tables of the files, and what they rest on."""

from __future__ import annotations

from typing import Any

import pandas as pd

from analytics import __version__
from analytics.decisions.haul_outs import HaulOuts
from analytics.decisions.yard_compared import Compared
from analytics.papers.cautions import NOT_AN_INSPECTION
from analytics.papers.workbook import workbook_bytes
from analytics.papers.yard_sentences import RULES, assumed, sentences, wish_words
from analytics.papers.yard_tables import (
    boats_table,
    compared_table,
    jobs_table,
    to_tell,
    weeks_table,
)
from analytics.records.settings import Settings

MONEY, SHARE = "#,##0.00", "0.0 %"


def yard_workbook(
    found: HaulOuts, compared: Compared, settings: Settings, *, seed: int, fingerprint: str
) -> bytes:
    """Write the plan as one XLSX file.

    Returns
    -------
    bytes
        Sheets of boats, jobs, weeks, the comparison, what a person has to settle, and what is
        taken for granted. Headings are the columns of the CSV files in words.
    """
    jobs = jobs_table(found)
    boats = boats_table(found, jobs)
    rules = compared_table(compared)
    rules["rule"] = [RULES[rule] for rule in rules["rule"]]
    tables = {
        "Boats": boats,
        "Jobs": jobs,
        "Weeks": weeks_table(found),
        "Compared": rules,
        "To settle": to_tell(found),
    }
    sheets = {name: table.rename(columns=in_words) for name, table in tables.items()}
    sheets["Assumptions"] = _facts(found, boats, compared, settings, seed, fingerprint)
    formats = {
        in_words(name): MONEY
        for table in tables.values()
        for name in table.columns
        if name.endswith(("cost", "price")) or name in ("saves", "saving", "cost_more")
    }
    formats |= {in_words(name): SHARE for name in ("risk", "risk_renewed", "risk_hidden")}
    formats |= dict.fromkeys(map(in_words, ("failures", "failures_more")), "0.00")
    return workbook_bytes(sheets, settings, formats)


def in_words(column: str) -> str:
    """The heading of a column."""
    return column.replace("_", " ").capitalize()


def _facts(
    found: HaulOuts,
    boats: pd.DataFrame,
    compared: Compared,
    settings: Settings,
    seed: int,
    fingerprint: str,
) -> pd.DataFrame:
    facts: list[tuple[str, Any]] = [
        ("Fleet", settings.name),
        ("Records watched up to", settings.as_of),
        ("Season after this lay-up", found.season.year),
        ("First day of that season", found.season.start),
        *(("In short", one) for one in sentences(found, boats, compared)),
        *(("Decided", wish_words(one)) for one in found.applied),
        *(("One more slot", one.text) for one in compared.slots),
        *(("A second haul-out", one.text) for one in compared.second),
        ("Seed", seed),
        ("Fingerprint of the records", fingerprint),
        ("Version of the program", __version__),
        ("Caution", NOT_AN_INSPECTION),
        *(("Assumed", one) for one in assumed(found, settings)),
    ]
    return pd.DataFrame(facts, columns=["What", "Value"], dtype=object)
