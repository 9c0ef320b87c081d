"""Sandrick Lagoon's list of prices, which serves the whole fleet, and its list of failures."""

from __future__ import annotations

import csv
import io

from analytics.sample.mess.life_sheets import AT_SANDRICK
from analytics.sample.mess.pages import Cell, Line, Page
from analytics.sample.mess.spoiling import Spoiling
from analytics.sample.mess.words import SANDRICK, SAYS_INVENTED

HEADERS = (
    "Teil",
    "Teilenummer",
    "Preis",
    "Währung",
    "MwSt",
    "Arbeitszeit Std.",
    "Lieferzeit Tage",
    "Lagerfähigkeit Jahre",
)
FAILURE_HEADERS = ("Boot", "Seite", "Teil", "Ausgefallen am", "Grund")


def price_sheet(spoiling: Spoiling) -> Page:
    """The sheet of prices: net, in the fleet's currency but for one."""
    page = Page("sandrick.xlsx", HEADERS, "Preise")
    page.title(f"{spoiling.clean.fleet.scenario.name}: Preise. {SAYS_INVENTED}")
    for row in csv.DictReader(io.StringIO(spoiling.clean.files["prices.csv"])):
        cells: tuple[Cell, ...] = (
            SANDRICK.kinds[row["kind"]][0],
            row["part_no"],
            float(row["part_price"]),
            spoiling.clean.fleet.scenario.currency,
            "netto",
            float(row["labour_hours"]),
            float(row["lead_time_days"]),
            float(row["shelf_life_years"]) if row["shelf_life_years"] else "",
        )
        page.lines.append(Line(dict(zip(HEADERS, cells, strict=True))))
    if abroad := spoiling.pick(page.lines):
        true = abroad.text("Währung")
        abroad.cells["Währung"] = "GBP"
        spoiling.plant("currency_mixed", page, abroad, "Währung", true, "rejected")
    return page


def failure_sheet(spoiling: Spoiling, gear: Page) -> Page:
    """A list of failures alone, of parts that the sheet of lives tells of as well."""
    page = Page("sandrick.xlsx", FAILURE_HEADERS, "Failures")
    page.title(f"Sandrick Lagoon: Ausfälle. {SAYS_INVENTED}")
    column = AT_SANDRICK.headers
    for line in gear.lines:
        life = line.lives[0] if line.lives else None
        if life is None or life.text["reason"] != "failed" or not spoiling.free(life):
            continue
        cells = (
            line.cells[column["boat"]],
            line.cells[column["side"]],
            line.cells[column["kind"]],
            line.cells[column["removed"]],
            line.cells[column["reason"]],
        )
        page.lines.append(Line(dict(zip(FAILURE_HEADERS, cells, strict=True)), on=life.removed))
    if page.lines:
        spoiling.plant(
            "only_failures",
            page,
            page.lines[0],
            "Ausgefallen am",
            "failures without the parts that did not fail: no basis for lives",
            "ignored",
        )
    return page
