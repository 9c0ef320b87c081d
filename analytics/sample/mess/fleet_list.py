"""The lists of boats: one file for two bases, a sheet of its own for the third."""

from __future__ import annotations

from datetime import date

from analytics.sample.mess.clean import CleanBoat
from analytics.sample.mess.pages import Cell, Line, Page
from analytics.sample.mess.spoiling import Spoiling
from analytics.sample.mess.words import SAYS_INVENTED

HEADERS = (
    "Name",
    "Hull number",
    "Former name",
    "Renamed",
    "Base",
    "Type",
    "Built",
    "In fleet from",
    "Out of fleet",
    "Winter",
    "Water",
    "Hours/season",
    "Shaft size",
    "Engines",
)
SHEET_HEADERS = (
    "Name",
    "Rumpf-Nr.",
    "Basis",
    "Modell",
    "Baujahr",
    "Zugang",
    "Abgang",
    "Winterlager",
    "Wasser",
    "Stunden pro Jahr",
    "Welle mm",
    "Anzahl Wellen",
)
SHEET_BASE = "Sandrick Lagoon"

_IN_GERMAN = {
    "ashore": "an Land",
    "afloat": "im Wasser",
    "salt": "Salzwasser",
    "brackish": "Brackwasser",
    "fresh": "Süßwasser",
}


def fleet_list(spoiling: Spoiling) -> Page:
    """The page of all boats but those of Sandrick Lagoon."""
    page = Page("fleet list.csv", HEADERS)
    page.title(f"{spoiling.clean.fleet.scenario.name}: fleet list. {SAYS_INVENTED}")
    lines: dict[str, Line] = {}
    for boat in spoiling.clean.boats:
        if boat.base == SHEET_BASE:
            continue
        former, renamed = spoiling.former.get(boat.name, ("", ""))
        line = Line(
            {
                "Name": spoiling.name(boat),
                "Hull number": boat.hull_no,
                "Former name": former,
                "Renamed": renamed,
                "Base": boat.base,
                "Type": boat.model,
                "Built": boat.text["built_on"],
                "In fleet from": boat.text["joined_on"],
                "Out of fleet": boat.text["left_on"],
                "Winter": boat.text["lay_up"],
                "Water": boat.text["water"],
                "Hours/season": boat.text["hours_per_season"],
                "Shaft size": f"{boat.shaft_mm} mm",
                "Engines": "2" if boat.twin else "1",
            }
        )
        lines[boat.name] = line
        page.lines.append(line)
    _tell_histories(spoiling, page, lines, "In fleet from", "Out of fleet")
    return page


def fleet_sheet(spoiling: Spoiling) -> Page:
    """The sheet of Sandrick Lagoon's boats: a title, a blank row, headers and a row of totals."""
    page = Page("sandrick.xlsx", SHEET_HEADERS, "Boote")
    page.title(f"Sandrick Lagoon: Bootsliste. {SAYS_INVENTED}")
    page.titles.append(Line())
    lines: dict[str, Line] = {}
    for boat in spoiling.clean.boats:
        if boat.base != SHEET_BASE:
            continue
        built, left = boat.text["built_on"], boat.text["left_on"]
        hours = boat.text["hours_per_season"]
        cells: tuple[Cell, ...] = (
            spoiling.name(boat),
            boat.hull_no,
            boat.base,
            boat.model,
            built if len(built) == 4 else date.fromisoformat(built),
            date.fromisoformat(boat.text["joined_on"]),
            date.fromisoformat(left) if left else "",
            _IN_GERMAN[boat.text["lay_up"]],
            _IN_GERMAN[boat.text["water"]],
            int(hours) if hours else "",
            boat.shaft_mm,
            2 if boat.twin else 1,
        )
        lines[boat.name] = Line(dict(zip(SHEET_HEADERS, cells, strict=True)))
        page.lines.append(lines[boat.name])
    _tell_histories(spoiling, page, lines, "Zugang", "Abgang")
    if page.lines:
        shafts = sum(2 if boat.twin else 1 for boat in spoiling.clean.boats if boat.name in lines)
        total = Line({"Name": "Summe", "Anzahl Wellen": shafts})
        page.foot.append(total)
        spoiling.plant("totals_and_titles", page, total, "Name", "no boat", "ignored")
    return page


def _tell_histories(
    spoiling: Spoiling, page: Page, lines: dict[str, Line], joined: str, left: str
) -> None:
    """Examples of boats that left and of boats that came with parts in place, each once."""
    listed = [boat for boat in spoiling.clean.boats if boat.name in lines]
    told = {one.sort for one in spoiling.planted}
    gone = spoiling.pick(boat for boat in listed if boat.text["left_on"])
    if gone and "boat_left" not in told:
        true = f"every part in place until {gone.text['left_on']}"
        spoiling.plant("boat_left", page, lines[gone.name], left, true, "used", boat=gone)
    bought = spoiling.pick(boat for boat in listed if _second_hand(spoiling, boat))
    if bought and "bought_second_hand" not in told:
        true = "parts that were in place then count from that day"
        line = lines[bought.name]
        spoiling.plant("bought_second_hand", page, line, joined, true, "used", boat=bought)


def _second_hand(spoiling: Spoiling, boat: CleanBoat) -> bool:
    joined = date.fromisoformat(boat.text["joined_on"])
    late = joined > spoiling.clean.fleet.scenario.records_from
    return late and int(boat.text["built_on"][:4]) < joined.year - 1
