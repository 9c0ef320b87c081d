"""Hour-meter readings and haul-outs, as each office keeps them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from analytics.sample.mess.clean import CleanBoat
from analytics.sample.mess.pages import Cell, Line, Page
from analytics.sample.mess.spoiling import Spoiling
from analytics.sample.mess.words import ELLORN, QUILLHAVEN, SANDRICK, SAYS_INVENTED, Words


@dataclass(eq=False)
class Reading(Line):
    """A line of an hours log; `hours` is what it says as a number."""

    boat: CleanBoat | None = None
    position: str = ""
    day: date = date.min
    hours: int = 0


@dataclass(frozen=True)
class _Log:
    base: str
    file: str
    title: str
    headers: tuple[str, ...]
    words: Words
    sheet: str = ""


_HOURS = (
    _Log(
        "Quillhaven",
        "quillhaven hours.csv",
        "Quillhaven base: hours log",
        ("Yacht", "Hull no.", "Engine", "Date", "Engine hours"),
        QUILLHAVEN,
    ),
    _Log(
        "Sandrick Lagoon",
        "sandrick.xlsx",
        "Sandrick Lagoon: Betriebsstunden",
        ("Boot", "Rumpf-Nr.", "Welle", "Datum", "Stunden"),
        SANDRICK,
        "Stunden",
    ),
    _Log(
        "Port Ellorn",
        "ellorn hours.csv",
        "Port Ellorn – hour meters",
        ("Vessel", "Hull", "Shaft", "Read on", "Hours"),
        ELLORN,
    ),
)
_HAUL_OUTS = (
    _Log(
        "Quillhaven",
        "quillhaven haul-outs.csv",
        "Quillhaven base: haul-outs",
        ("Yacht", "Hull no.", "Lifted", "Launched", "Yard", "Purpose"),
        QUILLHAVEN,
    ),
    _Log(
        "Sandrick Lagoon",
        "sandrick.xlsx",
        "Sandrick Lagoon: Kranen",
        ("Boot", "Rumpf-Nr.", "Gekrant", "Gewassert", "Werft", "Grund"),
        SANDRICK,
        "Kranen",
    ),
    _Log(
        "Port Ellorn",
        "ellorn haul-outs.csv",
        "Port Ellorn – haul-outs",
        ("Vessel", "Hull", "Hauled out", "Launched", "Yard", "Reason"),
        ELLORN,
    ),
)
_PURPOSES = {"Sandrick Lagoon": {"lay-up": "Winterlager", "survey": "Besichtigung"}}


def hours_logs(spoiling: Spoiling) -> dict[str, Page]:
    """The hours logs by base; their lines are `Reading`s."""
    return {log.base: _hours_log(spoiling, log) for log in _HOURS}


def haul_outs(spoiling: Spoiling) -> dict[str, Page]:
    """The lists of haul-outs by base."""
    return {log.base: _haul_outs(spoiling, log) for log in _HAUL_OUTS}


def rewrite_hours(page: Page, reading: Reading, hours: int) -> None:
    """Put other hours into a reading."""
    reading.hours = hours
    reading.cells[page.headers[4]] = _hours_cell(page, hours)


def _hours_log(spoiling: Spoiling, log: _Log) -> Page:
    page = Page(log.file, log.headers, log.sheet)
    page.title(f"{log.title}. {SAYS_INVENTED}")
    for boat, row in spoiling.clean.rows("hours.csv", log.base):
        day, hours = date.fromisoformat(row["read_on"]), int(row["hours"])
        cells: tuple[Cell, ...] = (
            spoiling.name(boat),
            boat.hull_no,
            log.words.sides[row["position"]][0],
            dated(log.base, day),
            _hours_cell(page, hours),
        )
        named = dict(zip(log.headers, cells, strict=True))
        page.lines.append(
            Reading(named, on=day, boat=boat, position=row["position"], day=day, hours=hours)
        )
    return page


def _haul_outs(spoiling: Spoiling, log: _Log) -> Page:
    page = Page(log.file, log.headers, log.sheet)
    page.title(f"{log.title}. {SAYS_INVENTED}")
    purposes = _PURPOSES.get(log.base, {})
    for boat, row in spoiling.clean.rows("lifts.csv", log.base):
        launched = row["launched_on"]
        day = date.fromisoformat(row["lifted_on"])
        cells: tuple[Cell, ...] = (
            spoiling.name(boat),
            boat.hull_no,
            dated(log.base, day),
            dated(log.base, date.fromisoformat(launched)) if launched else "",
            row["yard"],
            purposes.get(row["reason"], row["reason"]),
        )
        page.lines.append(Line(dict(zip(log.headers, cells, strict=True)), on=day))
    return page


def dated(base: str, day: date) -> Cell:
    """A date as the logs of a base write it."""
    if base == "Sandrick Lagoon":
        return day
    return f"{day:%d/%m/%y}" if base == "Port Ellorn" else day.isoformat()


def _hours_cell(page: Page, hours: int) -> Cell:
    if page.sheet:
        return hours
    return f"{hours},0" if page.file.startswith("ellorn") else str(hours)
