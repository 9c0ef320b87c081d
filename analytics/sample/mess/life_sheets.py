"""The two offices that keep a row for each part, from its fitting to its removal."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date

from analytics.sample.mess.clean import CleanLife, day_of_text
from analytics.sample.mess.pages import Cell, Line, Page
from analytics.sample.mess.spoiling import Spoiling
from analytics.sample.mess.words import ELLORN, SANDRICK, SAYS_INVENTED, Words

_COLUMNS = (
    "boat",
    "hull",
    "side",
    "kind",
    "part_no",
    "size",
    "lot",
    "fitted",
    "invoice",
    "removed",
    "reason",
    "found",
    "sound",
    "hours_in",
    "hours_out",
    "person",
    "note",
)


@dataclass(frozen=True)
class LifeSheet:
    """How one office keeps its lives.

    Attributes
    ----------
    base, file, sheet, title : str
    headers : mapping of str to str
        Its header by what the column holds, in the order of the columns.
    words : Words
    fitted, removed, sound : callable
        How a date is written in each of these columns.
    decimals : str
        What stands behind a whole number of hours.
    """

    base: str
    file: str
    sheet: str
    title: str
    headers: Mapping[str, str]
    words: Words
    fitted: Callable[[date], Cell]
    removed: Callable[[date], Cell]
    sound: Callable[[date], Cell]
    decimals: str

    def cell(self, column: str, text: str) -> Cell:
        """A date of the plain layout as the office writes it; a year stays a year."""
        day = day_of_text(text)
        write = {"fitted": self.fitted, "removed": self.removed, "sound": self.sound}[column]
        return write(day) if day else text

    def hours(self, text: str) -> Cell:
        """Hours as the office writes them: as a number in a workbook."""
        if not text:
            return ""
        return int(text) if self.sheet else text + self.decimals


def by_points(day: date) -> str:
    """Write a date as 14.03.2019."""
    return f"{day:%d.%m.%Y}"


def by_strokes(day: date) -> str:
    """Write a date as 14/03/19."""
    return f"{day:%d/%m/%y}"


def _as_it_is(day: date) -> Cell:
    return day


AT_SANDRICK = LifeSheet(
    base="Sandrick Lagoon",
    file="sandrick.xlsx",
    sheet="Anlage",
    title="Sandrick Lagoon: Teile an der Wellenanlage",
    headers=dict(
        zip(
            _COLUMNS,
            (
                "Boot",
                "Rumpf-Nr.",
                "Seite",
                "Teil",
                "Teilenummer",
                "Größe",
                "Charge",
                "Eingebaut",
                "Rechnungsdatum",
                "Ausgebaut",
                "Grund",
                "Gefunden",
                "Letzte Prüfung",
                "Stunden Einbau",
                "Stunden Ausbau",
                "Monteur",
                "Bemerkung",
            ),
            strict=True,
        )
    ),
    words=SANDRICK,
    fitted=_as_it_is,
    removed=by_points,
    sound=_as_it_is,
    decimals="",
)
AT_ELLORN = LifeSheet(
    base="Port Ellorn",
    file="ellorn gear.csv",
    sheet="",
    title="Port Ellorn – gear register; shaft 1 is port, shaft 2 is starboard",
    headers=dict(
        zip(
            _COLUMNS,
            (
                "Vessel",
                "Hull",
                "Shaft",
                "Gear",
                "Part no",
                "Size",
                "Batch",
                "Fitted",
                "Invoiced",
                "Removed",
                "Why removed",
                "Found",
                "Last seen sound",
                "Hours fitted",
                "Hours removed",
                "Done by",
                "Remarks",
            ),
            strict=True,
        )
    ),
    words=ELLORN,
    fitted=by_strokes,
    removed=by_strokes,
    sound=by_strokes,
    decimals=",0",
)


def life_page(spoiling: Spoiling, sheet: LifeSheet) -> Page:
    """The office's page of lives, a line for each, nothing spoilt yet."""
    page = Page(sheet.file, tuple(sheet.headers.values()), sheet.sheet)
    page.title(f"{sheet.title}. {SAYS_INVENTED}")
    if sheet is AT_SANDRICK:
        _tell_of_purge(spoiling, page)
    for life in spoiling.clean.lives_at(sheet.base):
        page.lines.append(_line(spoiling, sheet, life))
    if sheet is AT_ELLORN:
        total = Line({"Vessel": "Total", "Hours removed": f"{_hours_run(spoiling)},0"})
        page.foot.append(total)
        spoiling.plant("totals_and_titles", page, total, "Vessel", "no part", "ignored")
    return page


def _line(spoiling: Spoiling, sheet: LifeSheet, life: CleanLife) -> Line:
    text, words, chance = life.text, sheet.words, spoiling.chance
    reason = text["reason"]
    by_column: dict[str, Cell] = {
        "boat": spoiling.name(life.boat),
        "hull": life.boat.hull_no,
        "side": chance.pick(words.sides[life.position]),
        "kind": chance.pick(words.kinds[life.kind]),
        "part_no": text["part_no"],
        "size": text["size"],
        "lot": text["lot"],
        "fitted": sheet.cell("fitted", text["fitted_on"]),
        "removed": sheet.cell("removed", text["removed_on"]),
        "reason": chance.pick(words.why(reason, life.kind)) if reason else "",
        "found": chance.pick(words.found[text["found"]]),
        "sound": sheet.cell("sound", text["last_sound_on"]),
        "hours_in": sheet.hours(text["fitted_hours"]),
        "hours_out": sheet.hours(text["removed_hours"]),
        "person": chance.pick(words.people) if life.removed or life.fitted else "",
        "note": text["note"],
    }
    cells = {sheet.headers[column]: cell for column, cell in by_column.items()}
    return Line(cells, lives=(life,), on=life.fitted)


def _tell_of_purge(spoiling: Spoiling, page: Page) -> None:
    """What happened before the records is not on the cards, and a title says so."""
    began = spoiling.clean.fleet.scenario.records_from
    line = page.title(f"Karten von vor {began:%m/%Y} vernichtet")
    true = f"no removal before {began.isoformat()} is on record"
    spoiling.plant("records_purged", page, line, page.headers[0], true, "told")


def _hours_run(spoiling: Spoiling) -> int:
    lives = spoiling.clean.lives_at(AT_ELLORN.base)
    return sum(int(life.text["removed_hours"] or 0) for life in lives)
